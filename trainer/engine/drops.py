"""Drops in a drip chamber: how fast they fall, how many in a while.

drops per minute = flow in mL/h x drops per mL / 60. With a pump too, they fall at the
pump's pace. A syringe line has no chamber.

Source: reference row GRV-04 (drip rate), in the tests; every drop has the same volume
(declared simplification).
"""

from __future__ import annotations

from fractions import Fraction
from math import floor

from trainer.engine.amounts import ml_h_from_ul_h
from trainer.engine.drive import flow_ul_h
from trainer.engine.path import feeds
from trainer.engine.state import Line, State
from trainer.terms import Drive, Role


def drops_per_min(state: State, line: Line, role: Role = Role.PRIMARY) -> Fraction:
    """How many drops a minute fall in one of a line's chambers; 0 where fluid runs back up."""
    if line.drive is Drive.SYRINGE:
        return Fraction(0)
    given_ul_h = feeds(state.containers, line, flow_ul_h(state, line)).of(role)
    if given_ul_h <= 0:
        return Fraction(0)
    drop_factor = state.scenario.line(line.number).drop_factor
    return ml_h_from_ul_h(given_ul_h) * drop_factor / 60


def drops_in(state: State, line: Line, role: Role, seconds: int) -> int:
    """Whole drops that somebody counts in so many seconds."""
    return floor(drops_per_min(state, line, role) * seconds / 60)


def drops_text(count: int, seconds: int, role: Role) -> str:
    """What was counted, in words."""
    fell = "No drop fell" if not count else f"{count} drop{'' if count == 1 else 's'} fell"
    return f"{fell} in the {role.value} drip chamber in {seconds} s."

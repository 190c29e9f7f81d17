"""The race of heads at a line's join: how much of the flow comes from which container.

The heights of two containers above the join and the resistances of their tubing decide.
Heights are mm of fluid, pressures millionths of a mmHg, resistances millionths of a mmHg
per (mL/h), rates microlitres per hour; all whole numbers.
"""

from __future__ import annotations

from typing import NamedTuple

from trainer.engine.figures import U_MMHG_PER_MM, U_PER_ONE
from trainer.engine.state import Container, Line
from trainer.terms import Role

ATMOSPHERE_MMHG = 760
"""Pressure of the gas in a bottle that is closed at that pressure."""


class Feeds(NamedTuple):
    """What each inlet gives. The primary's is negative where fluid runs up into it."""

    primary_ul_h: int
    secondary_ul_h: int

    def of(self, role: Role) -> int:
        """What that inlet gives."""
        return self.primary_ul_h if role is Role.PRIMARY else self.secondary_ul_h


def primary_height_mm(line: Line) -> int:
    """Where the primary's fluid stands, on its hook or hung lower."""
    lowered = line.hanger_drop_mm if line.primary_lowered else 0
    return line.primary.height_mm - lowered


def head_u(line: Line) -> int:
    """How much more pressure the secondary's height brings to the join than the primary's."""
    if line.secondary is None:
        return 0
    return U_MMHG_PER_MM * (line.secondary.height_mm - primary_height_mm(line))


def race(line: Line, rate_ul_h: int, *, valve_works: bool) -> Feeds:
    """What each of two open inlets gives when the pump draws so much.

    Between secondary (height h_s, resistance R_s) and primary (h_p, R_p) the join's
    pressure is one: dP - Q_s R_s = -Q_p R_p with dP = 0.73556 (h_s - h_p), and
    Q_s + Q_p = Q. So Q_s = (dP + Q R_p) / (R_s + R_p). A check valve that works keeps Q_p
    from being negative: then the secondary gives all, up to Q = dP / R_s. Nothing runs up
    into the secondary (declared simplification).

    Source: flow through a resistance under a pressure difference; reference row SEC-03,
    in `tests/unit/engine`.
    """
    primary, secondary = line.primary, line.secondary
    if secondary is None:
        return Feeds(rate_ul_h, 0)
    head, both_u = head_u(line), primary.resistance_u + secondary.resistance_u
    if both_u <= 0:
        return Feeds(0, rate_ul_h) if head > 0 else Feeds(rate_ul_h, 0)
    gives = (head * 1_000 + rate_ul_h * primary.resistance_u) // both_u
    gives = max(0, min(rate_ul_h, gives) if valve_works else gives)
    return Feeds(rate_ul_h - gives, gives)


def holding_u(line: Line, role: Role, rate_ul_h: int) -> int:
    """The vacuum at which a bottle gives nothing more, because the other inlet gives all."""
    if line.secondary is None:
        return 0
    if role is Role.SECONDARY:
        return head_u(line) + rate_ul_h * line.primary.resistance_u // 1_000
    return rate_ul_h * line.secondary.resistance_u // 1_000 - head_u(line)


def vacuum_u(container: Container) -> int:
    """How far the pressure in a closed bottle lies below the air's: gas law, small changes.

    Its gas of volume V stretches by `vacuum`: the pressure falls by 760 mmHg x vacuum / V
    (stiffness of a gas at constant temperature, linear: declared simplification).
    """
    if not container.gas or container.vented:
        return 0
    return ATMOSPHERE_MMHG * U_PER_ONE * container.vacuum // container.gas


def vacuum_at(container: Container, pressure_u: int) -> int:
    """The volume that has left a closed bottle when its vacuum has that pressure, rounded up."""
    if pressure_u <= 0:
        return 0
    return -(-pressure_u * container.gas // (ATMOSPHERE_MMHG * U_PER_ONE))

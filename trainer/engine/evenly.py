"""Whether all that a line does runs along straight lines until something happens.

Nearly always it does while pumps alone drive. What may bend: a flow through a narrowing, one
that something missing is made up for first, the pressure of swelling tissue, and all that
runs by height (a closed bottle dies away, an inlet that runs empty leaves it to the other).
"""

from __future__ import annotations

from trainer.engine.carry import site_of
from trainer.engine.downstream import is_open_below
from trainer.engine.drive import through_law
from trainer.engine.state import Line, State
from trainer.terms import Site


def runs_evenly(state: State) -> bool:
    """Whether nothing bends in any line: rates hold, pressures and volumes run straight."""
    return all(_is_even(state, line) for line in state.lines)


def holds(state: State) -> bool:
    """Of a bedside that runs evenly: whether no pump turns against a way that is shut."""
    return not any(_is_held(state, line) for line in state.lines)


def _is_held(state: State, line: Line) -> bool:
    return line.pump.rate_ul_h > 0 and not is_open_below(state.access, line)


def _is_even(state: State, line: Line) -> bool:
    if line.narrowed_ms or line.slack or line.stored < line.rest:
        return False
    if site_of(state, line) is Site.INFILTRATED:
        return False
    return line.pump.rate_ul_h > 0 or not through_law(state, line).moves

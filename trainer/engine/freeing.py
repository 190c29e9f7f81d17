"""What an act frees: blocks and narrowings whose mend it is."""

from __future__ import annotations

from trainer.engine.events import LineFreed
from trainer.engine.state import Line, State
from trainer.terms import Verb, Where

NEW_SET = Verb.PRIME
"""What has fallen out of fluids that met cannot be freed; priming the line once it is off the
patient stands for a new set in its place (declared simplification)."""

BOTH = (Where.UPSTREAM, Where.DOWNSTREAM)


def freed_by(
    state: State, line: Line, mend: Verb, sides: tuple[Where, ...] = BOTH
) -> tuple[LineFreed, ...]:
    """What that act frees on these sides of a line's pump."""
    held = (
        (Where.UPSTREAM, False, line.blocked_above, line.blocked_above_mend),
        (Where.DOWNSTREAM, False, line.blocked_below, line.blocked_below_mend),
        (Where.DOWNSTREAM, True, line.narrowed_below, line.narrowed_mend),
    )
    return tuple(
        LineFreed(at_ms=state.as_of_ms, line=line.number, where=where, narrowing=narrowing)
        for where, narrowing, reason, frees in held
        if reason and frees is mend and where in sides
    )

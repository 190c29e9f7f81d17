"""One part of the state in the place of its older self."""

from __future__ import annotations

from trainer.engine.copying import changed
from trainer.engine.state import Line, State


def put_line(state: State, line: Line, **fields: object) -> State:
    """The state with this line, and these other fields."""
    lines = tuple([line if one.number == line.number else one for one in state.lines])
    return changed(state, lines=lines, **fields)

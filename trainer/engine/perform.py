"""Time up to an act, and the act: what live attempts, rehearsals and replays call."""

from __future__ import annotations

from trainer.engine.actions import Action
from trainer.engine.advance import advanced
from trainer.engine.decide import decided
from trainer.engine.events import Event
from trainer.engine.state import State


def perform(
    state: State, action: Action, *, at_ms: int, actor: str
) -> tuple[State, tuple[Event, ...]]:
    """The state after everything up to and including an act at `at_ms`, and the events.

    Raises:
        EngineError: if the state lies after `at_ms`.
    """
    state, brought = advanced(state, at_ms)
    state, events = decided(state, action, at_ms=at_ms, actor=actor)
    return state, (*brought, *events)

"""When a sign of the patient passes the number that an author's event waits for.

Signs bend, so there is no formula for the moment. The stretch up to the next other
happening is looked at in a few places, close together at first (an answer begins fast),
wide apart later; between the last place before the crossing and the first behind it, halving
finds the millisecond. The sign is taken as it would be charted: rounded to its step.
"""

from __future__ import annotations

from trainer.engine import signs
from trainer.engine.carry import carry
from trainer.engine.state import State
from trainer.engine.upcoming import Earliest, Kind
from trainer.scenario.model import AuthoredEvent, Trigger

PLACES = 64
"""Looks into a stretch at most. Chosen by us: in a day, a few seconds apart at first and half
an hour at last."""


def offer(earliest: Earliest, state: State) -> None:
    """The next moment at which a sign passes what an event waits for. Offered last of all."""
    waiting = [
        event
        for one, event in zip(state.events, state.scenario.events, strict=True)
        if event.when.sign and one.came_ms is None and one.due_ms is None
    ]
    if not waiting:
        return
    met = [event for event in waiting if _is_met(state, event.when)]
    may_come = [event for event in waiting if signs.may_move(state, event.when.sign)]
    if not met and may_come:
        met_at_ms, met = _first(state, may_come, earliest.at_ms)
    else:
        met_at_ms = state.as_of_ms
    for event in met:
        earliest.offer(met_at_ms, Kind.TRIGGER_MET, 0, event.id)


def _is_met(state: State, when: Trigger) -> bool:
    """Whether the sign lies beyond the number at the state's moment."""
    number = signs.number_now(state, when.sign)
    if number is None:
        return False
    is_above = when.above is not None and number > when.above
    return is_above or (when.below is not None and number < when.below)


def _met_at(state: State, events: list[AuthoredEvent], at_ms: int) -> list[AuthoredEvent]:
    later = carry(state, at_ms)
    return [event for event in events if _is_met(later, event.when)]


def _first(
    state: State, events: list[AuthoredEvent], until_ms: int
) -> tuple[int, list[AuthoredEvent]]:
    """The first moment up to `until_ms` at which any of these is met, and which are then."""
    early = state.as_of_ms
    span = until_ms - early
    for place in range(1, PLACES + 1):
        late = state.as_of_ms + span * place**3 // PLACES**3
        if late > early:
            if _met_at(state, events, late):
                return _narrowed(state, events, early, late)
            early = late
    return until_ms, []


def _narrowed(
    state: State, events: list[AuthoredEvent], early: int, late: int
) -> tuple[int, list[AuthoredEvent]]:
    """The first whole millisecond after `early`, by halving, at which one is met."""
    while late - early > 1:
        middle = (early + late) // 2
        if _met_at(state, events, middle):
            late = middle
        else:
            early = middle
    return late, _met_at(state, events, late)

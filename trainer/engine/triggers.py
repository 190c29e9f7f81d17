"""When an authored event comes: its trigger met, now or after a delay.

Moments and volumes are crossings that `happenings` finds; here are the triggers that an
act, an alarm or another event meets. Each event comes once.
"""

from __future__ import annotations

from collections.abc import Sequence

from trainer.engine.actions import Action
from trainer.engine.effects import came
from trainer.engine.events import AlarmRaised, Event, EventCame, EventDue
from trainer.engine.state import State
from trainer.scenario.model import AuthoredEvent, Trigger


def met(state: State, event: AuthoredEvent, at_ms: int) -> tuple[Event, ...]:
    """The authored event now, or its coming after its delay."""
    if event.when.delay_ms > 0:
        due_ms = at_ms + event.when.delay_ms
        return (EventDue(at_ms=at_ms, event=event.id, due_ms=due_ms),)
    return came(state, event, at_ms)


BringsOthers = AlarmRaised | EventCame
"""What an authored event can wait for, apart from moments, volumes, signs and acts."""


def met_by_events(state: State, events: Sequence[Event]) -> tuple[Event, ...]:
    """What alarms and authored events of one moment bring, as the triggers say."""
    signs = [event for event in events if isinstance(event, BringsOthers)]
    if not signs:
        return ()
    found: list[Event] = []
    for waiting, event in zip(state.events, state.scenario.events, strict=True):
        if waiting.came_ms is not None or waiting.due_ms is not None:
            continue
        when = event.when
        if (when.event or when.alarm) and any(_is_met_by(when, sign) for sign in signs):
            found.extend(met(state, event, state.as_of_ms))
    return tuple(found)


def _is_met_by(when: Trigger, event: AlarmRaised | EventCame) -> bool:
    if isinstance(event, EventCame):
        return when.event == event.event
    return when.alarm is event.kind and when.line in (None, event.line)


def met_by_act(state: State, action: Action, at_ms: int) -> tuple[Event, ...]:
    """What an act that was possible brings, as its trigger says."""
    found: list[Event] = []
    for waiting, event in zip(state.events, state.scenario.events, strict=True):
        if event.when.after is not action.verb:
            continue
        is_waiting = waiting.came_ms is None and waiting.due_ms is None
        if is_waiting and matches(action, event.when.match):
            found.extend(met(state, event, at_ms))
    return tuple(found)


def matches(action: Action, wanted: tuple[tuple[str, str], ...]) -> bool:
    """Whether an act carries all these parameters, apart from capitals and outer spaces."""
    carried = {name: text.strip().casefold() for name, text in action.params}
    return all(carried.get(name) == text.strip().casefold() for name, text in wanted)

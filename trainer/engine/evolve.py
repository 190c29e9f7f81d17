"""The state after an event. Total: never refuses, never decides, never rounds.

The state is first carried to the event's moment, then the event is applied. Which event
changes what is split by subject: `evolve_setup` (containers and tubing), `evolve_pump`
(pump and alarms), `evolve_bedside` (power, catheters, what was narrowed or met),
`evolve_world` (what the author put in, and what was said), with `evolve_patient` (signs).
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import assert_never

from trainer.engine.carry import carry
from trainer.engine.copying import changed
from trainer.engine.events import Acted, Cued, Event, Finished, Injected, Noted, Refused
from trainer.engine.evolve_bedside import BedsideEvent, bedside_after
from trainer.engine.evolve_pump import (
    AlarmEvent,
    PumpEvent,
    TimeEvent,
    alarms_after,
    pump_after,
    time_brought,
)
from trainer.engine.evolve_setup import HangingEvent, TubingEvent, hanging_after, tubing_after
from trainer.engine.evolve_world import WorldEvent, world_after
from trainer.engine.flow import refilled
from trainer.engine.state import State
from trainer.errors import EngineError

OnlyTold = Acted | Injected | Cued | Refused | Noted
"""What changes nothing by itself."""


def evolve(state: State, event: Event) -> State:
    """The state right after an event.

    Raises:
        EngineError: if the event lies before the state's moment, which is a fault of ours.
    """
    if event.at_ms != state.as_of_ms:
        if event.at_ms < state.as_of_ms:
            raise EngineError(
                f"{type(event).__name__} at {event.at_ms} ms comes before the state of "
                f"{state.as_of_ms} ms; events must be folded in their order"
            )
        state = carry(state, event.at_ms)
    after = _applied(state, event)
    for line in after.lines:
        if line.drawn:
            return _refilled(after)
    return after


def fold(state: State, events: Iterable[Event]) -> State:
    """The state after these events, one after the other."""
    for event in events:
        state = evolve(state, event)
    return state


def _applied(state: State, event: Event) -> State:
    if isinstance(event, OnlyTold):
        return state
    if isinstance(event, PumpEvent):
        return pump_after(state, event)
    if isinstance(event, AlarmEvent):
        return alarms_after(state, event)
    if isinstance(event, TimeEvent):
        return time_brought(state, event)
    if isinstance(event, WorldEvent):
        return world_after(state, event)
    if isinstance(event, HangingEvent):
        return hanging_after(state, event)
    if isinstance(event, TubingEvent):
        return tubing_after(state, event)
    if isinstance(event, BedsideEvent):
        return bedside_after(state, event)
    if isinstance(event, Finished):
        return changed(state, ended=True)
    assert_never(event)


def _refilled(state: State) -> State:
    """Tubing drawn narrow fills again where its way is open."""
    containers, lines = state.containers, []
    for line in state.lines:
        containers, line = refilled(containers, line)
        lines.append(line)
    return changed(state, containers=containers, lines=tuple(lines))

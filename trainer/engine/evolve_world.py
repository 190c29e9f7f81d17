"""What the author's events, and everything said or seen, change in the state."""

from __future__ import annotations

from typing import assert_never

from trainer.engine.carry import wasted
from trainer.engine.copying import changed
from trainer.engine.events import (
    AirEntered,
    EventCame,
    EventDue,
    LineBlocked,
    LineFreed,
    OrderEnded,
    OrderGiven,
    Perceived,
    ResultCame,
    Said,
    SampleTaken,
    SignChanged,
    SignDrifts,
)
from trainer.engine.evolve_patient import PatientEvent, patient_after, patient_seen
from trainer.engine.path import flowing_role, inlet_of
from trainer.engine.putting import put_line
from trainer.engine.sources import put_inlet, received
from trainer.engine.state import Line, Message, State
from trainer.engine.tubing import Plugs, filled_with, joined, split, volume_of
from trainer.terms import AIR, Where

WorldEvent = (
    EventDue
    | EventCame
    | AirEntered
    | LineBlocked
    | LineFreed
    | Said
    | Perceived
    | OrderGiven
    | OrderEnded
    | PatientEvent
)


def world_after(state: State, event: WorldEvent) -> State:
    """After something came from outside, or was said or seen."""
    match event:
        case EventDue() | EventCame():
            return _authored(state, event)
        case AirEntered():
            return _air_entered(state, event)
        case LineBlocked() | LineFreed():
            return put_line(state, _block(state.line(event.line), event))
        case Said():
            return _with_message(state, event.who, event.text)
        case Perceived():
            return _perceived(state, event)
        case OrderGiven() | OrderEnded():
            return _order(state, event)
        case SignChanged() | SignDrifts() | SampleTaken() | ResultCame():
            return patient_after(state, event)
        case _:
            assert_never(event)


def _authored(state: State, event: EventDue | EventCame) -> State:
    for number, one in enumerate(state.events):
        if one.id == event.event:
            one = (
                changed(one, due_ms=event.due_ms)
                if isinstance(event, EventDue)
                else changed(one, came_ms=event.at_ms)
            )
            events = (*state.events[:number], one, *state.events[number + 1 :])
            return changed(state, events=events)
    return state


def _air_entered(state: State, event: AirEntered) -> State:
    """Air lies in the tubing; as much from the far end went back to the container."""
    line = state.line(event.line)
    if event.where is Where.DOWNSTREAM:
        return _air_below(state, line, event)
    role = flowing_role(state.containers, line)
    inlet = inlet_of(line, role) or line.primary
    path = joined(line.above, inlet.contents)
    ahead, behind = split(path, event.ahead)
    behind, back = split(behind, max(0, volume_of(behind) - event.volume))
    path = joined(joined(ahead, filled_with(AIR, volume_of(back))), behind)
    above, contents = split(path, line.above_size)
    line = put_inlet(line, role, changed(inlet, contents=contents))
    return _given_back(state, changed(line, above=above), back)


def _air_below(state: State, line: Line, event: AirEntered) -> State:
    """Air lies in the tubing below the pump; as much fluid leaked out."""
    ahead, behind = split(line.below, event.ahead)
    leaked, behind = split(behind, event.volume)
    below = joined(joined(ahead, filled_with(AIR, volume_of(leaked))), behind)
    return put_line(state, changed(line, below=below), ledger=wasted(state.ledger, leaked))


def _given_back(state: State, line: Line, back: Plugs) -> State:
    """Fluid back into the container, where another fluid mixes; without one it is lost."""
    role = flowing_role(state.containers, line)
    inlet = inlet_of(line, role) or line.primary
    containers, inlet, lost = received(state.containers, inlet, back)
    ledger = wasted(state.ledger, lost)
    return put_line(state, put_inlet(line, role, inlet), containers=containers, ledger=ledger)


def _block(line: Line, event: LineBlocked | LineFreed) -> Line:
    if isinstance(event, LineFreed) and event.narrowing:
        return changed(line, narrowed_below="", narrowed_mend=None, narrowed_u=0, narrowed_ms=0)
    side = "blocked_below" if event.where is Where.DOWNSTREAM else "blocked_above"
    if isinstance(event, LineFreed):
        return changed(line, **{side: "", f"{side}_mend": None})
    return changed(line, **{side: event.reason, f"{side}_mend": event.mend})


def _with_message(state: State, who: str, text: str) -> State:
    message = Message(at_ms=state.as_of_ms, who=who, text=text)
    return changed(state, messages=(*state.messages, message))


def _perceived(state: State, event: Perceived) -> State:
    """What a look showed is known from now on."""
    state = _with_message(state, event.of, event.text)
    if event.of == "site":
        access = tuple(
            changed(one, seen=event.text, seen_ms=event.at_ms) if one.id == event.which else one
            for one in state.access
        )
        return changed(state, access=access)
    if event.of == "patient":
        return patient_seen(state)
    return state


def _order(state: State, event: OrderGiven | OrderEnded) -> State:
    fields: dict[str, object] = (
        {"from_ms": event.at_ms, "until_ms": None}
        if isinstance(event, OrderGiven)
        else {"until_ms": event.at_ms}
    )
    orders = tuple(changed(one, **fields) if one.id == event.order else one for one in state.orders)
    return changed(state, orders=orders)

"""What events around containers and tubing change in the state."""

from __future__ import annotations

from typing import assert_never

from trainer.engine.carry import drugs_later, ledger_with, reaches_vein, wasted
from trainer.engine.copying import changed
from trainer.engine.events import (
    AirCleared,
    ChamberFilled,
    ClampMoved,
    Connected,
    ContainerChanged,
    Disconnected,
    Flushed,
    HubScrubbed,
    Hung,
    Loaded,
    PressureReleased,
    PrimaryHeightChanged,
    Primed,
    Spiked,
    TakenDown,
)
from trainer.engine.flow import (
    cleared_of_air,
    flushed,
    primed,
    pushed_out,
    put_container,
    put_inlet,
)
from trainer.engine.path import inlet_of
from trainer.engine.putting import put_line
from trainer.engine.state import Inlet, Line, State
from trainer.engine.tubing import Plugs, filled_with
from trainer.terms import Clamp, Role

HangingEvent = ContainerChanged | Hung | TakenDown | Spiked | ChamberFilled | PrimaryHeightChanged
TubingEvent = (
    ClampMoved
    | Primed
    | AirCleared
    | HubScrubbed
    | Connected
    | Disconnected
    | Loaded
    | Flushed
    | PressureReleased
)
PORT = "port"


def _inlet(line: Line, role: Role) -> Inlet:
    return inlet_of(line, role) or line.primary


def hanging_after(state: State, event: HangingEvent) -> State:
    """After something was done with a container."""
    if isinstance(event, ContainerChanged):
        container = changed(
            state.container(event.supply),
            chosen=event.chosen,
            inspected=event.inspected,
            labelled=event.labelled,
        )
        return changed(state, containers=put_container(state.containers, container))
    line = state.line(event.line)
    match event:
        case Hung() | TakenDown():
            return _moved(state, line, event)
        case Spiked():
            return _spiked(state, line, event.role)
        case ChamberFilled():
            return _chamber_filled(state, line, event)
        case PrimaryHeightChanged():
            return put_line(state, changed(line, primary_lowered=event.lowered))
        case _:
            assert_never(event)


def _moved(state: State, line: Line, event: Hung | TakenDown) -> State:
    """A container hangs at an inlet, or no more. The chamber keeps its fluid."""
    hangs = isinstance(event, Hung)
    container = changed(state.container(event.supply), hung_on=line.number if hangs else None)
    inlet = changed(_inlet(line, event.role), container=event.supply if hangs else "", spiked=False)
    return put_line(
        state,
        put_inlet(line, event.role, inlet),
        containers=put_container(state.containers, container),
    )


def _spiked(state: State, line: Line, role: Role) -> State:
    """The spike is in. Another fluid left in the chamber is emptied out first."""
    inlet = _inlet(line, role)
    fluid = state.container(inlet.container).fluid
    ledger = state.ledger
    if inlet.chamber and inlet.chamber_fluid != fluid:
        ledger = wasted(ledger, filled_with(inlet.chamber_fluid, inlet.chamber))
        inlet = changed(inlet, chamber=0)
    inlet = changed(inlet, spiked=True, chamber_fluid=fluid)
    return put_line(state, put_inlet(line, role, inlet), ledger=ledger)


def _chamber_filled(state: State, line: Line, event: ChamberFilled) -> State:
    inlet = _inlet(line, event.role)
    container = state.container(inlet.container)
    container = changed(container, left=container.left - event.volume)
    inlet = changed(inlet, chamber=inlet.chamber + event.volume)
    return put_line(
        state,
        put_inlet(line, event.role, inlet),
        containers=put_container(state.containers, container),
    )


def tubing_after(state: State, event: TubingEvent) -> State:
    """After something was done with the tubing."""
    line = state.line(event.line)
    match event:
        case ClampMoved():
            return put_line(state, _clamp_moved(line, event))
        case HubScrubbed():
            field = "port_scrubbed_s" if event.at == PORT else "access_scrubbed_s"
            return put_line(state, changed(line, **{field: event.seconds}))
        case Connected() | Disconnected():
            return put_line(state, _connection(line, event))
        case Loaded():
            return put_line(state, changed(line, loaded=True))
        case AirCleared():
            containers, line = cleared_of_air(state.containers, line)
            return put_line(state, line, containers=containers)
        case Primed():
            containers, line, out = primed(state.containers, line, event.role, event.volume)
            state = changed(state, containers=containers)
            return _came_out(state, line, out, to_patient=event.into_vein)
        case Flushed():
            line, out = flushed(line, event.volume, event.fluid)
            return _came_out(state, line, out, to_patient=True)
        case PressureReleased():
            line, out = pushed_out(line, event.volume)
            return _came_out(state, line, out, to_patient=event.into_vein)
        case _:
            assert_never(event)


def _came_out(state: State, line: Line, out: Plugs, *, to_patient: bool) -> State:
    """What left the line at once: to where the line runs, or to waste."""
    if not to_patient:
        return put_line(state, line, ledger=wasted(state.ledger, out))
    drugs = state.drugs
    if reaches_vein(state, line):
        drugs = drugs_later(state, state.as_of_ms, out)
    return put_line(state, line, ledger=ledger_with(state, line, state.ledger, out), drugs=drugs)


def _clamp_moved(line: Line, event: ClampMoved) -> Line:
    if event.clamp is Clamp.PATIENT:
        return changed(line, patient_clamp_open=event.is_open)
    role = Role.PRIMARY if event.clamp is Clamp.PRIMARY else Role.SECONDARY
    return put_inlet(line, role, changed(_inlet(line, role), clamp_open=event.is_open))


def _connection(line: Line, event: Connected | Disconnected) -> Line:
    """Connected or not; what was scrubbed counts for one connection only."""
    is_connected = isinstance(event, Connected)
    if event.at != PORT:
        return changed(line, connected=is_connected, access_scrubbed_s=0)
    if line.secondary is None:
        return line
    inlet = changed(line.secondary, joined=is_connected)
    return changed(line, secondary=inlet, port_scrubbed_s=0)

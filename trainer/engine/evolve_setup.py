"""What events around containers and tubing change in the state."""

from __future__ import annotations

from typing import assert_never

from trainer.engine import substances
from trainer.engine.blend import pure
from trainer.engine.carry import left_line, reaches_vein, wasted
from trainer.engine.clearing import cleared_above, cleared_below
from trainer.engine.copying import changed
from trainer.engine.downstream import excess, let_go, rest_moved, syringe_of
from trainer.engine.events import (
    AirCleared,
    AirInletOpened,
    ChamberFilled,
    ClampMoved,
    ClampTurned,
    Connected,
    ContainerChanged,
    Disconnected,
    Flushed,
    HeightSet,
    HubScrubbed,
    Hung,
    Loaded,
    PressureReleased,
    PrimaryHeightChanged,
    Primed,
    Spiked,
    SyringeAttached,
    TakenDown,
)
from trainer.engine.flow import (
    flushed,
    primed,
)
from trainer.engine.path import container_at, inlet_of
from trainer.engine.putting import put_line
from trainer.engine.sources import put_container, put_inlet
from trainer.engine.state import Inlet, Line, State
from trainer.engine.tubing import Plugs, filled_with, split, volume_of
from trainer.terms import Clamp, Drive, Role, Where

HangingEvent = (
    ContainerChanged
    | Hung
    | SyringeAttached
    | TakenDown
    | Spiked
    | ChamberFilled
    | PrimaryHeightChanged
    | HeightSet
    | AirInletOpened
)
TubingEvent = (
    ClampMoved
    | ClampTurned
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
        case Hung() | TakenDown() | SyringeAttached():
            return _moved(state, line, event)
        case Spiked():
            return _spiked(state, line, event.role)
        case ChamberFilled():
            return _chamber_filled(state, line, event)
        case PrimaryHeightChanged():
            return put_line(state, changed(line, primary_lowered=event.lowered))
        case HeightSet():
            return put_line(state, _height_set(state, line, event))
        case AirInletOpened():
            return _opened_to_air(state, line, event.role)
        case _:
            assert_never(event)


def _moved(state: State, line: Line, event: Hung | SyringeAttached | TakenDown) -> State:
    """A container hangs at an inlet, or no more. The chamber keeps its fluid.

    A syringe needs no spike; whoever takes it off takes it out of its pump, and what stood
    under pressure behind it is lost.
    """
    hangs = not isinstance(event, TakenDown)
    role = Role.PRIMARY if isinstance(event, SyringeAttached) else event.role
    container = changed(state.container(event.supply), hung_on=line.number if hangs else None)
    inlet = changed(
        _inlet(line, role),
        container=event.supply if hangs else "",
        spiked=isinstance(event, SyringeAttached),
    )
    ledger = state.ledger
    if line.drive is Drive.SYRINGE:
        line, lost = _let_off_above(line)
        line, ledger = changed(line, loaded=False, slack=0), wasted(ledger, lost)
    return put_line(
        state,
        put_inlet(line, role, inlet),
        containers=put_container(state.containers, container),
        ledger=ledger,
    )


def _let_off_above(line: Line) -> tuple[Line, Plugs]:
    """What stands under pressure below the pump let go at the pump's end of the tubing."""
    kept = volume_of(line.below) - max(0, excess(line))
    below, lost = split(line.below, max(0, kept))
    return changed(line, below=below, stored=line.stored - volume_of(lost)), lost


def _height_set(state: State, line: Line, event: HeightSet) -> Line:
    """A container or syringe at another height; only a syringe's height moves the rest."""
    inlet = _inlet(line, event.role)
    if line.drive is Drive.SYRINGE:
        line = rest_moved(state.figures, line, rise_mm=inlet.height_mm - event.height_mm)
    return put_inlet(line, event.role, changed(inlet, height_mm=event.height_mm))


def _opened_to_air(state: State, line: Line, role: Role) -> State:
    """Air comes into a bottle: its vacuum is gone."""
    container = container_at(state.containers, _inlet(line, role))
    if container is None:
        return state
    container = changed(container, vented=True, vacuum=0)
    return changed(state, containers=put_container(state.containers, container))


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
        case ClampMoved() | ClampTurned():
            return put_line(state, _clamp_moved(line, event))
        case HubScrubbed():
            field = "port_scrubbed_s" if event.at == PORT else "access_scrubbed_s"
            return put_line(state, changed(line, **{field: event.seconds}))
        case Connected() | Disconnected():
            return put_line(state, _connection(line, event))
        case Loaded():
            syringe = syringe_of(state.figures, line)
            slack = syringe.slack if syringe else 0
            line = changed(line, loaded=True, set_slipped=False, slack=slack)
            return put_line(state, line)
        case AirCleared():
            return _cleared(state, line, event)
        case Primed():
            return _primed(state, line, event)
        case Flushed():
            line, out = flushed(line, event.volume, event.fluid)
            return _came_out(state, line, out, to_patient=True)
        case PressureReleased():
            line, out = let_go(line, event.volume)
            return _came_out(state, line, out, to_patient=event.into_vein)
        case _:
            assert_never(event)


def _primed(state: State, line: Line, event: Primed) -> State:
    """Fluid has run through; where nothing old is left, what met there is gone with it."""
    if line.loaded:  # a syringe's pump has taken its slack up
        line = changed(line, slack=0)
    held = volume_of((*line.below, *line.above, *line.primary.contents))
    if event.role is Role.PRIMARY and event.volume >= held:
        line = changed(line, fluids_met=())
    containers, line, out = primed(state.containers, line, event.role, event.volume)
    state = changed(state, containers=containers)
    return _came_out(state, line, out, to_patient=event.into_vein)


def _cleared(state: State, line: Line, event: AirCleared) -> State:
    """Air and what was drawn off with it are gone; fluid has taken their place."""
    if event.where is Where.DOWNSTREAM:
        volume = event.volume + event.wasted
        containers, line, lost = cleared_below(state.containers, line, volume)
    else:
        containers, line, lost = cleared_above(state.containers, line, event.wasted)
    return put_line(state, line, containers=containers, ledger=wasted(state.ledger, lost))


def _came_out(state: State, line: Line, out: Plugs, *, to_patient: bool) -> State:
    """What left the line at once: to where the line runs, or to waste."""
    if not to_patient:
        return put_line(state, line, ledger=wasted(state.ledger, out))
    drugs = state.drugs
    if reaches_vein(state, line):
        drugs = substances.later(state, state.as_of_ms, (), pure(out))
    ledger, access = left_line(state, line, state.ledger, state.access, out)
    return put_line(state, line, ledger=ledger, access=access, drugs=drugs)


def _clamp_moved(line: Line, event: ClampMoved | ClampTurned) -> Line:
    if isinstance(event, ClampTurned):
        return _clamp_turned(line, event.opening)
    if event.clamp is Clamp.PATIENT:
        return changed(line, patient_clamp_open=event.is_open)
    role = Role.PRIMARY if event.clamp is Clamp.PRIMARY else Role.SECONDARY
    return put_inlet(line, role, changed(_inlet(line, role), clamp_open=event.is_open))


def _clamp_turned(line: Line, opening: int) -> Line:
    """The primary's roller clamp at an opening; closed, it keeps the last one in mind."""
    if not opening:
        return changed(line, primary=changed(line.primary, clamp_open=False))
    return changed(line, primary=changed(line.primary, clamp_open=True, opening=opening))


def _connection(line: Line, event: Connected | Disconnected) -> Line:
    """Connected or not; what was scrubbed counts for one connection only."""
    is_connected = isinstance(event, Connected)
    if event.at != PORT:
        return changed(line, connected=is_connected, access_scrubbed_s=0)
    if line.secondary is None:
        return line
    inlet = changed(line.secondary, joined=is_connected)
    return changed(line, secondary=inlet, port_scrubbed_s=0)

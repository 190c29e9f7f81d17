"""Acts with containers: choose, inspect, label, hang, take down, spike, fill, raise, lower.

A syringe is attached where a set would have its spike; a bottle has an air inlet.
"""

from __future__ import annotations

from trainer.engine.actions import Action
from trainer.engine.drive import flow_ul_h, is_running
from trainer.engine.events import (
    AirInletOpened,
    ChamberFilled,
    ContainerChanged,
    Event,
    Hung,
    Perceived,
    PrimaryHeightChanged,
    Spiked,
    SyringeAttached,
    TakenDown,
)
from trainer.engine.figures import SYRINGE
from trainer.engine.path import container_at, feeds
from trainer.engine.perceive import supply_text
from trainer.engine.reading import existing_inlet, line_of, role_of, supply_of
from trainer.engine.refusals import require
from trainer.engine.state import Container, Line, State
from trainer.terms import Drive, Refusal, Role, Verb

Events = tuple[Event, ...]


def choose(state: State, action: Action) -> Events:
    """Take a container from the trolley."""
    container = supply_of(state, action)
    require(
        not container.chosen,
        Refusal.ALREADY_DONE,
        "It is chosen already; hang it, or choose another.",
    )
    return (_changed(state, container, chosen=True),)


def inspect(state: State, action: Action) -> Events:
    """Look a container over: label, date, clearness, leaks."""
    container = supply_of(state, action)
    return (
        _changed(state, container, inspected=True),
        Perceived(
            at_ms=state.as_of_ms,
            of="container",
            which=container.supply,
            text=supply_text(state, container),
        ),
    )


def label(state: State, action: Action) -> Events:
    """Put the patient's label on a container."""
    container = supply_of(state, action)
    require(
        not container.labelled,
        Refusal.ALREADY_DONE,
        "It carries the patient's label already.",
    )
    return (_changed(state, container, labelled=True),)


def _changed(
    state: State,
    container: Container,
    *,
    chosen: bool = False,
    inspected: bool = False,
    labelled: bool = False,
) -> ContainerChanged:
    return ContainerChanged(
        at_ms=state.as_of_ms,
        supply=container.supply,
        chosen=container.chosen or chosen,
        inspected=container.inspected or inspected,
        labelled=container.labelled or labelled,
    )


def hang(state: State, action: Action) -> Events:
    """Hang a chosen container at a free inlet."""
    line, role = line_of(state, action), role_of(action)
    inlet = existing_inlet(line, role)
    container = supply_of(state, action)
    require(
        line.drive is not Drive.SYRINGE,
        Refusal.NOTHING_THERE,
        f"Line {line.number} runs from a syringe in its pump; attach a syringe instead.",
    )
    require(
        not _is_syringe(state, container),
        Refusal.NOTHING_THERE,
        "A syringe cannot hang; attach it to a line with a syringe pump.",
    )
    _check_free(container)
    require(
        not inlet.container,
        Refusal.IN_USE,
        f"Another container hangs there as the {role.value}; take it down first.",
    )
    return (Hung(at_ms=state.as_of_ms, line=line.number, role=role, supply=container.supply),)


def _check_free(container: Container) -> None:
    require(
        container.chosen,
        Refusal.NOTHING_THERE,
        "This container is still on the trolley; choose it first.",
    )
    require(
        container.hung_on is None,
        Refusal.IN_USE,
        f"This container hangs on line {container.hung_on} already; take it down first.",
    )


def _is_syringe(state: State, container: Container) -> bool:
    return state.scenario.supply(container.supply).kind == SYRINGE


def attach_syringe(state: State, action: Action) -> Events:
    """Put a chosen syringe on the line of a syringe pump."""
    line, container = line_of(state, action), supply_of(state, action)
    require(
        line.drive is Drive.SYRINGE,
        Refusal.NOTHING_THERE,
        f"Line {line.number} is no syringe line; hang a container instead.",
    )
    require(
        _is_syringe(state, container),
        Refusal.NOTHING_THERE,
        "This is no syringe; choose one that is.",
    )
    _check_free(container)
    require(
        not line.primary.container,
        Refusal.IN_USE,
        "Another syringe is on this line; take it down first.",
    )
    return (SyringeAttached(at_ms=state.as_of_ms, line=line.number, supply=container.supply),)


def open_air_inlet(state: State, action: Action) -> Events:
    """Let air into a bottle in place of the fluid that leaves it."""
    line, role = line_of(state, action), role_of(action)
    container = container_at(state.containers, existing_inlet(line, role))
    require(
        container is not None,
        Refusal.NOTHING_THERE,
        f"No container hangs there as the {role.value}; hang one first.",
    )
    is_rigid = container is not None and container.rigid
    require(
        is_rigid,
        Refusal.NOTHING_THERE,
        "This container gives way as it empties; it has no air inlet and needs none.",
    )
    is_open = container is not None and container.vented
    require(not is_open, Refusal.ALREADY_DONE, "The air inlet is open already.")
    return (AirInletOpened(at_ms=state.as_of_ms, line=line.number, role=role),)


def take_down(state: State, action: Action) -> Events:
    """Take the container from an inlet; the chamber and tubing keep their fluid."""
    line, role = line_of(state, action), role_of(action)
    inlet = existing_inlet(line, role)
    require(
        inlet.container,
        Refusal.NOTHING_THERE,
        f"No container hangs there as the {role.value}; there is nothing to take down.",
    )
    runs = is_running(state, line)
    require(
        not (runs and feeds(state.containers, line, flow_ul_h(state, line)).of(role)),
        Refusal.RUNNING,
        f"Fluid is running from this container; {how_to_stop(line)} first.",
    )
    require(
        role is Role.SECONDARY or not runs,
        Refusal.RUNNING,
        f"The line is running; {how_to_stop(line)} first.",
    )
    return (TakenDown(at_ms=state.as_of_ms, line=line.number, role=role, supply=inlet.container),)


def how_to_stop(line: Line) -> str:
    """What holds a running line."""
    return "stop the pump" if line.pump.rate_ul_h else "close a clamp"


def _check_has_chamber(line: Line) -> None:
    require(
        line.drive is not Drive.SYRINGE,
        Refusal.NOTHING_THERE,
        "A syringe line has no spike and no drip chamber; attach a syringe.",
    )


def spike(state: State, action: Action) -> Events:
    """Put the set's spike into the container that hangs there."""
    line, role = line_of(state, action), role_of(action)
    _check_has_chamber(line)
    inlet = existing_inlet(line, role)
    require(
        inlet.container,
        Refusal.NOTHING_THERE,
        f"No container hangs there as the {role.value}; hang one first.",
    )
    require(not inlet.spiked, Refusal.ALREADY_DONE, "The container is spiked already.")
    return (Spiked(at_ms=state.as_of_ms, line=line.number, role=role),)


def fill_chamber(state: State, action: Action) -> Events:
    """Squeeze the drip chamber until it is filled."""
    line, role = line_of(state, action), role_of(action)
    _check_has_chamber(line)
    inlet = existing_inlet(line, role)
    require(
        inlet.spiked,
        Refusal.NOT_SPIKED,
        "The chamber cannot fill before the container is spiked; spike it first.",
    )
    room = inlet.chamber_size - inlet.chamber
    require(room > 0, Refusal.ALREADY_DONE, "The chamber is filled already.")
    left = state.container(inlet.container).left
    require(
        left > 0,
        Refusal.NOTHING_THERE,
        "The container is empty; take it down and hang a full one.",
    )
    return (
        ChamberFilled(at_ms=state.as_of_ms, line=line.number, role=role, volume=min(room, left)),
    )


def lower_primary(state: State, action: Action) -> Events:
    """Hang the primary lower, so that the secondary runs."""
    return _height(state, action, lowered=True)


def raise_primary(state: State, action: Action) -> Events:
    """Hang the primary back to its height."""
    return _height(state, action, lowered=False)


def _height(state: State, action: Action, *, lowered: bool) -> Events:
    line = line_of(state, action)
    require(
        line.primary.container,
        Refusal.NOTHING_THERE,
        "No primary container hangs on this line; hang one first.",
    )
    require(
        line.primary_lowered != lowered,
        Refusal.ALREADY_DONE,
        f"The primary already hangs {'low' if lowered else 'at its full height'}.",
    )
    return (PrimaryHeightChanged(at_ms=state.as_of_ms, line=line.number, lowered=lowered),)


ACTS = {
    Verb.CHOOSE: choose,
    Verb.INSPECT: inspect,
    Verb.LABEL: label,
    Verb.HANG: hang,
    Verb.ATTACH_SYRINGE: attach_syringe,
    Verb.OPEN_AIR_INLET: open_air_inlet,
    Verb.TAKE_DOWN: take_down,
    Verb.SPIKE: spike,
    Verb.FILL_CHAMBER: fill_chamber,
    Verb.LOWER_PRIMARY: lower_primary,
    Verb.RAISE_PRIMARY: raise_primary,
}

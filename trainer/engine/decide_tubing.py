"""Acts with the tubing: clamps, priming, air, hubs, connecting, flushing, pressure."""

from __future__ import annotations

from trainer.engine.actions import Action
from trainer.engine.amounts import MOTES_PER_ML
from trainer.engine.events import (
    AirCleared,
    ClampMoved,
    Connected,
    Disconnected,
    Event,
    Flushed,
    HubScrubbed,
    LineFreed,
    Loaded,
    PressureReleased,
    Primed,
)
from trainer.engine.path import (
    flowing_inlet_of,
    flowing_role,
    is_dry,
    is_infusing,
    is_open_above,
    is_open_below,
    left_at,
)
from trainer.engine.reading import (
    PORT,
    amount_in,
    clamp_of,
    existing_inlet,
    line_of,
    place_of,
    role_of,
    seconds_of,
)
from trainer.engine.refusals import require
from trainer.engine.state import Inlet, Line, State
from trainer.engine.tubing import Plugs, volume_of_air
from trainer.terms import AIR, Clamp, Param, Refusal, Role, Verb, Where

Events = tuple[Event, ...]

DRAW_OFF = "draw off at the port"
CLEARINGS = ("tap up to the chamber", DRAW_OFF)
LARGEST_FLUSH_ML = 20
"""A hand-held syringe holds no more. Chosen by us: the common larger flush syringe."""


def open_clamp(state: State, action: Action) -> Events:
    """Open a clamp; if its place was what held the fluid back, that is freed."""
    line, clamp = line_of(state, action), clamp_of(action)
    freed = _freed_by_opening(state, line, clamp)
    if _is_open(line, clamp):
        require(freed, Refusal.ALREADY_DONE, f"The {clamp.value} clamp is open already.")
        return freed
    _refuse_free_flow(state, line, clamp)
    moved = ClampMoved(at_ms=state.as_of_ms, line=line.number, clamp=clamp, is_open=True)
    return (moved, *freed)


def close_clamp(state: State, action: Action) -> Events:
    """Close a clamp."""
    line, clamp = line_of(state, action), clamp_of(action)
    require(
        _is_open(line, clamp), Refusal.ALREADY_DONE, f"The {clamp.value} clamp is closed already."
    )
    return (ClampMoved(at_ms=state.as_of_ms, line=line.number, clamp=clamp, is_open=False),)


def _is_open(line: Line, clamp: Clamp) -> bool:
    if clamp is Clamp.PATIENT:
        return line.patient_clamp_open
    role = Role.PRIMARY if clamp is Clamp.PRIMARY else Role.SECONDARY
    return existing_inlet(line, role).clamp_open


def _freed_by_opening(state: State, line: Line, clamp: Clamp) -> Events:
    """A block that opening a clamp on its side of the pump frees."""
    if clamp is Clamp.PATIENT:
        blocked, mend, where = line.blocked_below, line.blocked_below_mend, Where.DOWNSTREAM
    else:
        blocked, mend, where = line.blocked_above, line.blocked_above_mend, Where.UPSTREAM
    if blocked and mend is Verb.OPEN_CLAMP:
        return (LineFreed(at_ms=state.as_of_ms, line=line.number, where=where),)
    return ()


def _refuse_free_flow(state: State, line: Line, clamp: Clamp) -> None:
    """An open line outside the pump would run freely into the patient."""
    if line.loaded or not line.connected:
        return
    other = line.primary.clamp_open if clamp is Clamp.PATIENT else line.patient_clamp_open
    require(
        not other,
        Refusal.NOT_LOADED,
        "The line is connected and not in the pump: it would run freely; load it first.",
    )


def prime(state: State, action: Action) -> Events:
    """Let fluid run through the tubing until the air is out."""
    line, role = line_of(state, action), role_of(action)
    inlet = existing_inlet(line, role)
    running = role is Role.PRIMARY and is_infusing(line)  # a loose secondary is on its own
    require(not running, Refusal.RUNNING, "The pump is running; stop it first.")
    require(
        inlet.chamber > 0,
        Refusal.NOT_SPIKED if not inlet.spiked else Refusal.NOTHING_THERE,
        "The drip chamber is empty; spike a container and fill the chamber first.",
    )
    require(
        inlet.clamp_open,
        Refusal.CLAMP_CLOSED,
        f"The {role.value} clamp is closed; open it first.",
    )
    if role is Role.PRIMARY:
        _check_way(line)
        path: Plugs = (*line.below, *line.above, *inlet.contents)
    else:
        require(
            not inlet.joined,
            Refusal.IN_USE,
            "The secondary is on the port already; disconnect it there, then prime it.",
        )
        path = inlet.contents
    volume = _to_last_air(path)
    require(volume > 0, Refusal.ALREADY_DONE, "The tubing is full of fluid already.")
    require(
        left_at(state.containers, inlet) >= volume,
        Refusal.NOTHING_THERE,
        "The container holds too little to fill the tubing; hang a fuller one.",
    )
    into_vein = role is Role.PRIMARY and line.connected
    return (
        Primed(
            at_ms=state.as_of_ms,
            line=line.number,
            role=role,
            volume=volume,
            into_vein=into_vein,
        ),
    )


def _check_way(line: Line) -> None:
    """Refuse if fluid cannot run from the primary's chamber to the line's end."""
    require(
        line.patient_clamp_open,
        Refusal.CLAMP_CLOSED,
        "The patient clamp is closed; open it first.",
    )
    require(
        not line.blocked_below and not line.blocked_above,
        Refusal.CAUSE_REMAINS,
        "Nothing comes through: something holds the fluid back; follow the line first.",
    )


def _to_last_air(path: Plugs) -> int:
    """How much must run out at the end until the last air has left."""
    passed = wanted = 0
    for plug in path:
        passed += plug.volume
        if plug.fluid == AIR:
            wanted = passed
    return wanted


def clear_air(state: State, action: Action) -> Events:
    """Lift or draw a bubble out above the pump; fluid from the chamber takes its place."""
    line = line_of(state, action)
    how = action.get(Param.HOW).strip().casefold()
    require(
        how in CLEARINGS,
        Refusal.NOT_UNDERSTOOD,
        f"Air is cleared in one of these ways: {CLEARINGS[0]}, or {CLEARINGS[1]}.",
    )
    require(
        how != DRAW_OFF or line.secondary is not None,
        Refusal.NOTHING_THERE,
        f"Line {line.number} has no access port to draw off at; tap the air up to the chamber.",
    )
    require(
        not is_infusing(line),
        Refusal.RUNNING,
        "The pump is running; stop it before air is cleared.",
    )
    inlet = flowing_inlet_of(state.containers, line)
    air = volume_of_air((*line.above, *inlet.contents))
    require(air > 0, Refusal.NOTHING_THERE, "No air is to be seen above the pump.")
    _check_can_follow(state, line, inlet, air)
    return (AirCleared(at_ms=state.as_of_ms, line=line.number, volume=air, how=how),)


def _check_can_follow(state: State, line: Line, inlet: Inlet, volume: int) -> None:
    """Refuse if no fluid can take the air's place."""
    require(
        inlet.chamber > 0,
        Refusal.NOTHING_THERE,
        "The drip chamber is empty; spike a container and fill the chamber first.",
    )
    require(
        not is_dry(line, inlet),
        Refusal.NOT_PRIMED,
        f"This is no bubble but dry tubing; {dry_mend(line, inlet)}.",
    )
    require(
        is_open_above(line, inlet),
        Refusal.CLAMP_CLOSED if not inlet.clamp_open else Refusal.CAUSE_REMAINS,
        "No fluid can follow from the container; open the way above the pump first.",
    )
    require(
        left_at(state.containers, inlet) >= volume,
        Refusal.NOTHING_THERE,
        "The container has too little to take the air's place; hang and spike a full one first.",
    )


def dry_mend(line: Line, inlet: Inlet) -> str:
    """What to do about an inlet's dry tubing."""
    if inlet is line.secondary:
        return "take it off the port and prime it"
    return "disconnect it from the patient and prime it" if line.connected else "prime it"


def scrub_hub(state: State, action: Action) -> Events:
    """Scrub a hub for some seconds."""
    line, place, seconds = line_of(state, action), place_of(action), seconds_of(action)
    if place == PORT:
        existing_inlet(line, Role.SECONDARY)
    return (HubScrubbed(at_ms=state.as_of_ms, line=line.number, at=place, seconds=seconds),)


def connect(state: State, action: Action) -> Events:
    """Connect the line to its access, or the secondary to the line's port."""
    line, place = line_of(state, action), place_of(action)
    if place == PORT:
        inlet = existing_inlet(line, Role.SECONDARY)
        require(not inlet.joined, Refusal.ALREADY_DONE, "The secondary is on the port already.")
    else:
        require(not line.connected, Refusal.ALREADY_DONE, "The line is connected already.")
        is_held = line.loaded or not line.primary.clamp_open or not line.patient_clamp_open
        require(
            is_held,
            Refusal.NOT_LOADED,
            "The line is open and not in the pump: it would run freely; "
            "load it or close a clamp first.",
        )
    return (Connected(at_ms=state.as_of_ms, line=line.number, at=place),)


def disconnect(state: State, action: Action) -> Events:
    """Take the line off its access, or the secondary off the port."""
    line, place = line_of(state, action), place_of(action)
    if place == PORT:
        inlet = existing_inlet(line, Role.SECONDARY)
        require(inlet.joined, Refusal.ALREADY_DONE, "Nothing is connected to the port.")
        is_used = flowing_role(state.containers, line) is Role.SECONDARY
    else:
        require(line.connected, Refusal.ALREADY_DONE, "The line is not connected.")
        is_used = True
    require(
        not (is_used and is_infusing(line)),
        Refusal.RUNNING,
        "Fluid is running through it; stop the pump first.",
    )
    return (Disconnected(at_ms=state.as_of_ms, line=line.number, at=place),)


def load(state: State, action: Action) -> Events:
    """Lay the set into the pump."""
    line = line_of(state, action)
    require(not line.loaded, Refusal.ALREADY_DONE, "The set lies in the pump already.")
    return (Loaded(at_ms=state.as_of_ms, line=line.number),)


def release_pressure(state: State, action: Action) -> Events:
    """Let the stored fluid out to waste, away from the patient."""
    line = line_of(state, action)
    require(
        not is_infusing(line),
        Refusal.RUNNING,
        "The pump is running; stop it before pressure is released.",
    )
    require(line.stored > 0, Refusal.NOTHING_THERE, "No pressure stands in this line.")
    return (
        PressureReleased(
            at_ms=state.as_of_ms, line=line.number, volume=line.stored, into_vein=False
        ),
    )


def flush(state: State, action: Action) -> Events:
    """Push plain fluid from a syringe into the line below the pump."""
    line = line_of(state, action)
    volume_ml = amount_in(action.get(Param.VOLUME), "mL", "volume")
    volume = volume_ml * MOTES_PER_ML
    require(
        0 < volume_ml <= LARGEST_FLUSH_ML and volume.denominator == 1,
        Refusal.OUT_OF_RANGE,
        f"A flush is more than 0 and at most {LARGEST_FLUSH_ML} mL, such as 3 mL.",
    )
    require(not is_infusing(line), Refusal.RUNNING, "The pump is running; stop it first.")
    require(
        line.connected,
        Refusal.NOT_CONNECTED,
        "The line is not connected to its access; connect it first.",
    )
    require(
        is_open_below(line),
        Refusal.CAUSE_REMAINS if line.patient_clamp_open else Refusal.CLAMP_CLOSED,
        "The syringe meets resistance and nothing goes in; follow the line first.",
    )
    plain = next((one.id for one in state.scenario.formulary.fluids if not one.drug), None)
    require(plain, Refusal.NOTHING_THERE, "There is no plain fluid on this ward to flush with.")
    return (
        Flushed(
            at_ms=state.as_of_ms,
            line=line.number,
            volume=volume.numerator,
            fluid=plain or "",
        ),
    )


ACTS = {
    Verb.OPEN_CLAMP: open_clamp,
    Verb.CLOSE_CLAMP: close_clamp,
    Verb.PRIME: prime,
    Verb.CLEAR_AIR: clear_air,
    Verb.SCRUB_HUB: scrub_hub,
    Verb.CONNECT: connect,
    Verb.DISCONNECT: disconnect,
    Verb.LOAD: load,
    Verb.RELEASE_PRESSURE: release_pressure,
    Verb.FLUSH: flush,
}

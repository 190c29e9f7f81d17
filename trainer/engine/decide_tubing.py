"""Acts with the tubing: clamps, priming, hubs, connecting, flushing, pressure."""

from __future__ import annotations

from trainer.engine.actions import Action
from trainer.engine.amounts import MOTES_PER_ML
from trainer.engine.bottle import holds_back
from trainer.engine.clearing import to_last_air
from trainer.engine.decide_setup import how_to_stop
from trainer.engine.downstream import excess, is_open_below
from trainer.engine.drive import flow_ul_h, is_running
from trainer.engine.events import (
    ClampMoved,
    Connected,
    Disconnected,
    Event,
    Flushed,
    HubScrubbed,
    Loaded,
    PressureReleased,
    Primed,
)
from trainer.engine.freeing import NEW_SET, freed_by
from trainer.engine.path import feeds, is_infusing, left_at
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
from trainer.engine.site import access_state
from trainer.engine.state import Inlet, Line, State
from trainer.engine.tubing import Plugs, volume_of
from trainer.terms import Clamp, Drive, Param, Refusal, Role, Site, Verb, Where

Events = tuple[Event, ...]

LARGEST_FLUSH_ML = 20
"""A hand-held syringe holds no more. Chosen by us: the common larger flush syringe."""


def open_clamp(state: State, action: Action) -> Events:
    """Open a clamp; if its place was what held the fluid back, that is freed."""
    line, clamp = line_of(state, action), clamp_of(action)
    _check_has_clamp(line, clamp)
    freed = _freed_by_opening(state, line, clamp)
    if _is_open(line, clamp):
        require(freed, Refusal.ALREADY_DONE, f"The {clamp.value} clamp is open already.")
        return freed
    moved = ClampMoved(at_ms=state.as_of_ms, line=line.number, clamp=clamp, is_open=True)
    return (moved, *freed)


def close_clamp(state: State, action: Action) -> Events:
    """Close a clamp."""
    line, clamp = line_of(state, action), clamp_of(action)
    _check_has_clamp(line, clamp)
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
    """What opening a clamp on its side of the pump frees."""
    side = Where.DOWNSTREAM if clamp is Clamp.PATIENT else Where.UPSTREAM
    return freed_by(state, line, Verb.OPEN_CLAMP, (side,))


def _check_has_clamp(line: Line, clamp: Clamp) -> None:
    require(
        clamp is Clamp.PATIENT or line.drive is not Drive.SYRINGE,
        Refusal.NOTHING_THERE,
        "A syringe line has no clamp above its pump; use the patient clamp.",
    )


def prime(state: State, action: Action) -> Events:
    """Let fluid run through the tubing until the air is out.

    With a syringe in its pump, the pump does it, and its slack is taken up.
    """
    line, role = line_of(state, action), role_of(action)
    inlet = existing_inlet(line, role)
    running = role is Role.PRIMARY and is_running(state, line)  # a loose secondary is on its own
    require(not running, Refusal.RUNNING, f"The line is running; {how_to_stop(line)} first.")
    _check_source(state, line, inlet, role)
    renewed: Events = ()
    if role is Role.PRIMARY:
        renewed = _renewed(state, line)
        _check_way(state, line, is_new=bool(renewed))
        path: Plugs = (*line.below, *line.above, *inlet.contents)
    else:
        require(
            not inlet.joined,
            Refusal.IN_USE,
            "The secondary is on the port already; disconnect it there, then prime it.",
        )
        path = inlet.contents
    volume = volume_of(path) - _standing(line) if renewed else to_last_air(path)
    takes_up_slack = line.loaded and line.slack > 0
    require(
        volume > 0 or takes_up_slack,
        Refusal.ALREADY_DONE,
        "The tubing is full of fluid already.",
    )
    require(
        left_at(state.containers, inlet) >= volume,
        Refusal.NOTHING_THERE,
        "The container holds too little to fill the tubing; hang a fuller one.",
    )
    require(
        not holds_back(state.containers, line, role, volume),
        Refusal.CAUSE_REMAINS,
        "It soon stands still: no air can come into the bottle; open its air inlet first.",
    )
    into_vein = role is Role.PRIMARY and line.connected
    return (
        *renewed,
        Primed(
            at_ms=state.as_of_ms,
            line=line.number,
            role=role,
            volume=volume,
            into_vein=into_vein,
        ),
    )


def _check_source(state: State, line: Line, inlet: Inlet, role: Role) -> None:
    """Refuse if no fluid can come from that inlet."""
    if line.drive is Drive.SYRINGE:
        require(
            left_at(state.containers, inlet) > 0,
            Refusal.NOTHING_THERE,
            "No syringe with fluid in it is on the line; attach one first.",
        )
        return
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


def _renewed(state: State, line: Line) -> Events:
    """The end of a clog, where priming stands for a new set; refused with the patient on it."""
    freed = freed_by(state, line, NEW_SET, (Where.DOWNSTREAM,))
    require(
        not freed or not line.connected,
        Refusal.CAUSE_REMAINS,
        "What has fallen out in this line cannot be washed out; disconnect it from the patient "
        "and prime it again, as a new set.",
    )
    stood = _standing(line)
    if not freed or not stood:
        return freed
    at_ms, number = state.as_of_ms, line.number
    return *freed, PressureReleased(at_ms=at_ms, line=number, volume=stood, into_vein=False)


def _standing(line: Line) -> int:
    """What stands under pressure below the pump."""
    return max(0, min(excess(line), volume_of(line.below)))


def _check_way(state: State, line: Line, *, is_new: bool) -> None:
    """Refuse if fluid cannot run from the primary's chamber to the line's end."""
    require(
        line.patient_clamp_open,
        Refusal.CLAMP_CLOSED,
        "The patient clamp is closed; open it first.",
    )
    require(
        (is_new or is_open_below(state.access, line)) and not line.blocked_above,
        Refusal.CAUSE_REMAINS,
        "Nothing comes through: something holds the fluid back; follow the line first.",
    )


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
        access = access_state(state, line.access)
        require(
            access is None or access.site is not Site.REMOVED,
            Refusal.NOTHING_THERE,
            "The catheter is out; place a new one first.",
        )
    return (Connected(at_ms=state.as_of_ms, line=line.number, at=place),)


def disconnect(state: State, action: Action) -> Events:
    """Take the line off its access, or the secondary off the port."""
    line, place = line_of(state, action), place_of(action)
    if place == PORT:
        inlet = existing_inlet(line, Role.SECONDARY)
        require(inlet.joined, Refusal.ALREADY_DONE, "Nothing is connected to the port.")
        flows = feeds(state.containers, line, flow_ul_h(state, line))
        is_used = flows.secondary_ul_h > 0
    else:
        require(line.connected, Refusal.ALREADY_DONE, "The line is not connected.")
        is_used = True
    require(
        not (is_used and is_running(state, line)),
        Refusal.RUNNING,
        f"Fluid is running through it; {how_to_stop(line)} first.",
    )
    return (Disconnected(at_ms=state.as_of_ms, line=line.number, at=place),)


def load(state: State, action: Action) -> Events:
    """Lay the set, or the syringe, into the pump."""
    line = line_of(state, action)
    require(
        line.drive is not Drive.GRAVITY,
        Refusal.NOTHING_THERE,
        f"Line {line.number} runs by gravity; there is no pump to load.",
    )
    is_syringe = line.drive is Drive.SYRINGE
    require(
        not is_syringe or line.primary.container,
        Refusal.NOTHING_THERE,
        "No syringe is on this line; attach one first.",
    )
    lies_well = line.loaded and not line.set_slipped
    what = "syringe" if is_syringe else "set"
    require(not lies_well, Refusal.ALREADY_DONE, f"The {what} lies in the pump already.")
    return (Loaded(at_ms=state.as_of_ms, line=line.number),)


def release_pressure(state: State, action: Action) -> Events:
    """Let the stored fluid out to waste, away from the patient."""
    line = line_of(state, action)
    require(
        not is_infusing(line),
        Refusal.RUNNING,
        "The pump is running; stop it before pressure is released.",
    )
    volume = _standing(line)
    require(volume > 0, Refusal.NOTHING_THERE, "No pressure stands in this line.")
    return (
        PressureReleased(at_ms=state.as_of_ms, line=line.number, volume=volume, into_vein=False),
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
        is_open_below(state.access, line),
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
    Verb.SCRUB_HUB: scrub_hub,
    Verb.CONNECT: connect,
    Verb.DISCONNECT: disconnect,
    Verb.LOAD: load,
    Verb.RELEASE_PRESSURE: release_pressure,
    Verb.FLUSH: flush,
}

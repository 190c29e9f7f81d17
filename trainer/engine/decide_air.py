"""Clearing air from a line: three ways, each with what it costs."""

from __future__ import annotations

from trainer.engine.actions import Action
from trainer.engine.clearing import CLEARINGS, DRAW_OFF, DRAW_OFF_BELOW, to_last_air
from trainer.engine.events import AirCleared, Event
from trainer.engine.path import (
    flowing_inlet_of,
    is_dry,
    is_infusing,
    is_open_above,
    left_at,
)
from trainer.engine.reading import line_of
from trainer.engine.refusals import require
from trainer.engine.state import Inlet, Line, State
from trainer.engine.tubing import volume_of_air
from trainer.terms import Drive, Param, Refusal, Verb, Where

Events = tuple[Event, ...]


def clear_air(state: State, action: Action) -> Events:
    """Take air out of a line. Fluid from the flowing container takes its place."""
    line = line_of(state, action)
    how = action.get(Param.HOW).strip().casefold()
    require(
        how in CLEARINGS,
        Refusal.NOT_UNDERSTOOD,
        f"Air is cleared in one of these ways: {', '.join(CLEARINGS[:-1])}, or {CLEARINGS[-1]}.",
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
    return _below(state, line, how) if how == DRAW_OFF_BELOW else _above(state, line, how)


def _above(state: State, line: Line, how: str) -> Events:
    """Tapped up without loss, or drawn off with as much fluid again."""
    inlet = flowing_inlet_of(state.containers, line)
    air = volume_of_air((*line.above, *inlet.contents))
    require(air > 0, Refusal.NOTHING_THERE, "No air is to be seen above the pump.")
    wasted = air if how == DRAW_OFF else 0
    _check_can_follow(state, line, inlet, air + wasted)
    at_ms, number = state.as_of_ms, line.number
    return (AirCleared(at_ms=at_ms, line=number, volume=air, how=how, wasted=wasted),)


def _below(state: State, line: Line, how: str) -> Events:
    """Drawn off with all that lies between the air and the patient's end."""
    air = volume_of_air(line.below)
    require(air > 0, Refusal.NOTHING_THERE, "No air is to be seen below the pump.")
    require(
        not line.patient_clamp_open,
        Refusal.CAUSE_REMAINS,
        "The way to the patient is open; close the patient clamp before drawing off.",
    )
    require(
        line.stored <= line.rest,
        Refusal.CAUSE_REMAINS,
        "Pressure stands in this line; release it first.",
    )
    inlet = flowing_inlet_of(state.containers, line)
    require(
        not volume_of_air((*line.above, *inlet.contents)),
        Refusal.CAUSE_REMAINS,
        "More air lies above the pump and would follow; clear that first.",
    )
    volume = to_last_air(line.below)
    _check_can_follow(state, line, inlet, volume)
    return (
        AirCleared(
            at_ms=state.as_of_ms,
            line=line.number,
            volume=air,
            how=how,
            wasted=volume - air,
            where=Where.DOWNSTREAM,
        ),
    )


def _check_can_follow(state: State, line: Line, inlet: Inlet, volume: int) -> None:
    """Refuse if no fluid can take the place of what is drawn off."""
    has_chamber = line.drive is not Drive.SYRINGE
    require(
        inlet.chamber > 0 or not has_chamber,
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
        "The container has too little to take its place; hang and spike a full one first.",
    )


def dry_mend(line: Line, inlet: Inlet) -> str:
    """What to do about an inlet's dry tubing."""
    if inlet is line.secondary:
        return "take it off the port and prime it"
    return "disconnect it from the patient and prime it" if line.connected else "prime it"


ACTS = {Verb.CLEAR_AIR: clear_air}

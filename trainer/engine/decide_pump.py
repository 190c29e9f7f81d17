"""Acts at the pump: enter, start, stop, pause the sound, reset an alarm."""

from __future__ import annotations

from trainer.engine import power
from trainer.engine.actions import Action
from trainer.engine.alarms import answered_by_start, cause_remains, ended
from trainer.engine.counting import programme_of
from trainer.engine.decide_air import dry_mend
from trainer.engine.events import (
    AlarmEnded,
    Entered,
    Event,
    LimitOverridden,
    SoundPaused,
    Started,
    Stopped,
)
from trainer.engine.limits import outside_as_entered
from trainer.engine.path import (
    bubble_above,
    flowing_inlet_of,
    flowing_role,
    is_air_at_detector,
    is_dry,
    is_infusing,
    left_in_container,
)
from trainer.engine.programme import programme_from
from trainer.engine.reading import existing_inlet, fluid_of, line_of, role_of
from trainer.engine.refusals import Impossible, require
from trainer.engine.state import Line, Pump, State
from trainer.scenario.model import Fluid
from trainer.terms import AlarmKind, Drive, Param, Refusal, Role, Running, Verb

Events = tuple[Event, ...]


def enter(state: State, action: Action) -> Events:
    """Put a give sentence at the pump; it waits for start.

    Told what runs, the pump holds the values against the formulary's limits.
    """
    line, role = line_of(state, action), role_of(action)
    existing_inlet(line, role)
    _check_has_pump(line)
    _check_power(state, line)
    programme = programme_from(
        action.get(Param.VOLUME),
        action.get(Param.DURATION),
        action.get(Param.RATE),
        state.scenario.policy.pump,
    )
    fluid = fluid_of(state, action)
    entered = Entered(
        at_ms=state.as_of_ms,
        line=line.number,
        role=role,
        programme=programme,
        fluid=fluid.id if fluid else "",
    )
    return (
        *ended(state, AlarmKind.ATTENTION_REMINDER, line.number),
        entered,
        *_overridden(state, entered, fluid, action.get(Param.REASON).strip()),
    )


def _check_has_pump(line: Line) -> None:
    require(
        line.drive is not Drive.GRAVITY,
        Refusal.NOTHING_THERE,
        f"Line {line.number} runs by gravity; open or turn its roller clamp and count the drops.",
    )


def _check_power(state: State, line: Line) -> None:
    require(
        not power.is_off(state, line),
        Refusal.NO_POWER,
        "The pump is off: its battery is empty; plug it in where there are mains.",
    )


def _overridden(state: State, entered: Entered, fluid: Fluid | None, reason: str) -> Events:
    """Soft limits that are left with a reason; hard ones, and no reason, refuse the entry."""
    if fluid is None:
        return ()
    left = outside_as_entered(state.scenario, entered.line, fluid, entered.programme)
    if not left:
        return ()
    told = " ".join(f"{one.words}." for one in left)
    require(
        not left[0].limit.hard,
        Refusal.OUTSIDE_LIMIT,
        f"{told} This cannot be entered; check the order, the strength and what you typed.",
    )
    require(
        reason,
        Refusal.NEEDS_REASON,
        f"{told} Check what you typed; to go on, enter it again with a reason.",
    )
    return (
        LimitOverridden(
            at_ms=entered.at_ms,
            line=entered.line,
            role=entered.role,
            text=told,
            reason=reason,
        ),
    )


def start(state: State, action: Action) -> Events:
    """Put the entered values in force and run; without any, go on with what is left."""
    line = line_of(state, action)
    _check_has_pump(line)
    pump = line.pump
    _check_power(state, line)
    require(line.loaded, Refusal.NOT_LOADED, "The set is not in the pump; load it first.")
    require(
        not line.set_slipped,
        Refusal.NOT_LOADED,
        "The set lies wrong in the pump; load it again.",
    )
    require(
        line.connected,
        Refusal.NOT_CONNECTED,
        "The line is not connected to its access; connect it first.",
    )
    source, fresh = _source_to_start(line)
    _check_fluid(state, line)
    started = Started(
        at_ms=state.as_of_ms,
        line=line.number,
        source=source,
        primary=pump.entered_primary or pump.primary,
        secondary=pump.entered_secondary or pump.secondary,
        fresh=fresh,
    )
    return (started, *answered_by_start(state, line))


def _source_to_start(line: Line) -> tuple[Role, bool]:
    """Entered secondary values first, then entered primary values, else what was stopped."""
    pump = line.pump
    if pump.entered_secondary is not None:
        return Role.SECONDARY, True
    if pump.entered_primary is not None:
        return Role.PRIMARY, True
    require(
        pump.running is not Running.INFUSING,
        Refusal.RUNNING,
        "The pump is running already; enter new values to change it.",
    )
    require(
        _has_volume_left(pump),
        Refusal.NOT_PROGRAMMED,
        "Nothing is left to give; enter volume and rate or duration first.",
    )
    return pump.source, False


def _has_volume_left(pump: Pump) -> bool:
    programme, given = programme_of(pump)
    return programme is not None and given < programme.volume


def _check_fluid(state: State, line: Line) -> None:
    """Refuse to start on air, or on an empty container with nothing else to flow."""
    bubble = bubble_above(state.containers, line, state.figures.air_limit)
    alarming = any(
        alarm.kind is AlarmKind.AIR_IN_LINE and alarm.line == line.number and alarm.cause_present
        for alarm in state.alarms
    )
    at_detector = (bubble is not None and bubble[0] == 0) or (
        alarming and is_air_at_detector(state.containers, line)
    )
    is_primary = flowing_role(state.containers, line) is Role.PRIMARY
    require(
        not is_primary or left_in_container(state.containers, line.primary) > 0,
        Refusal.CAUSE_REMAINS,
        "No fluid can come: no spiked container with fluid in it; hang and spike a full one.",
    )
    if at_detector:
        inlet = flowing_inlet_of(state.containers, line)
        mend = (
            f"The tubing is dry: {dry_mend(line, inlet)}"
            if is_dry(line, inlet)
            else "Clear the air first"
        )
        raise Impossible(Refusal.CAUSE_REMAINS, f"Air lies at the pump's air detector. {mend}.")


def stop(state: State, action: Action) -> Events:
    """Stop the pump."""
    line = line_of(state, action)
    require(
        is_infusing(line),
        Refusal.NOT_RUNNING,
        f"The pump of line {line.number} is not running; there is nothing to stop.",
    )
    return (Stopped(at_ms=state.as_of_ms, line=line.number, by="learner"),)


def pause_sound(state: State, _: Action) -> Events:
    """Quiet all alarms for the ward's time; a new alarm is heard at once."""
    require(state.alarms, Refusal.NO_ALARM, "No alarm sounds; there is nothing to pause.")
    until_ms = state.as_of_ms + state.figures.sound_pause_ms
    return (SoundPaused(at_ms=state.as_of_ms, until_ms=until_ms),)


def reset_alarm(state: State, action: Action) -> Events:
    """End the line's alarms whose cause is gone; refused if there is none."""
    line = line_of(state, action)
    mine = [alarm for alarm in state.alarms if alarm.line == line.number]
    require(mine, Refusal.NO_ALARM, f"Line {line.number} has no alarm to reset.")
    can_end = [alarm for alarm in mine if not cause_remains(state, alarm)]
    require(
        can_end,
        Refusal.CAUSE_REMAINS,
        "The cause of the alarm is still there; find it and mend it first.",
    )
    return tuple(
        AlarmEnded(at_ms=state.as_of_ms, kind=alarm.kind, line=alarm.line) for alarm in can_end
    )


ACTS = {
    Verb.ENTER: enter,
    Verb.START: start,
    Verb.STOP: stop,
    Verb.PAUSE_SOUND: pause_sound,
    Verb.RESET_ALARM: reset_alarm,
}

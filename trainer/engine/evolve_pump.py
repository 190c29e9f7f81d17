"""What events of the pump, of time and of alarms change in the state."""

from __future__ import annotations

from typing import assert_never

from trainer.engine.copying import changed
from trainer.engine.events import (
    AirReachedDetector,
    AlarmCauseGone,
    AlarmEnded,
    AlarmRaised,
    ChamberDrained,
    ContainerEmptied,
    Entered,
    FrontReachedVein,
    NearComplete,
    PressureReachedLimit,
    SoundPaused,
    SoundResumed,
    Started,
    Stopped,
    SuctionReachedLimit,
    VolumeComplete,
)
from trainer.engine.putting import put_line
from trainer.engine.state import AlarmState, Line, Pump, State
from trainer.terms import Role, Running

TimeEvent = (
    VolumeComplete
    | NearComplete
    | FrontReachedVein
    | ContainerEmptied
    | ChamberDrained
    | AirReachedDetector
    | PressureReachedLimit
    | SuctionReachedLimit
)
AlarmEvent = AlarmRaised | AlarmCauseGone | AlarmEnded | SoundPaused | SoundResumed
PumpEvent = Entered | Started | Stopped


def time_brought(state: State, event: TimeEvent) -> State:
    """After a crossing. The fluids have moved already; most crossings change nothing more."""
    match event:
        case VolumeComplete():
            return _completed(state, event)
        case NearComplete():
            return put_line(state, changed(state.line(event.line), near_end_told=True))
        case (
            FrontReachedVein()
            | ContainerEmptied()
            | ChamberDrained()
            | AirReachedDetector()
            | PressureReachedLimit()
            | SuctionReachedLimit()
        ):
            return state
        case _:
            assert_never(event)


def _completed(state: State, event: VolumeComplete) -> State:
    line = state.line(event.line)
    pump = line.pump
    if event.hand_back and pump.primary is not None:
        pump = changed(
            pump,
            source=Role.PRIMARY,
            running=Running.INFUSING,
            rate_ul_h=pump.primary.rate_ul_h,
        )
        return put_line(state, changed(line, pump=pump, near_end_told=False))
    keeping = event.then is Running.KEEPING_OPEN
    rate = min(state.figures.keep_open_ul_h, pump.rate_ul_h) if keeping else 0
    return put_line(state, changed(line, pump=changed(pump, running=event.then, rate_ul_h=rate)))


def pump_after(state: State, event: PumpEvent) -> State:
    """After an entry, a start or a stop."""
    line = state.line(event.line)
    match event:
        case Entered():
            return put_line(state, changed(line, pump=_entered(line.pump, event)))
        case Started():
            return put_line(state, _started(line, event))
        case Stopped():
            pump = changed(line.pump, running=Running.STOPPED, rate_ul_h=0)
            return put_line(state, changed(line, pump=pump))
        case _:
            assert_never(event)


def _entered(pump: Pump, event: Entered) -> Pump:
    if event.role is Role.PRIMARY:
        return changed(pump, entered_primary=event.programme, entered_at_ms=event.at_ms)
    return changed(pump, entered_secondary=event.programme, entered_at_ms=event.at_ms)


def _started(line: Line, event: Started) -> Line:
    """The pump runs. What was entered and is now in force begins at nothing given."""
    pump = line.pump
    programme = event.primary if event.source is Role.PRIMARY else event.secondary
    pump = changed(
        pump,
        running=Running.INFUSING,
        source=event.source,
        primary=event.primary,
        secondary=event.secondary,
        entered_primary=None,
        entered_secondary=None,
        entered_at_ms=None,
        given_primary=0 if pump.entered_primary else pump.given_primary,
        given_secondary=0 if pump.entered_secondary else pump.given_secondary,
        rate_ul_h=programme.rate_ul_h if programme else 0,
    )
    return changed(line, pump=pump, near_end_told=line.near_end_told and not event.fresh)


def alarms_after(state: State, event: AlarmEvent) -> State:
    """After an alarm began, lost its cause or ended, or its sound changed."""
    match event:
        case AlarmRaised():
            alarm = AlarmState(
                kind=event.kind, line=event.line, priority=event.priority, raised_ms=event.at_ms
            )
            return changed(state, alarms=(*_others(state, event), alarm))
        case AlarmCauseGone():
            alarms = tuple(
                changed(alarm, cause_present=False) if _is_of(alarm, event) else alarm
                for alarm in state.alarms
            )
            return changed(state, alarms=alarms)
        case AlarmEnded():
            return changed(state, alarms=_others(state, event))
        case SoundPaused():
            return changed(state, sound_paused_until_ms=event.until_ms)
        case SoundResumed():
            return changed(state, sound_paused_until_ms=None)
        case _:
            assert_never(event)


def _is_of(alarm: AlarmState, event: AlarmRaised | AlarmCauseGone | AlarmEnded) -> bool:
    return alarm.kind is event.kind and alarm.line == event.line


def _others(state: State, event: AlarmRaised | AlarmEnded) -> tuple[AlarmState, ...]:
    return tuple(alarm for alarm in state.alarms if not _is_of(alarm, event))

"""Alarm conditions: raising them, whether their cause remains, when they end.

Priorities come from the ward's policy. A high-priority alarm latches: it stays announced
after its cause is gone, until it is reset or the pump is started with success. The
others end with their cause. Completion and reminders are moments, not conditions that
last, so they stay until they are reset or a start answers them.
"""

from __future__ import annotations

from trainer.engine import power
from trainer.engine.bottle import is_sucked_closed
from trainer.engine.downstream import excess, is_open_below, limit_of_excess
from trainer.engine.drive import end_pressure_u
from trainer.engine.events import AlarmCauseGone, AlarmEnded, AlarmRaised, Event, SoundResumed
from trainer.engine.path import (
    flowing_inlet_of,
    is_air_at_detector,
    is_open_above,
    left_in_container,
)
from trainer.engine.state import AlarmState, Line, State
from trainer.terms import AlarmKind, Priority


def priority_of(state: State, kind: AlarmKind) -> Priority:
    """The ward's priority; if the policy does not name the condition, the usual one."""
    for named, priority in state.figures.priorities:
        if named is kind:
            return priority
    return Priority.LOW if kind in USUALLY_LOW else Priority.HIGH


USUALLY_LOW = (AlarmKind.POWER_LOST, AlarmKind.LOW_BATTERY)
"""Told without haste where a ward says nothing: mains lost, and a battery that lasts half
an hour yet. Source: IEC 60601-2-24 and common practice, from memory."""


def raised(state: State, kind: AlarmKind, line: int, at_ms: int) -> tuple[Event, ...]:
    """The alarm, and sound again if it was paused: a new alarm is heard at once."""
    alarm = AlarmRaised(at_ms=at_ms, kind=kind, line=line, priority=priority_of(state, kind))
    if state.sound_paused_until_ms is None:
        return (alarm,)
    return SoundResumed(at_ms=at_ms), alarm


def cause_remains(state: State, alarm: AlarmState) -> bool:
    """Whether what the alarm is about is still so."""
    line = state.line(alarm.line)
    match alarm.kind:
        case AlarmKind.DOWNSTREAM_OCCLUSION:
            return is_pressed(state, line)
        case AlarmKind.UPSTREAM_OCCLUSION:
            return is_sucked(state, line)
        case AlarmKind.AIR_IN_LINE:
            return is_air_at_detector(state.containers, line)
        case AlarmKind.CONTAINER_EMPTY:
            return left_in_container(state.containers, line.primary) == 0
        case AlarmKind.CHECK_SET:
            return line.set_slipped
        case AlarmKind.POWER_LOST:
            return power.is_on_battery(state, line)
        case AlarmKind.LOW_BATTERY | AlarmKind.BATTERY_DEPLETED:
            return power.is_low(state, line, alarm.kind)
        case _:
            return False


def is_sucked(state: State, line: Line) -> bool:
    """Whether fluid is held back above the pump: shut, or by a closed bottle's vacuum."""
    inlet = flowing_inlet_of(state.containers, line)
    return not is_open_above(line, inlet) or is_sucked_closed(state, line)


def is_pressed(state: State, line: Line) -> bool:
    """Whether fluid is held back below the pump: blocked, or its pressure at the limit."""
    if not is_open_below(state.access, line):
        return True
    if not line.narrowed_ms:
        return False
    hub_u = end_pressure_u(state, line)
    return excess(line) >= limit_of_excess(state.figures, line, hub_u)


LASTING = (
    AlarmKind.DOWNSTREAM_OCCLUSION,
    AlarmKind.UPSTREAM_OCCLUSION,
    AlarmKind.AIR_IN_LINE,
    AlarmKind.CONTAINER_EMPTY,
    AlarmKind.CHECK_SET,
    AlarmKind.POWER_LOST,
    AlarmKind.LOW_BATTERY,
    AlarmKind.BATTERY_DEPLETED,
)
"""Conditions with a cause that can be there or gone."""


def review(state: State) -> tuple[Event, ...]:
    """What becomes of the alarms whose cause has gone."""
    found: list[Event] = []
    for alarm in state.alarms:
        if alarm.kind in LASTING and alarm.cause_present and not cause_remains(state, alarm):
            kind = AlarmCauseGone if alarm.priority is Priority.HIGH else AlarmEnded
            found.append(kind(at_ms=state.as_of_ms, kind=alarm.kind, line=alarm.line))
    return tuple(found)


def answered_by_start(state: State, line: Line) -> tuple[Event, ...]:
    """The alarms of a line that a successful start ends: all whose cause is gone."""
    return tuple(
        AlarmEnded(at_ms=state.as_of_ms, kind=alarm.kind, line=alarm.line)
        for alarm in state.alarms
        if alarm.line == line.number and not cause_remains(state, alarm)
    )


def ended(state: State, kind: AlarmKind, line: int) -> tuple[Event, ...]:
    """The end of one alarm, if it is there."""
    return tuple(
        AlarmEnded(at_ms=state.as_of_ms, kind=kind, line=line)
        for alarm in state.alarms
        if alarm.kind is kind and alarm.line == line
    )

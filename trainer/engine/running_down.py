"""What happens as the mains fail and a battery runs down: marks, alarms, the pump off."""

from __future__ import annotations

from trainer.engine.alarms import raised
from trainer.engine.events import BatteryReached, Event, PowerChanged, Stopped
from trainer.engine.path import is_infusing
from trainer.engine.power import has_pump, is_on_battery, left_ms, mark_ms
from trainer.engine.state import Line, State
from trainer.engine.upcoming import Earliest, Kind
from trainer.terms import AlarmKind

BY_POWER = "power"
MARKS = (AlarmKind.LOW_BATTERY, AlarmKind.BATTERY_DEPLETED)


def offer(earliest: Earliest, state: State) -> None:
    """The next mark of every battery that is in use."""
    for line in state.lines:
        if not (state.mains_on and line.plugged_in):
            due_ms = next_mark_ms(state, line)
            if due_ms is not None:
                earliest.offer(due_ms, Kind.BATTERY, line.number)


def next_mark_ms(state: State, line: Line) -> int | None:
    """When the battery next reaches a mark that has not been told, or nothing.

    A mark that lies behind already is due now.
    """
    if not is_on_battery(state, line):
        return None
    left = left_ms(state, line)
    if not left:
        return state.as_of_ms if _is_untold_end(line) else None
    waits = [left, *(max(0, left - mark_ms(state, kind)) for kind in _untold(state, line))]
    return state.as_of_ms + min(waits)


def _is_untold_end(line: Line) -> bool:
    return line.battery_ms > 0 or is_infusing(line)


def _untold(state: State, line: Line) -> list[AlarmKind]:
    told = {alarm.kind for alarm in state.alarms if alarm.line == line.number}
    return [kind for kind in MARKS if kind not in told]


def reached(state: State, line: Line) -> tuple[Event, ...]:
    """What happens as the battery is down to a mark, at the state's moment."""
    at_ms, left = state.as_of_ms, left_ms(state, line)
    found: list[Event] = [BatteryReached(at_ms=at_ms, line=line.number, left_ms=left)]
    if not left and is_infusing(line):
        found.append(Stopped(at_ms=at_ms, line=line.number, by=BY_POWER))
    for kind in _untold(state, line):
        if left <= mark_ms(state, kind):
            found.extend(raised(state, kind, line.number, at_ms))
    return tuple(found)


def mains_changed(state: State, *, mains_on: bool, at_ms: int) -> tuple[Event, ...]:
    """The mains fail or return, and every pump that hung on them says so."""
    if state.mains_on == mains_on:
        return ()
    found: list[Event] = [PowerChanged(at_ms=at_ms, mains_on=mains_on)]
    if not mains_on:
        for line in state.lines:
            if has_pump(line) and line.plugged_in:
                found.extend(raised(state, AlarmKind.POWER_LOST, line.number, at_ms))
    return tuple(found)

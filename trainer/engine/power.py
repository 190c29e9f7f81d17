"""A pump's battery: what it holds, and whether it is low.

Off the mains a battery falls by one millisecond of running in each millisecond, whatever
the pump does; on the mains it fills at the same pace. Below the policy's first mark the
battery is low, below the second it is nearly spent, at nothing the pump is off. A gravity
line has no pump and no battery.

The marks are the ward's data; their usual values (low at least 30 minutes, nearly spent
at least 3 minutes before the end) are those of IEC 60601-2-24 from memory.
"""

from __future__ import annotations

from trainer.engine.copying import changed
from trainer.engine.state import Line, State
from trainer.terms import AlarmKind, Drive


def has_pump(line: Line) -> bool:
    """Whether a pump drives this line."""
    return line.drive is not Drive.GRAVITY


def is_on_battery(state: State, line: Line) -> bool:
    """Whether the line's pump lives on its battery."""
    return has_pump(line) and not (state.mains_on and line.plugged_in)


def left_ms(state: State, line: Line) -> int:
    """How long the pump's battery lasts from the state's moment on, off the mains."""
    elapsed = state.as_of_ms - line.battery_as_of_ms
    if is_on_battery(state, line):
        return max(0, line.battery_ms - elapsed)
    return min(state.scenario.policy.pump.battery_ms, line.battery_ms + elapsed)


def is_off(state: State, line: Line) -> bool:
    """Whether the pump has no power at all."""
    return is_on_battery(state, line) and left_ms(state, line) == 0


def is_low(state: State, line: Line, kind: AlarmKind) -> bool:
    """Whether the battery is below the mark of that alarm, and falling."""
    return is_on_battery(state, line) and left_ms(state, line) <= mark_ms(state, kind)


def mark_ms(state: State, kind: AlarmKind) -> int:
    """What a battery holds when that alarm comes."""
    rules = state.scenario.policy.pump
    return rules.battery_low_ms if kind is AlarmKind.LOW_BATTERY else rules.battery_end_ms


def recounted(state: State, line: Line) -> Line:
    """The line with its battery counted to the state's moment."""
    if not has_pump(line):
        return line
    return changed(line, battery_ms=left_ms(state, line), battery_as_of_ms=state.as_of_ms)

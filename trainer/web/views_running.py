"""What runs in a line, as text: the counters, and what the pump was told."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.clinical.timebase import format_duration
from trainer.engine.amounts import MOTES_PER_ML, time_to_move
from trainer.engine.state import AlarmState, Line, Programme, Pump, State
from trainer.terms import Role, Running
from trainer.web import words
from trainer.web.phrases import RUNNING_WORDS

MOTES_PER_UL = MOTES_PER_ML // 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class RunningView:
    """The running values of a line. Those for the script are whole microlitres."""

    number: str
    title: str
    state: str
    state_cls: str
    rate: str
    given: str
    to_give: str
    left: str
    in_force: tuple[str, ...]
    waiting: tuple[str, ...]
    anchor_ms: str
    pump_ul_h: str
    given_ul: str
    to_give_ul: str


def running_view(state: State, number: int) -> RunningView:
    """What runs in line `number`."""
    line = state.line(number)
    pump = line.pump
    programme, given = _in_force(pump), _given(pump)
    volume = programme.volume if programme else 0
    flow = pump.rate_ul_h
    return RunningView(
        number=str(number),
        title=_title(state, line),
        state=RUNNING_WORDS[pump.running],
        state_cls=_state_cls(state, line),
        rate=words.rate(flow),
        given=words.ml(given),
        to_give=words.ml(volume) if programme else "",
        left=_time_left(pump, max(volume - given, 0)),
        in_force=_sentences(pump.primary, pump.secondary),
        waiting=_sentences(pump.entered_primary, pump.entered_secondary),
        anchor_ms=str(state.as_of_ms),
        pump_ul_h=str(flow),
        given_ul=str(given // MOTES_PER_UL),
        to_give_ul=str(volume // MOTES_PER_UL),
    )


def _in_force(pump: Pump) -> Programme | None:
    return pump.secondary if pump.source is Role.SECONDARY else pump.primary


def _given(pump: Pump) -> int:
    return pump.given_secondary if pump.source is Role.SECONDARY else pump.given_primary


def _time_left(pump: Pump, left_motes: int) -> str:
    """How long the programme in force still takes; empty if it does not run."""
    if pump.running is not Running.INFUSING or not pump.rate_ul_h:
        return ""
    return format_duration(time_to_move(left_motes, pump.rate_ul_h))


def _title(state: State, line: Line) -> str:
    """The line's number and what runs in it: `Line 1 · maintenance bag`."""
    if not line.primary.container:
        return f"Line {line.number} · nothing hung yet"
    fluid = state.scenario.fluid(state.container(line.primary.container).fluid)
    return f"Line {line.number} · {fluid.name}"


def alarm_of(state: State, number: int) -> AlarmState | None:
    """The first alarm of a line that stands in the state."""
    return next((alarm for alarm in state.alarms if alarm.line == number), None)


def _state_cls(state: State, line: Line) -> str:
    alarm = alarm_of(state, line.number)
    if alarm:
        return f"is-{alarm.priority}"
    return "is-running" if line.pump.running is Running.INFUSING else "is-still"


def _sentences(primary: Programme | None, secondary: Programme | None) -> tuple[str, ...]:
    pairs = ((Role.PRIMARY, primary), (Role.SECONDARY, secondary))
    return tuple(f"{role.capitalize()}: {words.sentence(one)}" for role, one in pairs if one)

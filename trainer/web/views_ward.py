"""Who lies here, what time it is, and what alarms: the top of the bedside."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trainer.clinical.quantity import format_quantity
from trainer.clinical.timebase import format_duration
from trainer.engine.state import AlarmState, State
from trainer.live.ward import Glimpse
from trainer.scenario.model import Scenario
from trainer.store.records import Pace
from trainer.terms import Priority, Verb
from trainer.web import words
from trainer.web.deeds import Deed, deed
from trainer.web.phrases import MEANINGS, PRIORITY_WORDS, alarm_title

ORDER = (Priority.HIGH, Priority.MEDIUM, Priority.LOW)
TIMES = "\u00d7"
MARKS = {Priority.HIGH: "!!!", Priority.MEDIUM: "!!", Priority.LOW: "!"}
"""One to three exclamation marks, as IEC 60601-1-8 marks priority (from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WristView:
    """What stands on the patient's band, as text."""

    name: str
    age: str
    weight: str
    allergies: str
    record_number: str
    born: str
    scenario: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PaceButton:
    """One pace to choose."""

    value: str
    text: str
    spoken: str
    is_on: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockView:
    """The ward clock.

    `at_ms`, `factor` and `start_ms` let the script go on from here; `seen` is how far the
    log goes that this page shows.
    """

    time: str
    at_ms: str
    start_ms: str
    factor: str
    pace: str
    buttons: tuple[PaceButton, ...]
    seen: str
    ended: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmView:
    """One alarm as seen. `marks` says the priority without colour."""

    cls: str
    priority: str
    title: str
    line: str
    why: str
    since: str
    gone: bool
    marks: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmsView:
    """All alarms, the most urgent first. `sound` is the priority that sounds, or nothing."""

    alarms: tuple[AlarmView, ...]
    sound: str
    paused_until_ms: str
    deeds: tuple[Deed, ...]


def wrist_view(scenario: Scenario) -> WristView:
    """The patient's band."""
    patient = scenario.patient
    return WristView(
        name=patient.name,
        age=patient.age_text,
        weight=format_quantity(patient.weight),
        allergies=", ".join(patient.allergies) or "none known",
        record_number=patient.record_number,
        born=patient.born,
        scenario=scenario.title,
    )


def _button(pace: Pace, now: Pace) -> PaceButton:
    if pace is Pace.HELD:
        return PaceButton(
            value=pace.value, text="hold", spoken="Hold the ward clock", is_on=pace is now
        )
    return PaceButton(
        value=pace.value,
        text=f"{TIMES}{pace.factor}",
        spoken=f"Ward clock {pace.factor} times as fast",
        is_on=pace is now,
    )


def clock_view(glimpse: Glimpse) -> ClockView:
    """The ward clock at the moment of the glimpse."""
    factor = 0 if glimpse.ended else glimpse.pace.factor
    return ClockView(
        time=glimpse.ward_clock,
        at_ms=str(glimpse.at_ms),
        start_ms=str(words.start_minute(glimpse.state.scenario) * words.MINUTE_MS),
        factor=str(factor),
        pace="held" if factor == 0 else f"pace {TIMES}{factor}",
        buttons=tuple(_button(pace, glimpse.pace) for pace in Pace),
        seen=str(len(glimpse.events)),
        ended=glimpse.ended,
    )


def alarms_view(state: State) -> AlarmsView:
    """What alarms in a state."""
    alarms = sorted(state.alarms, key=lambda one: (ORDER.index(one.priority), -one.raised_ms))
    paused = state.sound_paused_until_ms
    return AlarmsView(
        alarms=tuple(_alarm(state, one) for one in alarms),
        sound=str(alarms[0].priority) if alarms else "",
        paused_until_ms="" if paused is None else str(paused),
        deeds=_alarm_deeds(state, alarms),
    )


def _alarm_deeds(state: State, alarms: Sequence[AlarmState]) -> tuple[Deed, ...]:
    """What can be done about alarms wherever they are."""
    if not alarms:
        return ()
    pause = format_duration(state.scenario.policy.pump.sound_pause_ms)
    lines = dict.fromkeys(str(alarm.line) for alarm in alarms)
    return (
        deed(f"Pause the sound for {pause}", Verb.PAUSE_SOUND),
        *(deed(f"Reset the alarm of line {one}", Verb.RESET_ALARM, line=one) for one in lines),
    )


def _alarm(state: State, alarm: AlarmState) -> AlarmView:
    gone = not alarm.cause_present
    return AlarmView(
        cls=str(alarm.priority),
        priority=PRIORITY_WORDS[alarm.priority],
        title=alarm_title(alarm.kind, alarm.line),
        line=str(alarm.line),
        why="The cause is gone; the alarm stands until it is reset."
        if gone
        else MEANINGS[alarm.kind],
        since=words.ward_time(state.scenario, alarm.raised_ms),
        gone=gone,
        marks=MARKS[alarm.priority],
    )

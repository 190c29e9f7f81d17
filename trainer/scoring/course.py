"""The course of an attempt: the frozen series that the debrief's strip draws.

One fold over the log, no ticks: values are taken at happenings, and between two of them
rate and ordered rate are level, volumes straight lines; what bends is taken more often
(`bends`). Nothing here judges; `report` does. The parts: `line_course`, `site_course`,
`patient_course`, `marks`.
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.engine.events import Event
from trainer.scenario.model import Scenario
from trainer.scoring import record
from trainer.scoring.line_course import LineCourse, first_starts, line_course
from trainer.scoring.marks import (
    ActMark,
    AlarmSpan,
    EventMark,
    Pause,
    act_mark,
    alarm_spans,
    event_marks,
    pauses,
)
from trainer.scoring.moments import moments_of
from trainer.scoring.patient_course import (
    NOTHING_BEGUN,
    Begun,
    LevelCourse,
    SignCourse,
    level_courses,
    sampled,
    sign_courses,
)
from trainer.scoring.reading_log import Read, read_log
from trainer.scoring.site_course import TissueCourse, tissue_courses


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """Everything the strip shows, from the beginning of the attempt to `ends_ms`."""

    ends_ms: int
    lines: tuple[LineCourse, ...]
    signs: tuple[SignCourse, ...]
    levels: tuple[LevelCourse, ...]
    alarms: tuple[AlarmSpan, ...]
    pauses: tuple[Pause, ...]
    acts: tuple[ActMark, ...]
    events: tuple[EventMark, ...]
    tissue: tuple[TissueCourse, ...] = ()


def course(
    scenario: Scenario,
    events: tuple[Event, ...],
    *,
    known: Read | None = None,
    begun: Begun = NOTHING_BEGUN,
) -> Course:
    """The course of an attempt, from its scenario and its log.

    Values at a moment with a jump stand twice: before and after it.

    Args:
        scenario: the attempt's.
        events: its log.
        known: the log as it was read, where it was.
        begun: what another course tells already of the time before the two part.
    """
    read = known or read_log(scenario, events)
    ends_ms = record.end_ms(events)
    moments = moments_of(events, read.states)
    samples = sampled(moments, ends_ms, begun.until_ms)
    starts = first_starts(read)
    return Course(
        ends_ms=ends_ms,
        lines=tuple(line_course(read, moments, line.number, starts) for line in scenario.lines),
        signs=sign_courses(scenario, moments, samples, begun),
        levels=level_courses(scenario, moments, samples, begun),
        alarms=alarm_spans(events, ends_ms),
        pauses=pauses(events, ends_ms),
        acts=tuple(act_mark(deed, events) for deed in record.deeds(events)),
        events=event_marks(scenario, events),
        tissue=tissue_courses(scenario, moments),
    )

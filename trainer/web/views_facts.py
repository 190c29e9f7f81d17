"""What happened, in sentences and rows: facts, without judging any of them."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical.rounding import format_number, round_half_up
from trainer.clinical.timebase import format_duration
from trainer.engine.amounts import ml_from_motes
from trainer.engine.events import Finished, PressureReleased
from trainer.scenario.model import Scenario
from trainer.scoring import explain
from trainer.scoring.chronicle import INTO
from trainer.scoring.course import Course
from trainer.scoring.findings import Delivered
from trainer.scoring.line_course import LineCourse
from trainer.scoring.marks import AlarmSpan
from trainer.web import phrases, views_moment, words
from trainer.web.ended import Attempt, Looking, moment_href

HUNDREDTH = Fraction(1, 100)


@dataclass(frozen=True, slots=True, kw_only=True)
class DeliveredView:
    """One order: what it asked for and what was given."""

    title: str
    ordered: str
    given: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RowView:
    """One row of the strip told as a table."""

    clock: str
    at_href: str
    at_ms: int
    what: str
    kind: str  # act, event, alarm, refused


def facts(attempt: Attempt) -> tuple[str, ...]:
    """What happened, in sentences."""
    course, scenario = attempt.course, attempt.scenario
    ended = next((one for one in attempt.events if isinstance(one, Finished)), None)
    how = "time was up" if ended is not None and ended.by == "time" else "you ended it"
    begins, ends = (words.ward_time(scenario, at_ms) for at_ms in (0, course.ends_ms))
    lasted = format_duration(course.ends_ms)
    opening = f"On the ward clock it was {begins} when you began and {ends} when {how}: {lasted}."
    refused = sum(bool(act.refused) for act in course.acts)
    acts = f"You did {_count(len(course.acts) - refused, 'thing')}"
    acts += f" and tried {refused} that could not be done then." if refused else "."
    return (
        opening,
        acts,
        *(_line_fact(scenario, line) for line in course.lines),
        *attempt.report.also,
        *(_event_fact(scenario, one.at_ms, one.title) for one in course.events),
        *(_alarm_fact(attempt, alarm) for alarm in course.alarms),
        *(
            _release_fact(scenario, event)
            for event in attempt.events
            if isinstance(event, PressureReleased) and event.volume
        ),
    )


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def _line_fact(scenario: Scenario, line: LineCourse) -> str:
    if not line.ran:
        return f"Line {line.number} never ran."
    first = words.ward_time(scenario, line.ran[0].from_ms)
    ran_ms = sum(one.until_ms - one.from_ms for one in line.ran)
    given = _ml(line.given_ml[-1].value) if line.given_ml else "0 mL"
    return (
        f"Line {line.number} first ran at {first} and for {format_duration(ran_ms)} in all; "
        f"{given} went into the vein."
    )


def _event_fact(scenario: Scenario, at_ms: int, title: str) -> str:
    return f"{words.ward_time(scenario, at_ms)}: {title}."


def _alarm_fact(attempt: Attempt, alarm: AlarmSpan) -> str:
    clock = attempt.clock(alarm.from_ms)
    name = phrases.alarm_title(alarm.kind, alarm.line).lower()
    lasted = format_duration(alarm.until_ms - alarm.from_ms)
    is_on = alarm.until_ms >= attempt.course.ends_ms
    ending = f"still on at the end, after {lasted}" if is_on else f"over after {lasted}"
    pause = next((p for p in attempt.course.pauses if p.from_ms >= alarm.from_ms), None)
    quiet = ""
    if pause and pause.from_ms <= alarm.until_ms:
        quiet = f"; sound paused after {format_duration(pause.from_ms - alarm.from_ms)}"
    return f"{clock}: alarm, {alarm.priority} priority, {name}; {ending}{quiet}."


def _release_fact(scenario: Scenario, event: PressureReleased) -> str:
    """Where what had been stored under pressure went."""
    clock = words.ward_time(scenario, event.at_ms)
    volume = format_number(round_half_up(ml_from_motes(event.volume), HUNDREDTH))
    into = INTO.get(event.site, "into the vein")
    where = f"ran {into} at once" if event.into_vein else "was let go away from the patient"
    return f"{clock}: {volume} mL that stood under pressure in line {event.line} {where}."


def delivered(one: Delivered) -> DeliveredView:
    """What an order asked for beside what reached the vein."""
    return DeliveredView(
        title=one.title, ordered=_ml(one.ordered_ml), given=_ml(one.given_ml), text=one.text
    )


def _ml(volume_ml: Fraction) -> str:
    return explain.rounded_ml(volume_ml)


def rows(attempt: Attempt, looking: Looking) -> tuple[RowView, ...]:
    """The log in the order of time: acts, events of the scenario, alarms."""
    scenario, course = attempt.scenario, attempt.course
    told = [
        (act.at_ms, views_moment.told(scenario, act), "refused" if act.refused else "act")
        for act in course.acts
    ]
    told += [(one.at_ms, one.title, "event") for one in course.events]
    told += [
        (
            one.from_ms,
            f"{phrases.PRIORITY_WORDS[one.priority]} alarm: "
            f"{phrases.alarm_title(one.kind, one.line).lower()}",
            "alarm",
        )
        for one in course.alarms
    ]
    return tuple(
        RowView(
            clock=attempt.clock(at_ms),
            at_href=moment_href(attempt, looking.at(at_ms)),
            at_ms=at_ms,
            what=what,
            kind=kind,
        )
        for at_ms, what, kind in sorted(told, key=lambda one: one[0])
    )


def unchanged(course: Course) -> str:
    """The signs that never changed, in one sentence; empty if there are none."""
    still = [
        f"{sign.name} {sign.points[0].text} {sign.unit}".strip()
        for sign in course.signs
        if len(sign.points) == 1
    ]
    return f"Unchanged throughout: {', '.join(still)}." if still else ""

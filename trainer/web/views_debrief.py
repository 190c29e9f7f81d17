"""The debrief as one view: what happened, then findings, then marks, then what next.

Views only: strings and addresses ready to print. Nothing is judged or computed here; the
report, the course and the state come from `scoring` and `engine`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.clinical.quantity import format_quantity
from trainer.clinical.rounding import format_number, round_half_up
from trainer.clinical.timebase import format_duration
from trainer.engine.amounts import ml_from_motes
from trainer.engine.blend import name_of
from trainer.engine.events import Event, Finished, PressureReleased
from trainer.engine.replay import state_at
from trainer.engine.simplifications import SIMPLIFICATIONS
from trainer.scenario.model import Scenario
from trainer.scoring.chronicle import INTO
from trainer.scoring.course import Course
from trainer.scoring.findings import Delivered, Report
from trainer.scoring.line_course import LineCourse
from trainer.scoring.marks import AlarmSpan
from trainer.terms import AIR
from trainer.web import phrases, strip, strip_table, views_findings, views_moment, words
from trainer.web.sheet import NARROW, WIDE
from trainer.web.strip import Strip
from trainer.web.strip_lines import FluidMark
from trainer.web.strip_stops import StopMark
from trainer.web.strip_table import Table
from trainer.web.tones import tone_of, tones
from trainer.web.views_findings import FindingView, MarkView, OrderKeysView
from trainer.web.views_moment import MomentView

TENTH = Fraction(1, 10)
HUNDREDTH = Fraction(1, 100)
CLOSER_MS = 10 * 60_000
"""Half the width of the closer look. Chosen by us: an alarm and its answer fit in it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Attempt:
    """An ended attempt with everything that was made of it."""

    id: str
    learner: str
    scenario: Scenario
    seed: int
    events: tuple[Event, ...]
    report: Report
    course: Course
    versions: tuple[tuple[str, str], ...]  # name, value: for the record at the end

    @property
    def address(self) -> str:
        """The debrief's own address."""
        return f"/attempts/{self.id}/debrief"


@dataclass(frozen=True, slots=True, kw_only=True)
class Looking:
    """Where the reader looks: the play head, and the stretch of time that is drawn."""

    at_ms: int
    window: tuple[int, int] | None = None

    @property
    def tail(self) -> str:
        """The window as part of an address; empty for the whole attempt."""
        return f"&from={self.window[0]}&until={self.window[1]}" if self.window else ""


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
    what: str
    kind: str  # act, event, alarm, refused


@dataclass(frozen=True, slots=True, kw_only=True)
class DebriefView:
    """The whole page."""

    title: str
    name: str
    patient: str
    seed: str
    address: str
    facts: tuple[str, ...]
    delivered: tuple[DeliveredView, ...]
    strips: tuple[Strip, ...]
    moment: MomentView
    ends_ms: int
    is_close: bool
    closer_href: str
    whole_href: str
    rows: tuple[RowView, ...]
    tables: tuple[Table, ...]
    simplified: tuple[str, ...]
    to_talk: tuple[FindingView, ...]
    well: tuple[tuple[str, tuple[FindingView, ...]], ...]  # by domain
    well_count: int
    aside: tuple[FindingView, ...]
    keys: tuple[OrderKeysView, ...]
    marks: tuple[MarkView, ...]
    total: str
    missed_critical: tuple[str, ...]
    full: bool
    objectives: tuple[str, ...]
    scenario_id: str
    other_seed: str  # empty: this scenario has no other numbers
    export_href: str
    record: tuple[tuple[str, str], ...]
    unchanged: str
    fluids: tuple[FluidMark, ...]  # what reached the vein, for the strip's legend


def debrief(attempt: Attempt, looking: Looking, other_seed: int) -> DebriefView:
    """The debrief page of an ended attempt, with the play head where the reader looks."""
    scenario, report = attempt.scenario, attempt.report
    found = _findings(attempt, looking)
    to_talk = tuple(one for one in found if one.tone in ("miss", "near"))
    missed = set(report.missed_critical)
    return DebriefView(
        title=scenario.title,
        name=scenario.patient.name,
        patient=_patient(scenario),
        seed=str(attempt.seed),
        address=attempt.address,
        facts=facts(attempt),
        delivered=tuple(_delivered(one) for one in report.delivered),
        strips=strips(attempt, found, looking),
        moment=moment(attempt, looking),
        ends_ms=attempt.course.ends_ms,
        is_close=looking.window is not None,
        closer_href=_closer(attempt, looking.at_ms),
        whole_href=f"{attempt.address}?at={looking.at_ms}#strip",
        rows=_rows(attempt, looking),
        tables=strip_table.tables(
            attempt.course, lambda at_ms: words.ward_time(scenario, at_ms), looking.window
        ),
        simplified=tuple(sentence for _, sentence in SIMPLIFICATIONS),
        to_talk=to_talk,
        well=_by_domain(tuple(one for one in found if one.tone == "well")),
        well_count=sum(one.tone == "well" for one in found),
        aside=tuple(one for one in found if one.tone == "aside"),
        keys=views_findings.order_keys(scenario, report.keys),
        marks=views_findings.marks(report),
        total=f"{_points(report.points)} of {_points(report.most)}",
        missed_critical=tuple(one.title for one in report.findings if one.id in missed),
        full=report.full,
        objectives=scenario.objectives,
        scenario_id=scenario.id,
        other_seed=str(other_seed) if scenario.vary else "",
        export_href=f"/attempts/{attempt.id}/export.jsonl",
        record=_record(attempt),
        unchanged=_unchanged(attempt.course),
        fluids=_reached(attempt),
    )


def _findings(attempt: Attempt, looking: Looking) -> tuple[FindingView, ...]:
    return views_findings.findings(
        attempt.report,
        clock=lambda at_ms: words.ward_time(attempt.scenario, at_ms),
        see=lambda at_ms, _anchor: f"{attempt.address}?at={at_ms}{looking.tail}#moment",
    )


def _by_domain(
    found: tuple[FindingView, ...],
) -> tuple[tuple[str, tuple[FindingView, ...]], ...]:
    domains = tuple(dict.fromkeys(one.domain for one in found))
    return tuple(
        (domain, tuple(one for one in found if one.domain == domain)) for domain in domains
    )


# --- what happened ---------------------------------------------------------------------------


def _patient(scenario: Scenario) -> str:
    return f"{scenario.patient.age_text}, {format_quantity(scenario.patient.weight)}"


def facts(attempt: Attempt) -> tuple[str, ...]:
    """What happened, in sentences, without judging."""
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
    clock = words.ward_time(attempt.scenario, alarm.from_ms)
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


def _delivered(one: Delivered) -> DeliveredView:
    return DeliveredView(
        title=one.title, ordered=_ml(one.ordered_ml), given=_ml(one.given_ml), text=one.text
    )


def _ml(volume_ml: Fraction) -> str:
    return f"{format_number(round_half_up(volume_ml, TENTH))} mL"


def _points(points: Fraction) -> str:
    return format_number(round_half_up(points, TENTH))


def _rows(attempt: Attempt, looking: Looking) -> tuple[RowView, ...]:
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
            clock=words.ward_time(scenario, at_ms),
            at_href=f"{attempt.address}?at={at_ms}{looking.tail}#moment",
            what=what,
            kind=kind,
        )
        for at_ms, what, kind in sorted(told, key=lambda one: one[0])
    )


def _unchanged(course: Course) -> str:
    """The signs that never changed, in one sentence; empty if there are none."""
    still = [
        f"{sign.name} {sign.points[0].text} {sign.unit}".strip()
        for sign in course.signs
        if len(sign.points) == 1
    ]
    return f"Unchanged throughout: {', '.join(still)}." if still else ""


# --- the strip -------------------------------------------------------------------------------


def strips(attempt: Attempt, found: tuple[FindingView, ...], looking: Looking) -> tuple[Strip, ...]:
    """The strip twice: for a wide page and for a phone."""
    stops = tuple(
        StopMark(
            number=one.number,
            at_ms=one.at_ms,
            tone=one.tone,
            label=_stop_label(one),
            href=f"{attempt.address}?at={one.at_ms}{looking.tail}#{one.anchor}",
        )
        for one in found
        if one.at_ms is not None and one.tone != "aside"
    )
    return tuple(
        strip.draw(
            attempt.course,
            stops,
            sheet_format=form,
            fluids=_fluid_marks(attempt),
            clock=lambda at_ms: words.ward_time(attempt.scenario, at_ms),
            title=f"The strip: {attempt.scenario.title}",
            desc=_desc(attempt),
            at_ms=looking.at_ms,
            window=looking.window,
        )
        for form in (WIDE, NARROW)
    )


def _fluid_marks(attempt: Attempt) -> dict[str, FluidMark]:
    """Name and tone of each fluid, the tones as on the bedside's line map; blends as well."""
    scenario = attempt.scenario
    paint = tones(scenario)
    reached = (one.fluid for line in attempt.course.lines for one in line.reaching)
    every = dict.fromkeys((*(one.id for one in scenario.formulary.fluids), AIR, *reached))
    return {
        fluid: FluidMark(name=name_of(scenario, fluid), tone=tone_of(paint, fluid))
        for fluid in every
    }


def _reached(attempt: Attempt) -> tuple[FluidMark, ...]:
    marks = _fluid_marks(attempt)
    seen = dict.fromkeys(one.fluid for line in attempt.course.lines for one in line.reaching)
    return tuple(marks[fluid] for fluid in seen)


def _stop_label(one: FindingView) -> str:
    number = f"Finding {one.number}, " if one.number else ""
    return f"{number}{one.clock}, {one.verdict.lower()}: {one.title}"


def _desc(attempt: Attempt) -> str:
    """The picture in words, for those who do not see it."""
    return (
        "Time runs from left to right on the ward clock. From top to bottom: findings, alarms, "
        "events and acts, then for each line the rate ordered (dashed) and run, what flowed into "
        "the vein, the volume and the pressure, then what went into the tissue, the patient's "
        "signs and drug levels. "
        + " ".join(facts(attempt)[2:])
        + " The same stands as tables below."
    )


def _closer(attempt: Attempt, at_ms: int) -> str:
    ends = attempt.course.ends_ms
    from_ms = max(0, min(at_ms - CLOSER_MS, ends - 2 * CLOSER_MS))
    until_ms = min(ends, from_ms + 2 * CLOSER_MS)
    return f"{attempt.address}?at={at_ms}&from={from_ms}&until={until_ms}#strip"


def look(attempt: Attempt, at: str, from_: str, until: str) -> Looking:
    """Where the reader looks, from an address; whatever cannot be read is passed over.

    Without `at`, the play head stands at the first finding to talk about, else at the
    first alarm, else at the end.
    """
    ends = attempt.course.ends_ms
    start, stop = _moment_of(from_), _moment_of(until)
    window = None
    if start is not None and stop is not None and start < min(stop, ends):
        window = (start, min(stop, ends))
    at_ms = _moment_of(at)
    if at_ms is None:
        at_ms = _first_of_interest(attempt)
    return Looking(at_ms=min(max(at_ms, 0), ends), window=window)


def _moment_of(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) <= 12 else None


def _first_of_interest(attempt: Attempt) -> int:
    moments = [
        one.at_ms
        for one in attempt.report.findings
        if one.at_ms is not None and views_findings.tone(one.verdict) in ("miss", "near")
    ]
    alarms = [one.from_ms for one in attempt.course.alarms]
    return min(moments, default=min(alarms, default=attempt.course.ends_ms))


def moment(attempt: Attempt, looking: Looking) -> MomentView:
    """The card of one moment, with the ways to the moments before and after it."""
    scenario, course, at_ms = attempt.scenario, attempt.course, looking.at_ms
    state = state_at(scenario, attempt.events, at_ms)
    stations = sorted({0, course.ends_ms, *_interesting(attempt)})
    earlier = max((one for one in stations if one < at_ms), default=at_ms)
    later = min((one for one in stations if one > at_ms), default=at_ms)
    return MomentView(
        at_ms=at_ms,
        clock=words.ward_time(scenario, at_ms),
        since=f"{format_duration(at_ms)} after the beginning" if at_ms else "the beginning",
        headline=_headline(attempt, at_ms),
        earlier_href="" if earlier == at_ms else _at(attempt, earlier, looking),
        later_href="" if later == at_ms else _at(attempt, later, looking),
        earlier_ms=earlier,
        later_ms=later,
        alarms=views_moment.alarm_views(state),
        lines=views_moment.line_views(state),
        patient=views_moment.patient_views(state),
        orders=views_moment.orders_standing(state),
        acts=views_moment.acts_before(scenario, course, at_ms),
    )


def _at(attempt: Attempt, at_ms: int, looking: Looking) -> str:
    return f"{attempt.address}?at={at_ms}{looking.tail}#moment"


def _interesting(attempt: Attempt) -> tuple[int, ...]:
    """The moments that Earlier and Later stop at: findings, events, alarms."""
    course = attempt.course
    return (
        *(one.at_ms for one in attempt.report.findings if one.at_ms is not None),
        *(one.at_ms for one in course.events),
        *(edge for one in course.alarms for edge in (one.from_ms, one.until_ms)),
    )


def _headline(attempt: Attempt, at_ms: int) -> str:
    """What this moment is known for: a finding to talk about, an event, an alarm, an act."""
    for finding in attempt.report.findings:
        if finding.at_ms == at_ms and views_findings.tone(finding.verdict) in ("miss", "near"):
            return finding.title
    for event in attempt.course.events:
        if event.at_ms == at_ms:
            return event.title
    for alarm in attempt.course.alarms:
        if alarm.from_ms == at_ms:
            return f"Alarm: {phrases.alarm_title(alarm.kind, alarm.line).lower()}"
    for finding in attempt.report.findings:
        if finding.at_ms == at_ms:
            return finding.title
    return ""


# --- the record ----------------------------------------------------------------------------------


def _record(attempt: Attempt) -> tuple[tuple[str, str], ...]:
    """Who, what, with which numbers and versions: enough to find and rerun the attempt."""
    return (
        ("Attempt", attempt.id),
        ("Learner", attempt.learner),
        ("Scenario", f"{attempt.scenario.title} ({attempt.scenario.id})"),
        ("Seed", f"{attempt.seed} (0: the numbers as written)"),
        *attempt.versions,
    )


def at_moment(attempt: Attempt, at_ms: int, looking: Looking) -> Looking:
    """The same look with the play head elsewhere."""
    return replace(looking, at_ms=min(max(at_ms, 0), attempt.course.ends_ms))

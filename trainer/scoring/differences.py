"""What differs between two courses of one attempt, in words with numbers and units.

Each is told as it was and as it would have been, and whether that is better: an order's volume
nearer to what was ordered, less in the tissue, less air, shorter alarms, fewer findings. Of a
sign or a level nobody can say so without knowing the patient; those are told and not judged.
What reads the same in both is left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical.rounding import format_number, round_half_up
from trainer.engine.amounts import ml_from_motes
from trainer.engine.events import Event
from trainer.engine.state import State
from trainer.scenario.model import Order, Scenario
from trainer.scoring import explain, harm
from trainer.scoring.course import Course
from trainer.scoring.findings import Delivered, Finding, Report
from trainer.scoring.patient_course import LevelCourse, SignCourse, SignPoint
from trainer.terms import Priority, Reach

NONE = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One course of an attempt with all that is made of it.

    `states` are at the beginning and after each event: one more than events.
    """

    events: tuple[Event, ...]
    states: tuple[State, ...]
    report: Report
    course: Course


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """Something that would have been otherwise. `is_better` None: neither better nor worse."""

    name: str
    was: str
    then: str
    is_better: bool | None = None


def differences(scenario: Scenario, was: Told, then: Told) -> tuple[Difference, ...]:
    """Everything that differs: what the patient got, what it did, then findings and points."""
    found = (
        *_orders(scenario, was, then),
        *_levels(was, then),
        *_signs(was, then),
        *_astray(was, then),
        *_alarms(was, then),
        *_standing(was, then),
        *_findings(was.report, then.report),
        *_points(was.report, then.report),
    )
    return tuple(one for one in found if one.was != one.then)


def in_a_sentence(was: Told, then: Told, found: tuple[Difference, ...]) -> str:
    """What it would have meant, the patient first."""
    if not found:
        is_same = was.events == then.events
        return f"Nothing {'' if is_same else 'that is told here '}would have been different."
    orders = {one.title for one in (*was.report.delivered, *then.report.delivered)}
    dose = next((one for one in found if one.name in orders), None)
    told = f"; {dose.name}: {dose.then} instead of {dose.was}" if dose else ""
    return f"{_harm_words(was.report, then.report)}{told}."


def _harm_words(was: Report, then: Report) -> str:
    worst_was, worst_then = _worst(was), _worst(then)
    if worst_was is not worst_then:
        return f"The worst error would have been: {worst_then}, instead of: {worst_was}"
    more = len(then.missed_critical) - len(was.missed_critical)
    if more:
        noun = "critical finding" if abs(more) == 1 else "critical findings"
        return f"There would have been {abs(more)} {noun} {'more' if more > 0 else 'fewer'}"
    return f"The worst error would have been the same: {worst_then}"


def _worst(report: Report) -> Reach:
    rank = list(Reach)
    return max((one.reach for one in report.findings), key=rank.index, default=Reach.NONE)


def _by_less(was: Fraction | int, then: Fraction | int) -> bool | None:
    """Less is better."""
    return None if was == then else then < was


# --- what was given ---------------------------------------------------------------------------


def _orders(scenario: Scenario, was: Told, then: Told) -> Iterator[Difference]:
    """For each order what reached the vein, its share of what was ordered, and the dose."""
    before = {one.order: one for one in was.report.delivered}
    after = {one.order: one for one in then.report.delivered}
    for order in scenario.orders:
        one, other = before.get(order.id), after.get(order.id)
        if one or other:
            yield Difference(
                name=order.title,
                was=_given(scenario, order, one),
                then=_given(scenario, order, other),
                is_better=_by_less(_off(one), _off(other)) if one and other else None,
            )


def _off(one: Delivered) -> Fraction:
    return abs(one.given_ml - one.ordered_ml)


def _given(scenario: Scenario, order: Order, one: Delivered | None) -> str:
    """`93.7 mL (187 mg), 90 % of what was ordered`."""
    if one is None:
        return "never ordered"
    dose = _dose(scenario, order, one.given_ml)
    told = explain.rounded_ml(one.given_ml) + (f" ({dose})" if dose else "")
    if one.share is None:
        return told
    return f"{told}, {explain.percent(one.share)} of what was ordered"


def _dose(scenario: Scenario, order: Order, given_ml: Fraction) -> str:
    """The drug in a volume of the order's fluid; empty for a plain fluid."""
    strength = scenario.fluid(order.fluid).concentration
    if strength is None:
        return ""
    unit = strength.unit.text.partition("/")[0]
    return f"{three_digits(given_ml * strength.to(f'{unit}/mL'))} {unit}"


def three_digits(value: Fraction) -> str:
    """A number to three digits, a whole one whole.

    >>> three_digits(Fraction(18749, 100)), three_digits(Fraction(1, 300)), three_digits(Fraction(0))
    ('187', '0.00333', '0')
    """
    step = Fraction(1)
    while 0 < abs(value) < 100 * step:
        step /= 10
    return format_number(round_half_up(value, step))


# --- the patient ------------------------------------------------------------------------------


def _levels(was: Told, then: Told) -> Iterator[Difference]:
    """Peak and end of each drug's level."""
    before = {one.drug: one for one in was.course.levels}
    after = {one.drug: one for one in then.course.levels}
    for drug in dict.fromkeys((*before, *after)):
        one, other = before.get(drug), after.get(drug)
        name = (one or after[drug]).name
        yield Difference(name=f"{name}, highest level", was=_peak(one), then=_peak(other))
        yield Difference(name=f"{name}, level at the end", was=_last(one), then=_last(other))


def _peak(level: LevelCourse | None) -> str:
    if level is None:
        return NONE
    return _concentration(max(point.value for point in level.points), level.unit)


def _last(level: LevelCourse | None) -> str:
    return _concentration(level.points[-1].value, level.unit) if level else NONE


def _concentration(value: Fraction, unit: str) -> str:
    return f"{three_digits(value)} {unit}"


def _signs(was: Told, then: Told) -> Iterator[Difference]:
    """The lowest and the highest of each sign; of one in words, how it ended."""
    for one, other in zip(was.course.signs, then.course.signs, strict=True):
        numbers, others = _numbered(one), _numbered(other)
        if not numbers or not others:
            name = f"{one.name} at the end"
            yield Difference(name=name, was=one.points[-1].text, then=other.points[-1].text)
            continue
        for name, pick in (("lowest", min), ("highest", max)):
            yield Difference(
                name=f"{one.name}, {name}",
                was=_sign_text(one, pick(numbers, key=lambda pair: pair[0])[1]),
                then=_sign_text(other, pick(others, key=lambda pair: pair[0])[1]),
            )


def _numbered(sign: SignCourse) -> list[tuple[Fraction, SignPoint]]:
    return [(point.number, point) for point in sign.points if point.number is not None]


def _sign_text(sign: SignCourse, point: SignPoint) -> str:
    return f"{point.text} {sign.unit}".strip()


def _astray(was: Told, then: Told) -> Iterator[Difference]:
    """What went into the tissue, air in the vein, and what ran freely."""
    rows = (
        ("into the tissue", _into_tissue(was), _into_tissue(then)),
        (
            "air into the vein",
            was.states[-1].ledger.air_in_vein,
            then.states[-1].ledger.air_in_vein,
        ),
        ("ran freely into the vein", _freely(was), _freely(then)),
    )
    for name, before, after in rows:
        yield Difference(
            name=name,
            was=_volume_or_none(before),
            then=_volume_or_none(after),
            is_better=_by_less(before, after),
        )


def _into_tissue(told: Told) -> int:
    return sum(access.tissue for access in told.states[-1].access)


def _freely(told: Told) -> int:
    return sum(one.volume for one in harm.ran_freely(told.events, told.states))


def _volume_or_none(motes: int) -> str:
    return explain.rounded_ml(ml_from_motes(motes)) if motes else NONE


# --- alarms, standing lines ---------------------------------------------------------------------


def _alarms(was: Told, then: Told) -> Iterator[Difference]:
    """How long an alarm of each priority was on."""
    for priority in Priority:
        before, after = (_alarming_ms(told.course, priority) for told in (was, then))
        yield Difference(
            name=f"{priority} priority alarm",
            was=_span_or_none(before),
            then=_span_or_none(after),
            is_better=_by_less(before, after),
        )


def _alarming_ms(course: Course, priority: Priority) -> int:
    """The time in which at least one alarm of a priority was on."""
    spans = [(one.from_ms, one.until_ms) for one in course.alarms if one.priority is priority]
    on_ms = over_ms = 0
    for from_ms, until_ms in sorted(spans):
        on_ms += max(0, until_ms - max(from_ms, over_ms))
        over_ms = max(over_ms, until_ms)
    return on_ms


def _standing(was: Told, then: Told) -> Iterator[Difference]:
    """How long each line stood still; whether that was right depends on why."""
    for one, other in zip(was.course.lines, then.course.lines, strict=True):
        before, after = (
            told.course.ends_ms - sum(run.until_ms - run.from_ms for run in line.ran)
            for told, line in ((was, one), (then, other))
        )
        yield Difference(
            name=f"line {one.number} stood still",
            was=_span_or_none(before),
            then=_span_or_none(after),
        )


def _span_or_none(duration_ms: int) -> str:
    return explain.span(duration_ms) if duration_ms >= 1_000 else NONE


# --- findings and points --------------------------------------------------------------------------


def _findings(was: Report, then: Report) -> list[Difference]:
    """Findings that fell short in one course, critical ones first."""
    before = {_name(one): one for one in was.findings}
    after = {_name(one): one for one in then.findings}
    found = []
    for name in dict.fromkeys((*before, *after)):
        one, other = before.get(name), after.get(name)
        shorts = [each for each in (one, other) if each and _is_short(each)]
        if shorts:
            is_critical = any(each.critical for each in shorts)
            found.append((not is_critical, _finding(one, other, is_critical=is_critical)))
    return [row for _, row in sorted(found, key=lambda pair: pair[0])]


def _name(finding: Finding) -> tuple[str, int | None]:
    """What makes a finding the same in both; one about no order is known by its moment."""
    if finding.id.startswith("entry.none."):
        return "entry.none", finding.at_ms
    return finding.id, None


def _is_short(finding: Finding) -> bool:
    return finding.points < finding.most


def _finding(one: Finding | None, other: Finding | None, *, is_critical: bool) -> Difference:
    lost = [each.most - each.points if each else Fraction(0) for each in (one, other)]
    return Difference(
        name="critical finding" if is_critical else "finding",
        was=one.title if one else NONE,
        then=other.title if other else NONE,
        is_better=_by_less(*lost),
    )


def _points(was: Report, then: Report) -> Iterable[Difference]:
    before, after = (f"{_number(one.points)} of {_number(one.most)}" for one in (was, then))
    is_better = _by_less(was.most - was.points, then.most - then.points)
    return (Difference(name="points", was=before, then=after, is_better=is_better),)


def _number(points: Fraction) -> str:
    return format_number(round_half_up(points, Fraction(1, 10)))

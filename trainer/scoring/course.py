"""The course of an attempt: the frozen series that the debrief's strip draws.

One fold over the log, no ticks: values are taken at happenings, and between two of them
rate and ordered rate are level, volume and pressure straight lines. Only a drug's level
bends, so it is sampled at a fixed number of moments. Nothing here judges; `report` does.

Volumes are mL, rates mL/h, pressures mmHg, all `Fraction`; moments whole milliseconds of
the attempt.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby, pairwise

from trainer.clinical.quantity import parse_number
from trainer.engine import begin, carry, evolve, view
from trainer.engine.actions import Action
from trainer.engine.amounts import ml_from_motes, ml_h_from_ul_h
from trainer.engine.events import (
    Acted,
    AlarmCauseGone,
    AlarmEnded,
    AlarmRaised,
    Event,
    EventCame,
    Flushed,
    PressureReleased,
    Primed,
    SignChanged,
    SoundPaused,
    SoundResumed,
    Started,
)
from trainer.engine.state import State
from trainer.errors import QuantityError
from trainer.scenario.model import Order, Scenario
from trainer.scoring import expect, record
from trainer.terms import AlarmKind, Priority, Role

LEVEL_SAMPLES = 240
"""Moments at which a drug's level is taken. Chosen by us: finer than a pen's width."""
LEVEL_STEP = Fraction(1, 1000)
"""Levels are taken to a thousandth of their unit per litre. Chosen by us."""
CONTINUOUS = "continuous"


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """A value at a moment; to the next point runs a straight line."""

    at_ms: int
    value: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A rate that held from one moment to another, and what it ran from."""

    from_ms: int
    until_ms: int
    rate_ml_per_h: Fraction
    role: Role = Role.PRIMARY


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderedStretch:
    """The rate that an order asked for, from one moment to another."""

    order: str
    role: Role
    from_ms: int
    until_ms: int
    rate_ml_per_h: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class LineCourse:
    """One line: what was ordered, what the pump did, what reached the vein."""

    number: int
    ordered: tuple[OrderedStretch, ...]
    ran: tuple[Stretch, ...]
    given_ml: tuple[Point, ...]
    pressure_mmhg: tuple[Point, ...]
    pressure_alarm_mmhg: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmSpan:
    """One alarm from its beginning to its end; `cause_until_ms` is when its cause went."""

    kind: AlarmKind
    line: int
    priority: Priority
    from_ms: int
    cause_until_ms: int
    until_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Pause:
    """A stretch in which the alarm sound was paused."""

    from_ms: int
    until_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ActMark:
    """Something a learner did; `refused` says why it was impossible, if it was."""

    at_ms: int
    action: Action
    actor: str
    refused: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class EventMark:
    """An event of the scenario, with the author's title."""

    at_ms: int
    event: str
    title: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SignPoint:
    """A sign as it truly was from a moment on; `number` is None where it is no number."""

    at_ms: int
    text: str
    number: Fraction | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SignCourse:
    """One vital sign over time."""

    name: str
    unit: str
    points: tuple[SignPoint, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelCourse:
    """A drug's level in the patient, sampled."""

    drug: str
    name: str
    unit: str
    points: tuple[Point, ...]


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


def course(scenario: Scenario, events: tuple[Event, ...]) -> Course:
    """The course of an attempt, from its scenario and its log.

    Values at a moment with a jump stand twice: before and after it.
    """
    ends_ms = record.end_ms(events)
    moments = _moments(scenario, events)
    return Course(
        ends_ms=ends_ms,
        lines=tuple(
            LineCourse(
                number=line.number,
                ordered=_ordered(scenario, events, line.number),
                ran=_ran(moments, line.number),
                given_ml=_given(moments, events, line.number),
                pressure_mmhg=_pressures(moments, line.number),
                pressure_alarm_mmhg=scenario.policy.pump.pressure_alarm_mmhg,
            )
            for line in scenario.lines
        ),
        signs=_signs(scenario, events),
        levels=_levels(scenario, moments, ends_ms),
        alarms=_alarm_spans(events, ends_ms),
        pauses=_pauses(events, ends_ms),
        acts=tuple(_act_mark(deed, events) for deed in record.deeds(events)),
        events=_event_marks(scenario, events),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """The bedside just before the events of one millisecond and just after them."""

    at_ms: int
    before: State
    after: State


def _moments(scenario: Scenario, events: tuple[Event, ...]) -> tuple[Moment, ...]:
    """The bedside at every moment at which something happened, and at the beginning."""
    state = begin.initial_state(scenario)
    found = [Moment(at_ms=0, before=state, after=state)]
    for at_ms, group in groupby(events, key=lambda event: event.at_ms):
        before = carry.carry(found[-1].after, at_ms)
        found.append(Moment(at_ms=at_ms, before=before, after=evolve.fold(before, tuple(group))))
    return tuple(found)


# --- lines ---------------------------------------------------------------------------------


def _ordered(
    scenario: Scenario, events: tuple[Event, ...], number: int
) -> tuple[OrderedStretch, ...]:
    """The ordered rates of a line: orders with an end first, then the continuous ones.

    A continuous order asks from the moment it stands. One with an end (a dose, a bolus)
    asks from the moment its inlet was first started, for as long as it takes; if it never
    was, from the moment it stood.
    """
    found = []
    for standing in record.standings(scenario, events):
        if standing.order.line == number:
            programme = expect.expected_programme(scenario, standing.order.id)
            from_ms, until_ms = standing.from_ms, standing.until_ms
            if standing.order.kind != CONTINUOUS:
                from_ms = _first_start(standing.order, standing.from_ms, events)
                until_ms = min(until_ms, from_ms + programme.duration_ms)
            found.append(
                OrderedStretch(
                    order=standing.order.id,
                    role=standing.order.role,
                    from_ms=from_ms,
                    until_ms=until_ms,
                    rate_ml_per_h=ml_h_from_ul_h(programme.rate_ul_h),
                )
            )
    return tuple(sorted(found, key=lambda one: scenario.order(one.order).kind == CONTINUOUS))


def _first_start(order: Order, from_ms: int, events: tuple[Event, ...]) -> int:
    """When the order's inlet was first started after it stood; else when it stood."""
    return next(
        (
            event.at_ms
            for event in events
            if isinstance(event, Started)
            and event.at_ms >= from_ms
            and event.line == order.line
            and event.source is order.role
        ),
        from_ms,
    )


def _ran(moments: tuple[Moment, ...], number: int) -> tuple[Stretch, ...]:
    """What the pump turned at, whether or not anything reached the vein.

    From change to change; stretches in which it stood are absent.
    """
    found: list[Stretch] = []
    for now, following in pairwise(moments):
        line = now.after.line(number)
        rate = ml_h_from_ul_h(line.pump.rate_ul_h)
        if rate and following.at_ms > now.at_ms:
            stretch = Stretch(
                from_ms=now.at_ms,
                until_ms=following.at_ms,
                rate_ml_per_h=rate,
                role=line.pump.source,
            )
            last = found[-1] if found else None
            if last and (last.until_ms, last.rate_ml_per_h, last.role) == (
                stretch.from_ms,
                rate,
                stretch.role,
            ):
                found[-1] = replace(last, until_ms=stretch.until_ms)
            else:
                found.append(stretch)
    return tuple(found)


def _given(
    moments: tuple[Moment, ...], events: tuple[Event, ...], number: int
) -> tuple[Point, ...]:
    """Volume into the vein from one line: its flow over time, and what came at once."""
    given = 0
    found = [Point(at_ms=0, value=Fraction(0))]
    jumps = _jumps(events, number)
    for now, following in pairwise(moments):
        given += view.vein_flow_ul_h(now.after, number) * (following.at_ms - now.at_ms)
        found.append(Point(at_ms=following.at_ms, value=ml_from_motes(given)))
        if following.at_ms in jumps:
            given += jumps[following.at_ms]
            found.append(Point(at_ms=following.at_ms, value=ml_from_motes(given)))
    return _without_idle(found)


def _jumps(events: tuple[Event, ...], number: int) -> dict[int, int]:
    """Volumes that reached the vein in no time, by moment: a release, a flush, a priming."""
    found: dict[int, int] = {}
    for event in events:
        if not isinstance(event, Flushed | PressureReleased | Primed) or event.line != number:
            continue
        if isinstance(event, Flushed) or event.into_vein:
            found[event.at_ms] = found.get(event.at_ms, 0) + event.volume
    return found


def _pressures(moments: tuple[Moment, ...], number: int) -> tuple[Point, ...]:
    """Pressure below the pump: straight lines between happenings, jumps at them."""
    found = []
    for moment in moments:
        for state in (moment.before, moment.after):
            value = Fraction(view.pressure_mmhg(state, number))
            found.append(Point(at_ms=moment.at_ms, value=value))
    return _without_idle(found)


def _without_idle(points: list[Point]) -> tuple[Point, ...]:
    """The points without those that lie on the straight line between their neighbours."""
    kept: list[Point] = []
    for place, point in enumerate(points):
        if kept and point == kept[-1]:
            continue
        following = points[place + 1] if place + 1 < len(points) else None
        if len(kept) > 0 and following and _is_between(kept[-1], point, following):
            continue
        kept.append(point)
    return tuple(kept)


def _is_between(first: Point, middle: Point, last: Point) -> bool:
    """Whether a point lies on the line between two others, and not at a jump."""
    if middle.at_ms in (first.at_ms, last.at_ms):
        return first.value == middle.value == last.value
    left = (middle.value - first.value) * (last.at_ms - first.at_ms)
    right = (last.value - first.value) * (middle.at_ms - first.at_ms)
    return left == right


# --- the patient -----------------------------------------------------------------------------


def _signs(scenario: Scenario, events: tuple[Event, ...]) -> tuple[SignCourse, ...]:
    """Each sign as it truly was, seen or not."""
    return tuple(
        SignCourse(
            name=sign.name,
            unit=sign.unit,
            points=(
                _sign_point(0, sign.value),
                *(
                    _sign_point(event.at_ms, event.value)
                    for event in events
                    if isinstance(event, SignChanged) and event.sign == sign.name
                ),
            ),
        )
        for sign in scenario.patient.signs
    )


def _sign_point(at_ms: int, text: str) -> SignPoint:
    try:
        number = parse_number(text)
    except QuantityError:
        return SignPoint(at_ms=at_ms, text=text, number=None)
    return SignPoint(at_ms=at_ms, text=text, number=number)


def _levels(
    scenario: Scenario, moments: tuple[Moment, ...], ends_ms: int
) -> tuple[LevelCourse, ...]:
    """The level of each drug that reached the patient, sampled."""
    reached = {one.drug for moment in moments for one in moment.after.drugs if one.amount}
    return tuple(
        _level(scenario, drug, moments, ends_ms)
        for drug in sorted(reached)
        if scenario.drug(drug).volume_l_per_kg
    )


def _level(scenario: Scenario, drug: str, moments: tuple[Moment, ...], ends_ms: int) -> LevelCourse:
    """One drug's level at evenly set moments, each carried from the happening before it."""
    points = []
    unit = ""
    place = 0
    for sample in range(LEVEL_SAMPLES + 1):
        at_ms = ends_ms * sample // LEVEL_SAMPLES
        while place + 1 < len(moments) and moments[place + 1].at_ms <= at_ms:
            place += 1
        state = carry.carry(moments[place].after, at_ms)
        level, unit = view.drug_level_per_l(state, drug, LEVEL_STEP)
        points.append(Point(at_ms=at_ms, value=level))
    return LevelCourse(drug=drug, name=scenario.drug(drug).name, unit=unit, points=tuple(points))


# --- alarms, acts, events ----------------------------------------------------------------------


def _alarm_spans(events: tuple[Event, ...], ends_ms: int) -> tuple[AlarmSpan, ...]:
    """Every alarm from its beginning to its end, or to the end of the attempt."""
    return tuple(
        AlarmSpan(
            kind=event.kind,
            line=event.line,
            priority=event.priority,
            from_ms=event.at_ms,
            cause_until_ms=_until(events[place:], AlarmCauseGone, event, ends_ms),
            until_ms=_until(events[place:], AlarmEnded, event, ends_ms),
        )
        for place, event in enumerate(events)
        if isinstance(event, AlarmRaised)
    )


def _until(
    events: tuple[Event, ...],
    kind: type[AlarmCauseGone] | type[AlarmEnded],
    alarm: AlarmRaised,
    ends_ms: int,
) -> int:
    return next(
        (
            event.at_ms
            for event in events
            if isinstance(event, kind | AlarmEnded)
            and (event.kind, event.line) == (alarm.kind, alarm.line)
        ),
        ends_ms,
    )


def _pauses(events: tuple[Event, ...], ends_ms: int) -> tuple[Pause, ...]:
    """Stretches without alarm sound."""
    found = []
    for place, event in enumerate(events):
        if isinstance(event, SoundPaused):
            resumed = (e.at_ms for e in events[place:] if isinstance(e, SoundResumed))
            until_ms = min(event.until_ms, next(resumed, ends_ms), ends_ms)
            found.append(Pause(from_ms=event.at_ms, until_ms=until_ms))
    return tuple(found)


def _act_mark(deed: record.Deed, events: tuple[Event, ...]) -> ActMark:
    acted = events[deed.index]
    actor = acted.actor if isinstance(acted, Acted) else ""
    return ActMark(at_ms=deed.at_ms, action=deed.action, actor=actor, refused=deed.refused)


def _event_marks(scenario: Scenario, events: tuple[Event, ...]) -> tuple[EventMark, ...]:
    """The scenario's events that came, each once however many things it did."""
    marks = [
        EventMark(at_ms=event.at_ms, event=event.event, title=scenario.event(event.event).title)
        for event in events
        if isinstance(event, EventCame)
    ]
    return tuple(dict.fromkeys(marks))

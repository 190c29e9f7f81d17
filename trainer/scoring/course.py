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
from itertools import accumulate, groupby, pairwise

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
)
from trainer.engine.state import State
from trainer.errors import QuantityError
from trainer.scenario.model import Order, Scenario
from trainer.scoring import expect, programmes, record
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
class Reaching:
    """A stretch in which one fluid (its id, or `terms.AIR`) flowed into the vein."""

    from_ms: int
    until_ms: int
    fluid: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LineCourse:
    """One line: what was ordered, what the pump did, what reached the vein."""

    number: int
    ordered: tuple[OrderedStretch, ...]
    ran: tuple[Stretch, ...]
    reaching: tuple[Reaching, ...]
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
    starts = _first_starts(scenario, events)
    return Course(
        ends_ms=ends_ms,
        lines=tuple(
            LineCourse(
                number=line.number,
                ordered=_ordered(scenario, events, line.number, starts),
                ran=_ran(moments, line.number),
                reaching=_reaching(moments, line.number),
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
    scenario: Scenario, events: tuple[Event, ...], number: int, starts: dict[str, int]
) -> tuple[OrderedStretch, ...]:
    """The ordered rates of a line, one after the other: at most one is asked for at a time.

    A continuous order asks from the moment it stands, and waits while one with an end (a
    dose, a bolus) is due on its line. That one asks from its first start for as long as it
    takes; if it was never started, from the moment it stood.
    """
    stood = [one for one in record.standings(scenario, events) if one.order.line == number]
    doses = []
    for one in stood:
        if one.order.kind != CONTINUOUS:
            takes_ms = expect.expected_programme(scenario, one.order.id).duration_ms
            from_ms = starts.get(one.order.id, one.from_ms)
            until_ms = min(from_ms + takes_ms, record.end_ms(events))
            doses.append(_stretch(scenario, one.order, from_ms, until_ms))
    found = list(doses)
    for one in stood:
        if one.order.kind == CONTINUOUS:
            whole = _stretch(scenario, one.order, one.from_ms, one.until_ms)
            found += without(whole, doses)
    return tuple(sorted(found, key=lambda one: one.from_ms))


def _first_starts(scenario: Scenario, events: tuple[Event, ...]) -> dict[str, int]:
    """When each order's programme was first started, as the report reads the log."""
    states = tuple(accumulate(events, evolve.evolve, initial=begin.initial_state(scenario)))[1:]
    stood = record.standings(scenario, events)
    entered = programmes.keyed(scenario, events, states, stood, expect.keys(scenario))
    return {order: events[index].at_ms for order, index in programmes.first_starts(entered).items()}


def _stretch(scenario: Scenario, order: Order, from_ms: int, until_ms: int) -> OrderedStretch:
    rate_ul_h = expect.expected_programme(scenario, order.id).rate_ul_h
    return OrderedStretch(
        order=order.id,
        role=order.role,
        from_ms=from_ms,
        until_ms=until_ms,
        rate_ml_per_h=ml_h_from_ul_h(rate_ul_h),
    )


def without(whole: OrderedStretch, others: list[OrderedStretch]) -> list[OrderedStretch]:
    """What is left of a stretch when others on the same line come first."""
    left = [whole]
    for other in others:
        left = [
            replace(one, from_ms=from_ms, until_ms=until_ms)
            for one in left
            for from_ms, until_ms in (
                (one.from_ms, min(one.until_ms, other.from_ms)),
                (max(one.from_ms, other.until_ms), one.until_ms),
            )
            if from_ms < until_ms
        ]
    return left


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


def _reaching(moments: tuple[Moment, ...], number: int) -> tuple[Reaching, ...]:
    """Which fluid (or air) flowed into the vein, from change to change."""
    found: list[Reaching] = []
    for now, following in pairwise(moments):
        below = now.after.line(number).below
        if not below or not view.vein_flow_ul_h(now.after, number):
            continue
        one = Reaching(from_ms=now.at_ms, until_ms=following.at_ms, fluid=below[0].fluid)
        last = found[-1] if found else None
        if last and (last.until_ms, last.fluid) == (one.from_ms, one.fluid):
            found[-1] = replace(last, until_ms=one.until_ms)
        elif one.until_ms > one.from_ms:
            found.append(one)
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

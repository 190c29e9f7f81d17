"""The course of one line: what was ordered, what the pump did, what reached the vein.

Volumes are mL, rates mL/h, pressures mmHg, all `Fraction`; moments whole milliseconds.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise, zip_longest
from typing import TypeVar

from trainer.engine import drive, view
from trainer.engine.amounts import ml_from_motes, ml_h_from_ul_h
from trainer.engine.state import Programme, State
from trainer.scenario.model import Order
from trainer.scoring import expect, programmes, record
from trainer.scoring.bends import told_where_it_bends
from trainer.scoring.into_vein import Poured
from trainer.scoring.moments import Moment, Point
from trainer.scoring.reading_log import Read
from trainer.terms import Drive, Role

CONTINUOUS = "continuous"
NEAR_MMHG = Fraction(1)
NEAR_ML_PER_H = Fraction(1, 10)
"""How nearly bending curves are told. Chosen by us: finer than a pen's width."""

Number = TypeVar("Number", int, Fraction)


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
    into_vein_ml_per_h: tuple[Point, ...] = ()
    has_pump: bool = True


def line_course(
    read: Read, moments: tuple[Moment, ...], number: int, starts: dict[str, int]
) -> LineCourse:
    """The course of one line.

    `starts` says when each order's programme was first started.
    """
    scenario = read.scenario
    return LineCourse(
        number=number,
        ordered=_ordered(read, number, starts),
        ran=_ran(moments, number),
        reaching=_reaching(moments, read.poured, number),
        given_ml=_given(read.poured, number, moments[-1].at_ms),
        pressure_mmhg=_pressures(moments, number),
        into_vein_ml_per_h=_vein_flow(moments, number),
        has_pump=scenario.line(number).drive is not Drive.GRAVITY,
        pressure_alarm_mmhg=scenario.policy.pump.pressure_alarm_mmhg,
    )


def first_starts(read: Read) -> dict[str, int]:
    """When each order's programme was first started, as the report reads the log."""
    starts = programmes.first_starts(read.entered)
    return {order: read.events[index].at_ms for order, index in starts.items()}


def _ordered(read: Read, number: int, starts: dict[str, int]) -> tuple[OrderedStretch, ...]:
    """The ordered rates of a line, one after the other: at most one is asked for at a time.

    A continuous order asks from the moment it stands, and waits while one with an end (a
    dose, a bolus) is due on its line. That one asks from its first start for as long as it
    takes; if it was never started, from the moment it stood.
    """
    stood = [one for one in read.stood if one.order.line == number]
    doses = []
    for one in stood:
        if one.order.kind != CONTINUOUS:
            takes_ms = _programme(read, one.order).duration_ms
            from_ms = starts.get(one.order.id, one.from_ms)
            until_ms = min(from_ms + takes_ms, record.end_ms(read.events))
            doses.append(_stretch(read, one.order, from_ms, until_ms))
    found = list(doses)
    for one in stood:
        if one.order.kind == CONTINUOUS:
            whole = _stretch(read, one.order, one.from_ms, one.until_ms)
            found += without(whole, doses)
    return tuple(sorted(found, key=lambda one: one.from_ms))


def _programme(read: Read, order: Order) -> Programme:
    return expect.expected_programme(read.scenario, order.id, read.keys)


def _stretch(read: Read, order: Order, from_ms: int, until_ms: int) -> OrderedStretch:
    rate_ul_h = _programme(read, order).rate_ul_h
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
        rate = ml_h_from_ul_h(line.pump.rate_ul_h or drive.flow_ul_h(now.after, line))
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


def _reaching(
    moments: tuple[Moment, ...], poured: tuple[Poured, ...], number: int
) -> tuple[Reaching, ...]:
    """Which fluid (or air) flowed into the vein, from change to change."""
    flowed_from = {
        one.from_ms for one in poured if one.line == number and one.until_ms > one.from_ms
    }
    found: list[Reaching] = []
    for now, following in pairwise(moments):
        below = now.after.line(number).below
        if not below or following.at_ms == now.at_ms or now.at_ms not in flowed_from:
            continue
        one = Reaching(from_ms=now.at_ms, until_ms=following.at_ms, fluid=below[0].fluid)
        last = found[-1] if found else None
        if last and (last.until_ms, last.fluid) == (one.from_ms, one.fluid):
            found[-1] = replace(last, until_ms=one.until_ms)
        elif one.until_ms > one.from_ms:
            found.append(one)
    return tuple(found)


def _given(poured: tuple[Poured, ...], number: int, ends_ms: int) -> tuple[Point, ...]:
    """Volume of fluid into the vein from one line, over time and at once; air is no volume."""
    given, last_ms = 0, 0
    spots = [(0, 0)]  # moments and motes: whole numbers, quickly compared
    for one in poured:
        if one.line == number and one.fluid:
            if one.from_ms > last_ms or one.until_ms == one.from_ms:
                spots.append((one.from_ms, given))
            given, last_ms = given + one.fluid, one.until_ms
            spots.append((last_ms, given))
    if ends_ms > last_ms:
        spots.append((ends_ms, given))
    return tuple(
        Point(at_ms=at_ms, value=ml_from_motes(motes)) for at_ms, motes in _without_idle(spots)
    )


def _pressures(moments: tuple[Moment, ...], number: int) -> tuple[Point, ...]:
    """Pressure below the pump: jumps at happenings, and bends behind a narrowing."""

    def pressure(state: State) -> Fraction:
        return Fraction(view.pressure_mmhg(state, number))

    return _straightened(told_where_it_bends(moments, pressure, NEAR_MMHG))


def _vein_flow(moments: tuple[Moment, ...], number: int) -> tuple[Point, ...]:
    """What truly flowed into the vein, whatever the pump did."""

    def flow(state: State) -> Fraction:
        return ml_h_from_ul_h(view.vein_flow_ul_h(state, number))

    return _straightened(told_where_it_bends(moments, flow, NEAR_ML_PER_H))


def _straightened(points: tuple[Point, ...]) -> tuple[Point, ...]:
    """The points without those that lie on the straight line between their neighbours."""
    spots = _without_idle([(point.at_ms, point.value) for point in points])
    return tuple(Point(at_ms=at_ms, value=value) for at_ms, value in spots)


def _without_idle(spots: list[tuple[int, Number]]) -> list[tuple[int, Number]]:
    """Moments and values without those that lie on the straight line between their neighbours."""
    kept: list[tuple[int, Number]] = []
    for spot, following in zip_longest(spots, spots[1:]):
        if kept and spot == kept[-1]:
            continue
        if kept and following and _is_between(kept[-1], spot, following):
            continue
        kept.append(spot)
    return kept


def _is_between(
    first: tuple[int, Number], middle: tuple[int, Number], last: tuple[int, Number]
) -> bool:
    """Whether a spot lies on the line between two others, and not at a jump."""
    (first_ms, before), (at_ms, value), (last_ms, after) = first, middle, last
    if before is value is after or before == value == after:
        return True
    if at_ms in (first_ms, last_ms):
        return False
    return (value - before) * (last_ms - first_ms) == (after - before) * (at_ms - first_ms)

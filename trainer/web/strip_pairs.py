"""Two courses of one attempt side by side: each quantity once as it was, once as it would have been.

Takes two `scoring.course.Course` and gives pairs of series, ready to be drawn to one scale
(`strip_both`) or told in a table. Nothing is judged here.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.scoring.course import Course
from trainer.scoring.line_course import LineCourse, OrderedStretch, Stretch
from trainer.scoring.moments import Point
from trainer.scoring.patient_course import LevelCourse, SignCourse
from trainer.web.sheet import number_text
from trainer.web.strip_lines import flow_differs
from trainer.web.strip_patient import short

TENTH = Fraction(1, 10)
ONE_MMHG = Fraction(1)
LEAST_SHARE = Fraction(1, 100)
"""Levels nearer than this share of the highest are told as one. Chosen by us: a pen's width."""

Texts = tuple[tuple[int, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """One quantity in both courses.

    Between two points runs a straight line; at a jump two points share their moment. With
    texts (a vital sign) it is told as charted, else as a number. `least` is what two values
    must lie apart to be told as two. `line` is the number of its line (None: the patient's).
    """

    title: str  # the lane's name, "line 1", "heart rate"
    note: str  # "rate, mL/h"
    name: str  # in a table or a sentence, "line 1, rate"
    was: tuple[Point, ...]
    then: tuple[Point, ...]
    least: Fraction
    line: int | None = None
    is_rate: bool = False
    was_texts: Texts = ()
    then_texts: Texts = ()
    asked: tuple[OrderedStretch, ...] = ()
    limit: Fraction | None = None
    from_zero: bool = True
    height: int = 60
    differs: bool = False  # whether the two courses can be told apart in it
    widest_ms: int = 0  # when they lie furthest apart

    def told(self, *, then: bool, moments: tuple[int, ...]) -> tuple[str, ...]:
        """The values at rising moments, as they were or as they would have been."""
        texts = self.then_texts if then else self.was_texts
        if texts:
            changes = [at_ms for at_ms, _ in texts]
            return tuple(texts[max(bisect_right(changes, at) - 1, 0)][1] for at in moments)
        points = self.then if then else self.was
        return tuple(number_text(level_at(points, at_ms)) for at_ms in moments)


def pairs(was: Course, then: Course) -> tuple[Pair, ...]:
    """Every quantity of two courses, in the order of the strip."""
    found: list[Pair] = []
    for first, other in zip(was.lines, then.lines, strict=True):
        found += _of_line(first, other)
    found += _tissue(was, then)
    found += [_sign(first, other) for first, other in zip(was.signs, then.signs, strict=True)]
    found += _levels(was, then)
    return tuple(_compared(one) for one in found)


# --- a line ----------------------------------------------------------------------------------


def _of_line(was: LineCourse, then: LineCourse) -> list[Pair]:
    """Rate, flow where it is not the rate, volume, and pressure where there is a pump."""
    plain = Pair(
        title=f"line {was.number}",
        note="rate, mL/h",
        name=f"line {was.number}, rate in mL/h",
        was=stepped(was.ran),
        then=stepped(then.ran),
        least=TENTH,
        line=was.number,
        is_rate=True,
        asked=was.ordered,
        height=88,
    )
    found = [plain]
    if flow_differs(was) or flow_differs(then):
        found.append(
            replace(
                plain,
                title="",
                note="flow, mL/h",
                name=f"line {was.number}, flow into the vein in mL/h",
                was=was.into_vein_ml_per_h,
                then=then.into_vein_ml_per_h,
                is_rate=False,
                asked=(),
                height=60,
            )
        )
    found.append(
        replace(
            plain,
            title="",
            note="in vein, mL",
            name=f"line {was.number}, volume into the vein in mL",
            was=was.given_ml,
            then=then.given_ml,
            is_rate=False,
            asked=(),
            height=60,
        )
    )
    if was.has_pump:
        found.append(
            replace(
                plain,
                title="",
                note="pressure, mmHg",
                name=f"line {was.number}, pressure below the pump in mmHg",
                was=was.pressure_mmhg,
                then=then.pressure_mmhg,
                least=ONE_MMHG,
                is_rate=False,
                asked=(),
                limit=was.pressure_alarm_mmhg,
                height=56,
            )
        )
    return found


def stepped(ran: tuple[Stretch, ...]) -> tuple[Point, ...]:
    """The rates that ran as points: nothing before, between and after them."""
    points: list[Point] = []
    for one in ran:
        if not points or points[-1].at_ms != one.from_ms:
            points.append(Point(at_ms=one.from_ms, value=Fraction(0)))
        elif points[-1].value == 0:
            points.pop()
        points.append(Point(at_ms=one.from_ms, value=one.rate_ml_per_h))
        points.append(Point(at_ms=one.until_ms, value=one.rate_ml_per_h))
        points.append(Point(at_ms=one.until_ms, value=Fraction(0)))
    return tuple(points)


# --- the patient -----------------------------------------------------------------------------


def _tissue(was: Course, then: Course) -> list[Pair]:
    """What went beside the vein, at each site that it went to in one of the courses."""
    firsts = {one.name: one.points for one in was.tissue}
    others = {one.name: one.points for one in then.tissue}
    return [
        Pair(
            title="tissue",
            note=f"{name}, mL",
            name=f"in the tissue, {name}, in mL",
            was=firsts.get(name, ()),
            then=others.get(name, ()),
            least=TENTH,
            height=44,
        )
        for name in dict.fromkeys((*firsts, *others))
    ]


def _sign(was: SignCourse, then: SignCourse) -> Pair:
    """A vital sign: in the steps of its charting, words in the order in which they came."""
    points = (*was.points, *then.points)
    words = tuple(dict.fromkeys(one.text for one in points))
    in_words = any(one.number is None for one in points)

    def course(sign: SignCourse) -> tuple[Point, ...]:
        values = [
            (one.at_ms, Fraction(-words.index(one.text)) if one.number is None else one.number)
            for one in sign.points
        ]
        return _level_between(values)

    return Pair(
        title=was.name,
        note=was.unit,
        name=f"{was.name} in {was.unit}" if was.unit else was.name,
        was=course(was),
        then=course(then),
        least=Fraction(0),
        was_texts=tuple((one.at_ms, one.text) for one in was.points),
        then_texts=tuple((one.at_ms, one.text) for one in then.points),
        from_zero=False,
        height=34 if in_words else 48,
    )


def _level_between(values: list[tuple[int, Fraction]]) -> tuple[Point, ...]:
    """Values that hold until the next one, as points."""
    points: list[Point] = []
    for at_ms, value in values:
        if points:
            points.append(Point(at_ms=at_ms, value=points[-1].value))
        points.append(Point(at_ms=at_ms, value=value))
    return tuple(points)


FINER = {"g/L": 1, "mg/L": 1_000, "mcg/L": 1_000_000}
"""How many of each unit of a level make one g/L; two courses may be told in different ones."""


def _levels(was: Course, then: Course) -> list[Pair]:
    """The level of each drug that reached the patient in one of the courses."""
    firsts = {one.drug: one for one in was.levels}
    others = {one.drug: one for one in then.levels}
    return [
        _level(firsts.get(drug), others.get(drug)) for drug in dict.fromkeys((*firsts, *others))
    ]


def _level(was: LevelCourse | None, then: LevelCourse | None) -> Pair:
    known = [one for one in (was, then) if one is not None]
    unit = min((one.unit for one in known), key=lambda unit: FINER.get(unit, 0))
    first, other = _in_unit(was, unit), _in_unit(then, unit)
    most = max((one.value for one in (*first, *other)), default=Fraction(0))
    return Pair(
        title=short(known[0].name),
        note=f"level, {unit}",
        name=f"{known[0].name}, level in {unit}",
        was=first,
        then=other,
        least=most * LEAST_SHARE,
    )


def _in_unit(level: LevelCourse | None, unit: str) -> tuple[Point, ...]:
    """A level's points in a unit that both courses are told in; none if the drug never came."""
    if level is None:
        return ()
    if level.unit == unit:
        return level.points
    share = Fraction(FINER.get(unit, 1), FINER.get(level.unit, 1))
    return tuple(Point(at_ms=one.at_ms, value=one.value * share) for one in level.points)


# --- comparing -------------------------------------------------------------------------------


def level_at(points: tuple[Point, ...], at_ms: int) -> Fraction:
    """The value at a moment; before the first point and without any nothing, then the last."""
    place = bisect_right(points, at_ms, key=lambda point: point.at_ms)
    return _between(points, place, at_ms)


def values_at(points: tuple[Point, ...], moments: tuple[int, ...]) -> tuple[Fraction, ...]:
    """The values at rising moments, on the straight lines between the points.

    At a jump the value after it; before the first point nothing, after the last the last.
    """
    found, place = [], 0
    for at_ms in moments:
        while place < len(points) and points[place].at_ms <= at_ms:
            place += 1
        found.append(_between(points, place, at_ms))
    return tuple(found)


def _between(points: tuple[Point, ...], place: int, at_ms: int) -> Fraction:
    """The value before the point at `place`, which is the first one later than the moment."""
    if place == 0:
        return Fraction(0)
    before = points[place - 1]
    if place == len(points) or before.at_ms == at_ms:
        return before.value
    after = points[place]
    share = Fraction(at_ms - before.at_ms, after.at_ms - before.at_ms)
    return before.value + share * (after.value - before.value)


def _compared(pair: Pair) -> Pair:
    """The pair with whether its two courses differ, and when most."""
    if (pair.was, pair.was_texts) == (pair.then, pair.then_texts):
        return pair
    moments = tuple(sorted({point.at_ms for point in (*pair.was, *pair.then)}))
    both = zip(values_at(pair.was, moments), values_at(pair.then, moments), strict=True)
    most, at_ms = Fraction(-1), 0
    for moment, (first, other) in zip(moments, both, strict=True):
        if first != other and abs(first - other) > most:
            most, at_ms = abs(first - other), moment
    differs = pair.was_texts != pair.then_texts or most > pair.least
    return replace(pair, differs=differs, widest_ms=at_ms)

"""One quantity of two courses in one lane, to one scale.

The first course is solid and quiet, the other lies over it thicker and dashed; both are named
at the end of their line, and where they lie furthest apart their values are written.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import groupby, pairwise

from trainer.scoring.moments import Point
from trainer.web.drawing import Scale, polyline
from trainer.web.sheet import Sheet, number_text
from trainer.web.strip_pairs import Pair, level_at

WAS, THEN = "was", "then"

APART = Fraction(15)
"""Least distance between two words one over the other, in user units."""

END_ROOM = 110
"""Room for a line's name and value at its end, where they stand inside the picture."""

UNDER = 9
"""How far below a lane's floor a word may still stand."""


def both_lane(sheet: Sheet, pair: Pair) -> None:
    """One quantity: floor, what was asked, the first course, the other over it, their names."""
    title, note = _heading(sheet, pair)
    top, bottom = sheet.lane(title, note, pair.height)
    scale = _scale(pair, top, bottom)
    left = Fraction(sheet.format.left)
    if pair.from_zero:
        sheet.stroke("floor", polyline(((left, bottom), (sheet.right, bottom))))
    for one in pair.asked:
        y = scale.place(one.rate_ml_per_h)
        sheet.stroke("asked", polyline(((sheet.x(one.from_ms), y), (sheet.x(one.until_ms), y))))
    if pair.limit is not None:
        y = scale.place(pair.limit)
        sheet.stroke("limit", polyline(((left, y), (sheet.right, y))))
    for which, points in ((WAS, pair.was), (THEN, pair.then)):
        held = _held_to_the_edges(points, sheet, from_zero=pair.from_zero)
        sheet.stroke(f"course-{which}", path(sheet, held, scale), f"{pair.name}, {which}")
    if pair.is_rate:
        _rate_words(sheet, pair, scale)
    elif pair.differs:
        _widest_words(sheet, pair, scale)
    _end_words(sheet, pair, scale)


def _heading(sheet: Sheet, pair: Pair) -> tuple[str, str]:
    """The lane's title and note; without a gutter the line's number stands in each title."""
    if sheet.format.has_gutter or pair.title or pair.line is None:
        return pair.title, pair.note
    return f"line {pair.line}", pair.note


def _scale(pair: Pair, top: Fraction, bottom: Fraction) -> Scale:
    """One scale for both courses, with a little room over the highest."""
    values = [point.value for point in (*pair.was, *pair.then)]
    values += [one.rate_ml_per_h for one in pair.asked]
    values += [pair.limit] if pair.limit is not None else []
    high = max(values, default=Fraction(1))
    if pair.from_zero:
        return Scale(Fraction(0), high * Fraction(5, 4) or Fraction(1), bottom, top)
    low = min(values, default=Fraction(0))
    room = (high - low) / 3 or Fraction(1)
    return Scale(low - room, high + room, bottom, top + 4)


def _held_to_the_edges(
    points: tuple[Point, ...], sheet: Sheet, *, from_zero: bool
) -> tuple[Point, ...]:
    """The points with a value at both ends of the picture, so that both lines reach across."""
    if not points:
        zero = Fraction(0)
        return (Point(at_ms=sheet.from_ms, value=zero), Point(at_ms=sheet.until_ms, value=zero))
    first, last = points[0], points[-1]
    before = Fraction(0) if from_zero else first.value
    head = (Point(at_ms=sheet.from_ms, value=before), Point(at_ms=first.at_ms, value=before))
    tail = Point(at_ms=sheet.until_ms, value=last.value)
    return (
        *(head if first.at_ms > sheet.from_ms else ()),
        *points,
        *((tail,) if last.at_ms < sheet.until_ms else ()),
    )


def _rate_words(sheet: Sheet, pair: Pair, scale: Scale) -> None:
    """The rates themselves over their steps, where the other course has room beside them."""
    for which, points, others in ((WAS, pair.was, pair.then), (THEN, pair.then, pair.was)):
        reach = Fraction(-100)
        for start, stop in pairwise(points):
            if start.value != stop.value or not start.value:
                continue
            left, right = sheet.x(start.at_ms), sheet.x(stop.at_ms)
            if right - left < 34 or left < reach:
                continue
            if not sheet.format.has_gutter and left > sheet.right - END_ROOM:
                continue  # the line's own name and value stand there
            middle = (start.at_ms + stop.at_ms) // 2
            if which == THEN and level_at(others, middle) == start.value:
                continue
            y = scale.place(start.value)
            is_below = level_at(others, middle) > start.value and y + 14 < scale.at_least
            over = y + 14 if is_below else y - 5
            sheet.write(f"value word-{which}", left + 4, over, number_text(start.value))
            reach = left + 34


def _widest_words(sheet: Sheet, pair: Pair, scale: Scale) -> None:
    """Both values where the two courses lie furthest apart, unless that is at their end."""
    at_ms, x = pair.widest_ms, sheet.x(pair.widest_ms)
    if x > sheet.right - END_ROOM:
        return
    values = {WAS: level_at(pair.was, at_ms), THEN: level_at(pair.then, at_ms)}
    upper = max(values, key=lambda which: values[which])
    for which, value in values.items():
        y = scale.place(value) - 5 if which == upper else scale.place(value) + 14
        if y < scale.at_least + UNDER:
            text = pair.told(then=which == THEN, moments=(at_ms,))[0]
            sheet.write(f"value word-{which}", x, y, text)


def _end_words(sheet: Sheet, pair: Pair, scale: Scale) -> None:
    """The name and last value of each line at its end, set apart where they would touch."""
    last = sheet.until_ms - 1  # just before the end, which stops whatever ran
    told = {which: pair.told(then=which == THEN, moments=(last,))[0] for which in (WAS, THEN)}
    if not pair.differs:
        text = f"both {told[WAS]}"
        _end_word(sheet, "value", scale.place(level_at(pair.was, last)), text)
        return
    ends = {
        WAS: scale.place(level_at(pair.was, last)),
        THEN: scale.place(level_at(pair.then, last)),
    }
    upper, lower = sorted(ends, key=lambda which: (ends[which], which == WAS))
    if sheet.format.has_gutter:
        middle = (ends[upper] + ends[lower]) / 2
        if ends[lower] - ends[upper] < APART:
            ends[upper], ends[lower] = middle - APART / 2, middle + APART / 2
    else:
        ends[upper], ends[lower] = ends[upper] - 6, ends[lower] + 13
    for which, y in ends.items():
        _end_word(sheet, f"value word-{which}", y, f"{which} {told[which]}")


def _end_word(sheet: Sheet, cls: str, y: Fraction, text: str) -> None:
    if sheet.format.has_gutter:
        sheet.write(cls, sheet.right + 6, y + 4, text)
    else:
        sheet.write(f"{cls} end", sheet.right, y, text)


def path(sheet: Sheet, points: tuple[Point, ...], scale: Scale) -> str:
    """The line through points that lie inside the picture, each to a tenth of a unit.

    The same as `sheet.curve`, in whole numbers and without points that fall on one spot:
    an answer draws thousands of them.
    """
    room, span = int(sheet.right) - sheet.format.left, sheet.until_ms - sheet.from_ms
    steep = 10 * (scale.at_most - scale.at_least) / ((scale.most - scale.least) or 1)
    floor = 10 * scale.at_least - steep * scale.least
    up, over = steep.numerator * floor.denominator, steep.denominator * floor.denominator
    base = floor.numerator * steep.denominator
    spots = (
        (
            10 * sheet.format.left + _nearest(10 * room * (point.at_ms - sheet.from_ms), span),
            _nearest(
                base * point.value.denominator + up * point.value.numerator,
                over * point.value.denominator,
            ),
        )
        for point in points
    )
    return "M" + "L".join(f"{_tenths(x)} {_tenths(y)}" for (x, y), _ in groupby(spots))


def _nearest(number: int, divisor: int) -> int:
    """A quotient of whole numbers, rounded half up."""
    return (2 * number + divisor) // (2 * divisor)


def _tenths(number: int) -> str:
    """A coordinate from tenths; none is below nothing."""
    whole, tenths = divmod(number, 10)
    return f"{whole}.{tenths}" if tenths else f"{whole}"

"""The strip's lanes of one line: rate ordered and run, fluid into the vein, volume, pressure."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from trainer.scoring.line_course import LineCourse, OrderedStretch, Stretch
from trainer.scoring.moments import Point
from trainer.web.drawing import Corner, Scale, box, polyline
from trainer.web.sheet import LETTER, Sheet, curve, end_value, number_text, value_at

MS_PER_H = 3_600_000
LEAST_DIFFERENCE = Fraction(1, 10)
"""Rates nearer than this are told as one. Chosen by us: the last place told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FluidMark:
    """How a fluid is told on the strip: its name, and its tone as a class."""

    name: str
    tone: str


def rate_lane(sheet: Sheet, line: LineCourse) -> None:
    """Ordered rate dashed, what ran as steps, the gap from ordered to what reached the vein filled."""
    ordered = [one for one in line.ordered if sheet.inside(one.from_ms, one.until_ms)]
    ran = [one for one in line.ran if sheet.inside(one.from_ms, one.until_ms)]
    rates = [one.rate_ml_per_h for one in ordered] + [one.rate_ml_per_h for one in ran]
    if flow_differs(line):
        rates += [point.value for point in line.into_vein_ml_per_h]
    top, bottom = sheet.lane(f"line {line.number}", "rate, mL/h", 96)
    scale = Scale(Fraction(0), max(rates, default=Fraction(1)) * Fraction(6, 5), bottom, top)
    sheet.stroke("floor", polyline(((Fraction(sheet.format.left), bottom), (sheet.right, bottom))))
    came = into_vein(line) or ran
    for from_ms, until_ms, want, got in gaps(ordered, came, sheet.from_ms, sheet.until_ms):
        cls = "more" if got > want else "less"
        shape = box(sheet.x(from_ms), scale.place(want), sheet.x(until_ms), scale.place(got))
        sheet.stroke(cls, shape)
    for one in ordered:
        y = scale.place(one.rate_ml_per_h)
        sheet.stroke("ordered", polyline(((sheet.x(one.from_ms), y), (sheet.x(one.until_ms), y))))
    sheet.stroke("ran", _steps(sheet, ran, scale, bottom))
    if flow_differs(line):
        told = f"Line {line.number}: what truly flowed into the vein"
        sheet.stroke("into-vein", curve(sheet, line.into_vein_ml_per_h, scale), told)
    _rate_words(sheet, ordered, ran, scale)


def into_vein(line: LineCourse) -> list[Stretch]:
    """What flowed into the vein, as stretches at their mean rate."""
    return [
        Stretch(
            from_ms=first.at_ms,
            until_ms=then.at_ms,
            rate_ml_per_h=(first.value + then.value) / 2,
        )
        for first, then in pairwise(line.into_vein_ml_per_h)
        if then.at_ms > first.at_ms
    ]


def flow_differs(line: LineCourse) -> bool:
    """Whether anything else flowed into the vein than what the pump ran at."""
    flow = line.into_vein_ml_per_h
    if not flow:
        return False
    ran = [(one.from_ms, one.until_ms, one.rate_ml_per_h) for one in line.ran]
    edges = {point.at_ms for point in flow} | {edge for one in ran for edge in one[:2]}
    return any(
        abs(value_at(flow, edge) - rate_at(ran, edge)) > LEAST_DIFFERENCE
        for edge in edges
        if edge < flow[-1].at_ms
    )


def _rate_words(
    sheet: Sheet, ordered: list[OrderedStretch], ran: list[Stretch], scale: Scale
) -> None:
    """The rates themselves, written where there is room for them."""
    last_x = Fraction(-100)
    for one in ran:
        left, right = sheet.x(one.from_ms), sheet.x(one.until_ms)
        if right - left > 34 and left > last_x:
            y = scale.place(one.rate_ml_per_h)
            sheet.write("value", left + 4, y - 5, number_text(one.rate_ml_per_h))
            last_x = left + 34
    if ordered and sheet.format.has_gutter:
        last = ordered[-1]
        y = scale.place(last.rate_ml_per_h)
        sheet.write(
            "ordered-word", sheet.right + 6, y + 4, f"{number_text(last.rate_ml_per_h)} asked"
        )


def gaps(
    ordered: list[OrderedStretch], ran: list[Stretch], from_ms: int, until_ms: int
) -> list[tuple[int, int, Fraction, Fraction]]:
    """Stretches in which what came was not what was ordered: from, until, ordered, came."""
    edges = {from_ms, until_ms}
    edges |= {edge for one in ordered for edge in (one.from_ms, one.until_ms)}
    edges |= {edge for one in ran for edge in (one.from_ms, one.until_ms)}
    inside = sorted(edge for edge in edges if from_ms <= edge <= until_ms)
    found = []
    for start, stop in pairwise(inside):
        want = rate_at([(one.from_ms, one.until_ms, one.rate_ml_per_h) for one in ordered], start)
        got = rate_at([(one.from_ms, one.until_ms, one.rate_ml_per_h) for one in ran], start)
        if want != got:
            found.append((start, stop, want, got))
    return found


def rate_at(stretches: list[tuple[int, int, Fraction]], at_ms: int) -> Fraction:
    """The rate of the stretch that holds at a moment; nothing outside all of them."""
    return next((rate for start, stop, rate in stretches if start <= at_ms < stop), Fraction(0))


def _steps(sheet: Sheet, ran: list[Stretch], scale: Scale, bottom: Fraction) -> str:
    """The step path of what ran, down to nothing wherever the pump stood."""
    running_already = bool(ran) and ran[0].from_ms <= sheet.from_ms
    first = scale.place(ran[0].rate_ml_per_h) if running_already else bottom
    corners: list[Corner] = [(sheet.x(sheet.from_ms), first)]
    for one in ran:
        left, right = sheet.x(one.from_ms), sheet.x(one.until_ms)
        y = scale.place(one.rate_ml_per_h)
        if corners[-1][0] != left:
            corners += [(corners[-1][0], bottom), (left, bottom)]
        corners += [(left, y), (right, y)]
    if ran and corners[-1][0] < sheet.x(sheet.until_ms):
        corners.append((corners[-1][0], bottom))
    corners.append((sheet.x(sheet.until_ms), corners[-1][1]))
    return polyline(tuple(corners))


def vein_lane(sheet: Sheet, line: LineCourse, fluids: dict[str, FluidMark]) -> None:
    """A band of what flowed into the vein: its tone, and its name where there is room."""
    top, _ = sheet.lane("", "into the vein", 26)
    reach = Fraction(0)
    for one in line.reaching:
        if not sheet.inside(one.from_ms, one.until_ms):
            continue
        mark = fluids[one.fluid]
        left, right = sheet.x(one.from_ms), sheet.x(one.until_ms)
        sheet.stroke(f"reaching {mark.tone}", box(left, top + 14, right, top + 22), mark.name)
        room = max(right, left + 40) - left
        if LETTER * len(mark.name) <= room and left >= reach:
            sheet.write("value", left + 2, top + 10, mark.name)
            reach = left + LETTER * len(mark.name)


def volume_lane(sheet: Sheet, line: LineCourse) -> None:
    """Volume given as a line, and what the orders would have given, dashed."""
    wanted = asked_volume(line.ordered)
    top, bottom = sheet.lane("", "volume, mL", 60)
    most = max([point.value for point in (*line.given_ml, *wanted)] or [Fraction(1)])
    scale = Scale(Fraction(0), most * Fraction(11, 10) or Fraction(1), bottom, top)
    sheet.stroke("floor", polyline(((Fraction(sheet.format.left), bottom), (sheet.right, bottom))))
    sheet.stroke("ordered", curve(sheet, wanted, scale))
    sheet.stroke("given", curve(sheet, line.given_ml, scale))
    if line.given_ml:
        last = line.given_ml[-1].value
        end_value(sheet, scale.place(last), f"{number_text(last)} given")


def asked_volume(ordered: tuple[OrderedStretch, ...]) -> tuple[Point, ...]:
    """What had been asked for by each moment, all orders of the line together."""
    edges = sorted({edge for one in ordered for edge in (one.from_ms, one.until_ms)})
    total = Fraction(0)
    points = [Point(at_ms=edge, value=Fraction(0)) for edge in edges[:1]]
    for start, stop in pairwise(edges):
        rates = [one.rate_ml_per_h for one in ordered if one.from_ms <= start < one.until_ms]
        total += sum(rates, Fraction(0)) * Fraction(stop - start, MS_PER_H)
        points.append(Point(at_ms=stop, value=total))
    return tuple(points)


def pressure_lane(sheet: Sheet, line: LineCourse) -> None:
    """Pressure below the pump, and the limit at which it alarms; without a pump nothing."""
    if not line.has_pump:
        return
    top, bottom = sheet.lane("", "pressure, mmHg", 52)
    most = max([line.pressure_alarm_mmhg, *(point.value for point in line.pressure_mmhg)])
    scale = Scale(Fraction(0), most * Fraction(11, 10), bottom, top)
    limit = scale.place(line.pressure_alarm_mmhg)
    sheet.stroke("limit", polyline(((Fraction(sheet.format.left), limit), (sheet.right, limit))))
    sheet.stroke("floor", polyline(((Fraction(sheet.format.left), bottom), (sheet.right, bottom))))
    sheet.stroke("pressure", curve(sheet, line.pressure_mmhg, scale))
    if sheet.format.has_gutter:
        text = f"alarm at {number_text(line.pressure_alarm_mmhg)}"
        sheet.write("ordered-word", sheet.right + 6, limit + 4, text)

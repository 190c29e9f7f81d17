"""The strip's curves as tables: the same values at round times of the ward clock."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from trainer.scoring.course import Course
from trainer.scoring.line_course import LineCourse, OrderedStretch, Stretch
from trainer.scoring.moments import Point
from trainer.scoring.patient_course import SignCourse
from trainer.web.sheet import number_text, value_at
from trainer.web.strip_clock import ticks
from trainer.web.strip_lines import asked_volume, rate_at

MOST_ROWS = 24
"""Rows of a table. Chosen by us: what is still read down in one go."""

Column = tuple[str, Callable[[int], str]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One table: what it is about, its columns, and rows that begin with the ward clock."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]


def tables(
    course: Course, clock: Callable[[int], str], window: tuple[int, int] | None = None
) -> tuple[Table, ...]:
    """A table for each line and one for the patient, over the window that is drawn."""
    from_ms, until_ms = window or (0, max(course.ends_ms, 1))
    inner = ticks(from_ms, until_ms, MOST_ROWS, clock)
    moments = tuple(sorted({from_ms, *inner, until_ms}))
    found = [
        _table(f"Line {line.number}", _line_columns(line), moments, clock) for line in course.lines
    ]
    patient = _patient_columns(course)
    if patient:
        found.append(_table("The patient", patient, moments, clock))
    return tuple(found)


def _table(
    title: str, columns: list[Column], moments: tuple[int, ...], clock: Callable[[int], str]
) -> Table:
    return Table(
        title=title,
        columns=tuple(name for name, _ in columns),
        rows=tuple((clock(at), tuple(told(at) for _, told in columns)) for at in moments),
    )


def _line_columns(line: LineCourse) -> list[Column]:
    found: list[Column] = [
        ("ordered, mL/h", _rate(line.ordered)),
        ("run, mL/h" if line.has_pump else "dripped, mL/h", _rate(line.ran)),
        ("into the vein, mL/h", _points(line.into_vein_ml_per_h)),
        ("asked for, mL", _points(asked_volume(line.ordered))),
        ("given, mL", _points(line.given_ml)),
    ]
    if line.has_pump:
        found.append(("pressure, mmHg", _points(line.pressure_mmhg)))
    return found


def _rate(stretches: tuple[OrderedStretch, ...] | tuple[Stretch, ...]) -> Callable[[int], str]:
    spans = [(one.from_ms, one.until_ms, one.rate_ml_per_h) for one in stretches]
    return lambda at_ms: number_text(rate_at(spans, at_ms))


def _points(points: tuple[Point, ...]) -> Callable[[int], str]:
    if not points:
        return lambda _: number_text(Fraction(0))
    return lambda at_ms: number_text(_held(points, at_ms))


def _held(points: tuple[Point, ...], at_ms: int) -> Fraction:
    """The value at a moment; before the first point the first, after the last the last."""
    if at_ms <= points[0].at_ms:
        return points[0].value
    return value_at(points, at_ms)


def _patient_columns(course: Course) -> list[Column]:
    found = [(f"tissue, {one.name}, mL", _points(one.points)) for one in course.tissue]
    found += [
        (f"{one.name}, {one.unit}".rstrip(", "), _sign(one))
        for one in course.signs
        if len(one.points) > 1
    ]
    for one in course.levels:
        found.append((f"{one.name}, {one.unit}", _points(one.points)))
        if one.effect_site:
            found.append((f"{one.name}, effect site, {one.unit}", _points(one.effect_site)))
    return found


def _sign(sign: SignCourse) -> Callable[[int], str]:
    """A sign's text as it truly was: the last one before the moment."""

    def told(at_ms: int) -> str:
        before = [point.text for point in sign.points if point.at_ms <= at_ms]
        return before[-1] if before else sign.points[0].text

    return told

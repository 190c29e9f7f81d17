"""The sheet that the strip is drawn on: its size, the pencil that moves down it, curves."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache

from trainer.clinical.rounding import format_number, round_half_up
from trainer.scoring.moments import Point
from trainer.web.drawing import Scale, Stroke, Word, polyline, word

SMALLEST = Fraction(1, 1_000_000)
"""No value is told finer than this. Chosen by us: levels in mg/L of the strongest drugs."""

LETTER = 7
"""About how wide a letter is drawn, in user units, to keep words from each other."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Format:
    """A size to draw in, in user units: the plot lies between the two gutters."""

    name: str
    width: int
    left: int
    right: int
    tick_apart: int  # least room for one label of the clock

    @property
    def has_gutter(self) -> bool:
        """Whether lane titles stand beside the plot (else above it)."""
        return self.left > 60


WIDE = Format(name="wide", width=1000, left=104, right=86, tick_apart=90)
NARROW = Format(name="narrow", width=336, left=6, right=6, tick_apart=72)


@dataclass(kw_only=True)
class Sheet:
    """The picture while it is being drawn: a pencil that moves down the page."""

    format: Format
    from_ms: int
    until_ms: int
    y: Fraction = Fraction(0)
    strokes: list[Stroke] = field(default_factory=list)
    words: list[Word] = field(default_factory=list)

    def x(self, at_ms: int) -> Fraction:
        """Where a moment lies from left to right."""
        span = self.until_ms - self.from_ms or 1
        room = self.format.width - self.format.right - self.format.left
        inside = min(max(at_ms, self.from_ms), self.until_ms) - self.from_ms
        return Fraction(self.format.left * span + room * inside, span)

    @property
    def right(self) -> Fraction:
        """Where the plot ends."""
        return Fraction(self.format.width - self.format.right)

    def stroke(self, cls: str, d: str, label: str = "") -> None:
        """Draw a path."""
        self.strokes.append(Stroke(cls=cls, d=d, label=label))

    def write(self, cls: str, x: Fraction | int, y: Fraction | int, text: str) -> None:
        """Write a piece of text."""
        self.words.append(word(cls, x, y, text))

    def lane(self, title: str, note: str, height: int) -> tuple[Fraction, Fraction]:
        """Begin a lane and give its top and bottom."""
        gutter = self.format.has_gutter
        top = self.y + (0 if gutter else 18)
        if gutter:
            lines = broken(title, self.format.left // LETTER)
            for place, text in enumerate(lines):
                self.write("lane-title", 0, top + 14 + 15 * place, text)
            self.write("lane-note", 0, top + 14 + 15 * len(lines), note)
        else:
            self.write("lane-title", self.format.left, self.y + 12, f"{title} {note}".strip())
        self.y = top + height + 14
        return top, top + height

    def inside(self, from_ms: int, until_ms: int) -> bool:
        """Whether a stretch shows in the window."""
        return until_ms >= self.from_ms and from_ms <= self.until_ms


def broken(text: str, letters: int) -> tuple[str, ...]:
    """A text broken at its first space where it is too long for one line, else as it is.

    >>> broken("capillary refill", 14), broken("heart rate", 14)
    (('capillary', 'refill'), ('heart rate',))
    """
    if len(text) <= letters or " " not in text:
        return (text,)
    first, rest = text.split(" ", 1)
    return first, rest


def curve(sheet: Sheet, points: tuple[Point, ...], scale: Scale) -> str:
    """The line through points, cut to the window."""
    cut = window_points(points, sheet.from_ms, sheet.until_ms)
    corners = tuple((sheet.x(point.at_ms), scale.place(point.value)) for point in cut)
    return polyline(corners) if corners else "M0 0"


def window_points(points: tuple[Point, ...], from_ms: int, until_ms: int) -> tuple[Point, ...]:
    """The points between two moments, with the exact values at the two ends."""
    if not points:
        return ()
    inside = [point for point in points if from_ms <= point.at_ms <= until_ms]
    first = Point(at_ms=from_ms, value=value_at(points, from_ms))
    last = Point(at_ms=until_ms, value=value_at(points, until_ms))
    head = [first] if points[0].at_ms < from_ms else []
    tail = [last] if points[-1].at_ms > until_ms else []
    return (*head, *inside, *tail)


def value_at(points: tuple[Point, ...], at_ms: int) -> Fraction:
    """The value at a moment, on the straight line between its neighbours.

    At a jump the value after it.
    """
    before = next((point for point in reversed(points) if point.at_ms <= at_ms), points[0])
    after = next((point for point in points if point.at_ms > at_ms), before)
    if after.at_ms <= before.at_ms:
        return before.value
    share = Fraction(at_ms - before.at_ms, after.at_ms - before.at_ms)
    return before.value + max(share, Fraction(0)) * (after.value - before.value)


def end_value(sheet: Sheet, y: Fraction, text: str) -> None:
    """A value at the end of its line: beside the plot, or above it if there is no gutter."""
    if sheet.format.has_gutter:
        sheet.write("value", sheet.right + 6, y + 4, text)
    else:
        sheet.write("value end", sheet.right, y - 5, text)


@lru_cache(maxsize=4_096)
def number_text(value: Fraction) -> str:
    """A value for telling: to a tenth, below one to a hundredth, below that to two digits.

    >>> number_text(Fraction(1234, 100)), number_text(Fraction(1, 4)), number_text(Fraction(123, 100_000))
    ('12.3', '0.25', '0.0012')
    """
    step = Fraction(1, 10) if value >= 1 else Fraction(1, 100)
    while 0 < value < 10 * step and step < Fraction(1, 10) and step > SMALLEST:
        step /= 10
    return format_number(round_half_up(value, step))

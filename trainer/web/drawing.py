"""The few shapes a server-drawn picture is made of, as text ready for an SVG attribute.

No style in here: every shape carries a class, and the style sheet does the rest, so that
a strict content policy, the dark ward and print all hold. Who may import this: `web`.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

Corner = tuple[Fraction, Fraction]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """A path. With a `label` it is a mark of its own, spoken and shown on hovering."""

    cls: str
    d: str
    label: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Word:
    """A piece of text in the picture; `cls` also says how it is anchored."""

    cls: str
    x: str
    y: str
    text: str


@dataclass(frozen=True, slots=True)
class Scale:
    """A straight mapping from values to one axis of the picture."""

    least: Fraction
    most: Fraction
    at_least: Fraction
    at_most: Fraction

    def place(self, value: Fraction | int) -> Fraction:
        """Where a value lies, held inside the two ends."""
        inside = min(max(Fraction(value), self.least), self.most)
        share = (inside - self.least) / ((self.most - self.least) or 1)
        return self.at_least + share * (self.at_most - self.at_least)


def coordinate(value: Fraction | int) -> str:
    """A coordinate with one decimal at most.

    >>> coordinate(Fraction(10, 3)), coordinate(7)
    ('3.3', '7')
    """
    over, under = abs(value.numerator), value.denominator
    whole, tenth = divmod((20 * over + under) // (2 * under), 10)
    sign = "-" if value < 0 and (whole or tenth) else ""
    return f"{sign}{whole}.{tenth}" if tenth else f"{sign}{whole}"


def polyline(corners: tuple[Corner, ...]) -> str:
    """The path through corners.

    >>> polyline(((Fraction(0), Fraction(5)), (Fraction(9), Fraction(5))))
    'M0 5L9 5'
    """
    return "".join(
        f"{'L' if place else 'M'}{coordinate(x)} {coordinate(y)}"
        for place, (x, y) in enumerate(corners)
    )


def box(left: Fraction, top: Fraction, right: Fraction, bottom: Fraction) -> str:
    """The path round a rectangle.

    >>> box(Fraction(0), Fraction(1), Fraction(2), Fraction(3))
    'M0 1H2V3H0Z'
    """
    return f"M{coordinate(left)} {coordinate(top)}H{coordinate(right)}V{coordinate(bottom)}H{coordinate(left)}Z"


def word(cls: str, x: Fraction | int, y: Fraction | int, text: str) -> Word:
    """A piece of text at a place."""
    return Word(cls=cls, x=coordinate(x), y=coordinate(y), text=text)

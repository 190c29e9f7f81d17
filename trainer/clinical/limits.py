"""A value held against a range: within, below or above, and by how much.

Not here: where a range comes from (formulary, policy) and what follows from leaving it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from trainer.clinical.rounding import format_number, is_finite_decimal, significant_text
from trainer.errors import QuantityError


class Side(StrEnum):
    """Where a value lies."""

    WITHIN = "within"
    BELOW = "below"
    ABOVE = "above"


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How a value stands to a range; `by` is its distance from the nearer end, 0 within."""

    side: Side
    value: Fraction
    unit: str
    end: Fraction | None
    by: Fraction

    @property
    def is_within(self) -> bool:
        """Whether the value is in the range, ends included."""
        return self.side is Side.WITHIN

    @property
    def share(self) -> Fraction | None:
        """The distance as a share of the end it passed; None within, or past an end of 0."""
        return self.by / self.end if self.end and not self.is_within else None

    @property
    def words(self) -> str:
        """The standing in words: `12 mg/h is 2 mg/h above the highest, 10 mg/h`."""
        value = f"{_near(self.value)} {self.unit}"
        if self.end is None:
            return f"{value} is within the limits"
        end = "lowest" if self.side is Side.BELOW else "highest"
        by = f"{_near(self.by)} {self.unit}"
        return f"{value} is {by} {self.side} the {end}, {format_number(self.end)} {self.unit}"


def _near(value: Fraction) -> str:
    """A number to be read at the bedside: three figures of one that never ends."""
    if is_finite_decimal(value):
        return format_number(value)
    return f"about {significant_text(value, 3)}"


def standing(
    value: Fraction, unit: str, *, least: Fraction | None = None, most: Fraction | None = None
) -> Standing:
    """How `value` stands to a range in the same unit; an absent end is open, ends are within.

    >>> standing(Fraction(12), "mg/h", most=Fraction(10)).words
    '12 mg/h is 2 mg/h above the highest, 10 mg/h'

    Raises:
        QuantityError: if the lowest is above the highest.
    """
    if least is not None and most is not None and least > most:
        raise QuantityError("the lowest of a range is above its highest; exchange them")
    if least is not None and value < least:
        return Standing(side=Side.BELOW, value=value, unit=unit, end=least, by=least - value)
    if most is not None and value > most:
        return Standing(side=Side.ABOVE, value=value, unit=unit, end=most, by=value - most)
    return Standing(side=Side.WITHIN, value=value, unit=unit, end=None, by=Fraction(0))

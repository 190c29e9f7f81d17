"""Rounding, and numbers as text. Values are exact until they come here, once, at the end.

Here: half-up and downward rounding, the rules of rounding as a value that a ward's
policy fills, numbers written safely for people and exactly for the wire. Not here:
reading of what people typed (`quantity`). Python's own `round` goes half to even and
is never used on a clinical value.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import lru_cache

from trainer.errors import QuantityError

THIN_SPACE = "\u2009"
LONGEST_DECIMAL = 12


class Manner(StrEnum):
    """How a value is brought to its step."""

    HALF_UP = "half up"
    DOWN = "down"


def round_half_up(value: Fraction, step: Fraction) -> Fraction:
    """`value` to the nearest multiple of `step`; a half goes up, away from zero.

    >>> round_half_up(Fraction("62.5"), Fraction(1))
    Fraction(63, 1)

    Raises:
        QuantityError: if `step` is not positive.
    Source: sources.HALF_UP
    """
    _positive(step)
    sign = -1 if value < 0 else 1
    return sign * ((abs(value) / step + Fraction(1, 2)) // 1) * step


def truncate(value: Fraction, step: Fraction) -> Fraction:
    """`value` cut to a multiple of `step`, toward zero.

    >>> truncate(Fraction("5.642"), Fraction(1))
    Fraction(5, 1)

    Raises:
        QuantityError: if `step` is not positive.
    """
    _positive(step)
    sign = -1 if value < 0 else 1
    return sign * (abs(value) / step // 1) * step


def _positive(step: Fraction) -> None:
    if step <= 0:
        raise QuantityError("a rounding step must be more than zero; write one such as 0.1")


def is_finite_decimal(value: Fraction) -> bool:
    """Whether `value` can be written out as a decimal of at most twelve places."""
    scaled: Fraction = value * 10**LONGEST_DECIMAL
    return scaled.denominator == 1


def _decimal(value: Fraction) -> str:
    """A finite decimal written out: leading zero, no trailing zero."""
    scaled = abs(value) * 10**LONGEST_DECIMAL
    digits = str(scaled.numerator).rjust(LONGEST_DECIMAL + 1, "0")
    whole, part = digits[:-LONGEST_DECIMAL], digits[-LONGEST_DECIMAL:].rstrip("0")
    sign = "-" if value < 0 else ""
    return f"{sign}{whole}.{part}" if part else f"{sign}{whole}"


def _grouped(text: str) -> str:
    """Thousands set apart by thin spaces, from 10 000 up."""
    whole, dot, part = text.partition(".")
    if len(whole.lstrip("-")) >= 5:
        whole = f"{int(whole):,}".replace(",", THIN_SPACE)
    return f"{whole}{dot}{part}"


def format_number(value: Fraction, *, plain: bool = False, places: int = 4) -> str:
    """A number written safely: leading zero, no trailing zero, thousands from 10 000 set apart.

    A value that no decimal writes out is cut at `places` and marked with three dots.

    >>> format_number(Fraction("0.50")), format_number(Fraction(25, 3))
    ('0.5', '8.3333…')
    >>> format_number(Fraction(25000), plain=True)
    '25000'

    Args:
        value: what to write.
        plain: True for the wire: no thin spaces.
        places: decimals shown of a value that never ends.
    """
    return _written(value, plain, places)


@lru_cache(maxsize=8_192)
def _written(value: Fraction, plain: bool, places: int) -> str:
    """A number as `format_number` writes it; the same ones are written again and again."""
    ends = is_finite_decimal(value)
    shown = value if ends else truncate(value, Fraction(1, 10 ** _places_for(value, places)))
    text = _decimal(shown) if plain else _grouped(_decimal(shown))
    return text if ends else f"{text}…"


def _places_for(value: Fraction, places: int) -> int:
    """Enough places that a small value still shows its first digits."""
    while places < LONGEST_DECIMAL and abs(value) * 10**places < 1000:
        places += 1
    return places


def exact_text(value: Fraction) -> str:
    """An exact value for the wire: a decimal if it ends, else a fraction.

    >>> exact_text(Fraction("12.50")), exact_text(Fraction(25, 3))
    ('12.5', '25/3')
    """
    return _decimal(value) if is_finite_decimal(value) else f"{value.numerator}/{value.denominator}"


def significant_text(value: Fraction, digits: int = 12) -> str:
    """A value without an end, as a decimal of `digits` significant digits.

    >>> significant_text(Fraction(2, 3), 4)
    '0.6667'
    """
    return _decimal(round_half_up(value, max(_step_for(value, digits), Fraction(1, 10**12))))


def parse_exact(text: str) -> Fraction:
    """The value that `exact_text` wrote.

    >>> parse_exact("25/3")
    Fraction(25, 3)

    Raises:
        QuantityError: if the text is neither a decimal nor a fraction.
    """
    if not re.fullmatch(r"-?[0-9]{1,60}(\.[0-9]{1,60}|/0*[1-9][0-9]{0,59})?", text):
        raise QuantityError(f"`{text[:40]}` is not an exact value; write 12.5 or 25/3")
    return Fraction(text)


def _step_for(value: Fraction, digits: int) -> Fraction:
    """The step that leaves `digits` significant digits of `value`."""
    step = Fraction(1)
    while abs(value) >= step * 10**digits:
        step *= 10
    while value and abs(value) < step * 10 ** (digits - 1):
        step /= 10
    return step


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundingRule:
    """How one kind of answer is rounded.

    Attributes:
        kind: what is rounded: rate, volume, drip_rate, dose, weight ... or `*` for any.
        unit: the unit the rule speaks of, or `*` for any.
        step: the value is brought to a multiple of this, in `unit`; None to keep `digits`.
        digits: significant digits to keep when there is no step; whole numbers stay whole.
        manner: half up, or down.
        below: the rule holds only for values smaller than this, in `unit`; None for all.
    """

    kind: str
    unit: str = "*"
    step: Fraction | None = None
    digits: int = 3
    manner: Manner = Manner.HALF_UP
    below: Fraction | None = None

    def covers(self, kind: str, unit: str, value: Fraction) -> bool:
        """Whether this rule speaks of such a value."""
        return (
            self.kind in {kind, "*"}
            and self.unit in {unit, "*"}
            and (self.below is None or abs(value) < self.below)
        )

    def step_for(self, value: Fraction) -> Fraction:
        """The step for `value`: the rule's own, or the one that keeps its digits."""
        return (
            self.step if self.step is not None else min(_step_for(value, self.digits), Fraction(1))
        )

    def apply(self, value: Fraction) -> Fraction:
        """`value`, rounded."""
        step = self.step_for(value)
        return truncate(value, step) if self.manner is Manner.DOWN else round_half_up(value, step)

    def words(self, value: Fraction, unit: str) -> str:
        """The rule in words, for the last line of a worked solution."""
        how = "cut down" if self.manner is Manner.DOWN else "half up"
        return f"{how} to {format_number(self.step_for(value))} {unit}".rstrip()


KEEP_THREE_DIGITS = RoundingRule(kind="*")


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundingRules:
    """A ward's rounding: the first rule that covers a value is used.

    Attributes:
        rules: in order; put the narrow before the wide.
        largest_share: a rounding that moves a value by more than this share of it
            deserves a caution (1/10 is ten percent).
    """

    rules: tuple[RoundingRule, ...]
    largest_share: Fraction = Fraction(1, 10)

    def rule_for(self, kind: str, unit: str, value: Fraction) -> RoundingRule:
        """The rule for a value; one that would round it to nothing is passed over.

        If none covers it, three significant digits are kept.
        """
        for rule in self.rules:
            if rule.covers(kind, unit, value) and (value == 0 or rule.apply(value) != 0):
                return rule
        return KEEP_THREE_DIGITS

    def apply(self, kind: str, unit: str, value: Fraction) -> Fraction:
        """`value` of this kind and unit, rounded once.

        >>> TEACHING_ROUNDING.apply("rate", "mL/h", Fraction("3.4125"))
        Fraction(17, 5)
        """
        return self.rule_for(kind, unit, value).apply(value)

    def share_moved(self, kind: str, unit: str, value: Fraction) -> Fraction:
        """By what share of itself rounding moves `value`."""
        return abs(self.apply(kind, unit, value) - value) / abs(value) if value else Fraction(0)


def _rule(kind: str, unit: str, step: str, *, below: str | None = None) -> RoundingRule:
    limit = None if below is None else Fraction(below)
    return RoundingRule(kind=kind, unit=unit, step=Fraction(step), below=limit)


TEACHING_ROUNDING = RoundingRules(
    rules=(
        _rule("rate", "mL/h", "0.1"),
        _rule("rate", "mL/day", "1"),
        RoundingRule(kind="rate", unit="mL/min", below=Fraction(1)),
        _rule("rate", "mL/min", "0.1"),
        _rule("drip_rate", "gtt/min", "1"),
        _rule("volume", "mL", "0.01", below="1"),
        _rule("volume", "mL", "0.1"),
        _rule("weight", "kg", "0.1"),
        _rule("weight", "lb", "0.1"),
        _rule("duration", "h", "0.1"),
        _rule("duration", "min", "1"),
        _rule("bsa", "m2", "0.01"),
        _rule("height", "cm", "0.1"),
        _rule("deficit", "mL", "1"),
        _rule("resuscitation", "mL", "1"),
    )
)
"""Rounding for teaching, used when no ward's policy is given. Not a ward's rule.

Sources, which conflict, so that a ward's policy replaces this as a whole:
mL/h to a tenth (Georgia Highlands College library guide, critical care module; many
colleges use whole mL/h); drops whole, half up (the same; OpenStax Clinical Nursing
Skills; US Army Subcourse MD0904); mL below 1 to a hundredth, above to a tenth (Georgia
Highlands, Centennial, Adelphi, TWU); kg to a tenth (Centennial, Adelphi, TWU). The rest
(duration, surface, height, fluid totals, three digits otherwise): chosen by us, because
the published examples print them so. `largest_share` of ten percent: a college sheet
on tablets; chosen by us for everything else.
"""

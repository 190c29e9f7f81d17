"""How a vital sign is written on a chart: its numbers, its finest step, its ends.

A sign is one number ("112"), a blood pressure of two ("98/62"), a state of consciousness
(counted from 0, alert, to 3, unresponsive), or words, which have no number. Nothing here
knows what the patient is like now; that is `engine.signs`.

Numbers are whole millionths of the sign's unit: exact for all that is charted, and quick.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import floor

from trainer.clinical.quantity import parse_number
from trainer.errors import QuantityError
from trainer.scenario.known_signs import CONSCIOUSNESS

Reading = tuple[int, ...]
"""A sign's numbers: one, or the upper and lower blood pressure; none if it is words."""

MILLION = 1_000_000
UPPER_TENTHS, LOWER_TENTHS = 12, 9
"""A change of the mean pressure moves the upper value by 1.2 of it and the lower by 0.9, so
that the mean, a third of upper and twice lower, moves by just that. Chosen by us."""


@dataclass(frozen=True, slots=True)
class Scale:
    """How finely a sign is charted, and between which values it can lie, in millionths."""

    step: int
    least: int | None = None
    most: int | None = None


def millionths(value: Fraction | int) -> int:
    """A value in whole millionths, rounded half up."""
    return floor(value * MILLION + Fraction(1, 2))


def _scale(step: str, least: str, most: str) -> Scale:
    return Scale(*(millionths(Fraction(one)) for one in (step, least, most)))


SCALES: dict[tuple[str, str], Scale] = {
    ("heart rate", "/min"): _scale("1", "0", "300"),
    ("breathing", "/min"): _scale("1", "0", "120"),
    ("blood pressure", "mmHg"): _scale("1", "0", "300"),
    ("saturation", "%"): _scale("1", "0", "100"),
    ("temperature", "°C"): _scale("0.1", "25", "43"),
    ("consciousness", ""): _scale("1", "0", "3"),
    ("glucose", "mmol/L"): _scale("0.1", "0.5", "60"),
    ("glucose", "mg/dL"): _scale("1", "9", "1080"),
    ("potassium", "mmol/L"): _scale("0.1", "1", "12"),
    ("urine", "mL/h"): _scale("1", "0", "3000"),
    ("capillary refill", "s"): _scale("0.5", "0.5", "10"),
    ("weight", "kg"): _scale("0.01", "0.2", "400"),
    ("fluid balance", "mL"): Scale(MILLION),
    ("clotting time", "s"): _scale("1", "5", "300"),
}
"""Of each known sign in a unit. Steps: common practice, no source. Ends: chosen by us, as the
widest that is charted at all."""

_PAIR = re.compile(r"([0-9]+(?:\.[0-9]+)?)\s*/\s*([0-9]+(?:\.[0-9]+)?)")


@lru_cache(maxsize=1_024)
def reading_of(sign: str, text: str) -> Reading:
    """The numbers of a sign as it is written.

    >>> reading_of("blood pressure", "98/62")
    (98000000, 62000000)
    >>> reading_of("skin", "pale")
    ()
    """
    text = text.strip()
    if sign == "consciousness":
        return (CONSCIOUSNESS.index(text) * MILLION,) if text in CONSCIOUSNESS else ()
    pair = _PAIR.fullmatch(text)
    if pair:
        return millionths(Fraction(pair[1])), millionths(Fraction(pair[2]))
    below_zero = text.startswith("-")
    try:
        number = millionths(parse_number(text.removeprefix("-")))
    except QuantityError:
        return ()
    return (-number if below_zero else number,)


@lru_cache(maxsize=1_024)
def scale_of(sign: str, unit: str, text: str) -> Scale:
    """The scale of a sign; of an unknown one, as finely as its author wrote it.

    >>> scale_of("lactate", "mmol/L", "2.1").step
    100000
    """
    known = SCALES.get((sign, unit))
    if known is not None:
        return known
    decimals = len(text.strip().partition(".")[2])
    return Scale(max(1, MILLION // 10**decimals))


def moved(reading: Reading, by: int) -> Reading:
    """The numbers after a change; of a blood pressure, of its mean.

    >>> moved((98_000_000, 62_000_000), 10_000_000)
    (110000000, 71000000)
    """
    if len(reading) == 2:
        return reading[0] + by * UPPER_TENTHS // 10, reading[1] + by * LOWER_TENTHS // 10
    return tuple([one + by for one in reading])


def rounded(reading: Reading, scale: Scale) -> Reading:
    """The numbers as they are charted: within the ends, on a whole step, a half away from 0."""
    return tuple([_on_step(_within(one, scale), scale.step) for one in reading])


def _on_step(value: int, step: int) -> int:
    steps = (2 * abs(value) + step) // (2 * step)
    return steps * step if value >= 0 else -steps * step


def _within(value: int, scale: Scale) -> int:
    if scale.least is not None and value < scale.least:
        return scale.least
    if scale.most is not None and value > scale.most:
        return scale.most
    return value


@lru_cache(maxsize=4_096)
def written(sign: str, reading: Reading) -> str:
    """The numbers as they stand on the chart.

    >>> written("consciousness", (2_000_000,)), written("blood pressure", (98_000_000, 62_000_000))
    ('pain', '98/62')
    """
    if sign == "consciousness":
        return CONSCIOUSNESS[reading[0] // MILLION]
    return "/".join([_decimal(one) for one in reading])


def between_steps(sign: str, reading: Reading) -> str:
    """The numbers finer than they are charted, in a text that can be read again."""
    if sign == "consciousness":
        reading = rounded(reading, SCALES["consciousness", ""])
    return written(sign, reading)


def _decimal(value: int) -> str:
    """A number of millionths without idle zeros."""
    whole, part = divmod(abs(value), MILLION)
    sign = "-" if value < 0 else ""
    digits = f"{part:06d}".rstrip("0") if part else ""
    return f"{sign}{whole}.{digits}" if digits else f"{sign}{whole}"

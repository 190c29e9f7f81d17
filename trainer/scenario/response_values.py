"""Texts about how a sign answers to a drug or a volume, turned into exact values.

Here: the size of a response, the strength that gives half of it, the number that a sign
crosses; and what unit each of a response's drivers has. For `trainer.scenario` alone.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical.quantity import Quantity, parse_number, parse_quantity
from trainer.clinical.units import Unit, parse_unit
from trainer.errors import QuantityError
from trainer.scenario.known_signs import CONSCIOUSNESS
from trainer.scenario.values import (
    WrongValueError,
    asked,
    in_two_parts,
    physical,
    shown,
)
from trainer.terms import Driver

VOLUME = "volume"
"""What stands for the volume of any fluid in the vein, beside the ids of drugs."""
VOLUME_UNIT = "mL/kg"

SIZE = re.compile(r"(-?) *([0-9][0-9.,]*) *(.*)")
SIZE_EXAMPLE = "-25 /min"
PER_EXAMPLE = "0.5 mmHg per mL/kg"


@dataclass(frozen=True, slots=True)
class Size:
    """How large a response is: a number in a sign's unit, perhaps per unit of its driver."""

    number: Fraction
    unit: str
    per: Unit | None


@dataclass(frozen=True, slots=True)
class Threshold:
    """A number that a sign crosses, and the unit it was written in."""

    number: Fraction
    unit: str


def read_size(value: object) -> Size:
    """The size of a response: `32 mmHg`, `-3 mmol/L`, `0.5 mmHg per mL/kg`.

    >>> read_size("-25 /min").number
    Fraction(-25, 1)
    """
    number, rest = _number_and_unit(value, SIZE_EXAMPLE)
    unit, *driver = re.split(r"\bper\b", rest, maxsplit=1)
    try:
        return Size(number, unit.strip(), parse_unit(driver[0].strip()) if driver else None)
    except QuantityError as problem:
        raise in_two_parts(problem, PER_EXAMPLE) from None


def read_threshold(value: object) -> Threshold:
    """A number that a sign crosses: `130 /min`, or a state of consciousness.

    >>> read_threshold("voice").number
    Fraction(1, 1)
    """
    if value in CONSCIOUSNESS:
        return Threshold(Fraction(CONSCIOUSNESS.index(str(value))), "")
    number, unit = _number_and_unit(value, "130 /min")
    return Threshold(number, unit)


def _number_and_unit(value: object, example: str) -> tuple[Fraction, str]:
    text = physical(value, example)
    match = SIZE.fullmatch(text)
    if match is None:
        raise WrongValueError(
            f"{shown(value)} is no number with a unit", f"write it so: `{example}`"
        )
    try:
        number = parse_number(match[2])
    except QuantityError as problem:
        raise in_two_parts(problem, example) from None
    return (-number if match[1] else number), match[3].strip()


def read_driving(value: object) -> Quantity:
    """What drives a response: an amount per litre, per minute, or mL/kg."""
    return asked(lambda text: parse_quantity(text, of_body=None), value, "5 mcg/L")


def driver_unit(driver: Driver, amount: str) -> Unit:
    """The unit in which a response counts its driver.

    >>> driver_unit(Driver.RATE, "mg").text
    'mg/min'

    Args:
        driver: what the response follows.
        amount: the drug's unit, or `volume` for the circulating volume.
    """
    if amount == VOLUME:
        return parse_unit(VOLUME_UNIT)
    return parse_unit(f"{amount}/min" if driver is Driver.RATE else f"{amount}/L", of_body=False)

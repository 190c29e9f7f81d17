"""What a learner typed as a worked-out value, read as far as it can be read.

Value and unit are told apart: a right number without its unit is a right number and a
missing unit. What was typed is never changed. Judging is `entries`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical.quantity import (
    Quantity,
    decimals_written,
    parse_duration,
    parse_number,
    parse_quantity,
)
from trainer.clinical.units import parse_unit
from trainer.errors import QuantityError
from trainer.scoring.findings import Key

NUMBER_FIRST = re.compile(r"\s*([0-9][0-9.,]*)\s*([^0-9\s/*+.,-][^0-9]*)?")
"""A number and what may be meant as its unit: no digits, nothing to reckon with first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A typed value: in the key's unit, as finely as it was written.

    `value` is None if no number could be read; then `fault` says why. `unit_fault` says
    what is wrong with the unit alone.
    """

    typed: str
    value: Fraction | None
    step: Fraction = Fraction(1)
    fault: str = ""
    unit_fault: str = ""


def read(typed: str, key: Key) -> Reading:
    """The value typed for a key."""
    try:
        quantity = parse_duration(typed) if key.unit == "min" else parse_quantity(typed)
    except QuantityError as fault:
        return _number_alone(typed, key, _said(fault))
    try:
        value = quantity.to(key.unit)
    except QuantityError:
        what = f"`{quantity.unit.text}` does not fit a {key.quantity}; write {key.unit}"
        return _bare(typed, quantity.value, what)
    return Reading(typed=typed, value=value, step=_step(typed, quantity, key))


def _said(fault: QuantityError) -> str:
    """The sentence of a fault, without the name of the value before it."""
    words = str(fault).partition(": ")[2] or str(fault)
    return f"{words[0].upper()}{words[1:]}."


def _number_alone(typed: str, key: Key, fault: str) -> Reading:
    """The number of a text that is no quantity: its unit is missing, unknown or refused."""
    match = NUMBER_FIRST.fullmatch(typed.strip())
    if match is None:
        return Reading(typed=typed, value=None, fault=fault)
    try:
        value = parse_number(match[1])
    except QuantityError:
        return Reading(typed=typed, value=None, fault=fault)
    if not match[2]:
        return _bare(typed, value, f"the unit is missing; write {key.unit}")
    try:
        parse_unit(match[2])
    except QuantityError as unit_fault:
        return _bare(typed, value, str(unit_fault).partition(": ")[2])
    return _bare(typed, value, f"`{match[2].strip()}` does not fit; write {key.unit}")


def _bare(typed: str, value: Fraction, unit_fault: str) -> Reading:
    step = Fraction(1, 10 ** decimals_written(typed))
    said = f"{unit_fault[0].upper()}{unit_fault[1:]}."
    return Reading(typed=typed, value=value, step=step, unit_fault=said)


def _step(typed: str, quantity: Quantity, key: Key) -> Fraction:
    """One in the last place written, in the key's unit; of a sum, one of its last unit."""
    last = re.findall(r"[A-Za-z]+", typed)
    is_sum = len(re.findall(r"[0-9][0-9.,]*\s*[A-Za-z]+", typed)) > 1
    unit = parse_unit(last[-1]) if is_sum else quantity.unit
    one = Quantity(value=Fraction(1, 10 ** decimals_written(typed)), unit=unit)
    return one.to(key.unit)

"""What was entered, read against the answer: its number, its unit, its written form.

A number without its unit is a number and a missing unit. What cannot be read as one
number is refused, with how to write it. What was typed is never changed.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical.givens import in_fluid_ounces
from trainer.clinical.quantity import (
    LONGEST_TEXT,
    Quantity,
    decimals_written,
    parse_clock,
    parse_duration,
    parse_number,
    parse_quantity,
    parse_strength,
)
from trainer.clinical.slips.answer import Answer
from trainer.clinical.units import REFUSED, Dimension, Unit
from trainer.errors import QuantityError

WHAT = "entered"
NUMBER_FIRST = re.compile(
    r"([0-9][0-9.,\u2009\u202f\u00a0]*(?: [0-9]{3})*)"
    r"\s*([^0-9\s.,*+\u00d7-][^0-9]*(?:c?m2[^0-9]*)?)?"
)
"""A number and what may be meant as its unit, nothing to reckon with first."""
BARE_POINT = re.compile(r"\.[0-9]")
LAST_POINT = re.compile(r"([0-9]+)\.(?![0-9])(.*)")
IDLE_FIRST = re.compile(r"0+(?=[0-9])")
IDLE_ZERO = re.compile(r"[0-9][0-9,\u2009]*\.[0-9]*0(?![0-9.,])")
IDLE_LAST = re.compile(r"(\.[0-9]*?)0+(?![0-9])")
NO_UNIT_NEEDED = frozenset({"doses_per_day"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """An entry, read.

    Attributes:
        typed: as it was typed.
        number: the number as written.
        value: the value in the unit of the answer, by the unit written if that converts.
        step: one in the last place written, in the unit of the answer.
        unit_fault: what is wrong with the unit; empty if nothing is.
        is_other_unit: True if a unit is written that does not give the answer's kind.
        form_fault: what is wrong with the way the number is written; empty if nothing is.
    """

    typed: str
    number: Fraction
    value: Fraction
    step: Fraction
    unit_fault: str = ""
    is_other_unit: bool = False
    form_fault: str = ""

    @property
    def is_converted(self) -> bool:
        """Whether the unit written is another one of the same kind."""
        return self.value != self.number


def read_entry(typed: str, answer: Answer) -> Entry:
    """The entry, as far as it is a number.

    Raises:
        QuantityError: if it is none, with how to write it.
    """
    try:
        return _read(typed, answer)
    except QuantityError as fault:
        example = f"such as 5 {answer.unit.text}".rstrip()
        raise QuantityError(str(fault).replace("such as 5 mg", example)) from fault


def _read(typed: str, answer: Answer) -> Entry:
    if answer.is_clock:
        minutes = Fraction(parse_clock(typed, what=WHAT))
        return Entry(typed=typed, number=minutes, value=minutes, step=Fraction(1))
    text, form_fault = _mended(typed.strip())
    match = NUMBER_FIRST.fullmatch(text)
    if match and not match[2] and len(text) <= LONGEST_TEXT:
        return _bare(typed, text, answer, form_fault)
    try:
        quantity = _quantity(text, answer)
    except QuantityError as fault:
        return _with_unread_unit(typed, text, answer, fault, form_fault)
    return _with_unit(typed, text, quantity, answer, form_fault)


def _mended(text: str) -> tuple[str, str]:
    """The text with its number in safe form, and what was unsafe about it."""
    if BARE_POINT.match(text):
        return (
            f"0{text}",
            f"{text} has no zero before the point, which is overlooked; write 0{text}",
        )
    idle = IDLE_FIRST.match(text)
    if idle:
        mend = text[idle.end() :]
        return mend, f"{text} begins with an idle zero; write {mend}"
    last = LAST_POINT.fullmatch(text)
    if last:
        return last[1] + last[2], f"{text} ends in a point; write {last[1]}{last[2]}"
    if IDLE_ZERO.match(text):
        mend = IDLE_LAST.sub(lambda found: found[1].rstrip("."), text, count=1)
        return mend, f"{text} has an idle zero after the point, which is misread; write {mend}"
    return text, ""


def _quantity(text: str, answer: Answer) -> Quantity:
    """The number with its unit, of the answer's kind if the text allows it."""
    if answer.kind == "concentration" and re.search(r"%|\bpercent\b|\bin\b|/\s*[0-9]", text):
        return parse_strength(text, what=WHAT).quantity
    if answer.kind == "duration":
        return parse_duration(text, what=WHAT)
    if answer.unit.power_of(Dimension.VOLUME) and answer.kind != "concentration":
        text = in_fluid_ounces(text)
    of_body = {"weight": True, "amount": False, "concentration": False}.get(answer.kind)
    return parse_quantity(text, what=WHAT, kg_per_lb=answer.kg_per_lb, of_body=of_body)


def _bare(typed: str, text: str, answer: Answer, form_fault: str) -> Entry:
    """A number alone."""
    number = parse_number(text, what=WHAT)
    needless = answer.kind in NO_UNIT_NEEDED or not answer.unit.text
    return Entry(
        typed=typed,
        number=number,
        value=number,
        step=_written_step(text),
        unit_fault="" if needless else f"the unit is missing; write {text} {answer.unit.text}",
        form_fault=form_fault,
    )


def _with_unit(typed: str, text: str, quantity: Quantity, answer: Answer, form_fault: str) -> Entry:
    """A number with a unit that is known."""
    step = _written_step(text)
    wanted, written = answer.unit, quantity.unit
    if written.dimensions != wanted.dimensions:
        fault = f"`{written.text}` is no unit of this answer; write {wanted.text}"
        return Entry(
            typed=typed,
            number=quantity.value,
            value=quantity.value,
            step=step,
            unit_fault=fault,
            is_other_unit=True,
            form_fault=form_fault,
        )
    scale = _scale(written, wanted)
    return Entry(
        typed=typed,
        number=quantity.value,
        value=quantity.value * scale,
        step=step * scale * _last_part(text, quantity, answer),
        form_fault=form_fault,
    )


def _scale(written: Unit, wanted: Unit) -> Fraction:
    return written.size / wanted.size


def _last_part(text: str, quantity: Quantity, answer: Answer) -> Fraction:
    """The size of the last unit of a sum such as `1 h 30 min`, in its first; else 1."""
    parts = re.findall(r"[0-9][0-9.,]*\s*([A-Za-z]+)", text)
    if len(parts) < 2 or " in " in text:
        return Fraction(1)
    of_body = True if answer.kind == "weight" else None
    last = parse_quantity(f"1 {parts[-1]}", kg_per_lb=answer.kg_per_lb, of_body=of_body)
    return last.unit.size / quantity.unit.size


def _written_step(text: str) -> Fraction:
    """One in the last place of the last number; the 2 of m2 is none."""
    return Fraction(1, 10 ** decimals_written(text.replace("m2", "m")))


def _with_unread_unit(
    typed: str, text: str, answer: Answer, fault: QuantityError, form_fault: str
) -> Entry:
    """A number with a unit that is unknown or misread; refused if there is no number."""
    match = NUMBER_FIRST.fullmatch(text)
    if match is None or len(text) > LONGEST_TEXT:
        raise fault
    number = parse_number(match[1], what=WHAT)
    why, unknown, _ = (str(fault).partition(": ")[2] or str(fault)).partition("; write one of ")
    why += f"; write {answer.unit.text}" if unknown else ""
    parts = re.split(r"\s*(?:/|\bper\b)\s*", match[2].strip())
    return Entry(
        typed=typed,
        number=number,
        value=number,
        step=_written_step(match[1]),
        unit_fault=why,
        is_other_unit=not any(part in REFUSED for part in parts),
        form_fault=form_fault,
    )

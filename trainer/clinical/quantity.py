"""A value with its unit: read from text, converted, written. For the borders only.

Here: strict reading of numbers, quantities, sums such as `8 lb 6 oz`, strengths such as
`400 mg in 250 mL`, durations and times of day. Not here: whether a value makes sense
for what it is used for (`problem`, `limits`). Every refusal says how to write it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from trainer.clinical.rounding import format_number
from trainer.clinical.units import (
    ATOMS,
    DRUG_DIMENSIONS,
    KG_PER_LB,
    NO_UNIT,
    Dimension,
    Unit,
    parse_unit,
    product_of,
)
from trainer.errors import QuantityError

LONGEST_TEXT = 80
"""Longer text is no quantity. Chosen by us, because no order needs a third of it."""
MOST_DIGITS = 15
"""More digits than this before or after the point are a slip of pen. Chosen by us."""
SPACES = "\u2009\u202f\u00a0"
LONG_MINUSES = "\u2212\u2013\u2014"

EXAMPLES = {
    "weight": "18.2 kg", "volume": "250 mL", "duration": "1 h 30 min", "rate": "40 mL/h",
    "height": "110 cm", "bsa": "0.75 m2", "concentration": "2 mg/mL", "diluent": "40 mL",
    "drip_rate": "21 gtt/min", "drop_factor": "20 gtt/mL", "dose": "5 mcg/kg/min",
    "dehydration": "5 %", "burned": "15 %", "amount": "500 mg",
}  # fmt: skip
"""How each kind of value is written, for messages."""

PER_CENT_STRENGTH = (Fraction(1), "g", Fraction(100), "mL")
"""One percent of a drug in a fluid is 1 g in 100 mL; see `sources.PERCENT_STRENGTH`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """An exact value and the unit it was written in."""

    value: Fraction
    unit: Unit

    def to(self, unit_text: str, *, kg_per_lb: Fraction = KG_PER_LB) -> Fraction:
        """The value in another unit.

        >>> parse_quantity("90 min").to("h")
        Fraction(3, 2)

        Raises:
            QuantityError: if the unit is unknown or measures something else.
        """
        return self.in_unit(self._target(unit_text, kg_per_lb))

    def in_unit(self, unit: Unit) -> Fraction:
        """The value in another unit that is already read.

        Raises:
            QuantityError: if that unit measures something else.
        """
        if unit.dimensions != self.unit.dimensions:
            raise QuantityError(
                f"{format_quantity(self)} cannot be given in {unit.text or 'a bare number'}: "
                f"{measures(self.unit)} is not {measures(unit)}"
            )
        return self.value * self.unit.size / unit.size

    def _target(self, unit_text: str, kg_per_lb: Fraction) -> Unit:
        for of_body in (None, True, False):
            unit = parse_unit(unit_text, kg_per_lb=kg_per_lb, of_body=of_body)
            if unit.dimensions == self.unit.dimensions:
                return unit
        return parse_unit(unit_text, kg_per_lb=kg_per_lb)


@dataclass(frozen=True, slots=True, kw_only=True)
class Strength:
    """How much drug is in how much fluid, as written: `400 mg in 250 mL`."""

    amount: Quantity
    volume: Quantity

    @property
    def quantity(self) -> Quantity:
        """The strength as one value, such as 1.6 mg/mL."""
        inverse = tuple((atom, -power) for atom, power in self.volume.unit.powers)
        unit = product_of((*self.amount.unit.powers, *inverse))
        return Quantity(value=self.amount.value / self.volume.value, unit=unit)


def measures(unit: Unit) -> str:
    """What a unit measures, in words: `volume per time`.

    >>> measures(parse_unit("mcg/kg/min"))
    'mass per body weight per time'
    """
    above = [name for name, power in unit.dimensions if power > 0]
    below = [name for name, power in unit.dimensions if power < 0]
    first = " times ".join(above) or ("a number" if not below else "")
    return " ".join(part for part in (first, *(f"per {name}" for name in below)) if part)


def format_quantity(quantity: Quantity, *, plain: bool = False) -> str:
    """A quantity written safely: `0.5 mg`, `25 000 units` (with a thin space).

    >>> format_quantity(parse_quantity("0.50 milligrams"))
    '0.5 mg'
    """
    number = format_number(quantity.value, plain=plain)
    if quantity.unit == NO_UNIT:
        return number
    text = quantity.unit.text
    return f"{number} {text.removeprefix('1') if text.startswith('1/') else text}"


def parse_number(text: str, *, what: str = "value") -> Fraction:
    """The exact value of a plain decimal, thousands set apart by commas or thin spaces.

    >>> parse_number("10,000"), parse_number("0.25")
    (Fraction(10000, 1), Fraction(1, 4))

    Raises:
        QuantityError: with how to write it instead.
    """
    cleaned = text.strip()
    fault = _fault_in_number(cleaned)
    if fault:
        raise QuantityError(f"{what}: {fault}")
    if not PLAIN.fullmatch(cleaned):
        cleaned = re.sub(f"[ ,{SPACES}]", "", cleaned)
    whole, _, places = cleaned.partition(".")
    return Fraction(int(whole + places), 10 ** len(places))


GROUPED = re.compile(rf"[1-9][0-9]{{0,2}}([ ,{SPACES}])[0-9]{{3}}(\1[0-9]{{3}})*(\.[0-9]+)?")
PLAIN = re.compile(r"[0-9]+(\.[0-9]+)?")


def _fault_in_number(text: str) -> str:
    """What is wrong with a number and how to write it; empty if it is sound."""
    if not text:
        return "a number is missing; write one before the unit, such as 5 mg"
    if not text.isascii() and not all(c.isascii() or c in SPACES for c in text):
        return _odd_characters(text)
    digits_before, _, digits_after = text.partition(".")
    if max(len(digits_before), len(digits_after)) > MOST_DIGITS + 5:
        return f"`{text[:12]}…` has too many digits; write at most {MOST_DIGITS}"
    if (PLAIN.fullmatch(text) and not _has_idle_zero(text)) or GROUPED.fullmatch(text):
        return ""
    return _fault_of_form(text)


def _has_idle_zero(text: str) -> bool:
    return len(text) > 1 and text[0] == "0" and text[1] != "."


def _odd_characters(text: str) -> str:
    if text[0] in LONG_MINUSES:
        return "a value below zero makes no sense here; check it and write it without the minus"
    if any(c.isdigit() and not c.isascii() for c in text):
        return f"`{text[:20]}` has digits from another script; write 0 to 9"
    return f"`{text[:20]}` is not a number; write digits 0 to 9 with a point, such as 12.5"


def _fault_of_form(text: str) -> str:
    """The mend for a number of plain characters in a wrong form."""
    if text.startswith("-"):
        return "a value below zero makes no sense here; check it and write it without the minus"
    if text.startswith("+"):
        return f"`{text}` has a plus; write {text[1:].strip() or 'the number'}"
    if re.fullmatch(r"\.[0-9]+", text):
        return f"`{text}` has a bare point, which is overlooked; write 0{text}"
    if re.fullmatch(r"[0-9]+\.", text):
        return f"`{text}` ends in a point; write {text[:-1]}"
    if re.fullmatch(r"[0-9]+ *[/:] *[0-9]+", text):
        return _ratio_mend(text)
    mixed = re.fullmatch(r"([0-9]{1,9}) +([0-9]{1,9})/0*([1-9][0-9]{0,8})", text)
    if mixed:
        mend = _mended(str(int(mixed[1]) + Fraction(int(mixed[2]), int(mixed[3]))))
        return f"`{text}` is a mixed number; write a decimal, such as {mend.rstrip('…')}"
    if re.fullmatch(r"[0-9]+,[0-9]+", text):
        return f"`{text}` has a decimal comma; write {_mended(text.replace(',', '.'))}"
    if _has_idle_zero(text) and PLAIN.fullmatch(text):
        return f"`{text}` begins with an idle zero; write {_mended(text)}"
    return f"`{text[:20]}` is not a number; write it plainly, such as 12.5 or 10,000"


def _mended(decimal: str) -> str:
    return format_number(Fraction(decimal), plain=True)


def _ratio_mend(text: str) -> str:
    above, below = (int(part) for part in re.split("[/:]", text))
    if not below:
        return f"`{text}` divides by zero; write a decimal, such as 0.5"
    return f"`{text}` is a fraction or ratio; write a decimal, such as " + format_number(
        Fraction(above, below), plain=True
    ).rstrip("…")


def parse_quantity(
    text: str,
    *,
    what: str = "value",
    kg_per_lb: Fraction = KG_PER_LB,
    of_body: bool | None = None,
) -> Quantity:
    """The quantity that `text` names: a number and a unit, or a sum such as `1 h 30 min`.

    >>> parse_quantity("5 mcg/kg/min").value
    Fraction(5, 1)
    >>> parse_quantity("8 lb 6 oz").value
    Fraction(67, 8)

    Args:
        text: what was written.
        what: whose value it is, for the message.
        kg_per_lb: the pound to use; sources differ.
        of_body: see `units.parse_unit`.

    Raises:
        QuantityError: with how to write it instead.
    """
    _refuse_length(text, what)
    _refuse_odd_number(text.strip(), what)
    if SUM.fullmatch(text.strip()):
        return _parse_sum(text.strip(), what, kg_per_lb, of_body)
    number, unit = _split(text, what)
    value = parse_number(number, what=what)
    if not unit:
        example = EXAMPLES.get(what, "5 mg")
        raise QuantityError(f"{what}: {number.strip()} has no unit; write one, such as {example}")
    return Quantity(
        value=value, unit=parse_unit(unit, what=what, kg_per_lb=kg_per_lb, of_body=of_body)
    )


SUM = re.compile(r"(?:[0-9][0-9.,]*\s*[A-Za-z]+\s*){2,}")
UNTIL_THE_UNIT = re.compile("[^A-Za-z%#'\"\u00b5\u03bc\u03b3]*")
SUM_PART = re.compile(r"([0-9][0-9.,]*)\s*([A-Za-z]+)")


def _parse_sum(text: str, what: str, kg_per_lb: Fraction, of_body: bool | None) -> Quantity:
    """`8 lb 6 oz`, `3 kg 200 g`, `1 h 30 min`: the value in the first of the units."""
    parts = [
        Quantity(
            value=parse_number(number, what=what),
            unit=parse_unit(unit, what=what, kg_per_lb=kg_per_lb, of_body=of_body),
        )
        for number, unit in SUM_PART.findall(text)
    ]
    for larger, smaller in pairwise(parts):
        _check_sum_step(larger, smaller, text, what)
    first = parts[0].unit
    return Quantity(value=sum((part.in_unit(first) for part in parts), Fraction(0)), unit=first)


def _check_sum_step(larger: Quantity, smaller: Quantity, text: str, what: str) -> None:
    if larger.unit.dimensions != smaller.unit.dimensions:
        raise QuantityError(f"{what}: `{text}` mixes two kinds of thing; write one quantity")
    if larger.value.denominator != 1:
        raise QuantityError(f"{what}: in `{text}` only the last number may have a decimal point")
    if smaller.unit.size >= larger.unit.size or smaller.in_unit(larger.unit) >= 1:
        raise QuantityError(
            f"{what}: in `{text}` each part must be smaller than one of the part before, "
            "such as 1 h 30 min or 8 lb 6 oz"
        )


def _refuse_length(text: str, what: str) -> None:
    if not text.strip():
        raise QuantityError(f"{what}: nothing is written; write a number and a unit, such as 5 mg")
    if len(text) > LONGEST_TEXT:
        raise QuantityError(f"{what}: `{text[:20]}…` is too long; write a number and a unit")


def _refuse_odd_number(stripped: str, what: str) -> None:
    """Refuse a number that has letters in it, before they are taken for a unit."""
    if re.match(r"[+-]?(nan|inf|infinity)\b", stripped, re.IGNORECASE):
        raise QuantityError(f"{what}: `{stripped}` is not a value; write a number, such as 5 mg")
    marks = re.fullmatch(r"([0-9.]+) *' *(?:([0-9.]+) *\")?", stripped)
    if marks:
        inches = f" {marks[2]} in" if marks[2] else ""
        raise QuantityError(
            f"{what}: `{stripped}` uses marks that are misread; write {marks[1]} ft{inches}"
        )
    power = re.match(r"[0-9.,]+[eE][+-]?[0-9]+|[0-9.,]+ *[x*\u00d7] *10", stripped)
    if power:
        raise QuantityError(
            f"{what}: `{power[0]}` is written with a power of ten; write it out, such as 1,000"
        )


def _split(text: str, what: str) -> tuple[str, str]:
    """The number's text and the unit's text."""
    stripped = text.strip()
    match = UNTIL_THE_UNIT.match(stripped)
    number = match[0] if match else ""
    unit = stripped[len(number) :]
    inverse = re.search(r"(?<=[0-9])\s+1?/\s*$|(?<=[0-9])/\s*$", number)
    if inverse and unit:
        return number[: inverse.start()], f"1/{unit}"
    return number, unit


def parse_strength(text: str, *, what: str = "concentration") -> Strength:
    """How much drug in how much fluid: `2 mg/mL`, `400 mg in 250 mL`, `125 mg/5 mL`, `10 %`.

    >>> format_quantity(parse_strength("10 %").quantity)
    '0.1 g/mL'

    Raises:
        QuantityError: if it is no amount in a volume, with how to write it.
    """
    _refuse_length(text, what)
    _refuse_ratio_strength(text, what)
    pair = re.fullmatch(r"(.*\S)\s+in\s+(.+)|(.*\S)\s*(?:/|\bper\b)\s*(\d.*)", text.strip())
    if pair:
        above, below = pair[1] or pair[3], pair[2] or pair[4]
        strength = Strength(
            amount=parse_quantity(above, what=what, of_body=False),
            volume=parse_quantity(below if below[0].isdigit() else f"1 {below}", what=what),
        )
        return _checked_strength(strength, text, what)
    whole = parse_quantity(text, what=what, of_body=False)
    if whole.unit.text == "%":
        return percent_strength(whole.value)
    return _checked_strength(_split_strength(whole, text, what), text, what)


def percent_strength(percent: Fraction) -> Strength:
    """A percentage as grams in 100 mL.

    Raises:
        QuantityError: if it is above 100.
    """
    if percent > 100:
        raise QuantityError(
            f"concentration: {format_number(percent)} % is above 100 %; check the decimal point"
        )
    _, gram, hundred, ml = PER_CENT_STRENGTH
    return Strength(
        amount=Quantity(value=percent, unit=parse_unit(gram)),
        volume=Quantity(value=hundred, unit=parse_unit(ml)),
    )


def _refuse_ratio_strength(text: str, what: str) -> None:
    ratio = re.fullmatch(r"\s*1\s*(?::|in)\s*([0-9][0-9, \u2009]*)\s*", text)
    if ratio:
        millilitres = int(re.sub(r"[, \u2009]", "", ratio[1]))
        if not millilitres:
            raise QuantityError(f"{what}: `{text.strip()}` divides by zero; write 2 mg/mL")
        mend = format_number(Fraction(1000, millilitres), plain=True)
        raise QuantityError(
            f"{what}: `{text.strip()}` is a ratio, which is misread; write {mend} mg/mL"
        )


def _split_strength(whole: Quantity, text: str, what: str) -> Strength:
    above = tuple((atom, power) for atom, power in whole.unit.powers if power > 0)
    below = tuple((atom, -power) for atom, power in whole.unit.powers if power < 0)
    if len(above) != 1 or len(below) != 1:
        raise QuantityError(
            f"{what}: `{text.strip()}` is {measures(whole.unit)}, not an amount in a volume; "
            "write 2 mg/mL, 400 mg in 250 mL or 10 %"
        )
    return Strength(
        amount=Quantity(value=whole.value, unit=product_of(above)),
        volume=Quantity(value=Fraction(1), unit=product_of(below)),
    )


def _checked_strength(strength: Strength, text: str, what: str) -> Strength:
    volume = strength.volume
    if not is_drug(strength.amount.unit) or volume.unit.dimensions != ((Dimension.VOLUME, 1),):
        raise QuantityError(
            f"{what}: `{text.strip()}` is not an amount of drug in a volume; "
            "write 2 mg/mL, 400 mg in 250 mL or 10 %"
        )
    if volume.value == 0:
        raise QuantityError(f"{what}: `{text.strip()}` has no volume; write one above zero")
    return strength


def is_drug(unit: Unit) -> bool:
    """Whether the unit is a plain amount of drug: mg, units, mEq, mmol ..."""
    return len(unit.dimensions) == 1 and unit.dimensions[0] in {(d, 1) for d in DRUG_DIMENSIONS}


def parse_duration(text: str, *, what: str = "duration") -> Quantity:
    """A duration: `1 h 30 min`, `90 min`, `7.5 h`, `2 days`.

    >>> parse_duration("1 h 30 min").to("min")
    Fraction(90, 1)

    Raises:
        QuantityError: if it is no duration, with how to write it.
    """
    clock = re.fullmatch(r"\s*(\d{1,3}):(\d{2})(?::\d{2})?\s*", text)
    if clock:
        raise QuantityError(
            f"{what}: `{text.strip()}` may be a time of day; "
            f"write {int(clock[1])} h {int(clock[2])} min"
        )
    quantity = parse_quantity(text, what=what)
    if quantity.unit.dimensions != ((Dimension.TIME, 1),):
        raise QuantityError(
            f"{what}: `{text.strip()}` is {measures(quantity.unit)}, not a time; write 1 h 30 min"
        )
    return quantity


def parse_clock(text: str, *, what: str = "start") -> int:
    """Minutes after midnight of a time of day on the 24-hour clock.

    >>> parse_clock("22:30")
    1350

    Raises:
        QuantityError: if it is no time of day, with how to write it.
    """
    cleaned = text.strip()
    match = re.fullmatch(r"([0-9]{1,2}):([0-9]{2})", cleaned)
    if match and int(match[1]) < 24 and int(match[2]) < 60:
        return int(match[1]) * 60 + int(match[2])
    raise QuantityError(f"{what}: `{cleaned[:20]}` is not a time of day; {_clock_mend(cleaned)}")


def _clock_mend(text: str) -> str:
    if text in {"24:00", "2400"}:
        return "write 00:00"
    if re.fullmatch(r"([01][0-9]|2[0-3])[0-5][0-9]", text):
        return f"write {text[:2]}:{text[2:]}"
    half = re.fullmatch(r"(\d{1,2}):(\d{2})\s*([ap])\.?m\.?", text, re.IGNORECASE)
    if half and 1 <= int(half[1]) <= 12:
        hour = int(half[1]) % 12 + (12 if half[3].lower() == "p" else 0)
        return f"write {hour:02d}:{half[2]}, on the 24-hour clock"
    return "write HH:MM on the 24-hour clock, such as 08:30 or 22:15"


def format_clock(minutes: int) -> str:
    """The time of day so many minutes after midnight, past midnight from 00:00 again.

    >>> format_clock(1520)
    '01:20'
    """
    return f"{minutes // 60 % 24:02d}:{minutes % 60:02d}"


def decimals_written(text: str) -> int:
    """How many decimals the last number in `text` has: how finely it was written.

    >>> decimals_written("18.25 kg"), decimals_written("40 mL/h")
    (2, 0)
    """
    numbers = re.findall(r"[0-9]+(?:\.([0-9]+))?", text.partition(" in ")[0].split("/")[0])
    return len(numbers[-1]) if numbers else 0


def unit_of(symbol: str) -> Unit:
    """The unit of one simple symbol of the table."""
    return product_of(((ATOMS[symbol], 1),))

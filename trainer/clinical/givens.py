"""One given of a problem: read from its text, of the kind its name says, within bounds.

The bounds catch slips of the pen. Every refusal names the given and the mend.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical.parts import ONE_PART, flow_of, is_drug_once
from trainer.clinical.quantity import (
    Quantity,
    Strength,
    decimals_written,
    measures,
    parse_clock,
    parse_duration,
    parse_number,
    parse_quantity,
    parse_strength,
)
from trainer.clinical.rounding import format_number
from trainer.clinical.units import KG_PER_LB, Dimension, parse_unit
from trainer.errors import QuantityError

D = Dimension

BOUNDS: dict[str, tuple[str, str, str]] = {
    "weight": ("0.2", "700", "kg"),
    "height": ("20", "280", "cm"),
    "bsa": ("0.05", "5", "m2"),
    "duration": ("0", "8784", "h"),
    "drop_factor": ("1", "200", "gtt/mL"),
    "drip_rate": ("0", "2000", "gtt/min"),
    "dehydration": ("0", "40", "%"),
    "burned": ("0", "100", "%"),
    "coefficient": ("0", "20", "mL/kg/%"),
    "doses_per_day": ("0", "96", "doses/day"),
    "dose": ("0.000001", "2000000", "mg"),
    "amount": ("0.000001", "2000000", "mg"),
    "volume": ("0.0001", "100000", "mL"),
    "diluent": ("0", "100000", "mL"),
    "rate": ("0", "100000", "mL/h"),
    "concentration": ("0", "2000", "mg/mL"),
}
"""Beyond these a value is a slip of the pen. Chosen by us: wider than any patient."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """One given of a problem: its name, its text, and the quantity read from it."""

    name: str
    text: str
    quantity: Quantity | Strength

    @property
    def plain(self) -> Quantity:
        """The quantity as one value with one unit."""
        return self.quantity.quantity if isinstance(self.quantity, Strength) else self.quantity

    @property
    def size(self) -> Fraction:
        """The value in base units (mg or units, mL, h, cm, kg)."""
        return self.plain.value * self.plain.unit.size

    @property
    def half_last_place(self) -> Fraction:
        """Half of the last decimal place as written, in base units: how finely it is known."""
        scale = self.plain.unit.size
        if isinstance(self.quantity, Strength):
            scale = scale / self.quantity.volume.value
        return Fraction(1, 2 * 10 ** decimals_written(self.text)) * scale


def in_fluid_ounces(text: str) -> str:
    """The text with its ounces spelled as of a fluid, where only a fluid can be meant.

    >>> in_fluid_ounces("8 oz")
    '8 fl oz'
    """
    return re.sub(r"(?<!fl )\b(oz|ounces?)\b", "fl oz", text)


def parse_pound(text: str | None) -> Fraction:
    """Kilograms per pound, from `2.2 lb per kg` or `0.45359237 kg per lb`.

    >>> parse_pound("2.2 lb per kg")
    Fraction(5, 11)

    Raises:
        QuantityError: if it is neither form, or no pound.
    """
    if text is None:
        return KG_PER_LB
    match = re.fullmatch(
        r"\s*([0-9.,]+)\s*(?:(lbs?)\s*(?:per|/)\s*kg|kg\s*(?:per|/)\s*lbs?)\s*", text
    )
    if not match:
        raise QuantityError(f"lb_per_kg: `{text[:30]}` is not readable; write 2.2 lb per kg")
    number = parse_number(match[1], what="lb_per_kg")
    if number == 0:
        raise QuantityError("lb_per_kg: zero is no pound; write 2.2 lb per kg")
    kg_per_lb = 1 / number if match[2] else number
    if not Fraction("0.44") <= kg_per_lb <= Fraction("0.47"):
        raise QuantityError(
            f"lb_per_kg: `{text[:30]}` is no pound; write 2.2 lb per kg or 0.45359237 kg per lb"
        )
    return kg_per_lb


def read_given(name: str, text: str, kg_per_lb: Fraction) -> Given:
    """One given, read, above zero and within its bounds."""
    given = Given(name=name, text=" ".join(text.split()), quantity=_read(name, text, kg_per_lb))
    if given.size == 0 and name != "start":
        raise QuantityError(f"{name}: zero makes no sense here; write a value above zero")
    _check_kind(given)
    _check_bounds(given, kg_per_lb)
    return given


def _read(name: str, text: str, kg_per_lb: Fraction) -> Quantity | Strength:
    if name == "concentration":
        return parse_strength(text)
    if name == "duration":
        return parse_duration(text)
    if name == "start":
        return Quantity(value=Fraction(parse_clock(text)), unit=parse_unit("min"))
    if name == "doses_per_day":
        return _read_doses_per_day(text)
    if name == "coefficient":
        return _read_coefficient(text, kg_per_lb)
    if name in {"volume", "diluent"}:
        text = in_fluid_ounces(text)
    if name == "burned":
        text = re.sub(r"\s*TBSA\b", "", text)
    of_body = {"weight": True, "amount": False}.get(name)
    return parse_quantity(text, what=name, kg_per_lb=kg_per_lb, of_body=of_body)


TIMES_A_DAY = {
    word: Fraction(times)
    for times, words in enumerate(
        ("once daily", "bid bd twice two", "tid tds three", "qid qds four"), 1
    )
    for word in words.split()
}
"""How often a day in words and in the short forms that are not error-prone."""


def _read_doses_per_day(text: str) -> Quantity:
    """`4`, `4 doses/day`, `4 /day` or `every 6 h`, as doses per day."""
    written = text.strip().lower()
    every = re.fullmatch(r"(?:every|q)\s*([0-9.]+)\s*(?:h|hr|hrs|hours?)", written)
    if every:
        hours = parse_number(every[1], what="doses_per_day")
        if hours == 0:
            raise QuantityError("doses_per_day: every 0 h makes no sense; write every 6 h, or 4")
        number = 24 / hours
    else:
        bare = re.sub(r"\s*(doses?|times)?\s*(/|per|a)?\s*(day|daily)?$", "", written)
        word = (bare or written).replace(".", "")
        if word.isalpha() and word not in TIMES_A_DAY:
            raise QuantityError(
                f"doses_per_day: `{text.strip()[:20]}` is no number of doses; write 4 or every 6 h"
            )
        number = TIMES_A_DAY.get(word) or parse_number(bare, what="doses_per_day")
    return Quantity(value=number, unit=parse_unit("doses/day"))


def _read_coefficient(text: str, kg_per_lb: Fraction) -> Quantity:
    """`3 mL/kg/%`; the kg and the percent may be left out, as the burn formulas are spoken."""
    if re.fullmatch(r"\s*[0-9.,]+\s*", text):
        text = f"{text} mL/kg/%"
    quantity = parse_quantity(
        re.sub(r"\s*TBSA\b", "", text), what="coefficient", kg_per_lb=kg_per_lb
    )
    if quantity.unit.dimensions == ((D.BODY, -1), (D.VOLUME, 1)):
        unit = parse_unit(f"{quantity.unit.text}/%", kg_per_lb=kg_per_lb)
        return Quantity(value=quantity.value, unit=unit)
    if quantity.unit.dimensions == ((D.VOLUME, 1),):
        unit = parse_unit(f"{quantity.unit.text}/kg/%")
        return Quantity(value=quantity.value, unit=unit)
    return quantity


def _check_kind(given: Given) -> None:
    """The given measures what its name says."""
    name, unit = given.name, given.plain.unit
    if name in ONE_PART:
        _, dimensions, example = ONE_PART[name]
        if unit.dimensions != tuple(sorted(dimensions)):
            _refuse_kind(given, example)
    elif name == "amount" and not is_drug_once(unit) and unit.dimensions != ((D.VOLUME, 1),):
        _refuse_kind(given, "500 mg; a dose per kg or per time is a dose")
    elif name in {"rate", "volume", "dose"}:
        _check_flow(given)


def _check_flow(given: Given) -> None:
    flow = flow_of(given.plain.unit)
    if given.name == "dose" and flow is None:
        _refuse_kind(given, "5 mcg/kg/min, 10 mg/kg or 500 mg")
    if given.name == "volume" and (flow is None or flow.of != "volume" or flow.timed != "once"):
        _refuse_kind(given, "250 mL; a volume per time is a rate")
    if given.name == "rate" and (flow is None or flow.of != "volume" or flow.timed == "once"):
        dose_or_drops = "a drug per time is a dose, drops per time are a drip_rate"
        _refuse_kind(given, f"40 mL/h; {dose_or_drops}")


def _refuse_kind(given: Given, example: str) -> None:
    raise QuantityError(
        f"{given.name}: {given.text} is {measures(given.plain.unit)}, which is no {given.name}; "
        f"write it as {example}"
    )


def _check_bounds(given: Given, kg_per_lb: Fraction) -> None:
    if is_absurd(given.name, given.plain, kg_per_lb):
        least, most, unit_text = BOUNDS[given.name]
        raise QuantityError(
            f"{given.name}: {given.text} is absurd (possible are "
            f"{format_number(Fraction(least))} to {format_number(Fraction(most))} {unit_text}); "
            "check the number and the unit"
        )


def is_absurd(name: str, quantity: Quantity, kg_per_lb: Fraction = KG_PER_LB) -> bool:
    """Whether a value lies outside `BOUNDS`; False where there are none for its unit.

    >>> is_absurd("weight", parse_quantity("1820 kg"))
    True
    """
    if name not in BOUNDS:
        return False
    least, most, unit_text = BOUNDS[name]
    unit = parse_unit(unit_text, kg_per_lb=kg_per_lb)
    if unit.dimensions != quantity.unit.dimensions:
        return False
    return not Fraction(least) <= quantity.in_unit(unit) <= Fraction(most)

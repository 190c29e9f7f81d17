"""The closed table of units the trainer reads and writes, with exact factors.

Here: the allowed units, the spellings read as them, the spellings refused with
what to write instead, and compound units such as `mcg/kg/min`. Not here: numbers
(`quantity`) and what a unit is wanted for (`relations`). Anyone may import this.

Names of values end in their unit: `_ml`, `_ml_per_h`, `_kg`, `_h`, `_min`, `_ms`,
`_mg`, `_mcg_per_kg_per_min`, `_gtt_per_min`, `_cm`, `_m2`.

A kilogram after a `/` is a kilogram of the patient, not of the drug: it has its own
dimension, so that `mg/kg` does not collapse into a bare number.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from trainer.errors import QuantityError


class Dimension(StrEnum):
    """What a unit measures. Only units of one dimension convert into each other."""

    MASS = "mass"
    ACTIVITY = "units of activity"
    CHARGE = "milliequivalents"
    SUBSTANCE = "millimoles"
    VOLUME = "volume"
    TIME = "time"
    DROPS = "drops"
    LENGTH = "length"
    AREA = "area"
    BODY = "body weight"
    PERCENT = "percent"
    COUNT = "count"


DRUG_DIMENSIONS = frozenset(
    {Dimension.MASS, Dimension.ACTIVITY, Dimension.CHARGE, Dimension.SUBSTANCE}
)
"""The dimensions in which an amount of drug is ordered."""

KG_PER_LB = Fraction(10, 22)
"""The pound of nursing tests, 2.2 lb per kg; see `sources.POUND`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Atom:
    """One simple unit: its spelling, what it measures and its size in the first of its kind."""

    symbol: str
    dimension: Dimension
    size: Fraction


def _atoms(dimension: Dimension, **sizes: str) -> dict[str, Atom]:
    return {
        symbol: Atom(symbol=symbol, dimension=dimension, size=Fraction(size))
        for symbol, size in sizes.items()
    }


# Sizes are definitions (SI, the day of 24 hours, the inch of 2.54 cm); household measures are
# those of nursing sheets, see `sources.HOUSEHOLD`.
ATOMS: dict[str, Atom] = {
    **_atoms(Dimension.MASS, mg="1", nanograms="1/1000000", mcg="1/1000", g="1000"),
    **_atoms(Dimension.ACTIVITY, units="1", milliunits="1/1000"),
    "million units": Atom(
        symbol="million units", dimension=Dimension.ACTIVITY, size=Fraction(1_000_000)
    ),
    **_atoms(Dimension.CHARGE, mEq="1"),
    **_atoms(Dimension.SUBSTANCE, mmol="1", micromol="1/1000", mol="1000"),
    **_atoms(Dimension.VOLUME, mL="1", L="1000", tsp="5", tbsp="15"),
    "fl oz": Atom(symbol="fl oz", dimension=Dimension.VOLUME, size=Fraction(30)),
    **_atoms(Dimension.TIME, h="1", s="1/3600", min="1/60", day="24", week="168"),
    **_atoms(Dimension.DROPS, gtt="1"),
    **_atoms(Dimension.LENGTH, cm="1", mm="1/10", m="100", ft="30.48"),
    "in": Atom(symbol="in", dimension=Dimension.LENGTH, size=Fraction("2.54")),
    **_atoms(Dimension.AREA, m2="1", cm2="1/10000"),
    **_atoms(Dimension.BODY, kg="1", lb="5/11", oz="5/176"),
    **_atoms(Dimension.PERCENT),
    "%": Atom(symbol="%", dimension=Dimension.PERCENT, size=Fraction(1)),
    **_atoms(Dimension.COUNT, doses="1"),
}
BODY_GRAM = Atom(symbol="g", dimension=Dimension.BODY, size=Fraction(1, 1000))
DRUG_KILOGRAM = Atom(symbol="kg", dimension=Dimension.MASS, size=Fraction(1_000_000))

ALIASES: dict[str, str] = {
    "ml": "mL", "milliliter": "mL", "milliliters": "mL", "millilitre": "mL", "millilitres": "mL",
    "liter": "L", "liters": "L", "litre": "L", "litres": "L",
    "hr": "h", "hrs": "h", "hour": "h", "hours": "h",
    "mins": "min", "minute": "min", "minutes": "min",
    "sec": "s", "secs": "s", "second": "s", "seconds": "s",
    "days": "day", "weeks": "week",
    "unit": "units", "milliunit": "milliunits", "million unit": "million units",
    "drop": "gtt", "drops": "gtt", "gtts": "gtt",
    "lbs": "lb", "pound": "lb", "pounds": "lb", "ounce": "oz", "ounces": "oz",
    "microgram": "mcg", "micrograms": "mcg", "milligram": "mg", "milligrams": "mg",
    "gram": "g", "grams": "g", "kilogram": "kg", "kilograms": "kg",
    "ng": "nanograms", "nanogram": "nanograms", "nanog": "nanograms",
    "inch": "in", "inches": "in", "foot": "ft", "feet": "ft",
    "centimeter": "cm", "centimeters": "cm", "centimetre": "cm", "centimetres": "cm",
    "meter": "m", "meters": "m", "metre": "m", "metres": "m",
    "m²": "m2", "m^2": "m2", "percent": "%", "meq": "mEq", "milliequivalents": "mEq",
    "millimol": "mmol", "millimoles": "mmol", "dose": "doses", "cm²": "cm2", "cm^2": "cm2",
    "micromole": "micromol", "micromoles": "micromol", "mcmol": "micromol",
    "international units": "units", "international unit": "units",
    "teaspoon": "tsp", "teaspoons": "tsp", "tablespoon": "tbsp", "tablespoons": "tbsp",
    "fluid ounce": "fl oz", "fluid ounces": "fl oz",
}  # fmt: skip
"""Harmless other spellings, read as the unit of the table."""

REFUSED: dict[str, str] = {
    "U": "units", "u": "units", "IU": "units", "iu": "units", "I.U.": "units", "mU": "milliunits",
    "MU": "million units", "cc": "mL", "CC": "mL", "ccs": "mL", "ug": "mcg", "\u03b3": "mcg",
    "gm": "g", "gms": "g", "Gm": "g", "gr": "g, if grams are meant", "QD": "day", "qd": "day",
    "q.d.": "day", "OD": "day", "d": "day", "D": "day", "l": "L", "sq m": "m2", "M2": "m2",
    "M": "m, or min if minutes are meant", "'": "ft", '"': "in", "#": "lb", "MCG": "mcg",
    "m": "m", "H": "h", "MEQ": "mEq", "Meq": "mEq",
}  # fmt: skip
"""Error-prone spellings, each with what to write instead; see `sources.SAFE_WRITING`."""

HOW_OFTEN = re.compile(
    r"(?:^|\s)(?:(?:once |twice )?daily|qd|od|bd|bid|tds|tid|qds|qid|(?:q|every )\s*\d+\s*h\w*)$"
)
"""Words that say how often, not how much; a dose of the day is written per day."""

MU = "\u00b5\u03bc"
"""The two code points of the Greek mu, which is read as an m in handwriting."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """A unit as written, such as `mcg/kg/min`, with the power of each simple unit in it."""

    text: str
    powers: tuple[tuple[Atom, int], ...]

    @property
    def size(self) -> Fraction:
        """How many base units one of this unit is."""
        size = Fraction(1)
        for atom, power in self.powers:
            size *= atom.size**power
        return size

    @property
    def dimensions(self) -> tuple[tuple[Dimension, int], ...]:
        """The power of each dimension, in a fixed order; a count of doses does not count."""
        totals: dict[Dimension, int] = {}
        for atom, power in self.powers:
            if atom.dimension is not Dimension.COUNT:
                totals[atom.dimension] = totals.get(atom.dimension, 0) + power
        return tuple(sorted((name, power) for name, power in totals.items() if power))

    def power_of(self, dimension: Dimension) -> int:
        """The power of one dimension in this unit, 0 if it is absent."""
        return dict(self.dimensions).get(dimension, 0)


NO_UNIT = Unit(text="", powers=())


def parse_unit(
    text: str,
    *,
    what: str = "unit",
    kg_per_lb: Fraction = KG_PER_LB,
    of_body: bool | None = None,
) -> Unit:
    """The unit that `text` names, in its safe spelling.

    >>> parse_unit("mcg/kg/min").text
    'mcg/kg/min'
    >>> parse_unit("ml per hr").text
    'mL/h'

    Args:
        text: simple units joined by `/` (or `per`); `1/h` for "per hour".
        what: whose unit this is, for the message.
        kg_per_lb: the pound to use; sources differ.
        of_body: True if grams and kilograms before the `/` weigh the patient, False if
            they weigh a drug, None for the ordinary reading: kg the patient, g a drug.

    Raises:
        QuantityError: if a part is unknown or refused, with what to write instead.
    """
    cleaned = re.sub(r"\s+per\s+", "/", " ".join(text.split()))
    cleaned = re.sub(r"/\s*24\s*(?:h|hr|hrs|hours)(?=/|$)", "/day", cleaned)
    if not cleaned:
        raise QuantityError(f"{what}: a unit is missing; write one, such as mL/h")
    if len(cleaned) > 60:
        raise QuantityError(f"{what}: this is too long to be a unit; write one such as mcg/kg/min")
    parts = [part.strip() for part in cleaned.split("/")]
    powers = [] if parts[0] in {"", "1"} else [(_atom(parts[0], cleaned, what), 1)]
    powers += [(_atom(part, cleaned, what), -1) for part in parts[1:]]
    if not powers:
        raise QuantityError(f"{what}: `{text}` is not a unit; write one, such as mL/h")
    _refuse_repeats(powers, cleaned, what)
    placed = [(_placed(atom, power, kg_per_lb, of_body), power) for atom, power in powers]
    return Unit(text=_spelled(placed), powers=tuple(placed))


def _atom(part: str, whole: str, what: str) -> Atom:
    """The simple unit named by one part of a compound, or the reason it is refused."""
    name = ALIASES.get(part, part)
    if name in ATOMS:
        return ATOMS[name]
    raise QuantityError(f"{what}: {_why_refused(part, whole)}")


def _why_refused(part: str, whole: str) -> str:
    if not part:
        return f"`{whole}` has a `/` with nothing beside it; write a unit such as mL/h"
    if any(mark in part for mark in MU):
        mended = part
        for mark in MU:
            mended = mended.replace(mark, "mc")
        return f"`{part}` has the Greek mu, which is misread as m; write {mended}"
    if part in REFUSED:
        return f"`{part}` is misread and not used in orders; write {REFUSED[part]}"
    if HOW_OFTEN.search(part.lower().replace(".", "")):
        return (
            f"`{part}` says how often; write one dose with its plain unit, such as mg, or the "
            "dose of the day as mg/day with doses_per_day"
        )
    return _nearest(part, whole)


def _nearest(part: str, whole: str) -> str:
    """A hint for a part that is nothing known: a slip of case, a number, or no idea."""
    for name in (*ATOMS, *ALIASES):
        if name.lower() == part.lower():
            return f"`{part}` is not a unit (capitals matter); write {ALIASES.get(name, name)}"
    if part.lower() in {word.lower() for word in REFUSED}:
        mend = next(m for word, m in REFUSED.items() if word.lower() == part.lower())
        return f"`{part}` is misread and not used in orders; write {mend}"
    if any(character.isdigit() for character in part):
        return f"`{whole}` has a number in the unit; write the plain unit, such as mL/day or mg/mL"
    return f"`{part}` is not a unit the trainer knows; write one of {', '.join(ATOMS)}"


def _refuse_repeats(powers: list[tuple[Atom, int]], whole: str, what: str) -> None:
    below = [atom.dimension for atom, power in powers if power < 0]
    if len(set(below)) < len(below):
        raise QuantityError(f"{what}: `{whole}` divides twice by the same thing; write it once")
    if {atom for atom, power in powers if power > 0} & {
        atom for atom, power in powers if power < 0
    }:
        raise QuantityError(f"{what}: `{whole}` divides a thing by itself; write one such as mg/kg")


def _placed(atom: Atom, power: int, kg_per_lb: Fraction, of_body: bool | None) -> Atom:
    """The atom in its place: the chosen pound, and grams or kilograms of the right thing."""
    if atom.symbol == "lb":
        return Atom(symbol="lb", dimension=Dimension.BODY, size=kg_per_lb)
    if atom.symbol == "oz":
        return Atom(symbol="oz", dimension=Dimension.BODY, size=kg_per_lb / 16)
    if power > 0 and of_body is True and atom.symbol == "g":
        return BODY_GRAM
    if power > 0 and of_body is False and atom.symbol == "kg":
        return DRUG_KILOGRAM
    return atom


def _spelled(powers: list[tuple[Atom, int]]) -> str:
    above = "".join(atom.symbol for atom, power in powers if power > 0)
    below = "".join(f"/{_singular(atom.symbol)}" for atom, power in powers if power < 0)
    return f"{above or '1'}{below}"


def _singular(symbol: str) -> str:
    return "dose" if symbol == "doses" else symbol


def product_of(powers: tuple[tuple[Atom, int], ...]) -> Unit:
    """The unit made of these powers, equal ones taken together, in the order met.

    >>> mg, ml = ATOMS["mg"], ATOMS["mL"]
    >>> product_of(((mg, 1), (ml, -1), (ml, 1))).text
    'mg'
    """
    totals: dict[Atom, int] = {}
    for atom, power in powers:
        totals[atom] = totals.get(atom, 0) + power
    kept = [(atom, power) for atom, power in totals.items() if power]
    if not kept:
        return NO_UNIT
    each = [(atom, 1 if power > 0 else -1) for atom, power in kept for _ in range(abs(power))]
    return Unit(text=_spelled(each), powers=tuple(kept))

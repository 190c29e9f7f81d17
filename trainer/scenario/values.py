"""Texts of an author's file turned into exact values, each refusal with its mend.

Here: one reader for each kind of value that the format knows. Not here: which key takes
which kind (`schema`). Each reader takes what YAML gave and raises `WrongValueError`.
For `trainer.scenario` alone.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import TypeVar

from trainer.clinical.givens import parse_pound
from trainer.clinical.quantity import (
    Quantity,
    parse_clock,
    parse_duration,
    parse_number,
    parse_quantity,
    parse_strength,
)
from trainer.clinical.units import DRUG_DIMENSIONS, Dimension
from trainer.errors import QuantityError
from trainer.scenario.places import listed, nearest

MS_PER_H = 3_600_000
LONGEST_TEXT = 2_000
MOST_LISTED = 13
"""A choice of more words than this is not written out in a message. Chosen by us."""
MOST_LINES = 9
FINEST_VOLUME_PARTS = 10**8
"""Volumes are counted in 10^-8 mL; see `engine.amounts`."""
FINEST_RATE_PARTS = 1_000
"""Rates are counted in thousandths of a mL/h; see `engine.amounts`."""
LONGEST_H = 10_000
"""A longer duration is a slip of the finger. Chosen by us."""
HEAVIEST_KG = 300
LIGHTEST_KG = Fraction(3, 10)

E = TypeVar("E", bound=StrEnum)


class WrongValueError(ValueError):
    """A value that cannot stand where it stands: what is wrong, and the mend."""

    def __init__(self, what: str, mend: str = "") -> None:
        self.what = what
        self.mend = mend
        super().__init__(f"{what}; {mend}" if mend else what)


@dataclass(frozen=True, slots=True)
class Age:
    """An age as written and in years."""

    text: str
    years: Fraction


def shown(value: object) -> str:
    """A value as it is quoted in a message."""
    text = "true" if value is True else "false" if value is False else str(value)
    return f"`{text[:40]}`"


def read_text(value: object) -> str:
    """Words: not empty, not endless."""
    if isinstance(value, dict | list):
        raise WrongValueError("here should be words, not a list or keys", "write one text")
    if not isinstance(value, str):
        raise WrongValueError(f"{shown(value)} is not read as text", "put it in quotes")
    if not value.strip():
        raise WrongValueError("nothing is written here", "write a text, or leave the key out")
    if len(value) > LONGEST_TEXT:
        what = f"this text has {len(value)} characters"
        raise WrongValueError(what, f"write at most {LONGEST_TEXT}")
    return value.strip()


def read_id(value: object) -> str:
    """A short name: small letters, digits and hyphens, such as `left-hand`."""
    text = read_text(value)
    if re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", text) and len(text) <= 60:
        return text
    raise WrongValueError(
        f"{shown(text)} is no id", f"write small letters, digits and hyphens{_id_hint(text)}"
    )


def _id_hint(text: str) -> str:
    hint = re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")[:60]
    return f", such as `{hint}`" if hint else ""


def read_name_of_step(value: object) -> str:
    """A step's id, or its verb as written after `do:`.

    >>> read_name_of_step("pause sound")
    'pause-sound'
    """
    return read_id(read_text(value).replace(" ", "-"))


def read_whole(value: object) -> int:
    """A whole number of something countable."""
    if isinstance(value, bool) or not isinstance(value, int):
        raise WrongValueError(f"{shown(value)} is no whole number", "write digits, such as 24")
    return value


def read_line_number(value: object) -> int:
    """The number of a line: 1, 2 ..."""
    if isinstance(value, str) and value.isdigit() and len(value) < 3:
        value = int(value)
    number = read_whole(value)
    if not 1 <= number <= MOST_LINES:
        raise WrongValueError(f"{number} is no line's number", f"number lines 1 to {MOST_LINES}")
    return number


def read_truth(value: object) -> bool:
    """`true` or `false`."""
    if isinstance(value, bool):
        return value
    hint = {"yes": "true", "on": "true", "no": "false", "off": "false"}
    mend = hint.get(str(value).lower(), "true or false")
    raise WrongValueError(f"{shown(value)} is neither true nor false", f"write {mend}")


def physical(value: object, example: str) -> str:
    """The text of a value that must carry a unit."""
    if isinstance(value, int) and not isinstance(value, bool):
        raise WrongValueError(f"{shown(value)} has no unit", f"write it so: `{example}`")
    return read_text(value)


def asked(read: Callable[[str], Quantity], value: object, example: str) -> Quantity:
    """Read a quantity, with the trouble told in two parts."""
    text = physical(value, example)
    try:
        return read(text)
    except QuantityError as problem:
        raise in_two_parts(problem, example) from None


def in_two_parts(problem: QuantityError, example: str) -> WrongValueError:
    """The clinical reader's message, without its prefix, the mend fitting this kind."""
    message = re.sub(r"^(value|duration|concentration|start): ", "", str(problem))
    what, _, mend = message.partition("; ")
    if "has no unit" in what or "5 mg" in mend:
        mend = f"write it so: `{example}`"
    return WrongValueError(what, mend)


def quantity_in(unit: str, example: str, value: object) -> Fraction:
    """A value in a unit of the units table."""
    quantity = asked(parse_quantity, value, example)
    try:
        return quantity.to(unit)
    except QuantityError:
        what = f"{shown(value)} is not in {unit}"
        raise WrongValueError(what, f"write it so: `{example}`") from None


def read_any_volume(value: object) -> Fraction:
    """A volume in mL; zero is one."""
    volume_ml = quantity_in("mL", "40 mL", value)
    if (volume_ml * FINEST_VOLUME_PARTS).denominator != 1:
        raise WrongValueError(
            f"{shown(value)} is finer than the trainer counts", "use fewer digits"
        )
    return volume_ml


def read_volume(value: object) -> Fraction:
    """A volume in mL, more than zero."""
    return above_zero(read_any_volume(value), value)


def read_any_rate(value: object) -> Fraction:
    """A rate in mL/h; zero is one."""
    rate_ml_per_h = quantity_in("mL/h", "40 mL/h", value)
    if (rate_ml_per_h * FINEST_RATE_PARTS).denominator != 1:
        raise WrongValueError(
            f"{shown(value)} is finer than the trainer counts", "use at most three decimals"
        )
    return rate_ml_per_h


def read_rate(value: object) -> Fraction:
    """A rate in mL/h, more than zero."""
    return above_zero(read_any_rate(value), value)


def above_zero(number: Fraction, value: object) -> Fraction:
    """The number that was read from a value, refused if it is not more than zero."""
    if number <= 0:
        raise WrongValueError(f"{shown(value)} must be more than zero", "write a larger value")
    return number


def read_any_duration(value: object, example: str = "1 h 30 min") -> int:
    """A duration in milliseconds; zero is one."""
    duration_ms = asked(parse_duration, value, example).to("h") * MS_PER_H
    if duration_ms.denominator != 1:
        raise WrongValueError(
            f"{shown(value)} is no whole number of milliseconds", "use fewer digits"
        )
    if duration_ms > LONGEST_H * MS_PER_H:
        raise WrongValueError(f"{shown(value)} is longer than {LONGEST_H} h", "check the number")
    return duration_ms.numerator


def read_duration(value: object, example: str = "1 h 30 min") -> int:
    """A duration in milliseconds, more than zero."""
    return int(above_zero(Fraction(read_any_duration(value, example)), value))


def read_hours(value: object) -> Fraction:
    """A duration in hours, more than zero."""
    return Fraction(read_duration(value, "2 h"), MS_PER_H)


def read_seconds(value: object) -> Fraction:
    """A duration in seconds, more than zero."""
    return Fraction(read_duration(value, "15 s"), 1_000)


def read_weight_step(value: object) -> Quantity:
    """A difference of weights, more than zero."""
    weight = asked(lambda text: parse_quantity(text, of_body=True), value, "18.2 kg")
    if weight.unit.dimensions != ((Dimension.BODY, 1),):
        raise WrongValueError(f"{shown(value)} is no weight", "write it so: `18.2 kg`")
    above_zero(weight.value, value)
    return weight


def read_weight(value: object) -> Quantity:
    """A patient's weight, kept in the unit it was written in."""
    weight = read_weight_step(value)
    if not LIGHTEST_KG <= weight.to("kg") <= HEAVIEST_KG:
        raise WrongValueError(f"{shown(value)} is no patient's weight", "check the number")
    return weight


def read_dose(value: object) -> Quantity:
    """A dose: an amount of drug or fluid, perhaps per kg, perhaps per time."""
    dose = asked(parse_quantity, value, "20 mL/kg")
    powers = dict(dose.unit.dimensions)
    above = [name for name, power in powers.items() if power > 0]
    below = {name: power for name, power in powers.items() if power < 0}
    amounts = {*DRUG_DIMENSIONS, Dimension.VOLUME}
    allowed = {Dimension.BODY: -1, Dimension.TIME: -1}
    if len(above) == 1 and above[0] in amounts and below.items() <= allowed.items():
        return Quantity(value=above_zero(dose.value, value), unit=dose.unit)
    raise WrongValueError(
        f"{shown(value)} is no dose",
        "write an amount, perhaps per kg and per time, such as `50 mg/kg` or `20 mL/kg`",
    )


def read_strength(value: object) -> Quantity:
    """A concentration, as drug per mL, more than zero."""
    strength = asked(lambda text: parse_strength(text).quantity, value, "1 g in 50 mL")
    above_zero(strength.value, value)
    return strength


def read_limit(value: object) -> Quantity:
    """An end of a limit: any quantity."""
    return asked(parse_quantity, value, "50 mg/kg")


def read_drop_factor(value: object) -> Fraction:
    """Drops in a millilitre."""
    return above_zero(quantity_in("gtt/mL", "20 gtt/mL", value), value)


def read_litres_per_kg(value: object) -> Fraction:
    """A volume of distribution in L/kg."""
    return above_zero(quantity_in("L/kg", "0.6 L/kg", value), value)


def with_unit(value: object, unit: str, example: str) -> Fraction:
    """A value in a unit that is not in the units table, such as mmHg."""
    text = physical(value, example)
    match = re.fullmatch(rf"([0-9][0-9.,]*) *{re.escape(unit)}", text)
    try:
        if match:
            return parse_number(match[1])
    except QuantityError as problem:
        raise in_two_parts(problem, example) from None
    raise WrongValueError(f"{shown(value)} is not in {unit}", f"write it so: `{example}`")


def read_pressure(value: object) -> Fraction:
    """A pressure in mmHg, more than zero."""
    return above_zero(with_unit(value, "mmHg", "300 mmHg"), value)


def read_compliance(value: object) -> Fraction:
    """How much tubing gives for a pressure, in microlitres per mmHg."""
    return above_zero(with_unit(value, "mL/mmHg", "0.001 mL/mmHg") * 1_000, value)


def read_percent(value: object) -> Fraction:
    """A share, written in percent."""
    return above_zero(with_unit(value, "%", "10 %"), value) / 100


def read_lb_per_kg(value: object) -> Fraction:
    """How many pounds a kilogram is, by the ward's rule."""
    try:
        return 1 / parse_pound(read_text(value))
    except QuantityError:
        what = f"{shown(value)} is no such rule"
        raise WrongValueError(what, "write it so: `2.2 lb per kg`") from None


YEARS = {
    "year": Fraction(1), "month": Fraction(1, 12), "week": Fraction(7, 365), "day": Fraction(1, 365)
}  # fmt: skip
AGE_PART = re.compile(r"([0-9]+(?:\.[0-9]+)?) *(years?|y|months?|weeks?|days?)")


def read_age(value: object) -> Age:
    """An age: `5 years`, `3 years 4 months`, `6 weeks`.

    >>> read_age("18 months")
    Age(text='18 months', years=Fraction(3, 2))
    """
    text = physical(value, "5 years")
    if not re.fullmatch(rf"(?:{AGE_PART.pattern} *)+", text):
        raise WrongValueError(
            f"{shown(value)} is no age", "write it so: `5 years` or `3 years 4 months`"
        )
    years = sum((_years(number, unit) for number, unit in AGE_PART.findall(text)), Fraction(0))
    if years > 120:
        raise WrongValueError(f"{shown(value)} is no age", "check the number")
    return Age(text=text, years=years)


def _years(number: str, unit: str) -> Fraction:
    name = {"y": "year"}.get(unit, unit.removesuffix("s"))
    return Fraction(number) * YEARS[name]


def read_clock(value: object) -> str:
    """A time of day on the 24-hour clock, such as 08:50."""
    text = read_text(value)
    try:
        minutes = parse_clock(text)
    except QuantityError as problem:
        raise in_two_parts(problem, "08:50") from None
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def one_of(words: Iterable[str], kind: str) -> Callable[[object], str]:
    """A reader for one of a few words."""
    known = tuple(words)

    def read(value: object) -> str:
        text = read_text(value)
        if text in known:
            return text
        close = nearest(text, known)
        mend = f"did you mean `{close}`?" if close else _choice_of(known)
        raise WrongValueError(f"{shown(text)} is no known {kind}", mend)

    return read


def _choice_of(known: tuple[str, ...]) -> str:
    if len(known) > MOST_LISTED:
        return "look in the format reference, scenarios/README.md"
    return f"write {listed(known)}"


def member_of(choice: type[E], kind: str) -> Callable[[object], E]:
    """A reader for one term of the closed vocabulary."""
    read = one_of([str(member) for member in choice], kind)
    return lambda value: choice(read(value))


def read_sign(value: object) -> tuple[str, str]:
    """A vital sign: its value and its unit, such as `112 /min`.

    >>> read_sign("98/56 mmHg")
    ('98/56', 'mmHg')
    """
    if isinstance(value, int) and not isinstance(value, bool):
        raise WrongValueError(f"{shown(value)} has no unit", "write it so: `112 /min`")
    number, _, unit = read_text(value).partition(" ")
    return number, unit.strip()


def read_typed(value: object) -> str:
    """What a learner types or says, as text; a whole number is taken as its digits."""
    if isinstance(value, int) and not isinstance(value, bool):
        return str(value)
    return read_text(value)

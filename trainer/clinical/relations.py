"""What infusion arithmetic knows: a table of quantities and the relations between them.

A `Product` says that one quantity is a product of powers of others, and so can be turned
to find any one of them. A `Formula` finds one quantity from others by a sum or a
piecewise rule, and shows its working. Here: the tables. Not here: the search through
them (`solve`) and what a problem calls its quantities (`problem`).

The drug or fluid given comes in three amounts (in all, per kg, per m2) and three times
(once, by the hour, by the day in so many doses): `AMOUNT ... DAILY_AMOUNT_PER_M2` for a
drug, `VOLUME ... DAILY_VOLUME_PER_M2` for a fluid.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from trainer.clinical import bsa, fluids
from trainer.clinical.powers import is_exact_root, square_root
from trainer.clinical.quantity import format_clock
from trainer.clinical.rounding import format_number


class Part(StrEnum):
    """One quantity of a problem. The value is its name in a worked solution."""

    AMOUNT = "amount"
    AMOUNT_PER_KG = "dose per kg"
    AMOUNT_PER_M2 = "dose per m2"
    AMOUNT_RATE = "dose rate"
    AMOUNT_RATE_PER_KG = "dose rate per kg"
    AMOUNT_RATE_PER_M2 = "dose rate per m2"
    DAILY_AMOUNT = "daily dose"
    DAILY_AMOUNT_PER_KG = "daily dose per kg"
    DAILY_AMOUNT_PER_M2 = "daily dose per m2"
    VOLUME = "volume"
    VOLUME_PER_KG = "volume per kg"
    VOLUME_PER_M2 = "volume per m2"
    RATE = "rate"
    RATE_PER_KG = "rate per kg"
    RATE_PER_M2 = "rate per m2"
    DAILY_VOLUME = "daily volume"
    DAILY_VOLUME_PER_KG = "daily volume per kg"
    DAILY_VOLUME_PER_M2 = "daily volume per m2"
    DOSES_PER_DAY = "doses per day"
    DURATION = "duration"
    DRIP_RATE = "drip rate"
    DROP_FACTOR = "drop factor"
    CONCENTRATION = "concentration"
    CONTAINER_AMOUNT = "amount in the container"
    CONTAINER_VOLUME = "volume in the container"
    STOCK_CONCENTRATION = "concentration before dilution"
    STOCK_VOLUME = "volume before dilution"
    DILUENT = "diluent"
    WEIGHT = "weight"
    HEIGHT = "height"
    BSA = "body surface area"
    MAINTENANCE = "maintenance rate"
    REPLACEMENT = "replacement rate"
    DEHYDRATION = "dehydration"
    DEFICIT = "deficit"
    FLUID_PER_PERCENT = "fluid per kg per percent"
    BURNED = "burned area"
    COEFFICIENT = "coefficient"
    RESUSCITATION = "resuscitation volume"
    START = "start"
    FINISH = "finish"


@dataclass(frozen=True, slots=True, kw_only=True)
class Product:
    """`result` is the product of `factors`, each with its power. Turns to find any of them.

    `assumes` is what is taken for granted by using it, in words; empty for plain truths.
    """

    result: Part
    factors: tuple[tuple[Part, int], ...]
    assumes: str = ""

    def powers_for(self, wanted: Part) -> tuple[tuple[Part, int], ...] | None:
        """The powers that give `wanted`; None if this relation does not have it."""
        if wanted is self.result:
            return self.factors
        power = dict(self.factors).get(wanted)
        if power is None:
            return None
        others = tuple((part, -p * power) for part, p in self.factors if part is not wanted)
        return ((self.result, power), *others)

    @property
    def parts(self) -> tuple[Part, ...]:
        """Every quantity in the relation."""
        return (self.result, *(part for part, _ in self.factors))


def _always(*_: Fraction) -> bool:
    return True


def _never(*_: Fraction) -> bool:
    return False


def _root_is_exact(height_cm: Fraction, weight_kg: Fraction) -> bool:
    square = height_cm * weight_kg / 3600
    return is_exact_root(square_root(square), square)


@dataclass(frozen=True, slots=True, kw_only=True)
class Formula:
    """`result` found from `inputs`, in base units (mL, h, kg, cm, m2), with its working.

    `is_exact` tells whether the result for such inputs is exact, or cut after thirty digits.
    """

    result: Part
    inputs: tuple[Part, ...]
    compute: Callable[..., Fraction]
    words: Callable[..., str]
    is_exact: Callable[..., bool] = _always

    @property
    def parts(self) -> tuple[Part, ...]:
        """Every quantity in the relation."""
        return (self.result, *self.inputs)


Relation = Product | Formula


def _of(result: Part, over: tuple[Part, ...] = (), under: tuple[Part, ...] = ()) -> Product:
    """`result` = the product of `over` / the product of `under`."""
    powers = [(part, 1) for part in over] + [(part, -1) for part in under]
    return Product(result=result, factors=tuple(powers))


P = Part
GIVING: tuple[Relation, ...] = (
    # rate, volume, time
    _of(P.RATE, (P.VOLUME,), (P.DURATION,)),
    _of(P.RATE_PER_KG, (P.VOLUME_PER_KG,), (P.DURATION,)),
    _of(P.RATE_PER_M2, (P.VOLUME_PER_M2,), (P.DURATION,)),
    _of(P.AMOUNT_RATE, (P.AMOUNT,), (P.DURATION,)),
    _of(P.AMOUNT_RATE_PER_KG, (P.AMOUNT_PER_KG,), (P.DURATION,)),
    _of(P.AMOUNT_RATE_PER_M2, (P.AMOUNT_PER_M2,), (P.DURATION,)),
    # drops
    _of(P.DRIP_RATE, (P.RATE, P.DROP_FACTOR)),
    # drug and fluid
    _of(P.AMOUNT, (P.VOLUME, P.CONCENTRATION)),
    _of(P.AMOUNT_PER_KG, (P.VOLUME_PER_KG, P.CONCENTRATION)),
    _of(P.AMOUNT_PER_M2, (P.VOLUME_PER_M2, P.CONCENTRATION)),
    _of(P.AMOUNT_RATE, (P.RATE, P.CONCENTRATION)),
    _of(P.AMOUNT_RATE_PER_KG, (P.RATE_PER_KG, P.CONCENTRATION)),
    _of(P.AMOUNT_RATE_PER_M2, (P.RATE_PER_M2, P.CONCENTRATION)),
    _of(P.DAILY_AMOUNT, (P.DAILY_VOLUME, P.CONCENTRATION)),
    _of(P.DAILY_AMOUNT_PER_KG, (P.DAILY_VOLUME_PER_KG, P.CONCENTRATION)),
    _of(P.DAILY_AMOUNT_PER_M2, (P.DAILY_VOLUME_PER_M2, P.CONCENTRATION)),
    # by weight
    _of(P.AMOUNT, (P.AMOUNT_PER_KG, P.WEIGHT)),
    _of(P.AMOUNT_RATE, (P.AMOUNT_RATE_PER_KG, P.WEIGHT)),
    _of(P.DAILY_AMOUNT, (P.DAILY_AMOUNT_PER_KG, P.WEIGHT)),
    _of(P.VOLUME, (P.VOLUME_PER_KG, P.WEIGHT)),
    _of(P.RATE, (P.RATE_PER_KG, P.WEIGHT)),
    _of(P.DAILY_VOLUME, (P.DAILY_VOLUME_PER_KG, P.WEIGHT)),
    # by body surface
    _of(P.AMOUNT, (P.AMOUNT_PER_M2, P.BSA)),
    _of(P.AMOUNT_RATE, (P.AMOUNT_RATE_PER_M2, P.BSA)),
    _of(P.DAILY_AMOUNT, (P.DAILY_AMOUNT_PER_M2, P.BSA)),
    _of(P.VOLUME, (P.VOLUME_PER_M2, P.BSA)),
    _of(P.RATE, (P.RATE_PER_M2, P.BSA)),
    _of(P.DAILY_VOLUME, (P.DAILY_VOLUME_PER_M2, P.BSA)),
    # so many doses a day
    _of(P.DAILY_AMOUNT, (P.AMOUNT, P.DOSES_PER_DAY)),
    _of(P.DAILY_AMOUNT_PER_KG, (P.AMOUNT_PER_KG, P.DOSES_PER_DAY)),
    _of(P.DAILY_AMOUNT_PER_M2, (P.AMOUNT_PER_M2, P.DOSES_PER_DAY)),
    _of(P.DAILY_VOLUME, (P.VOLUME, P.DOSES_PER_DAY)),
    _of(P.DAILY_VOLUME_PER_KG, (P.VOLUME_PER_KG, P.DOSES_PER_DAY)),
    _of(P.DAILY_VOLUME_PER_M2, (P.VOLUME_PER_M2, P.DOSES_PER_DAY)),
    # the container
    _of(P.CONTAINER_AMOUNT, (P.CONTAINER_VOLUME, P.CONCENTRATION)),
    # fluid lost
    _of(P.DEFICIT, (P.WEIGHT, P.DEHYDRATION, P.FLUID_PER_PERCENT)),
    _of(P.REPLACEMENT, (P.DEFICIT,), (P.DURATION,)),
    _of(P.RESUSCITATION, (P.COEFFICIENT, P.WEIGHT, P.BURNED)),
)
"""Relations that hold in every problem."""


def _sum_words(total: str, one: str, other: str, unit: str) -> Callable[..., str]:
    def words(first: Fraction, second: Fraction) -> str:
        summed = format_number(first + second)
        return f"{total} = {one} + {other} = {format_number(first)} + {format_number(second)} = {summed} {unit}"

    return words


def _difference_words(result: str, total: str, part: str) -> Callable[..., str]:
    def words(whole: Fraction, less: Fraction) -> str:
        rest = format_number(whole - less)
        return f"{result} = {total} - {part} = {format_number(whole)} - {format_number(less)} = {rest} mL"

    return words


def _plus(first: Fraction, second: Fraction) -> Fraction:
    return first + second


def _minus(first: Fraction, second: Fraction) -> Fraction:
    return first - second


DILUTING: tuple[Relation, ...] = (
    _of(P.CONTAINER_AMOUNT, (P.STOCK_VOLUME, P.STOCK_CONCENTRATION)),
    Formula(
        result=P.CONTAINER_VOLUME,
        inputs=(P.STOCK_VOLUME, P.DILUENT),
        compute=_plus,
        words=_sum_words("volume in the container", "volume", "diluent", "mL"),
    ),
    Formula(
        result=P.DILUENT,
        inputs=(P.CONTAINER_VOLUME, P.STOCK_VOLUME),
        compute=_minus,
        words=_difference_words("diluent", "volume in the container", "volume"),
    ),
    Formula(
        result=P.STOCK_VOLUME,
        inputs=(P.CONTAINER_VOLUME, P.DILUENT),
        compute=_minus,
        words=_difference_words("volume", "volume in the container", "diluent"),
    ),
)
"""A volume with diluent added: the container holds both."""

ONLY_MAINTENANCE: tuple[Relation, ...] = (_of(P.RATE, (P.MAINTENANCE,)),)
ONLY_REPLACEMENT: tuple[Relation, ...] = (_of(P.RATE, (P.REPLACEMENT,)),)
MAINTENANCE_AND_REPLACEMENT: tuple[Relation, ...] = (
    Formula(
        result=P.RATE,
        inputs=(P.MAINTENANCE, P.REPLACEMENT),
        compute=_plus,
        words=_sum_words("rate", "maintenance", "replacement", "mL/h"),
    ),
)
"""A rule and a deficit together: both run in the same line."""


def _daily(weight_kg: Fraction) -> Fraction:
    return fluids.maintenance_ml_per_day(weight_kg) / 24


def _weight_from_daily(rate_ml_per_h: Fraction) -> Fraction:
    return fluids.weight_from_maintenance_ml_per_day(rate_ml_per_h * 24)


def _maintenance_words(rule: str) -> Callable[..., str]:
    def words(weight_kg: Fraction) -> str:
        return f"{rule} rule: {fluids.maintenance_words(weight_kg, rule)}"

    return words


def _weight_words(rule: str, weight: Callable[..., Fraction]) -> Callable[..., str]:
    def words(rate_ml_per_h: Fraction) -> str:
        kg = weight(rate_ml_per_h)
        sum_for_kg = fluids.maintenance_words(kg, rule)
        return (
            f"{rule} rule turned round: the weight for which {sum_for_kg} is {format_number(kg)} kg"
        )

    return words


def _mosteller_words(height_cm: Fraction, weight_kg: Fraction) -> str:
    area = format_number(bsa.mosteller_m2(height_cm, weight_kg))
    return (
        f"Mosteller: body surface area = root of (height in cm x weight in kg / 3600) = "
        f"root of ({format_number(height_cm)} x {format_number(weight_kg)} / 3600) = {area} m2"
    )


def _haycock_words(height_cm: Fraction, weight_kg: Fraction) -> str:
    area = format_number(bsa.haycock_m2(height_cm, weight_kg))
    return (
        "Haycock: body surface area = 0.024265 x (weight in kg)^0.5378 x (height in cm)^0.3964 = "
        f"0.024265 x {format_number(weight_kg)}^0.5378 x {format_number(height_cm)}^0.3964 = {area} m2"
    )


def _turned_words(
    rule: str, result: str, unit: str, of: Callable[..., Fraction]
) -> Callable[..., str]:
    def words(area_m2: Fraction, other: Fraction) -> str:
        found = format_number(of(area_m2, other))
        return (
            f"{rule} turned round: for {format_number(area_m2)} m2 and {format_number(other)} "
            f"{'kg' if unit == 'cm' else 'cm'} the {result} is {found} {unit}"
        )

    return words


def _surface(
    rule: str,
    area: Callable[..., Fraction],
    words: Callable[..., str],
    height: Callable[..., Fraction],
    weight: Callable[..., Fraction],
) -> tuple[Relation, ...]:
    """A surface formula in its three directions."""
    turned_is_exact = _never if rule == "Haycock" else _always
    return (
        Formula(
            result=P.BSA,
            inputs=(P.HEIGHT, P.WEIGHT),
            compute=area,
            words=words,
            is_exact=_never if rule == "Haycock" else _root_is_exact,
        ),
        Formula(
            result=P.HEIGHT,
            inputs=(P.BSA, P.WEIGHT),
            compute=height,
            words=_turned_words(rule, "height", "cm", height),
            is_exact=turned_is_exact,
        ),
        Formula(
            result=P.WEIGHT,
            inputs=(P.BSA, P.HEIGHT),
            compute=weight,
            words=_turned_words(rule, "weight", "kg", weight),
            is_exact=turned_is_exact,
        ),
    )


def _maintenance(
    rule: str, rate: Callable[..., Fraction], weight: Callable[..., Fraction]
) -> tuple[Relation, ...]:
    """A maintenance rule in its two directions."""
    return (
        Formula(
            result=P.MAINTENANCE,
            inputs=(P.WEIGHT,),
            compute=rate,
            words=_maintenance_words(rule),
        ),
        Formula(
            result=P.WEIGHT,
            inputs=(P.MAINTENANCE,),
            compute=weight,
            words=_weight_words(rule, weight if rule == "4-2-1" else _weight_from_daily),
        ),
    )


RULES: dict[str, tuple[Relation, ...]] = {
    "4-2-1": _maintenance(
        "4-2-1", fluids.maintenance_ml_per_h, fluids.weight_from_maintenance_ml_per_h
    ),
    "100-50-20": _maintenance("100-50-20", _daily, _weight_from_daily),
    "mosteller": _surface(
        "Mosteller", bsa.mosteller_m2, _mosteller_words, bsa.mosteller_other, bsa.mosteller_other
    ),
    "haycock": _surface(
        "Haycock", bsa.haycock_m2, _haycock_words, bsa.haycock_height_cm, bsa.haycock_weight_kg
    ),
}
"""The named rules, used only when the problem names one."""
MAINTENANCE_RULES = ("4-2-1", "100-50-20")


def _clock_words(start_h: Fraction, duration_h: Fraction) -> str:
    seconds = (start_h + duration_h) * 3600 // 1
    begin, minutes = format_clock(int(start_h * 60 // 1)), seconds // 60
    days = minutes // (24 * 60)
    later = "" if not days else " the next day" if days == 1 else f" {days} days later"
    shown = format_clock(minutes) + (f":{seconds % 60:02d}" if seconds % 60 else "")
    return f"finish = start + duration = {begin} + {_span(duration_h)} = {shown}{later}"


def _span(duration_h: Fraction) -> str:
    seconds = int(duration_h * 3600 // 1)
    parts = ((seconds // 3600, "h"), (seconds // 60 % 60, "min"), (seconds % 60, "s"))
    return " ".join(f"{count} {unit}" for count, unit in parts if count) or "0 s"


CLOCK: tuple[Relation, ...] = (
    Formula(result=P.FINISH, inputs=(P.START, P.DURATION), compute=_plus, words=_clock_words),
)


def _assumed(result: Part, same_as: Part, assumes: str) -> Product:
    return Product(result=result, factors=((same_as, 1),), assumes=assumes)


ASSUMPTIONS: tuple[Product, ...] = (
    _assumed(P.AMOUNT, P.CONTAINER_AMOUNT, "the whole amount is given"),
    _assumed(P.VOLUME, P.CONTAINER_VOLUME, "the whole volume is given"),
    _assumed(P.VOLUME, P.DEFICIT, "the volume given is the deficit"),
    _assumed(P.VOLUME, P.RESUSCITATION, "the volume given is the whole resuscitation volume"),
    _assumed(P.CONTAINER_VOLUME, P.DILUENT, "the drug's own volume is not known and is left out"),
)
"""Taken for granted only where nothing else gives the quantity, in this order."""


def _burn_volume(whole_ml: Fraction, duration_h: Fraction) -> Fraction:
    return whole_ml * fluids.burn_share(duration_h)


def _burn_words(whole_ml: Fraction, duration_h: Fraction) -> str:
    share = fluids.burn_share(duration_h)
    part = "all" if share == 1 else "half"
    late = " (what is left of the first 8 h)" if duration_h < fluids.FIRST_HALF_H else ""
    return (
        f"volume for {_span(duration_h)}{late} = {part} of the resuscitation volume = "
        f"{format_number(whole_ml * share)} mL"
    )


BURN_PERIOD: tuple[Relation, ...] = (
    Formula(
        result=P.VOLUME,
        inputs=(P.RESUSCITATION, P.DURATION),
        compute=_burn_volume,
        words=_burn_words,
    ),
)
"""Fluid after a burn for one of its periods: the first 8 h, the next 16 h, or all 24 h."""


def relations_that_hold(parts: set[Part], rule: str) -> tuple[Relation, ...]:
    """The relations that hold in a problem with these quantities and this rule named."""
    relations = GIVING + CLOCK
    if parts & {Part.DILUENT, Part.STOCK_CONCENTRATION, Part.STOCK_VOLUME}:
        relations += DILUTING
    if {Part.BURNED, Part.DURATION} <= parts:
        relations += BURN_PERIOD
    if rule:
        relations += RULES[rule]
    if rule in MAINTENANCE_RULES and Part.DEHYDRATION in parts:
        return relations + MAINTENANCE_AND_REPLACEMENT
    if rule in MAINTENANCE_RULES:
        return relations + ONLY_MAINTENANCE
    return relations + ONLY_REPLACEMENT

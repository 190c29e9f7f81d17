"""Fluid for a child by weight: maintenance, deficit, and fluid after a burn.

The two maintenance rules are published as equal and are not quite: 4-2-1 counts by the
hour, 100-50-20 by the day, and one is not 24 times the other. Not here: which rule a
ward follows (its policy), or any upper limit.
"""

from __future__ import annotations

from fractions import Fraction

from trainer.clinical.rounding import format_number
from trainer.errors import ProblemError, QuantityError

BAND_KG = 10
"""The first ten kilograms, the second ten, and the rest. Source: sources.HOLLIDAY_SEGAR."""
HOURLY_BY_BAND = (Fraction(4), Fraction(2), Fraction(1))
"""mL/kg/h in each band. Source: sources.FOUR_TWO_ONE."""
DAILY_BY_BAND = (Fraction(100), Fraction(50), Fraction(20))
"""mL/kg/day in each band. Source: sources.HOLLIDAY_SEGAR."""
DEFICIT_ML_PER_KG_PER_PERCENT = Fraction(10)
"""One percent of body weight is 10 mL of fluid per kg. Source: sources.DEFICIT."""
FIRST_HALF_H = Fraction(8)
"""Half the fluid after a burn is due in the first 8 h. Source: sources.BURN_FLUID."""


def maintenance_ml_per_h(weight_kg: Fraction) -> Fraction:
    """Maintenance rate in mL/h by 4-2-1.

    4 mL/kg/h for the first 10 kg, 2 for the next 10, 1 for the rest.

    >>> maintenance_ml_per_h(Fraction(22))
    Fraction(62, 1)

    Raises:
        QuantityError: if the weight is not positive.
    Source: sources.FOUR_TWO_ONE
    """
    return _by_band(weight_kg, HOURLY_BY_BAND)


def maintenance_ml_per_day(weight_kg: Fraction) -> Fraction:
    """Maintenance volume in mL per day by 100-50-20.

    100 mL/kg/day for the first 10 kg, 50 for the next 10, 20 for the rest.

    >>> maintenance_ml_per_day(Fraction(22))
    Fraction(1540, 1)

    Raises:
        QuantityError: if the weight is not positive.
    Source: sources.HOLLIDAY_SEGAR
    """
    return _by_band(weight_kg, DAILY_BY_BAND)


def weight_from_maintenance_ml_per_h(rate_ml_per_h: Fraction) -> Fraction:
    """The weight in kg whose 4-2-1 maintenance is this rate.

    >>> weight_from_maintenance_ml_per_h(Fraction(62))
    Fraction(22, 1)

    Raises:
        QuantityError: if the rate is not positive.
    Source: sources.FOUR_TWO_ONE
    """
    return _weight_by_band(rate_ml_per_h, HOURLY_BY_BAND)


def weight_from_maintenance_ml_per_day(volume_ml_per_day: Fraction) -> Fraction:
    """The weight in kg whose 100-50-20 maintenance is this daily volume.

    Raises:
        QuantityError: if the volume is not positive.
    Source: sources.HOLLIDAY_SEGAR
    """
    return _weight_by_band(volume_ml_per_day, DAILY_BY_BAND)


def bands_kg(weight_kg: Fraction) -> tuple[Fraction, Fraction, Fraction]:
    """The kilograms of a weight in the first ten, the second ten and the rest.

    >>> [str(part) for part in bands_kg(Fraction(22))]
    ['10', '10', '2']
    """
    ten, nothing = Fraction(BAND_KG), Fraction(0)
    first = min(weight_kg, ten)
    second = min(max(weight_kg - ten, nothing), ten)
    return first, second, max(weight_kg - 2 * ten, nothing)


def _by_band(weight_kg: Fraction, per_kg: tuple[Fraction, Fraction, Fraction]) -> Fraction:
    _positive(weight_kg, "the weight")
    parts = zip(bands_kg(weight_kg), per_kg, strict=True)
    return sum((kg * each for kg, each in parts), Fraction(0))


def _weight_by_band(total: Fraction, per_kg: tuple[Fraction, Fraction, Fraction]) -> Fraction:
    _positive(total, "the maintenance fluid")
    weight, left = Fraction(0), total
    for each in per_kg[:2]:
        kg = min(left / each, Fraction(BAND_KG))
        weight, left = weight + kg, left - kg * each
    return weight + left / per_kg[2]


def maintenance_words(weight_kg: Fraction, rule: str) -> str:
    """The sum of a maintenance rule written out.

    >>> maintenance_words(Fraction(22), "4-2-1")
    '10 kg x 4 + 10 kg x 2 + 2 kg x 1 = 62 mL/h'
    """
    by_hour = rule == "4-2-1"
    per_kg = HOURLY_BY_BAND if by_hour else DAILY_BY_BAND
    parts = [
        f"{format_number(kg)} kg x {format_number(each)}"
        for kg, each in zip(bands_kg(weight_kg), per_kg, strict=True)
        if kg
    ]
    total = format_number(_by_band(weight_kg, per_kg))
    return f"{' + '.join(parts)} = {total} {'mL/h' if by_hour else 'mL/day'}"


def deficit_ml(weight_kg: Fraction, dehydration_percent: Fraction) -> Fraction:
    """Fluid deficit in mL: weight x percent dehydrated x 10 mL per kg per percent.

    >>> deficit_ml(Fraction(22), Fraction(5))
    Fraction(1100, 1)

    Raises:
        QuantityError: if a value is not positive.
    Source: sources.DEFICIT
    """
    _positive(weight_kg, "the weight")
    _positive(dehydration_percent, "the dehydration")
    return weight_kg * dehydration_percent * DEFICIT_ML_PER_KG_PER_PERCENT


def resuscitation_ml(
    weight_kg: Fraction, burned_percent: Fraction, coefficient_ml_per_kg_per_percent: Fraction
) -> Fraction:
    """Fluid in mL for the first 24 h after a burn: coefficient x weight x percent burned.

    The coefficient differs between sources (2 to 4 mL/kg per percent) and is given.

    >>> resuscitation_ml(Fraction(20), Fraction(15), Fraction(3))
    Fraction(900, 1)

    Raises:
        QuantityError: if a value is not positive.
    Source: sources.BURN_FLUID
    """
    _positive(weight_kg, "the weight")
    _positive(burned_percent, "the burned area")
    _positive(coefficient_ml_per_kg_per_percent, "the coefficient")
    return coefficient_ml_per_kg_per_percent * weight_kg * burned_percent


def _positive(value: Fraction, what: str) -> None:
    if value <= 0:
        raise QuantityError(f"{what} must be more than zero")


def burn_share(duration_h: Fraction) -> Fraction:
    """Share of the resuscitation volume that is due in a period of the first 24 h.

    Half in the first 8 h after the burn, half in the 16 h that follow, all in 24 h. Less than
    8 h is taken for what is left of the first 8 h when the fluid starts late: still half.

    >>> burn_share(Fraction(8))
    Fraction(1, 2)

    Raises:
        ProblemError: for any other period; the rule says nothing of it.
    Source: sources.BURN_FLUID
    """
    shares = {Fraction(8): Fraction(1, 2), Fraction(16): Fraction(1, 2), Fraction(24): Fraction(1)}
    if duration_h < FIRST_HALF_H:
        return shares[FIRST_HALF_H]
    if duration_h not in shares:
        raise ProblemError(
            "fluid after a burn is reckoned for the first 8 h (or what is left of them), the next 16 h "
            "or all 24 h; "
            "give one of these as the duration"
        )
    return shares[duration_h]

"""Dose, rate, volume, time and drops: one formula per function, all exact.

For the engine and the scoring, which know what they hold. The solver (`solve`) has the
same formulas as a table (`relations`); a test holds the two against each other.
None of these round, and none checks that a value is clinically sensible.
"""

from __future__ import annotations

from fractions import Fraction

from trainer.errors import QuantityError

MINUTES_PER_HOUR = 60
"""Definition."""
MCG_PER_MG = 1000
"""Definition."""


def _positive(**values: Fraction) -> None:
    for name, value in values.items():
        if value <= 0:
            raise QuantityError(f"{name} must be more than zero")


def rate_for_duration(volume_ml: Fraction, duration_h: Fraction) -> Fraction:
    """Rate in mL/h that gives `volume_ml` in `duration_h`: volume / time.

    >>> rate_for_duration(Fraction(1000), Fraction(8))
    Fraction(125, 1)

    Raises:
        QuantityError: if the duration is not positive.
    Source: sources.RATE_VOLUME_TIME
    """
    _positive(duration_h=duration_h)
    return volume_ml / duration_h


def volume_from_rate(rate_ml_per_h: Fraction, duration_h: Fraction) -> Fraction:
    """Volume in mL given at `rate_ml_per_h` over `duration_h`: rate x time.

    >>> volume_from_rate(Fraction(60), Fraction(12))
    Fraction(720, 1)

    Source: sources.RATE_VOLUME_TIME
    """
    return rate_ml_per_h * duration_h


def duration_for_volume(volume_ml: Fraction, rate_ml_per_h: Fraction) -> Fraction:
    """Time in h to give `volume_ml` at `rate_ml_per_h`: volume / rate.

    >>> duration_for_volume(Fraction(100), Fraction(200))
    Fraction(1, 2)

    Raises:
        QuantityError: if the rate is not positive.
    Source: sources.RATE_VOLUME_TIME
    """
    _positive(rate_ml_per_h=rate_ml_per_h)
    return volume_ml / rate_ml_per_h


def drip_rate(rate_ml_per_h: Fraction, drop_factor_gtt_per_ml: Fraction) -> Fraction:
    """Drops per minute at `rate_ml_per_h`: rate x drop factor / 60 min.

    >>> drip_rate(Fraction(125), Fraction(20))
    Fraction(125, 3)

    Source: sources.DRIP_RATE
    """
    return rate_ml_per_h * drop_factor_gtt_per_ml / MINUTES_PER_HOUR


def rate_from_drip(drip_gtt_per_min: Fraction, drop_factor_gtt_per_ml: Fraction) -> Fraction:
    """Rate in mL/h of so many drops a minute: drops x 60 min / drop factor.

    >>> rate_from_drip(Fraction(50), Fraction(20))
    Fraction(150, 1)

    Raises:
        QuantityError: if the drop factor is not positive.
    Source: sources.DRIP_RATE
    """
    _positive(drop_factor_gtt_per_ml=drop_factor_gtt_per_ml)
    return drip_gtt_per_min * MINUTES_PER_HOUR / drop_factor_gtt_per_ml


def drop_factor(drip_gtt_per_min: Fraction, rate_ml_per_h: Fraction) -> Fraction:
    """Drops per mL of a set that drips so at this rate: drops x 60 min / rate.

    >>> drop_factor(Fraction(25), Fraction(150))
    Fraction(10, 1)

    Raises:
        QuantityError: if the rate is not positive.
    Source: sources.DRIP_RATE
    """
    _positive(rate_ml_per_h=rate_ml_per_h)
    return drip_gtt_per_min * MINUTES_PER_HOUR / rate_ml_per_h


def rate_from_dose(
    dose_mcg_per_kg_per_min: Fraction, weight_kg: Fraction, concentration_mg_per_ml: Fraction
) -> Fraction:
    """Rate in mL/h that gives the dose: dose x weight x 60 / (1000 x concentration).

    >>> rate_from_dose(Fraction(5), Fraction("18.2"), Fraction("1.6"))
    Fraction(273, 80)

    Raises:
        QuantityError: if the concentration is not positive.
    Source: sources.RATE_FROM_DOSE
    """
    _positive(concentration_mg_per_ml=concentration_mg_per_ml)
    mcg_per_h = dose_mcg_per_kg_per_min * weight_kg * MINUTES_PER_HOUR
    return mcg_per_h / MCG_PER_MG / concentration_mg_per_ml


def dose_from_rate(
    rate_ml_per_h: Fraction, weight_kg: Fraction, concentration_mg_per_ml: Fraction
) -> Fraction:
    """Dose in mcg/kg/min at `rate_ml_per_h`: rate x concentration x 1000 / (60 x weight).

    >>> dose_from_rate(Fraction("10.5"), Fraction(70), Fraction(2))
    Fraction(5, 1)

    Raises:
        QuantityError: if the weight is not positive.
    Source: sources.RATE_FROM_DOSE
    """
    _positive(weight_kg=weight_kg)
    mcg_per_h = rate_ml_per_h * concentration_mg_per_ml * MCG_PER_MG
    return mcg_per_h / MINUTES_PER_HOUR / weight_kg


def dose_by_weight(dose_mg_per_kg: Fraction, weight_kg: Fraction) -> Fraction:
    """Dose in mg: dose per kg x weight.

    >>> dose_by_weight(Fraction("0.2"), Fraction(14))
    Fraction(14, 5)

    Source: sources.DOSE_BY_WEIGHT
    """
    return dose_mg_per_kg * weight_kg


def single_dose(daily_dose_mg: Fraction, doses_per_day: Fraction) -> Fraction:
    """One dose in mg: the day's dose / doses per day.

    >>> single_dose(Fraction(400), Fraction(2))
    Fraction(200, 1)

    Raises:
        QuantityError: if the number of doses is not positive.
    Source: sources.DOSE_BY_WEIGHT
    """
    _positive(doses_per_day=doses_per_day)
    return daily_dose_mg / doses_per_day


def volume_for_dose(dose_mg: Fraction, concentration_mg_per_ml: Fraction) -> Fraction:
    """Volume in mL that holds the dose: dose / concentration.

    >>> volume_for_dose(Fraction(30), Fraction(100))
    Fraction(3, 10)

    Raises:
        QuantityError: if the concentration is not positive.
    Source: sources.VOLUME_FOR_DOSE
    """
    _positive(concentration_mg_per_ml=concentration_mg_per_ml)
    return dose_mg / concentration_mg_per_ml


def amount_in_volume(volume_ml: Fraction, concentration_mg_per_ml: Fraction) -> Fraction:
    """Amount of drug in mg in a volume: volume x concentration.

    >>> amount_in_volume(Fraction(500), Fraction("1.6"))
    Fraction(800, 1)

    Source: sources.VOLUME_FOR_DOSE
    """
    return volume_ml * concentration_mg_per_ml


def concentration_after_dilution(
    amount_mg: Fraction, volume_ml: Fraction, diluent_ml: Fraction
) -> Fraction:
    """Concentration in mg/mL of `amount_mg` in its volume and the diluent together.

    The drug's own volume is counted. Some sources leave it out.

    >>> concentration_after_dilution(Fraction(10), Fraction(10), Fraction(40))
    Fraction(1, 5)

    Raises:
        QuantityError: if there is no volume.
    Source: sources.DILUTION
    """
    total_ml = volume_ml + diluent_ml
    _positive(total_ml=total_ml)
    return amount_mg / total_ml


def volume_at_once(rate_ml_per_h: Fraction, most_h: Fraction) -> Fraction:
    """Most volume in mL to enter at once, where a ward sets `most_h` hours: rate x hours.

    >>> volume_at_once(Fraction(40), Fraction(2))
    Fraction(80, 1)

    Source: common practice, no source; the hours come from the ward's policy.
    """
    return volume_from_rate(rate_ml_per_h, most_h)

"""Clinical cautions on an answer: what a careful nurse would look at twice.

Each function gives no caution or one, as text that says what to check. They judge
nothing as right or wrong; a ward's own limits are in its policy and formulary.
The thresholds here are chosen by us, as marks of the unusual, not as limits.
"""

from __future__ import annotations

from fractions import Fraction

from trainer.clinical.fluids import (
    FIRST_HALF_H,
    maintenance_ml_per_day,
    maintenance_ml_per_h,
)
from trainer.clinical.rounding import RoundingRules, format_number, round_half_up

UNUSUAL_RATE_ML_PER_H = Fraction(1000)
UNUSUAL_RATE_ML_PER_KG_PER_H = Fraction(20)
SMALL_PATIENT_KG = Fraction(40)
LEAST_USUAL_WEIGHT_KG = Fraction(1, 2)
MOST_USUAL_WEIGHT_KG = Fraction(200)
MAINTENANCE_CEILING_ML_PER_H = Fraction(100)
"""Usual ceiling of maintenance fluid, from a paediatric fluid table."""
SEVERE_DEHYDRATION_PERCENT = Fraction(10)

Cautions = tuple[str, ...]


def _short(value: Fraction) -> str:
    return format_number(round_half_up(value, Fraction(1, 10)))


def rounding_moved(kind: str, unit: str, exact: Fraction, rounding: RoundingRules) -> Cautions:
    """Rounding alone moves the answer by more than the policy's share.

    >>> from trainer.clinical.rounding import TEACHING_ROUNDING
    >>> len(rounding_moved("rate", "mL/h", Fraction("0.12"), TEACHING_ROUNDING))
    1
    """
    share = rounding.share_moved(kind, unit, exact)
    if share <= rounding.largest_share:
        return ()
    rounded = format_number(rounding.apply(kind, unit, exact))
    return (
        f"rounding alone moves the answer by {_short(share * 100)} %, from {format_number(exact)} "
        f"to {rounded} {unit}: ask whether it may be given more finely or made up otherwise",
    )


def fast_rate(rate_ml_per_h: Fraction, weight_kg: Fraction | None) -> Cautions:
    """The rate is unusually high, on its own or for the weight."""
    if rate_ml_per_h > UNUSUAL_RATE_ML_PER_H:
        return (
            f"{_short(rate_ml_per_h)} mL/h is unusually fast: check the units and the decimal point",
        )
    if weight_kg is None or weight_kg >= SMALL_PATIENT_KG:
        return ()
    per_kg = rate_ml_per_h / weight_kg
    if per_kg <= UNUSUAL_RATE_ML_PER_KG_PER_H:
        return ()
    return (
        f"{_short(rate_ml_per_h)} mL/h is {_short(per_kg)} mL/kg/h, fast for {_short(weight_kg)} kg: "
        "right for a bolus over a stated time, otherwise check the order",
    )


def odd_weight(weight_kg: Fraction) -> Cautions:
    """The weight is rare."""
    if LEAST_USUAL_WEIGHT_KG <= weight_kg <= MOST_USUAL_WEIGHT_KG:
        return ()
    return (f"a weight of {format_number(weight_kg)} kg is rare: check it and its unit",)


def in_pounds(weight_text: str) -> Cautions:
    """The weight was given in pounds."""
    return (
        f"the weight is given in pounds ({weight_text}): weigh and chart in kg, "
        "and check which conversion is used",
    )


def two_rules(weight_kg: Fraction, rule: str) -> Cautions:
    """The two maintenance rules differ at this weight, or the rate passes the usual ceiling."""
    hourly, daily = maintenance_ml_per_h(weight_kg), maintenance_ml_per_day(weight_kg) / 24
    found: list[str] = []
    if hourly != daily:
        found.append(
            f"the rules differ: at {format_number(weight_kg)} kg 4-2-1 gives {_short(hourly)} mL/h, "
            f"100-50-20 gives {_short(daily)} mL/h; use the one of the ward's policy"
        )
    if (hourly if rule == "4-2-1" else daily) > MAINTENANCE_CEILING_ML_PER_H:
        found.append(
            f"maintenance above {format_number(MAINTENANCE_CEILING_ML_PER_H)} mL/h is above the usual "
            "ceiling: check the order"
        )
    return tuple(found)


def both_fluids() -> Cautions:
    """A maintenance rule and a deficit were asked for together."""
    return ("the rate is maintenance and replacement of the deficit together: check both orders",)


def whole_day() -> Cautions:
    """The answer is for a day, and no number of doses was given."""
    return ("this is for the whole day: check whether it is given in several doses",)


def severe_dehydration(percent: Fraction) -> Cautions:
    """The dehydration is severe."""
    if percent <= SEVERE_DEHYDRATION_PERCENT:
        return ()
    return (f"{format_number(percent)} % dehydration is severe: check the estimate and the order",)


def burn_halves(volume_ml: Fraction) -> Cautions:
    """Fluid after a burn is given in two halves."""
    half = volume_ml / 2
    return (
        f"by common practice half of the {_short(volume_ml)} mL is due in the first "
        f"{format_number(FIRST_HALF_H)} h after the burn, {_short(half)} mL at "
        f"{_short(half / FIRST_HALF_H)} mL/h, the rest in the next 16 h: check the time of the burn",
    )


def next_day(days: int) -> Cautions:
    """The finish is past midnight."""
    if days == 0:
        return ()
    when = "the next day" if days == 1 else f"{days} days later"
    return (f"it finishes {when}: hand the time over",)

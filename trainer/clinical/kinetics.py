"""Drug levels in one compartment: constant and intermittent infusion, in closed form.

Values that are ratios are exact; those with exponentials hold to about thirty digits and
are the same on every machine. Units: mg, L, h, mg/h, mg/L, 1/h, L/h. Not here: the
patient's course, which the engine advances.
"""

from __future__ import annotations

from fractions import Fraction

from trainer.clinical.powers import exponential, natural_log, power
from trainer.errors import QuantityError


def _positive(**values: Fraction) -> None:
    for name, value in values.items():
        if value <= 0:
            raise QuantityError(f"{name} must be more than zero")


def elimination_per_h(half_life_h: Fraction, ln_2: Fraction | None = None) -> Fraction:
    """Elimination constant in 1/h: ln 2 / half-life.

    Some sources write 0.693 for ln 2; give it as `ln_2` to follow them.

    Raises:
        QuantityError: if the half-life is not positive.
    Source: sources.ONE_COMPARTMENT
    """
    _positive(half_life_h=half_life_h)
    return (natural_log(Fraction(2)) if ln_2 is None else ln_2) / half_life_h


def clearance_l_per_h(elimination: Fraction, volume_l: Fraction) -> Fraction:
    """Clearance in L/h: elimination constant x volume of distribution.

    >>> clearance_l_per_h(Fraction("0.2"), Fraction(25))
    Fraction(5, 1)

    Source: sources.ONE_COMPARTMENT
    """
    return elimination * volume_l


def steady_level_mg_per_l(rate_mg_per_h: Fraction, clearance: Fraction) -> Fraction:
    """Level in mg/L that a constant infusion comes to: rate / clearance in L/h.

    >>> steady_level_mg_per_l(Fraction(60), Fraction("4.25"))
    Fraction(240, 17)

    Raises:
        QuantityError: if the clearance is not positive.
    Source: sources.ONE_COMPARTMENT
    """
    _positive(clearance=clearance)
    return rate_mg_per_h / clearance


def rate_for_level_mg_per_h(level_mg_per_l: Fraction, clearance: Fraction) -> Fraction:
    """Infusion rate in mg/h that holds a level: level x clearance in L/h.

    >>> rate_for_level_mg_per_h(Fraction(2), Fraction("25.2"))
    Fraction(252, 5)

    Source: sources.ONE_COMPARTMENT
    """
    return level_mg_per_l * clearance


def loading_dose_mg(level_mg_per_l: Fraction, volume_l: Fraction) -> Fraction:
    """Dose in mg that brings the level about at once: level x volume of distribution.

    >>> loading_dose_mg(Fraction(15), Fraction(25))
    Fraction(375, 1)

    Source: sources.ONE_COMPARTMENT
    """
    return level_mg_per_l * volume_l


def share_left_after_half_lives(half_lives: Fraction) -> Fraction:
    """Share of a drug left after so many half-lives: one half to that power.

    Exact for whole half-lives.

    >>> share_left_after_half_lives(Fraction(3))
    Fraction(1, 8)

    Raises:
        QuantityError: if the number of half-lives is below zero.
    Source: sources.ONE_COMPARTMENT
    """
    if half_lives < 0:
        raise QuantityError("half-lives must not be below zero")
    if half_lives.denominator == 1:
        return Fraction(1, 2**half_lives.numerator)
    return power(Fraction(1, 2), half_lives)


def share_of_steady_state(half_lives: Fraction) -> Fraction:
    """Share of the steady level reached after so many half-lives: one less what is left.

    >>> share_of_steady_state(Fraction(3))
    Fraction(7, 8)

    Source: sources.ONE_COMPARTMENT
    """
    return 1 - share_left_after_half_lives(half_lives)


def amount_left_mg(dose_mg: Fraction, half_lives: Fraction) -> Fraction:
    """Amount in mg of a dose that is left after so many half-lives.

    >>> amount_left_mg(Fraction(500), Fraction(3))
    Fraction(125, 2)

    Source: sources.ONE_COMPARTMENT
    """
    return dose_mg * share_left_after_half_lives(half_lives)


def peak_in_doses(half_lives_between: Fraction) -> Fraction:
    """Amount just after a dose at steady state, in doses, one dose every so many half-lives.

    The sum of what is left of all doses: 1 / (1 - share left between doses).

    >>> peak_in_doses(Fraction(1))
    Fraction(2, 1)

    Raises:
        QuantityError: if there is no time between doses.
    Source: sources.ONE_COMPARTMENT
    """
    _positive(half_lives_between=half_lives_between)
    return 1 / (1 - share_left_after_half_lives(half_lives_between))


def level_during_mg_per_l(
    steady_mg_per_l: Fraction, elimination: Fraction, elapsed_h: Fraction
) -> Fraction:
    """Level in mg/L while an infusion runs, from none: steady x (1 - e^(-k x time)).

    >>> level_during_mg_per_l(Fraction(10), Fraction("0.2"), Fraction(0))
    Fraction(0, 1)

    Source: sources.ONE_COMPARTMENT
    """
    return steady_mg_per_l * (1 - exponential(-elimination * elapsed_h))


def level_after_mg_per_l(
    level_at_end_mg_per_l: Fraction, elimination: Fraction, since_end_h: Fraction
) -> Fraction:
    """Level in mg/L some time after an infusion ended: level at the end x e^(-k x time).

    >>> level_after_mg_per_l(Fraction(10), Fraction("0.2"), Fraction(0))
    Fraction(10, 1)

    Source: sources.ONE_COMPARTMENT
    """
    return level_at_end_mg_per_l * exponential(-elimination * since_end_h)


def level_of_one_infusion_mg_per_l(
    steady_mg_per_l: Fraction, elimination: Fraction, runs_h: Fraction, elapsed_h: Fraction
) -> Fraction:
    """Level in mg/L of one infusion that runs `runs_h`, at `elapsed_h` from its start.

    Rising while it runs, falling afterwards, none before it starts. Infusions add up:
    the level of several is the sum of the levels of each.

    Source: sources.ONE_COMPARTMENT
    """
    if elapsed_h <= 0:
        return Fraction(0)
    if elapsed_h <= runs_h:
        return level_during_mg_per_l(steady_mg_per_l, elimination, elapsed_h)
    at_end = level_during_mg_per_l(steady_mg_per_l, elimination, runs_h)
    return level_after_mg_per_l(at_end, elimination, elapsed_h - runs_h)

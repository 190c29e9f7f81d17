"""The engine's exact volumes, rates and times: whole numbers, no rounding, no floats.

* A **rate** is a whole number of microlitres per hour (`rate_ul_h`): 56.4 mL/h is 56 400.
* A **moment** is a whole number of milliseconds since the attempt began (`at_ms`).
* A **volume** is a whole number of *motes*. One mote is what a rate of one microlitre
  per hour gives in one millisecond: 1/3 600 000 of a microlitre. So

      volume in motes = rate in microlitres per hour x time in milliseconds

  is exact without any division, and 1 mL is 3 600 000 000 motes.

Every volume written with up to eight decimals of a millilitre is a whole number of
motes. Clinical arithmetic (`trainer.clinical`) uses `Fraction`; these functions are the
border between the two.
"""

from __future__ import annotations

from fractions import Fraction

from trainer.errors import QuantityError

MOTES_PER_ML = 3_600_000_000
UL_H_PER_ML_H = 1_000
MS_PER_H = 3_600_000


def motes_from_ml(volume_ml: Fraction) -> int:
    """Volume in motes, exact.

    >>> motes_from_ml(Fraction("0.5"))
    1800000000

    Raises:
        QuantityError: if the volume has more than eight decimals of a millilitre.
    """
    motes, rest = divmod(volume_ml.numerator * MOTES_PER_ML, volume_ml.denominator)
    if rest:
        raise QuantityError(f"{volume_ml} mL is finer than the trainer counts; use fewer decimals")
    return motes


def ml_from_motes(volume_motes: int) -> Fraction:
    """Volume in mL, exact.

    >>> ml_from_motes(1_800_000_000)
    Fraction(1, 2)
    """
    return Fraction(volume_motes, MOTES_PER_ML)


def ul_h_from_ml_h(rate_ml_per_h: Fraction) -> int:
    """Rate in microlitres per hour, exact.

    >>> ul_h_from_ml_h(Fraction("56.4"))
    56400

    Raises:
        QuantityError: if the rate is finer than a thousandth of a millilitre per hour.
    """
    rate, rest = divmod(rate_ml_per_h.numerator * UL_H_PER_ML_H, rate_ml_per_h.denominator)
    if rest:
        raise QuantityError(
            f"{rate_ml_per_h} mL/h is finer than the trainer counts; use three decimals at most"
        )
    return rate


def ml_h_from_ul_h(rate_ul_h: int) -> Fraction:
    """Rate in mL/h, exact.

    >>> ml_h_from_ul_h(56_400)
    Fraction(282, 5)
    """
    return Fraction(rate_ul_h, UL_H_PER_ML_H)


def time_to_move(volume_motes: int, rate_ul_h: int) -> int:
    """First whole millisecond by which a volume has moved at a rate (rounded up).

    >>> time_to_move(motes_from_ml(Fraction(250)), ul_h_from_ml_h(Fraction(100)))
    9000000
    """
    return -(-volume_motes // rate_ul_h)

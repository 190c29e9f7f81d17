"""Amounts of a drug in fluids, and its level in the body.

Floats; what leaves here for a page or a log is brought to whole steps first
(`quantised`).
"""

from __future__ import annotations

from fractions import Fraction

from trainer.engine.amounts import MOTES_PER_ML


def amount_per_mote(per_ml: Fraction) -> float:
    """How much drug one mote of fluid holds, from its exact strength per mL."""
    return float(per_ml / MOTES_PER_ML)


def per_litre(amount: float, volume_l: Fraction) -> float:
    """Concentration of an amount in a volume of distribution, in its unit per litre.

    0 for a drug without such a volume.
    """
    return amount / float(volume_l) if volume_l > 0 else 0.0


def quantised(value: float, step: Fraction) -> Fraction:
    """A float brought to the nearest multiple of a step, so that it can be shown or compared.

    >>> quantised(2.3456, Fraction("0.01"))
    Fraction(47, 20)
    """
    over, under = value.as_integer_ratio()
    over, under = over * step.denominator, under * step.numerator
    steps, rest = divmod(over, under)
    is_up = 2 * rest > under or (2 * rest == under and steps % 2)
    return Fraction((steps + bool(is_up)) * step.numerator, step.denominator)

"""The only floats of the engine: a drug's level in one compartment.

Everything else is exact whole numbers. What is computed here is never written into an
event, because the last digit of an exponential may differ between machines; it is
computed again from the log wherever it is looked at.
"""

from __future__ import annotations

import math
from fractions import Fraction

from trainer.engine.amounts import MOTES_PER_ML

NOTHING = 0.0
"""No drug in the body."""


def amount_per_mote(per_ml: Fraction) -> float:
    """How much drug one mote of fluid holds, from its exact strength per mL."""
    return float(per_ml / MOTES_PER_ML)


def amount_later(amount: float, arrived: float, elapsed_ms: int, half_life_ms: int) -> float:
    """Amount of a drug in the body after a while, in the drug's own unit.

    First-order elimination from one compartment, while `arrived` came in evenly:
    A(t) = A0 e^(-kt) + (arrived / t) (1 - e^(-kt)) / k, with k = ln 2 / half-life.

    >>> round(amount_later(100.0, 0.0, 3_600_000, 3_600_000), 9)
    50.0

    Source: the constant-rate solution of dA/dt = R - kA; reference file of
    pharmacokinetic values in the tests.
    """
    if elapsed_ms <= 0:
        return amount + arrived
    exponent = math.log(2.0) * elapsed_ms / half_life_ms
    kept = math.exp(-exponent)
    return amount * kept + arrived * (-math.expm1(-exponent)) / exponent


def concentration_per_l(amount: float, volume_l_per_kg: Fraction, weight_kg: Fraction) -> float:
    """Concentration in the compartment, in the drug's unit per litre; 0 without a volume."""
    volume_l = float(volume_l_per_kg * weight_kg)
    return amount / volume_l if volume_l > 0 else 0.0


def quantised(value: float, step: Fraction) -> Fraction:
    """A float brought to the nearest multiple of a step, so that it can be shown or compared.

    >>> quantised(2.3456, Fraction("0.01"))
    Fraction(47, 20)
    """
    return round(Fraction(value) / step) * step

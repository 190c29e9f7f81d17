"""Body surface area, in m2, by two published formulas, and their inverses.

Not here: whether a height and a weight fit each other.
"""

from __future__ import annotations

from fractions import Fraction

from trainer.clinical.powers import power, square_root
from trainer.errors import QuantityError

HAYCOCK_FACTOR = Fraction("0.024265")
HAYCOCK_WEIGHT_EXPONENT = Fraction("0.5378")
HAYCOCK_HEIGHT_EXPONENT = Fraction("0.3964")


def mosteller_m2(height_cm: Fraction, weight_kg: Fraction) -> Fraction:
    """Body surface area in m2: root of (height in cm x weight in kg / 3600).

    Exact where the root is, else to thirty decimals.

    >>> mosteller_m2(Fraction(100), Fraction(36))
    Fraction(1, 1)

    Raises:
        QuantityError: if a value is not positive.
    Source: sources.MOSTELLER
    """
    _positive(height_cm, weight_kg)
    return square_root(height_cm * weight_kg / 3600)


def mosteller_other(bsa_m2: Fraction, height_or_weight: Fraction) -> Fraction:
    """Height in cm from the surface and the weight in kg, or weight from the height.

    The formula is the same both ways: 3600 x surface squared / the other.

    >>> mosteller_other(Fraction(1), Fraction(36))
    Fraction(100, 1)

    Raises:
        QuantityError: if a value is not positive.
    Source: sources.MOSTELLER
    """
    _positive(bsa_m2, height_or_weight)
    return 3600 * bsa_m2**2 / height_or_weight


def haycock_m2(height_cm: Fraction, weight_kg: Fraction) -> Fraction:
    """Body surface area in m2: 0.024265 x weight^0.5378 x height^0.3964 (kg, cm).

    To about thirty digits.

    Raises:
        QuantityError: if a value is not positive.
    Source: sources.HAYCOCK
    """
    _positive(height_cm, weight_kg)
    of_weight = power(weight_kg, HAYCOCK_WEIGHT_EXPONENT)
    return HAYCOCK_FACTOR * of_weight * power(height_cm, HAYCOCK_HEIGHT_EXPONENT)


def haycock_height_cm(bsa_m2: Fraction, weight_kg: Fraction) -> Fraction:
    """Height in cm that gives this surface at this weight, by Haycock.

    Raises:
        QuantityError: if a value is not positive.
    Source: sources.HAYCOCK
    """
    _positive(bsa_m2, weight_kg)
    rest = bsa_m2 / HAYCOCK_FACTOR / power(weight_kg, HAYCOCK_WEIGHT_EXPONENT)
    return power(rest, 1 / HAYCOCK_HEIGHT_EXPONENT)


def haycock_weight_kg(bsa_m2: Fraction, height_cm: Fraction) -> Fraction:
    """Weight in kg that gives this surface at this height, by Haycock.

    Raises:
        QuantityError: if a value is not positive.
    Source: sources.HAYCOCK
    """
    _positive(bsa_m2, height_cm)
    rest = bsa_m2 / HAYCOCK_FACTOR / power(height_cm, HAYCOCK_HEIGHT_EXPONENT)
    return power(rest, 1 / HAYCOCK_WEIGHT_EXPONENT)


def _positive(*values: Fraction) -> None:
    if any(value <= 0 for value in values):
        raise QuantityError("height, weight and body surface area must be more than zero")

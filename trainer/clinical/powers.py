"""Roots, powers, exponentials and logarithms to thirty digits, the same on every machine.

Floats differ in the last digit between machines; decimals computed to a fixed number
of digits do not. Used by `bsa` and `kinetics`, whose formulas have no exact value.
"""

from __future__ import annotations

from decimal import Context, Decimal
from fractions import Fraction
from math import isqrt

from trainer.errors import QuantityError

DIGITS = 40
_CONTEXT = Context(prec=DIGITS)
SCALE = 10 ** (2 * 30)


def _decimal(value: Fraction) -> Decimal:
    return _CONTEXT.divide(Decimal(value.numerator), Decimal(value.denominator))


def square_root(value: Fraction) -> Fraction:
    """The square root: exact if there is one, else to thirty decimals.

    >>> square_root(Fraction(9, 4))
    Fraction(3, 2)

    Raises:
        QuantityError: if `value` is below zero.
    """
    if value < 0:
        raise QuantityError("a negative number has no square root")
    above, below = isqrt(value.numerator), isqrt(value.denominator)
    if above**2 == value.numerator and below**2 == value.denominator:
        return Fraction(above, below)
    return Fraction(isqrt(value.numerator * SCALE // value.denominator), 10**30)


def is_exact_root(root: Fraction, value: Fraction) -> bool:
    """Whether `root` is the exact square root of `value`."""
    return root * root == value


def power(number: Fraction, exponent: Fraction) -> Fraction:
    """`number` to a fractional power, to about thirty digits.

    Raises:
        QuantityError: if `number` is not positive.
    """
    return exponential(exponent * natural_log(number))


def exponential(exponent: Fraction) -> Fraction:
    """The number e to the power of `exponent`, to about thirty digits.

    Raises:
        QuantityError: if the exponent is beyond 10 000 either way.
    """
    if abs(exponent) > 10_000:
        raise QuantityError("an exponent beyond 10 000 is no clinical figure; check the values")
    return Fraction(_CONTEXT.exp(_decimal(exponent)))


def natural_log(number: Fraction) -> Fraction:
    """The natural logarithm, to about thirty digits.

    Raises:
        QuantityError: if `number` is not positive.
    """
    if number <= 0:
        raise QuantityError("only a value above zero has a logarithm; check the values")
    return Fraction(_CONTEXT.ln(_decimal(number)))

"""e^-x from additions, multiplications and divisions alone, the same on every machine.

The exponential of a machine's own library may differ in its last digit from another
machine's; sums, products and quotients of IEEE numbers may not. So what is computed from
these functions may be rounded to whole numbers and stand in an event.
"""

from __future__ import annotations

LN_2 = 0.6931471805599453
"""The natural logarithm of two: the double next to 0.693147180559945309417..."""

_LN_2_HIGH = 0.693147180369123816490
"""Its first 33 bits, so that a whole multiple below 2^20 is exact."""
_LN_2_LOW = 1.90821492927058770002e-10
"""What is missing from them."""
_GONE = 700.0
"""Beyond this nothing is left: e^-700 is below 1e-304."""
_TERMS = 13
"""Terms of the series: at most half of ln 2 to the 14th power over 14! is below 1e-17."""


def _inverse_factorials() -> tuple[float, ...]:
    found, product = [], 1
    for number in range(1, _TERMS + 1):
        product *= number
        found.append(1.0 / product)
    return tuple(reversed(found))


_SERIES = _inverse_factorials()


def left_and_gone(x: float) -> tuple[float, float]:
    """e^-x and 1 - e^-x, for x of at least 0: the share that is left, and the share gone.

    x is brought to k ln 2 + r with a small r; e^-r - 1 is a series, and halving k times is
    exact. Relative error below 1e-15; what is gone is right for small x too.

    >>> [round(one, 6) for one in left_and_gone(1.0)]
    [0.367879, 0.632121]

    Source: the definition of the exponential by its series.
    """
    if x > _GONE:
        return 0.0, 1.0
    halvings = int(x / LN_2 + 0.5)
    minus_r = halvings * _LN_2_HIGH - x + halvings * _LN_2_LOW
    total = 0.0
    for coefficient in _SERIES:
        total = total * minus_r + coefficient
    series = total * minus_r
    if not halvings:
        return 1.0 + series, -series
    left = (1.0 + series) / (1 << halvings)
    return left, 1.0 - left


def exp_neg(x: float) -> float:
    """e^-x for x of at least 0.

    >>> exp_neg(0.0), round(exp_neg(1.0), 12)
    (1.0, 0.367879441171)
    """
    return left_and_gone(x)[0]


def expm1_neg(x: float) -> float:
    """1 - e^-x for x of at least 0: the share that has gone, right for small x too.

    >>> expm1_neg(1e-12)
    9.999999999995e-13
    """
    return left_and_gone(x)[1]


def share_left(elapsed_ms: int, half_life_ms: int) -> float:
    """What is left of an amount after a while, by its half-life."""
    return exp_neg(LN_2 * elapsed_ms / half_life_ms)

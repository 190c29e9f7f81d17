"""How far a sign moves for what it follows of a substance, brought to whole millionths.

What leaves here are whole millionths, so that signs are reckoned, compared and rounded
without floats.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.engine.physics.decay import LN_2, exp_neg, share_left
from trainer.terms import Curve

UNCHANGED = 1_000_000
_MILLION = 1_000_000
_MOST_EXPONENT = 12.0
"""e^12 is over a hundred thousand times; no sign goes so far. Chosen by us."""


@dataclass(frozen=True, slots=True)
class Answer:
    """A response's curve, as `terms.Curve` says. `per` turns what is followed into its x."""

    curve: Curve
    per: float
    most: float
    half_at: float
    steepness: int


def answer_from(
    curve: Curve, per: Fraction, most: Fraction, half_at: Fraction, steepness: int
) -> Answer:
    """The curve of a response in floats."""
    return Answer(curve, float(per), float(most), float(half_at), steepness)


def change(answer: Answer, followed: float) -> int:
    """What is added to the sign (linear, saturating), in millionths of its unit.

    Linear: most x. Saturating: most x^n / (half_at^n + x^n). x below nothing is nothing.

    >>> change(Answer(Curve.SATURATING, 1.0, 32.0, 4.0, 1), 4.0)
    16000000

    Source: the maximum-effect model; Population pharmacokinetics and haemodynamic effects of
    norepinephrine in hypotensive critically ill children, Br J Clin Pharmacol 2014.
    """
    x = answer.per * followed
    if x <= 0.0:
        return 0
    if answer.curve is Curve.LINEAR:
        return _in_millionths(answer.most * x)
    return _in_millionths(answer.most * _share_of_most(x, answer.half_at, answer.steepness))


def _share_of_most(x: float, half_at: float, steepness: int) -> float:
    """x^n / (half_at^n + x^n), by the ratio of the lesser to the greater."""
    ratio = min(x, half_at) / max(x, half_at)
    power = 1.0
    for _ in range(steepness):
        power *= ratio
    return power / (1.0 + power) if x < half_at else 1.0 / (1.0 + power)


def factor(answer: Answer, followed: float) -> int:
    """What the sign is multiplied by (exponential), in millionths: e^(most x).

    >>> factor(Answer(Curve.EXPONENTIAL, 1.0, 1.6, 0.0, 1), 0.5)
    2225541
    """
    exponent = answer.most * answer.per * followed
    if followed <= 0.0 or not exponent:
        return UNCHANGED
    if exponent < 0.0:
        return _in_millionths(exp_neg(-exponent))
    return _in_millionths(1.0 / exp_neg(min(exponent, _MOST_EXPONENT)))


def on_the_way(since: int, value: int, elapsed_ms: int, half_ms: int) -> int:
    """Where something is that goes to a value, halving the rest every so often.

    >>> on_the_way(100, 60, 2_000, 1_000)
    70
    """
    return value + round((since - value) * share_left(elapsed_ms, half_ms))


def over_time(amount: int, elapsed_ms: int, half_ms: int) -> int:
    """The integral over a while of an amount that halves every so often, in amount x ms.

    half / ln 2 (1 - 2^(-t / half)) of it.
    """
    return round(amount * (1.0 - share_left(elapsed_ms, half_ms)) * (half_ms / LN_2))


def per_hour(amount: float, half_life_ms: int) -> int:
    """How much of an amount leaves in an hour at its pace now, in millionths: k A."""
    return _in_millionths(amount * (LN_2 * 3_600_000.0 / half_life_ms))


def exactly(amount: float) -> int:
    """An amount, in whole millionths."""
    return _in_millionths(amount)


def _in_millionths(value: float) -> int:
    return round(value * _MILLION)

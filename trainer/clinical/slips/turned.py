"""A ratio turned upside down: multiplied where it divides, or the reverse."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import chain, combinations

from trainer.clinical.chain import Factor
from trainer.clinical.slips.answer import Answer
from trainer.clinical.slips.candidate import Candidate, times
from trainer.clinical.slips.names import Slip

MOST_CONSTANTS = 4
"""More unit constants than this are not turned one by one. Chosen by us."""
SELDOM_ALONE = frozenset({"weight", "drop_factor", "doses_per_day", "dose"})
"""Given per one of something: rarely divided by where they multiply."""


def turned_slips(answer: Answer) -> Iterator[Candidate]:
    """Each ratio of the product turned over, with and without the unit constants in it."""
    if not answer.factors:
        return
    for factors in _ratios(answer.own):
        for constants in _some_of(answer.constants[:MOST_CONSTANTS]):
            yield _turned(answer, factors, constants)


def _ratios(own: tuple[Factor, ...]) -> Iterator[tuple[Factor, ...]]:
    """Single factors, and two of which one divides the other."""
    for factor in own:
        yield (factor,)
    for one, other in combinations(own, 2):
        if one.power * other.power < 0:
            yield (one, other)


def _some_of(factors: tuple[Factor, ...]) -> Iterator[tuple[Factor, ...]]:
    sizes = range(len(factors) + 1)
    yield from chain.from_iterable(combinations(factors, size) for size in sizes)


def _turned(
    answer: Answer, factors: tuple[Factor, ...], constants: tuple[Factor, ...]
) -> Candidate:
    ratio = Fraction(1)
    for factor in (*factors, *constants):
        ratio *= factor.factor_value**-2
    usual = _is_usual(answer, factors) and set(constants) in (
        set(),
        set(_related(answer, factors)),
    )
    names = tuple(factor.name for factor in (*factors, *constants))
    return times(
        answer,
        Slip.UPSIDE_DOWN,
        " ".join(names),
        ratio,
        _words(factors),
        touches=names,
        is_usual=usual,
    )


def _is_usual(answer: Answer, factors: tuple[Factor, ...]) -> bool:
    """A strength or a divisor alone, or the two that make up the whole answer."""
    if len(factors) == 2:
        return len(answer.own) == 2 or {f.name for f in factors} <= {"amount", "volume", "duration"}
    (factor,) = factors
    if factor.name == "concentration":
        return True
    return factor.power < 0 and factor.name not in SELDOM_ALONE


def _related(answer: Answer, factors: tuple[Factor, ...]) -> tuple[Factor, ...]:
    """The unit constants that convert one of these factors."""
    kinds = {dimension for factor in factors for dimension, _ in factor.unit.dimensions}
    return tuple(
        constant
        for constant in answer.constants
        if any(atom.dimension in kinds for atom, _ in constant.above.unit.powers)
    )


def _words(factors: tuple[Factor, ...]) -> str:
    if len(factors) == 2:
        above = next(factor for factor in factors if factor.power > 0)
        below = next(factor for factor in factors if factor.power < 0)
        return f"{below.text} was divided by {above.text}, the wrong way round"
    (factor,) = factors
    what = factor.name.replace("_", " ")
    if factor.below.unit.powers:
        return f"the {what}, {factor.text}, was turned upside down"
    done, right = ("multiplied", "divides") if factor.power < 0 else ("divided", "multiplies")
    return f"the {what}, {factor.text}, {right} here and was {done}"

"""Slips of size: the decimal point, a zero too many, mg for mcg."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from trainer.clinical.rounding import RoundingRules
from trainer.clinical.slips.answer import Answer
from trainer.clinical.slips.candidate import Candidate, times
from trainer.clinical.slips.names import Slip

POINT = {
    Slip.TENFOLD: (10, "the decimal point moved by one place, or a zero was added or lost"),
    Slip.HUNDREDFOLD: (100, "the decimal point moved by two places"),
}
PREFIXES = (("mcg", "mg"), ("mg", "g"), ("nanograms", "mcg"), ("milliunits", "units"), ("mL", "L"))
THOUSAND = 1000


def size_slips(answer: Answer) -> Iterator[Candidate]:
    """Ten, a hundred and a thousand times too much or too little."""
    for slip, (size, because) in POINT.items():
        yield times(answer, slip, "up", Fraction(size), because)
        yield times(answer, slip, "down", Fraction(1, size), because)
    because = _thousand_words(answer)
    steps = tuple(one.name for one in answer.constants if one.value == THOUSAND)
    for way, ratio in (("up", Fraction(THOUSAND)), ("down", Fraction(1, THOUSAND))):
        yield times(answer, Slip.THOUSANDFOLD, way, ratio, because, touches=steps)
    yield from _turned_conversions(answer)


def moved_points(answer: Answer, rounding: RoundingRules) -> Iterator[Candidate]:
    """The rounded answer with its point moved: it was worked out right, then miswritten.

    Of 3.62 mL/h, which is 3.6 mL/h rounded, 360 mL/h is a hundredfold as much as 362 mL/h is.
    """
    right = answer.rounded(answer.exact, rounding)
    if answer.is_clock or right <= 0 or right == answer.exact:
        return
    sizes = [(slip, size, because) for slip, (size, because) in POINT.items()]
    for slip, size, because in (*sizes, (Slip.THOUSANDFOLD, THOUSAND, _thousand_words(answer))):
        for way, value in (("up", right * size), ("down", right / size)):
            yield Candidate(
                slip=slip, way=f"rounded, {way}", value=value, because=because, is_exact=True
            )


def _thousand_words(answer: Answer) -> str:
    """Which two units of the problem a thousand lies between."""
    symbols = {atom.symbol for factor in answer.factors for atom, _ in factor.unit.powers}
    symbols |= {atom.symbol for atom, _ in answer.unit.powers}
    pairs = [pair for pair in PREFIXES if set(pair) <= symbols] or [
        pair for pair in PREFIXES if set(pair) & symbols
    ]
    if not pairs:
        return "the decimal point moved by three places"
    small, large = pairs[0]
    return f"{large} and {small} were mixed up, which are 1000 apart"


def _turned_conversions(answer: Answer) -> Iterator[Candidate]:
    """A step of a thousand multiplied where it divides, or the other way."""
    for factor in answer.constants:
        if factor.value == THOUSAND:
            ratio = factor.factor_value**-2
            because = f"{factor.text} was applied the wrong way round"
            way = f"{factor.name} turned"
            name = (factor.name,)
            yield times(
                answer, Slip.THOUSANDFOLD, way, ratio, because, touches=name, is_usual=False
            )

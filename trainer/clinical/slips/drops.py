"""Slips with drops: drops for mL, and the drop factor of another set."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from trainer.clinical.rounding import format_number
from trainer.clinical.slips.answer import Answer
from trainer.clinical.slips.candidate import Candidate, of_given, times
from trainer.clinical.slips.names import Slip

FACTOR = "drop_factor"
SETS_GTT_PER_ML = (Fraction(10), Fraction(15), Fraction(20), Fraction(60))
"""Drop factors of the sets in use; common practice, and those of the published problems."""
MINUTES = Fraction(60)


def drop_slips(answer: Answer) -> Iterator[Candidate]:
    """Every slip with drops."""
    factor = answer.given(FACTOR)
    if factor is not None:
        yield from _with_a_factor(answer, factor.value)
    elif answer.unit.text == "mL/h":
        yield from _without_a_factor(answer)


def _with_a_factor(answer: Answer, factor: Fraction) -> Iterator[Candidate]:
    written = answer.text_of(FACTOR)
    left_out = f"the drop factor of {written} was left out: drops and mL were mixed up"
    yield from of_given(answer, Slip.DROP_FACTOR, FACTOR, 1 / factor, left_out, way="left out")
    for hours in (MINUTES, 1 / MINUTES):
        mixed = "mL per hour and drops per minute were mixed up"
        for power in (1, -1):
            ratio = hours * factor**power
            way = f"mixed {hours} {power}"
            yield times(
                answer,
                Slip.DROP_FACTOR,
                way,
                ratio,
                mixed,
                touches=(FACTOR,),
                is_usual=power == -1,
            )
    for other in SETS_GTT_PER_ML:
        if other != factor:
            of_set = f"a set of {format_number(other)} gtt/mL was taken for one of {written}"
            way = f"set {other}"
            yield from of_given(answer, Slip.DROP_FACTOR, FACTOR, other / factor, of_set, way=way)
    rarer = (("twice", factor), ("turned", factor**-2))
    for way, ratio in rarer:
        how = "twice" if way == "twice" else "the wrong way round"
        because = f"the drop factor of {written} was used {how}"
        yield from of_given(
            answer, Slip.DROP_FACTOR, FACTOR, ratio, because, way=way, is_usual=False
        )


def _without_a_factor(answer: Answer) -> Iterator[Candidate]:
    """A rate in mL/h given as drops per minute of one of the usual sets."""
    for factor in SETS_GTT_PER_ML:
        if factor != MINUTES:
            because = (
                f"it is the rate in drops per minute of a set of {format_number(factor)} gtt/mL"
            )
            way = f"as drops {factor}"
            ratio = factor / MINUTES
            yield times(answer, Slip.DROP_FACTOR, way, ratio, because, is_usual=False)

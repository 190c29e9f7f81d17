"""Two slips together, tried only where no single one leads to the entry."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations

from trainer.clinical.rounding import RoundingRules
from trainer.clinical.slips.answer import Answer
from trainer.clinical.slips.candidate import Candidate
from trainer.clinical.slips.entered import Entry
from trainer.clinical.slips.every import value_slips
from trainer.clinical.slips.likelihood import SHARES
from trainer.clinical.slips.match import fit
from trainer.clinical.slips.names import Slip
from trainer.clinical.slips.others import Other

WITH_ANYTHING = frozenset(
    {Slip.TENFOLD, Slip.HUNDREDFOLD, Slip.THOUSANDFOLD, Slip.PER_MINUTE, Slip.PER_DAY}
)
"""Slips that multiply the answer, whatever rule it comes from."""
NO_PRODUCT = frozenset({Slip.SWAPPED, Slip.DOSE_AS_RATE})
"""Slips that put another value in the place of the answer: nothing is left to go wrong twice."""
NEVER_TOGETHER = (
    frozenset({Slip.WEIGHT_LEFT_OUT, Slip.POUNDS}),
    frozenset({Slip.WEIGHT_LEFT_OUT, Slip.WEIGHT_TWICE}),
    frozenset({Slip.PER_MINUTE, Slip.HOURS_FOR_MINUTES}),
    frozenset({Slip.TENFOLD, Slip.HUNDREDFOLD}),
)
MOST_PAIRS = 3
"""More pairs than this are guesses. Chosen by us."""

Pair = tuple[Candidate, Candidate]


def pairs_that_fit(
    answer: Answer, entry: Entry, rounding: RoundingRules, others: tuple[Other, ...] = ()
) -> tuple[Pair, ...]:
    """The pairs of slips that lead to an entry, the likelier first."""
    if answer.is_clock:
        return ()
    usual = tuple(
        one
        for one in value_slips(answer, others)
        if one.is_usual and one.slip not in NO_PRODUCT and one.value not in {answer.exact, 0}
    )
    fitting = [
        pair
        for pair in combinations(usual, 2)
        if _can_be_together(answer, pair) and _fits(answer, entry, pair, rounding)
    ]
    fitting.sort(key=lambda pair: -SHARES[pair[0].slip] * SHARES[pair[1].slip])
    by_names = {frozenset(one.slip for one in pair): pair for pair in reversed(fitting)}
    return tuple(pair for pair in fitting if pair in by_names.values())[:MOST_PAIRS]


def _can_be_together(answer: Answer, pair: Pair) -> bool:
    names = frozenset(one.slip for one in pair)
    if len(names) < 2 or names in NEVER_TOGETHER:
        return False
    return answer.is_plain_product or bool(names & WITH_ANYTHING)


def _fits(answer: Answer, entry: Entry, pair: Pair, rounding: RoundingRules) -> bool:
    first, second = pair
    value: Fraction = first.value * second.value / answer.exact
    both = Candidate(slip=first.slip, way="both", value=value, because="")
    return fit(answer, entry, both, rounding) == 0

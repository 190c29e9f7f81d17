"""Which slips cannot be told apart with the numbers of a problem.

A patient of 60 kg makes "the weight left out" equal "per minute for per hour"; 1 mg/mL
hides a strength turned upside down. Two slips that coincide whatever the numbers are
(a dose entered as the rate, and swapped fields) are told, and marked as not to be helped.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import combinations

from trainer.clinical.chain import Factor
from trainer.clinical.rounding import TEACHING_ROUNDING, RoundingRules
from trainer.clinical.slips.answer import Answer, moved, solved_again
from trainer.clinical.slips.candidate import Candidate
from trainer.clinical.slips.every import value_slips
from trainer.clinical.slips.likelihood import SHARES
from trainer.clinical.slips.names import Slip
from trainer.clinical.slips.others import Other

NUDGES = tuple(Fraction(1000 + prime, 1000) for prime in (37, 83, 131, 173, 211, 257, 293, 331))
"""By these shares the givens are moved, to see whether other numbers would tell. Chosen by us."""

COPIED = frozenset({Slip.SWAPPED, Slip.DOSE_AS_RATE})
"""Slips by which a number is typed as it stands elsewhere."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LookAlike:
    """Two slips that lead to the same entry, or one that leads to the right answer.

    Attributes:
        first: the likelier slip.
        second: the other; None if the first leads to the right answer.
        sentence: both in words, with the value.
        is_by_numbers: True if other numbers would tell them apart.
    """

    first: Slip
    second: Slip | None
    sentence: str
    is_by_numbers: bool


def look_alikes(
    answer: Answer,
    rounding: RoundingRules = TEACHING_ROUNDING,
    others: tuple[Other, ...] = (),
) -> tuple[LookAlike, ...]:
    """The slips that cannot be told apart with these numbers, by pairs, each pair once.

    Slips of rounding, of the fingers, of the unit and of the written form are left out: they
    are told by how an entry is written.

    Args:
        answer: the right answer, from `answer_of` or `answer_of_chain`.
        rounding: the ward's rules; values that it rounds to the same are the same.
        others: values that could be taken by mistake.
    """
    hidden, coinciding = _coinciding(answer, rounding, others)
    if not hidden and not coinciding:
        return ()
    nudged = _nudged(answer)
    elsewhere = {_name(one): one.value for one in _usual(nudged, others)}
    alike: dict[tuple[Slip, Slip | None], LookAlike] = {}
    for one in hidden:
        by_numbers = elsewhere.get(_name(one)) != nudged.exact
        _keep(alike, _hidden(answer, one, is_by_numbers=by_numbers))
    for one, other in coinciding:
        by_numbers = elsewhere.get(_name(one)) != elsewhere.get(_name(other))
        _keep(alike, _alike(answer, one, other, is_by_numbers=by_numbers))
    return tuple(alike.values())


def unreadable(
    answer: Answer,
    rounding: RoundingRules = TEACHING_ROUNDING,
    others: tuple[Other, ...] = (),
) -> tuple[LookAlike, ...]:
    """Those of `look_alikes` that other numbers would tell apart: what a variation avoids."""
    return tuple(one for one in look_alikes(answer, rounding, others) if one.is_by_numbers)


def pairs_hidden(
    answer: Answer, rounding: RoundingRules, others: tuple[Other, ...] = ()
) -> frozenset[tuple[Slip, Slip | None]]:
    """The pairs of `look_alikes` by their names alone, whether or not other numbers would tell.

    Quicker, for one who holds many numbers against each other.
    """
    hidden, coinciding = _coinciding(answer, rounding, others)
    return frozenset(
        (*((one.slip, None) for one in hidden), *((a.slip, b.slip) for a, b in coinciding))
    )


def _coinciding(
    answer: Answer, rounding: RoundingRules, others: tuple[Other, ...]
) -> tuple[list[Candidate], list[tuple[Candidate, Candidate]]]:
    """The slips that lead to the right answer, and the pairs that lead to one another's."""
    found = sorted(_usual(answer, others), key=lambda one: -SHARES[one.slip])
    seen = [(_typed(answer, one, rounding), one) for one in found]
    right = _seen(answer, answer.exact, rounding)
    hidden = [one for value, one in seen if value == right]
    coinciding = [
        (one, other)
        for (value, one), (beside, other) in combinations(seen, 2)
        if value == beside and value != right and one.slip is not other.slip
    ]
    return hidden, coinciding


def _keep(alike: dict[tuple[Slip, Slip | None], LookAlike], one: LookAlike) -> None:
    """Each pair once; one that no numbers tell apart counts as that."""
    key = (one.first, one.second)
    if key not in alike or not one.is_by_numbers:
        alike[key] = one


def _usual(answer: Answer, others: tuple[Other, ...]) -> list[Candidate]:
    return [one for one in value_slips(answer, others) if one.is_usual and one.value > 0]


def _name(one: Candidate) -> tuple[Slip, str]:
    return one.slip, one.way


def _seen(answer: Answer, value: Fraction, rounding: RoundingRules) -> Fraction | str:
    """What an entry of this value looks like."""
    return answer.clock(value) if answer.is_clock else answer.rounded(value, rounding)


def _typed(answer: Answer, one: Candidate, rounding: RoundingRules) -> Fraction | str:
    """What is typed by this slip: a number that stands elsewhere is copied, not rounded."""
    if one.slip in COPIED and not answer.is_clock:
        return one.value
    return _seen(answer, one.value, rounding)


def _hidden(answer: Answer, one: Candidate, *, is_by_numbers: bool) -> LookAlike:
    sentence = (
        f"{_called(one.slip)} cannot be seen: it leads to {answer.words(one.value)}, and right is "
        f"{answer.right_words} ({one.because})."
    )
    return LookAlike(
        first=one.slip, second=None, sentence=_capital(sentence), is_by_numbers=is_by_numbers
    )


def _alike(answer: Answer, one: Candidate, other: Candidate, *, is_by_numbers: bool) -> LookAlike:
    values = dict.fromkeys(answer.words(each.value) for each in (one, other))
    sentence = (
        f"{_called(one.slip)} and {_called(other.slip)} cannot be told apart: both lead to "
        f"{' or '.join(values)} ({one.because}; {other.because})."
    )
    return LookAlike(
        first=one.slip,
        second=other.slip,
        sentence=_capital(sentence),
        is_by_numbers=is_by_numbers,
    )


def _capital(sentence: str) -> str:
    return sentence[0].upper() + sentence[1:]


def _called(slip: Slip) -> str:
    return f"`{slip}`"


def _nudged(answer: Answer) -> Answer:
    """The same answer with every given moved by another share."""
    names = [name for name, _, _ in answer.givens()]
    shares = {
        name: NUDGES[n % len(NUDGES)] * (1 + n // len(NUDGES)) for n, name in enumerate(names)
    }
    factors = tuple(_moved_factor(factor, shares) for factor in answer.factors)
    asked = answer.asked
    if asked is None:
        return replace(answer, factors=factors, exact=_product(answer, factors))
    known = tuple(
        (part, moved(given, shares.get(given.name, Fraction(1)))) for part, given in asked.known
    )
    asked = replace(asked, known=known)
    exact = solved_again(asked) if not answer.is_plain_product else _product(answer, factors)
    return replace(answer, factors=factors, asked=asked, exact=exact or answer.exact)


def _moved_factor(factor: Factor, shares: dict[str, Fraction]) -> Factor:
    share = shares.get(factor.name)
    if share is None:
        return factor
    above = replace(factor.above, value=factor.above.value * share)
    return replace(factor, above=above)


def _product(answer: Answer, factors: tuple[Factor, ...]) -> Fraction:
    """What moved factors make of the answer."""
    exact = answer.exact
    for before, after in zip(answer.factors, factors, strict=True):
        exact *= after.factor_value / before.factor_value
    return exact

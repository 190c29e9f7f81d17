"""One value that a slip would lead to, and why."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical.slips.answer import Answer
from trainer.clinical.slips.names import Slip


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """What a slip makes of the answer.

    Attributes:
        slip: which slip.
        way: the way it was made, so that the same way can be found with other numbers.
        value: what comes out, unrounded, in the unit of the answer.
        because: why, as the second half of a sentence.
        touches: the factors of the product that went wrong by it; empty if it is the whole
            answer, as with a decimal point.
        is_usual: False for a way that is rarer than others of the same name.
        is_exact: True if only this very value shows it, no rounding of it.
    """

    slip: Slip
    way: str
    value: Fraction
    because: str
    touches: tuple[str, ...] = ()
    is_usual: bool = True
    is_exact: bool = False


def times(
    answer: Answer,
    slip: Slip,
    way: str,
    ratio: Fraction,
    because: str,
    *,
    touches: tuple[str, ...] = (),
    is_usual: bool = True,
) -> Candidate:
    """The answer multiplied."""
    return Candidate(
        slip=slip,
        way=way,
        value=answer.exact * ratio,
        because=because,
        touches=touches,
        is_usual=is_usual,
    )


def of_given(
    answer: Answer,
    slip: Slip,
    name: str,
    ratio: Fraction,
    because: str,
    *,
    way: str = "",
    is_usual: bool = True,
) -> tuple[Candidate, ...]:
    """The answer with one given multiplied; nothing if that given does not bear on it."""
    value = answer.scaled(name, ratio)
    if value is None or value <= 0:
        return ()
    full_way = way or f"{name} times {ratio}"
    made = Candidate(
        slip=slip,
        way=full_way,
        value=value,
        because=because,
        touches=(name,),
        is_usual=is_usual,
    )
    return (made,)

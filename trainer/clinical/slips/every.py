"""All that can go wrong with an answer, as candidates."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from trainer.clinical.rounding import RoundingRules
from trainer.clinical.slips.answer import Answer
from trainer.clinical.slips.candidate import Candidate
from trainer.clinical.slips.digits import digit_slips
from trainer.clinical.slips.drops import drop_slips
from trainer.clinical.slips.fields import field_slips
from trainer.clinical.slips.hours import hour_slips
from trainer.clinical.slips.others import Other, other_slips
from trainer.clinical.slips.places import place_slips
from trainer.clinical.slips.size import moved_points, size_slips
from trainer.clinical.slips.strength import strength_slips
from trainer.clinical.slips.turned import turned_slips
from trainer.clinical.slips.weight import weight_slips

MOST_KEPT = 64
"""Answers whose slips are kept in memory. Chosen by us."""


def value_slips(answer: Answer, others: tuple[Other, ...] = ()) -> Iterator[Candidate]:
    """The slips of thinking and of reading, which change the value by more than a rounding."""
    yield from size_slips(answer)
    yield from weight_slips(answer)
    yield from hour_slips(answer)
    yield from drop_slips(answer)
    yield from strength_slips(answer)
    yield from turned_slips(answer)
    yield from field_slips(answer, others)
    yield from other_slips(answer, others)


@lru_cache(maxsize=MOST_KEPT)
def every_slip(
    answer: Answer, rounding: RoundingRules, others: tuple[Other, ...] = ()
) -> tuple[Candidate, ...]:
    """Every single slip, those of rounding and of the fingers among them.

    The last few answers are kept, since one answer is often held against many entries.
    """
    return (
        *value_slips(answer, others),
        *moved_points(answer, rounding),
        *place_slips(answer, rounding),
        *digit_slips(answer, rounding),
    )

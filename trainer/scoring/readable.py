"""Which slips cannot be told apart with the numbers of a scenario.

A patient of 60 kg makes the weight left out equal a value per minute for one per hour. Only the
keys that are asked count. `hidden` tells an author in sentences; `hides` names the same for the
drawing of variants.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from trainer.clinical.rounding import RoundingRules
from trainer.clinical.slips.answer import Answer
from trainer.clinical.slips.others import Other
from trainer.clinical.slips.readable import LookAlike, pairs_hidden, unreadable
from trainer.errors import ProblemError, QuantityError
from trainer.scenario.model import Scenario
from trainer.scoring import explain
from trainer.scoring.answers import answer_for
from trainer.scoring.expect import keys
from trainer.scoring.findings import Key
from trainer.scoring.others import others_of

MOST_KEPT = 1_024
"""Answers whose pairs are kept in memory: a class begins one scenario with many seeds. Chosen by us."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hidden:
    """Two slips of one key that its numbers hide one behind the other, in a sentence."""

    order: str
    quantity: str
    alike: LookAlike
    sentence: str


def asked_keys(scenario: Scenario, all_keys: tuple[Key, ...]) -> tuple[Key, ...]:
    """The keys that the learner is asked to work out."""
    return tuple(key for key in all_keys if key.quantity in scenario.order(key.order).ask)


def hidden(scenario: Scenario) -> tuple[Hidden, ...]:
    """The slips that cannot be told apart with these numbers and could be with others.

    Raises:
        ProblemError: if the scenario's key cannot be computed.
    """
    all_keys = keys(scenario)
    return tuple(
        _told(key, alike)
        for key in asked_keys(scenario, all_keys)
        for alike in unreadable(
            answer_for(scenario, key),
            scenario.policy.rounding,
            others_of(scenario, key, all_keys),
        )
    )


def _told(key: Key, alike: LookAlike) -> Hidden:
    what = explain.QUANTITY_WORDS[key.quantity]
    return Hidden(
        order=key.order,
        quantity=key.quantity,
        alike=alike,
        sentence=f"order `{key.order}`, {what}: {alike.sentence}",
    )


def hides(scenario: Scenario) -> frozenset[str]:
    """The pairs of slips that these numbers hide, each by a name; empty if all can be told.

    Pairs that no numbers tell apart are among them: one who compares numbers finds those in all.
    A key that cannot be computed hides nothing: it is no variant in the first place.
    """
    try:
        all_keys = keys(scenario)
    except (ProblemError, QuantityError):
        return frozenset()
    return frozenset(
        f"{key.order}.{key.quantity} {pair}"
        for key in asked_keys(scenario, all_keys)
        for pair in _pairs(
            answer_for(scenario, key),
            scenario.policy.rounding,
            others_of(scenario, key, all_keys),
        )
    )


@lru_cache(maxsize=MOST_KEPT)
def _pairs(answer: Answer, rounding: RoundingRules, others: tuple[Other, ...]) -> tuple[str, ...]:
    """The pairs of slips of one answer, as `tenfold swapped`."""
    return tuple(
        f"{first} {second or 'right'}" for first, second in pairs_hidden(answer, rounding, others)
    )

"""A key opened up, so that a typed text or a keyed value can be held against it.

The one place where a scenario's key becomes the answer that `clinical.slips` reads and judges
by: the debrief and `trainer diagnose` therefore say the same about the same text.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from functools import lru_cache

from trainer.clinical.chain import Chain, Factor
from trainer.clinical.problem import Problem
from trainer.clinical.quantity import format_quantity
from trainer.clinical.rounding import RoundingRules, format_number, is_finite_decimal
from trainer.clinical.slips.answer import Answer, answer_of, is_constant
from trainer.clinical.slips.diagnose import Diagnosis, diagnose_entry
from trainer.clinical.slips.entered import Entry
from trainer.clinical.slips.others import Other
from trainer.clinical.units import Unit, parse_unit
from trainer.errors import ProblemError, QuantityError
from trainer.scenario.model import Scenario
from trainer.scoring import explain
from trainer.scoring.findings import Key
from trainer.scoring.others import others_of

NAMED = {
    "drop factor": "drop_factor",
    "ordered rate": "rate",
    "hours at once": "duration",
    "ordered hours": "duration",
}
"""Factors of a scenario's chains as a problem names them."""
MOST_KEPT = 512
"""Diagnoses kept in memory: a debrief is made again and again. Chosen by us."""
MOST_PLACES = 6
"""A value that does not end is taken as written to so many decimals. Chosen by us."""


def answer_for(scenario: Scenario, key: Key) -> Answer:
    """The right answer that a key is, with the product or the rule behind it.

    A maintenance rule is solved again as a problem; what has neither product nor rule (a
    whole container, an ordered time) is known by its value alone.
    """
    kg_per_lb = 1 / scenario.policy.lb_per_kg
    also = tuple(dict.fromkeys((key.value, key.exact, *key.also)))
    if key.chain is None:
        by_rule = _by_rule(scenario, key)
        if by_rule is not None:
            return replace(by_rule, also=also)
    return Answer(
        kind=key.quantity,
        unit=unit_of_key(key),
        exact=key.exact,
        factors=_factors(key.chain) if key.chain else (),
        also=also,
        kg_per_lb=kg_per_lb,
    )


def unit_of_key(key: Key) -> Unit:
    """The unit a key is asked in."""
    return key.chain.unit if key.chain else parse_unit(key.unit)


def _factors(chain: Chain) -> tuple[Factor, ...]:
    """The factors by the names of a problem; what was worked out before counts as given."""
    return tuple(
        factor
        if is_constant(factor)
        else replace(factor, name=NAMED.get(factor.name, factor.name), given=True)
        for factor in chain.factors
    )


def _by_rule(scenario: Scenario, key: Key) -> Answer | None:
    """The answer to the problem that a maintenance rule is; None if the key is no such thing."""
    order = scenario.order(key.order)
    if not order.rule or key.quantity != "rate":
        return None
    problem = Problem(
        id=key.order,
        find=key.quantity,
        unit=key.unit,
        given=(
            ("weight", format_quantity(scenario.patient.weight, plain=True)),
            ("rule", order.rule),
        ),
        lb_per_kg=f"{format_number(scenario.policy.lb_per_kg, plain=True)} lb per kg",
    )
    answer = _solved(problem)
    return answer if answer is not None and answer.exact == key.exact else None


@lru_cache(maxsize=MOST_KEPT)
def _solved(problem: Problem) -> Answer | None:
    try:
        return answer_of(problem)
    except (ProblemError, QuantityError):
        return None


def diagnosis(
    scenario: Scenario,
    key: Key,
    entry: Entry,
    all_keys: tuple[Key, ...],
    *,
    worked_out: Fraction | None = None,
) -> Diagnosis:
    """What an entry is, by this ward's rounding and with what lies about at this bedside.

    Args:
        scenario: the scenario.
        key: what was asked.
        entry: what was entered.
        all_keys: the computed key.
        worked_out: the learner's own right value, if the entry is held against that: already
            rounded, as a hand at the keys would spoil it.
    """
    answer = answer_for(scenario, key)
    if worked_out is not None:
        answer = replace(answer, exact=worked_out)
    others = others_of(scenario, key, all_keys)
    return _diagnosed(answer, entry, others, scenario.policy.rounding)


@lru_cache(maxsize=MOST_KEPT)
def _diagnosed(
    answer: Answer, entry: Entry, others: tuple[Other, ...], rounding: RoundingRules
) -> Diagnosis:
    return diagnose_entry(answer, entry, others=others, rounding=rounding)


def entry_of_value(key: Key, value: Fraction) -> Entry:
    """A value that was never typed as one text, such as a keyed rate, as an entry."""
    step = Fraction(1)
    places = 0
    while (value / step).denominator != 1 and places < MOST_PLACES:
        places += 1
        step /= 10
    rounded = is_finite_decimal(value)
    return Entry(
        typed=explain.amount(value, key.unit),
        number=value,
        value=value,
        step=step if rounded else Fraction(1, 10**MOST_PLACES),
    )

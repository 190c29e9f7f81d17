"""Whether a value is what comes out when something is rounded before the end.

Tried are the answer itself rounded further than the ward asks, the weight, and each part
of the chain. The first that gives the value is told, the simplest first. A value that is off
by more than the policy's largest share is wrong, whatever rounding led to it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import combinations

from trainer.clinical.chain import Factor
from trainer.clinical.quantity import Quantity
from trainer.clinical.rounding import format_number, round_half_up
from trainer.errors import ProblemError, QuantityError
from trainer.scenario.model import Order, Scenario
from trainer.scoring import expect, explain
from trainer.scoring.findings import Key

STEPS = (Fraction(1), Fraction(1, 10), Fraction(1, 100))
"""Whole numbers, tenths, hundredths: the places to which published rules round on the way."""

MOST_FACTORS = 8
"""Longer chains are not searched part by part; chosen by us, as no order needs one."""


def rounded_early(
    scenario: Scenario, order: Order, key: Key, value: Fraction, step: Fraction
) -> str:
    """The early rounding that leads to a value that is not right; empty if none does.

    Args:
        scenario: with patient and policy.
        order: what the value was worked out for.
        key: the right answer.
        value: what was worked out, in the key's unit.
        step: one in the last place that was written.
    """
    return next(
        (
            told
            for rounded, told in _candidates(scenario, order, key)
            if value in {rounded, round_half_up(rounded, step), _ends(scenario, key, rounded)}
        ),
        "",
    )


def is_small(scenario: Scenario, key: Key, value: Fraction) -> bool:
    """Whether `value` is off by no more than the share that rounding may move."""
    share = scenario.policy.rounding.largest_share
    return abs(value - key.exact) <= share * key.exact


def _ends(scenario: Scenario, key: Key, value: Fraction) -> Fraction:
    """The end of the working: the policy's rounding."""
    return scenario.policy.rounding.apply(key.quantity, key.unit, value)


def _candidates(scenario: Scenario, order: Order, key: Key) -> Iterator[tuple[Fraction, str]]:
    yield from _too_far(scenario, key)
    yield from _by_weight(scenario, order, key)
    yield from _by_parts(key)


def _by_weight(scenario: Scenario, order: Order, key: Key) -> Iterator[tuple[Fraction, str]]:
    """The same key worked out with a rounded weight."""
    weight = scenario.patient.weight
    for step in STEPS:
        rounded = round_half_up(weight.value, step)
        if rounded in {weight.value, 0}:
            continue
        patient = replace(scenario.patient, weight=Quantity(value=rounded, unit=weight.unit))
        try:
            again = expect.order_keys(replace(scenario, patient=patient), order)
        except (ProblemError, QuantityError):
            continue
        found = expect.key(again, order.id, key.quantity)
        if found is not None:
            text = explain.amount(rounded, weight.unit.text)
            yield found.exact, f"The weight was rounded to {text} first."


def _by_parts(key: Key) -> Iterator[tuple[Fraction, str]]:
    """The chain with one part of it rounded before the rest is multiplied."""
    factors = key.chain.factors if key.chain else ()
    if len(factors) > MOST_FACTORS:
        return
    for size in range(1, len(factors)):
        for part in combinations(factors, size):
            product, power = _part_value(part)
            for step in STEPS:
                rounded = round_half_up(product, step)
                if rounded not in {product, 0}:
                    told = f"{_product(part)} was rounded to {format_number(rounded)} first."
                    yield key.exact * (rounded / product) ** power, told[0].upper() + told[1:]


def _part_value(part: tuple[Factor, ...]) -> tuple[Fraction, int]:
    """A part's value, and whether it multiplies (1) or all of it divides (-1)."""
    power = -1 if all(factor.power < 0 for factor in part) else 1
    product = Fraction(1)
    for factor in part:
        product *= factor.factor_value**power
    return product, power


def _product(part: tuple[Factor, ...]) -> str:
    above = [factor.name for factor in part if factor.power > 0]
    below = [factor.name for factor in part if factor.power < 0]
    if not above:
        return " x ".join(below)
    return " x ".join(above) + "".join(f" / {name}" for name in below)


def _too_far(scenario: Scenario, key: Key) -> Iterator[tuple[Fraction, str]]:
    """The right answer, rounded further than the ward's rule."""
    rule = scenario.policy.rounding.rule_for(key.quantity, key.unit, key.exact)
    own = rule.step_for(key.exact)
    for step in STEPS:
        if step > own:
            told = f"It was rounded to {explain.amount(step, key.unit)}; this ward rounds "
            yield round_half_up(key.exact, step), told + rule.words(key.exact, key.unit) + "."

"""One scenario in many variants: the same seed always gives the same numbers.

Seed 0 is the scenario as written. Any other seed draws each varying value from its steps,
until `accept` says that the numbers can be used. The only module of the core that draws
numbers, and only from `random.Random(seed)`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from random import Random

from trainer.clinical.quantity import Quantity, format_quantity
from trainer.errors import Fault, ScenarioError
from trainer.scenario.model import Scenario, Vary

MOST_TRIES = 200
"""Candidates looked at before giving up. Chosen by us: more than most ranges have steps."""


def vary(scenario: Scenario, seed: int, accept: Callable[[Scenario], bool]) -> Scenario:
    """The variant of a scenario that a seed gives.

    Args:
        scenario: as the author wrote it.
        seed: 0 for the scenario as written.
        accept: whether a variant's numbers can be used.

    Raises:
        ScenarioError: if no candidate is accepted.
    """
    if seed == 0 or not scenario.vary:
        return scenario
    draw = Random(seed)
    for _ in range(MOST_TRIES):
        candidate = _drawn(scenario, draw)
        if accept(candidate):
            return candidate
    raise ScenarioError((_nothing_accepted(scenario),))


def steps_of(one: Vary) -> int:
    """How many steps lie between the two ends."""
    least, most = one.least.in_unit(one.step.unit), one.most.in_unit(one.step.unit)
    return int((most - least) / one.step.value)


def _drawn(scenario: Scenario, draw: Random) -> Scenario:
    for one in scenario.vary:
        weight = _value_at(one, draw.randint(0, steps_of(one)))
        scenario = replace(scenario, patient=replace(scenario.patient, weight=weight))
    return scenario


def _value_at(one: Vary, step: int) -> Quantity:
    least: Fraction = one.least.in_unit(one.step.unit)
    return Quantity(value=least + step * one.step.value, unit=one.step.unit)


def _nothing_accepted(scenario: Scenario) -> Fault:
    ranges = ", ".join(
        f"{one.what} from {format_quantity(one.least)} to {format_quantity(one.most)}"
        for one in scenario.vary
    )
    return Fault(
        path=scenario.id,
        line=1,
        column=1,
        what=f"no value of {ranges} gives a key that is in limits and can be entered",
        mend="narrow the range under `vary`, or change the step",
    )

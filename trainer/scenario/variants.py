"""One scenario in many variants: the same seed always gives the same numbers.

Seed 0 is the scenario as written. Any other seed draws each varying value from its steps,
until `accept` says that the numbers can be used and, where `hides` is given, that they hide no
slip behind another. The only module of the core that draws
numbers, and only from `random.Random(seed)`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction
from random import Random

from trainer.clinical.quantity import Quantity, format_quantity
from trainer.errors import Fault, ScenarioError
from trainer.scenario.model import Scenario, Vary

MOST_TRIES = 200
"""Candidates looked at before giving up. Chosen by us: more than most ranges have steps."""
MOST_LOOKED_AT = 8
"""Usable numbers looked at for what they hide. Chosen by us: an attempt begins at once."""


def vary(
    scenario: Scenario,
    seed: int,
    accept: Callable[[Scenario], bool],
    hides: Callable[[Scenario], frozenset[str]] | None = None,
) -> Scenario:
    """The variant of a scenario that a seed gives.

    Args:
        scenario: as the author wrote it.
        seed: 0 for the scenario as written.
        accept: whether a variant's numbers can be used.
        hides: what a variant's numbers hide, by names. The first variant is taken that hides
            nothing but what the whole range hides; else the one that hides least among those
            looked at. None: the first that can be used.

    Raises:
        ScenarioError: if no candidate is accepted.
    """
    if seed == 0 or not scenario.vary:
        return scenario
    drawn = (one for one in _candidates(scenario, Random(seed)) if accept(one))
    if hides is None:
        found = next(drawn, None)
    else:
        found = _clearest(drawn, hides, _always_hidden(scenario, hides))
    if found is None:
        raise ScenarioError((_nothing_accepted(scenario),))
    return found


def _candidates(scenario: Scenario, draw: Random) -> Iterator[Scenario]:
    for _ in range(MOST_TRIES):
        yield _drawn(scenario, draw)


def _clearest(
    drawn: Iterator[Scenario],
    hides: Callable[[Scenario], frozenset[str]],
    always: frozenset[str],
) -> Scenario | None:
    """The first that hides nothing avoidable, else the first of those that hide least."""
    looked: dict[Quantity, tuple[int, Scenario]] = {}
    for candidate in drawn:
        weight = candidate.patient.weight
        if weight not in looked:
            looked[weight] = len(hides(candidate) - always), candidate
            if looked[weight][0] == 0:
                return candidate
        if len(looked) >= MOST_LOOKED_AT:
            break
    return min(looked.values(), key=lambda one: one[0])[1] if looked else None


def _always_hidden(
    scenario: Scenario, hides: Callable[[Scenario], frozenset[str]]
) -> frozenset[str]:
    """What the numbers at both ends of the range hide: no draw out of it would help."""
    return hides(_at_an_end(scenario, first=True)) & hides(_at_an_end(scenario, first=False))


def _at_an_end(scenario: Scenario, *, first: bool) -> Scenario:
    for one in scenario.vary:
        scenario = _with(scenario, _value_at(one, 0 if first else steps_of(one)))
    return scenario


def steps_of(one: Vary) -> int:
    """How many steps lie between the two ends."""
    least, most = one.least.in_unit(one.step.unit), one.most.in_unit(one.step.unit)
    return int((most - least) / one.step.value)


def _drawn(scenario: Scenario, draw: Random) -> Scenario:
    for one in scenario.vary:
        scenario = _with(scenario, _value_at(one, draw.randint(0, steps_of(one))))
    return scenario


def _with(scenario: Scenario, weight: Quantity) -> Scenario:
    return replace(scenario, patient=replace(scenario.patient, weight=weight))


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

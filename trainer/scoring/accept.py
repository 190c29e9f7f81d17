"""Whether a scenario's numbers can be used: computable, within limits, and enterable.

For variation by seed (`scenario.variants.vary`), which draws again if they cannot. `variant`
is the one way in which an attempt gets its numbers.
"""

from __future__ import annotations

from trainer.errors import ProblemError, QuantityError, UnknownEvent
from trainer.scenario.model import Order, Scenario
from trainer.scenario.variants import vary
from trainer.scoring import caution
from trainer.scoring.expect import key, keys
from trainer.scoring.findings import Key
from trainer.scoring.readable import hides
from trainer.terms import Drive, Verb

NEWEST_VARIATION = 2
"""How new attempts draw their numbers. 1: usable ones; 2: usable ones in which, as far as the
range allows, no slip hides behind another."""


def variant(scenario: Scenario, seed: int, variation: int = NEWEST_VARIATION) -> Scenario:
    """The numbers that a seed gives; an old variation gives what it always gave.

    Args:
        scenario: as the author wrote it.
        seed: 0 for the scenario as written.
        variation: which way of drawing the seed was made for.

    Raises:
        ScenarioError: if no numbers can be used.
        UnknownEvent: if this trainer does not know the variation.
    """
    if variation == 1:
        return vary(scenario, seed, usable)
    if variation == NEWEST_VARIATION:
        return vary(scenario, seed, usable, hides)
    raise UnknownEvent(
        f"the numbers were drawn in way {variation}; this trainer knows 1 to {NEWEST_VARIATION}; "
        "use the trainer that wrote the attempt, or a newer one"
    )


def usable(scenario: Scenario) -> bool:
    """Whether every key is computable, within the formulary's limits and enterable."""
    return not faults(scenario)


def faults(scenario: Scenario) -> tuple[str, ...]:
    """Why the numbers cannot be used, one sentence each; empty if they can."""
    try:
        all_keys = keys(scenario)
    except (ProblemError, QuantityError) as fault:
        return (str(fault),)
    return tuple(
        f"order `{order.id}`: {told}"
        for order in scenario.orders
        for told in (
            *(() if _is_trap(scenario, order) else caution.outside_limits(scenario, order)),
            *_not_enterable(scenario, all_keys, order.id),
        )
    )


def _is_trap(scenario: Scenario, order: Order) -> bool:
    """Whether the author wants this order questioned, so that it may leave the limits."""
    plans = (scenario.plan, *(event.plan for event in scenario.events))
    return any(
        step.pattern.verb is Verb.QUESTION_ORDER and ("order", order.id) in step.pattern.params
        for plan in plans
        for step in plan.steps
    )


def _not_enterable(scenario: Scenario, all_keys: tuple[Key, ...], order: str) -> tuple[str, ...]:
    """What the ward's pumps cannot be given: too fine, too slow, too fast, too much.

    Nothing is entered for a gravity line.
    """
    if scenario.line(scenario.order(order).line).drive is Drive.GRAVITY:
        return ()
    pump = scenario.policy.pump
    rate, volume = key(all_keys, order, "rate"), key(all_keys, order, "volume")
    if rate is None or volume is None:
        return ("there is no rate or no volume to enter",)
    holds = scenario.supply(scenario.order(order).supply).volume_ml
    checks = (
        (rate.value % pump.rate_step_ml_per_h != 0, "the rate is finer than can be entered"),
        (rate.value < pump.lowest_rate_ml_per_h, "the rate is below the pump's lowest"),
        (rate.value > pump.highest_rate_ml_per_h, "the rate is above the pump's highest"),
        (volume.value % pump.volume_step_ml != 0, "the volume is finer than can be entered"),
        (volume.value > pump.highest_volume_ml, "the volume is above the pump's highest"),
        (volume.value > holds, "the container holds less than the volume"),
    )
    return tuple(told for is_so, told in checks if is_so)

"""The key: the right entries of every order, computed from the scenario and never typed.

For each order the dose, volume, rate and duration that follow from it (and where drops are
counted the drops per minute: rate x drop factor / 60), with the chain
they came from, the worked solution, and the policy's rounding once at the end. What a
ward limits (hours of volume at once in a child, least durations) comes from the policy and
the formulary. Not here: what a learner entered (`entries`).

How each kind of order is read:

* continuous: the rate follows from the maintenance rule, the dose or the plain rate. The
  volume is what the order asks, in a child no more than the policy's hours of that rate.
* intermittent: the volume that holds the dose, or the whole container if it has no
  concentration; the duration is the longest of the ordered and the least ones; the rate
  is volume / duration, rounded so that it never runs faster than a least duration allows.
* bolus: the volume by weight over the ordered time.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from typing import TypeVar

from trainer.clinical.chain import Chain, Factor, chain_of, factor_of
from trainer.clinical.fluids import (
    maintenance_ml_per_day,
    maintenance_ml_per_h,
    maintenance_words,
)
from trainer.clinical.quantity import Quantity, unit_of
from trainer.clinical.rounding import truncate
from trainer.clinical.timebase import MS_PER_MIN, h_from_ms
from trainer.clinical.units import Dimension, Unit, parse_unit, product_of
from trainer.engine.amounts import MS_PER_H, motes_from_ml, ul_h_from_ml_h
from trainer.engine.state import Programme
from trainer.errors import ProblemError, QuantityError
from trainer.scenario.model import Order, Scenario
from trainer.scoring import caution, explain
from trainer.scoring.findings import Key
from trainer.terms import Drive

ML, ML_PER_H, MIN, GTT_PER_MIN = "mL", "mL/h", "min", "gtt/min"
DRIP_RATE = "drip_rate"
HOURS_PER_DAY = Fraction(24)

T = TypeVar("T")


def keys(scenario: Scenario) -> tuple[Key, ...]:
    """Every computed right answer by order: dose, volume, rate, duration, drip rate.

    Raises:
        ProblemError: naming the order and the quantity that cannot be computed, and why.
    """
    return tuple(one for order in scenario.orders for one in order_keys(scenario, order))


def key(all_keys: tuple[Key, ...], order: str, quantity: str) -> Key | None:
    """The key of one quantity of one order; None if that order has no such quantity."""
    return next((k for k in all_keys if k.order == order and k.quantity == quantity), None)


def order_keys(scenario: Scenario, order: Order) -> tuple[Key, ...]:
    """The keys of one order.

    Raises:
        ProblemError: naming the order and the quantity that cannot be computed, and why.
    """
    dose = _tried(order, "dose", lambda: _dose(scenario, order))
    if order.kind == "continuous":
        rate = _tried(order, "rate", lambda: _continuous_rate(scenario, order))
        volume = _tried(order, "volume", lambda: _volume_at_once(scenario, order, rate))
        duration = _tried(order, "duration", lambda: _duration_of(scenario, order, volume, rate))
    else:
        duration = _tried(order, "duration", lambda: _set_duration(scenario, order))
        volume = _tried(order, "volume", lambda: _volume(scenario, order))
        rate = _tried(order, "rate", lambda: _rate(scenario, order, volume, duration))
    drips = _tried(order, "drip rate", lambda: _drip_rate(scenario, order, rate))
    found = tuple(one for one in (dose, volume, rate, duration, drips) if one is not None)
    return _with_cautions(scenario, order, found)


def _tried(order: Order, quantity: str, compute: Callable[[], T]) -> T:
    """What `compute` gives; a fault is told with the order and the quantity."""
    try:
        return compute()
    except (QuantityError, ProblemError) as fault:
        raise ProblemError(
            f"order `{order.id}`: the {quantity} cannot be computed: {fault}"
        ) from fault


def expected_programme(
    scenario: Scenario, order_id: str, all_keys: tuple[Key, ...] = ()
) -> Programme:
    """What the give sentence says when the key's volume and rate are entered.

    `all_keys` are the scenario's, where known already.

    Raises:
        ProblemError: if the key cannot be computed.
    """
    found = all_keys or order_keys(scenario, scenario.order(order_id))
    volume, rate = key(found, order_id, "volume"), key(found, order_id, "rate")
    if volume is None or rate is None or rate.value <= 0:
        raise ProblemError(f"order `{order_id}` has no volume and rate to enter")
    exact_ms = volume.value / rate.value * MS_PER_H
    return Programme(
        volume=motes_from_ml(volume.value),
        rate_ul_h=ul_h_from_ml_h(rate.value),
        duration_ms=-(-exact_ms.numerator // exact_ms.denominator),
    )


# --- dose and volume ----------------------------------------------------------------


def _dose(scenario: Scenario, order: Order) -> Key | None:
    """The dose for this patient; None where the order names no drug amount."""
    if order.dose is None or _is_volume(order.dose):
        return None
    chain = chain_of("dose", _dose_factors(scenario, order), _without_weight(order.dose))
    return _key_of_chain(scenario, order, "dose", chain)


def _dose_factors(scenario: Scenario, order: Order) -> tuple[Factor, ...]:
    """The ordered dose, and the weight if it is ordered by weight."""
    if order.dose is None:
        raise ProblemError("the order names no dose")
    dose = factor_of("dose", order.dose)
    if order.dose.unit.power_of(Dimension.BODY) == 0:
        return (dose,)
    return (dose, factor_of("weight", scenario.patient.weight))


def _volume_factors(scenario: Scenario, order: Order) -> tuple[Factor, ...]:
    """What multiplies to the volume that holds the dose (per time, if the dose is)."""
    factors = _dose_factors(scenario, order)
    if order.dose is not None and _is_volume(order.dose):
        return factors
    concentration = scenario.fluid(order.fluid).concentration
    if concentration is None:
        raise ProblemError(f"the fluid `{order.fluid}` has no concentration in the formulary")
    strength = factor_of("concentration", in_whole_numbers(concentration))
    return (*factors, replace(strength, power=-1))


def in_whole_numbers(concentration: Quantity) -> Quantity:
    """A concentration below 1 g/mL in mg/mL, since decimals of a gram are misread."""
    if concentration.unit.text != "g/mL" or concentration.value >= 1:
        return concentration
    return Quantity(value=concentration.to("mg/mL"), unit=parse_unit("mg/mL", of_body=False))


def _is_volume(dose: Quantity) -> bool:
    return dose.unit.power_of(Dimension.VOLUME) == 1


def _without_weight(dose: Quantity) -> Unit:
    """The unit of a dose once the weight has been multiplied in."""
    return product_of(
        tuple((a, power) for a, power in dose.unit.powers if a.dimension is not Dimension.BODY)
    )


def _volume(scenario: Scenario, order: Order) -> Key:
    """The volume of an intermittent dose or a bolus."""
    if _is_whole_container(scenario, order):
        return _whole_container(scenario, order)
    chain = chain_of("volume", _volume_factors(scenario, order), unit_of(ML))
    return _key_of_chain(scenario, order, "volume", chain)


def _is_whole_container(scenario: Scenario, order: Order) -> bool:
    """Whether the made-up container is given whole: nothing says what part of it is meant."""
    if order.dose is None:
        return True
    no_strength = scenario.fluid(order.fluid).concentration is None
    return no_strength and not _is_volume(order.dose)


def _whole_container(scenario: Scenario, order: Order) -> Key:
    volume_ml = scenario.supply(order.supply).volume_ml
    line = f"the whole container is given: {explain.amount(volume_ml, ML)}"
    return _made(scenario, order, "volume", ML, volume_ml, lines=(line,))


# --- continuous ---------------------------------------------------------------------


def _continuous_rate(scenario: Scenario, order: Order) -> Key:
    if order.rule:
        return _rate_by_rule(scenario, order)
    if order.rate is not None:
        factors: tuple[Factor, ...] = (factor_of("ordered rate", order.rate),)
    else:
        factors = _volume_factors(scenario, order)
    return _key_of_chain(scenario, order, "rate", chain_of("rate", factors, parse_unit(ML_PER_H)))


def _rate_by_rule(scenario: Scenario, order: Order) -> Key:
    """The rate of a maintenance rule, which is a sum by bands of weight and no product."""
    weight_kg = weight_of(scenario)
    words = maintenance_words(weight_kg, order.rule)
    if order.rule == "4-2-1":
        exact = maintenance_ml_per_h(weight_kg)
        return _made(scenario, order, "rate", ML_PER_H, exact, lines=(words,))
    per_day = maintenance_ml_per_day(weight_kg)
    exact = per_day / HOURS_PER_DAY
    hourly = f"{explain.amount(per_day, 'mL')} / 24 h = {explain.amount(exact, ML_PER_H)}"
    return _made(scenario, order, "rate", ML_PER_H, exact, lines=(words, hourly))


def weight_of(scenario: Scenario) -> Fraction:
    """The patient's weight in kg, exact."""
    return scenario.patient.weight.to("kg", kg_per_lb=1 / scenario.policy.lb_per_kg)


def _volume_at_once(scenario: Scenario, order: Order, rate: Key) -> Key:
    """The volume to enter for a continuous order: the least of what bounds it."""
    whole_ml = scenario.supply(order.supply).volume_ml
    bounds: list[tuple[Fraction, str]] = []
    if scenario.is_child:
        bounds.append((scenario.policy.hours_at_once, "hours at once"))
    if order.over_ms:
        bounds.append((h_from_ms(order.over_ms), "ordered hours"))
    if not bounds or min(bounds)[0] * rate.value > whole_ml:
        return _whole_container(scenario, order)
    hours, name = min(bounds)
    return _volume_for_hours(scenario, order, rate, hours=hours, name=name)


def _volume_for_hours(
    scenario: Scenario, order: Order, rate: Key, *, hours: Fraction, name: str
) -> Key:
    at_rate = Quantity(value=rate.value, unit=parse_unit(ML_PER_H))
    time = Quantity(value=hours, unit=unit_of("h"))
    factors = (factor_of("rate", at_rate, given=False), factor_of(name, time))
    chain = chain_of("volume", factors, unit_of(ML))
    unrounded = scenario.policy.rounding.apply("volume", ML, rate.exact * hours)
    return _key_of_chain(scenario, order, "volume", chain, also=(unrounded, rate.exact * hours))


def _duration_of(scenario: Scenario, order: Order, volume: Key, rate: Key) -> Key:
    """The time that the volume takes at the rate, in minutes."""
    by_rate = Quantity(value=rate.value, unit=parse_unit(ML_PER_H))
    of_volume = Quantity(value=volume.value, unit=unit_of(ML))
    factors = (
        factor_of("volume", of_volume, given=False),
        replace(factor_of("rate", by_rate, given=False), power=-1),
    )
    chain = chain_of("duration", factors, unit_of(MIN))
    return _key_of_chain(scenario, order, "duration", chain)


# --- over a set time ----------------------------------------------------------------


def least_ms(scenario: Scenario, order: Order) -> int:
    """The least duration that the order or the formulary sets; 0 if neither does."""
    drug = scenario.fluid(order.fluid).drug
    return max(order.least_ms, scenario.drug(drug).least_duration_ms if drug else 0)


def _set_duration(scenario: Scenario, order: Order) -> Key:
    """The ordered or least duration, the longer, in minutes; or volume / rate."""
    if order.rate is not None:
        volume = _volume(scenario, order)
        return _duration_of(scenario, order, volume, _continuous_rate(scenario, order))
    least = least_ms(scenario, order)
    duration_ms = max(order.over_ms, least)
    if not duration_ms:
        raise ProblemError("neither the order nor the formulary says over what time it runs")
    words = explain.span(duration_ms)
    line = f"ordered: over {words}" if order.over_ms >= least else f"at least {words}"
    exact = Fraction(duration_ms, MS_PER_MIN)
    return _made(scenario, order, "duration", MIN, exact, lines=(line,))


def _rate(scenario: Scenario, order: Order, volume: Key, duration: Key) -> Key:
    """Volume / duration, cut down where half up would run faster than the least duration."""
    if order.rate is not None:
        return _continuous_rate(scenario, order)
    time = Quantity(value=duration.exact, unit=unit_of(MIN))
    over = replace(factor_of("duration", time), power=-1)
    if _is_whole_container(scenario, order):
        whole = Quantity(value=volume.exact, unit=unit_of(ML))
        factors: tuple[Factor, ...] = (factor_of("volume", whole), over)
    else:
        factors = (*_volume_factors(scenario, order), over)
    chain = chain_of("rate", factors, parse_unit(ML_PER_H))
    rules = scenario.policy.rounding
    half_up = rules.apply("rate", ML_PER_H, chain.exact)
    as_entered = volume.value / duration.exact * 60
    also = (half_up, rules.apply("rate", ML_PER_H, as_entered))
    if half_up <= as_entered or duration.exact * MS_PER_MIN > least_ms(scenario, order):
        return _key_of_chain(scenario, order, "rate", chain, also=also)
    step = rules.rule_for("rate", ML_PER_H, chain.exact).step_for(chain.exact)
    slower = truncate(as_entered, step)
    why = (
        f"cut down to {explain.amount(slower, ML_PER_H)}: {explain.amount(half_up, ML_PER_H)} "
        "would run faster than the least duration allows"
    )
    return _made(
        scenario,
        order,
        "rate",
        ML_PER_H,
        chain.exact,
        chain=chain,
        lines=(*chain.lines(), why),
        value=slower,
        also=also,
    )


# --- drops --------------------------------------------------------------------------


def _drip_rate(scenario: Scenario, order: Order, rate: Key) -> Key | None:
    """Drops per minute, where they are asked for or nothing else measures the flow.

    Rate x drop factor / 60, from the rate before its rounding. Source: reference row
    "Drip rate" (gtt/min = mL/h x gtt/mL / 60), in `tests/unit/scoring`.
    """
    line = scenario.line(order.line)
    if DRIP_RATE not in order.ask and line.drive is not Drive.GRAVITY:
        return None
    rate_factor = Quantity(value=rate.exact, unit=parse_unit(ML_PER_H))
    drop_factor = Quantity(value=line.drop_factor, unit=parse_unit("gtt/mL"))
    factors = (
        factor_of("rate", rate_factor, given=False),
        factor_of("drop factor", drop_factor),
    )
    chain = chain_of(DRIP_RATE, factors, parse_unit(GTT_PER_MIN))
    from_rounded = rate.value * line.drop_factor / 60
    also = scenario.policy.rounding.apply(DRIP_RATE, GTT_PER_MIN, from_rounded)
    return _key_of_chain(scenario, order, DRIP_RATE, chain, also=(also,))


# --- keys ---------------------------------------------------------------------------


def _key_of_chain(
    scenario: Scenario,
    order: Order,
    quantity: str,
    chain: Chain,
    *,
    also: tuple[Fraction, ...] = (),
) -> Key:
    return _made(
        scenario,
        order,
        quantity,
        chain.unit.text,
        chain.exact,
        chain=chain,
        lines=chain.lines(),
        also=also,
    )


def _made(
    scenario: Scenario,
    order: Order,
    quantity: str,
    unit: str,
    exact: Fraction,
    *,
    lines: tuple[str, ...],
    chain: Chain | None = None,
    value: Fraction | None = None,
    also: tuple[Fraction, ...] = (),
) -> Key:
    """A key, rounded by the policy unless a value is given, with the rounding told."""
    if exact <= 0:
        raise ProblemError(f"it comes to {explain.amount(exact, unit)}, which cannot be given")
    rule = scenario.policy.rounding.rule_for(quantity, unit, exact)
    rounded = rule.apply(exact) if value is None else value
    told = value is not None or rounded == exact
    rounding = () if told else (f"{rule.words(exact, unit)}: {explain.amount(rounded, unit)}",)
    return Key(
        order=order.id,
        quantity=quantity,
        unit=unit,
        exact=exact,
        value=rounded,
        chain=chain,
        worked=(*lines, *rounding),
        also=tuple(dict.fromkeys(v for v in also if v not in {rounded, exact})),
    )


def _with_cautions(scenario: Scenario, order: Order, found: tuple[Key, ...]) -> tuple[Key, ...]:
    """The keys of an order with what is to be heeded about it, told at the first of them."""
    told = (*caution.outside_limits(scenario, order), *caution.to_heed(scenario, order, found))
    return (replace(found[0], cautions=told), *found[1:])

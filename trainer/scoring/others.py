"""What a learner could have taken by mistake at this bedside, for each key of a scenario.

The values of the order that an order supersedes, the weight written on an order, the
strengths of the other containers, the drop factors of the other lines, and the keys that
belong into the fields beside the one asked. Which slip follows from each is `clinical.slips`'s.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from trainer.clinical.quantity import Quantity, format_quantity
from trainer.clinical.slips.others import Other
from trainer.clinical.units import parse_unit
from trainer.errors import ProblemError, QuantityError
from trainer.scenario.model import Fluid, Order, Scenario
from trainer.scoring import explain
from trainer.scoring.expect import in_whole_numbers, order_keys
from trainer.scoring.expect import key as key_of
from trainer.scoring.findings import Key

WEIGHT, CONCENTRATION, DROP_FACTOR = "weight", "concentration", "drop_factor"


def others_of(scenario: Scenario, key: Key, all_keys: tuple[Key, ...]) -> tuple[Other, ...]:
    """The values that lie about, each text once.

    Args:
        scenario: orders, containers and lines.
        key: what is asked.
        all_keys: the computed key of the scenario.
    """
    order = scenario.order(key.order)
    found = (
        *_of_older_orders(scenario, order, key, all_keys),
        *_weights(scenario, order, key),
        *_strengths(scenario, order),
        *_drop_factors(scenario, order),
        *_fields(key, all_keys),
        *_container(scenario, order, key),
    )
    return tuple({(one.name, one.text, one.is_field): one for one in found}.values())


def _older_orders(scenario: Scenario, order: Order) -> Iterator[Order]:
    """The order that this one supersedes, and those before it."""
    seen = {order.id}
    while order.supersedes and order.supersedes not in seen:
        order = scenario.order(order.supersedes)
        seen.add(order.id)
        yield order


def _of_older_orders(
    scenario: Scenario, order: Order, key: Key, all_keys: tuple[Key, ...]
) -> Iterator[Other]:
    """What an older order gives for this, and what it says itself."""
    for older in _older_orders(scenario, order):
        found = []
        if older.dose is not None and older.dose != order.dose:
            found.append(_other("dose", older.dose))
        if older.rate is not None and older.rate != order.rate and key.quantity != "rate":
            found.append(_other("rate", older.rate))
        same = key_of(all_keys, older.id, key.quantity)
        if same is not None and same.unit == key.unit and same.value != key.value:
            found.append(_of_key(same, is_field=False))
        for one in found:
            yield replace(one, text=f"{one.text} in the order before")


def _weights(scenario: Scenario, order: Order, key: Key) -> Iterator[Other]:
    """Weights written on this order or on an older one, if they are not the patient's.

    Where the weight stands behind another value (a volume from a rate by weight), what comes
    out with that weight is told instead.
    """
    is_given = key.chain is None or any(one.name == WEIGHT for one in key.chain.factors)
    for one in (order, *_older_orders(scenario, order)):
        if one.weight is None or one.weight == scenario.patient.weight:
            continue
        if is_given:
            yield _other(WEIGHT, one.weight)
        else:
            yield from _with_weight(scenario, order, key, one.weight)


def _with_weight(scenario: Scenario, order: Order, key: Key, weight: Quantity) -> Iterator[Other]:
    """The same key for another weight."""
    patient = replace(scenario.patient, weight=weight)
    try:
        found = order_keys(replace(scenario, patient=patient), order)
    except (ProblemError, QuantityError):
        return
    same = key_of(found, order.id, key.quantity)
    if same is not None and same.unit == key.unit and same.value != key.value:
        yield _of_key(same, is_field=False)


def _strengths(scenario: Scenario, order: Order) -> Iterator[Other]:
    """The strengths of the other containers on the trolley, and others of the same drug."""
    own = scenario.fluid(order.fluid)
    if own.concentration is None:
        return
    on_trolley = {supply.fluid for supply in scenario.supplies}
    for fluid in scenario.formulary.fluids:
        is_near = fluid.id in on_trolley or (fluid.drug and fluid.drug == own.drug)
        if is_near and _has_other_strength(fluid, own):
            assert fluid.concentration is not None
            yield _other(CONCENTRATION, in_whole_numbers(fluid.concentration))


def _has_other_strength(fluid: Fluid, own: Fluid) -> bool:
    """Whether a fluid could be taken for this one and is weaker or stronger."""
    if fluid.concentration is None or own.concentration is None:
        return False
    one, other = fluid.concentration, own.concentration
    is_like = one.unit.dimensions == other.unit.dimensions
    return is_like and one.value * one.unit.size != other.value * other.unit.size


def _drop_factors(scenario: Scenario, order: Order) -> Iterator[Other]:
    """The drop factors of the other lines."""
    own = scenario.line(order.line).drop_factor
    for line in scenario.lines:
        if line.drop_factor != own:
            factor = Quantity(value=line.drop_factor, unit=parse_unit("gtt/mL"))
            yield _other(DROP_FACTOR, factor)


def _fields(key: Key, all_keys: tuple[Key, ...]) -> Iterator[Other]:
    """The other keys of the same order: their fields lie beside this one."""
    for other in all_keys:
        if other.order == key.order and other.quantity != key.quantity:
            yield _of_key(other, is_field=True)


def _container(scenario: Scenario, order: Order, key: Key) -> Iterator[Other]:
    """All that is in the container, typed where the volume to give belongs."""
    holds = Quantity(value=scenario.supply(order.supply).volume_ml, unit=parse_unit("mL"))
    if key.quantity == "volume" and holds.value != key.value:
        words = format_quantity(holds)
        yield Other(name="content of the container", text=words, quantity=holds, is_field=True)


def _of_key(key: Key, *, is_field: bool) -> Other:
    """A key's value as it would be typed."""
    unit = key.chain.unit if key.chain else parse_unit(key.unit)
    return Other(
        name=key.quantity,
        text=explain.amount(key.value, key.unit),
        quantity=Quantity(value=key.value, unit=unit),
        is_field=is_field,
    )


def _other(name: str, quantity: Quantity) -> Other:
    return Other(name=name, text=format_quantity(quantity), quantity=quantity)

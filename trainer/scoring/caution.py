"""What is to be heeded about an order: the formulary's limits, weights, rounding.

Limits are ward data (`scenario.model.Limit`); a dose is held against them in the limit's
own unit, and a limit whose unit does not fit the order says nothing about it.
"""

from __future__ import annotations

from trainer.clinical.cautions import fast_rate, odd_weight, rounding_moved, two_rules
from trainer.clinical.quantity import Quantity, format_quantity
from trainer.clinical.timebase import h_from_ms
from trainer.clinical.units import Dimension, Unit, parse_unit, product_of
from trainer.engine import limits
from trainer.scenario.model import Drug, Limit, Order, Scenario
from trainer.scoring import explain
from trainer.scoring.findings import Key


def drug_of(scenario: Scenario, order: Order) -> Drug | None:
    """The drug in the order's fluid; None for a plain fluid."""
    drug = scenario.fluid(order.fluid).drug
    return scenario.drug(drug) if drug else None


def outside_limits(scenario: Scenario, order: Order) -> tuple[str, ...]:
    """One sentence for each of the drug's limits that the order, as written, leaves.

    Only limits that hold for this patient's age and for the catheter of the order's line.
    """
    drug = drug_of(scenario, order)
    if drug is None:
        return ()
    told = (_outside(scenario, order, drug, limit) for limit in drug.limits)
    return tuple(sentence for sentence in told if sentence)


def _outside(scenario: Scenario, order: Order, drug: Drug, limit: Limit) -> str:
    route = limits.route_of(scenario, order.line)
    if not limits.holds_for(limit, route=route, age_years=scenario.patient.age_years):
        return ""
    outside = limits.left_by(drug, limit, _compared(scenario, order, drug, limit.of))
    if outside is None:
        return ""
    return explain.joined(f"{outside.words}.", explain.sentence(limit.because))


def _compared(scenario: Scenario, order: Order, drug: Drug, what: str) -> tuple[Quantity, ...]:
    """The order's quantities of that sort: by weight as ordered, and for this patient."""
    if what == "concentration":
        concentration = scenario.fluid(order.fluid).concentration
        return () if concentration is None else (concentration,)
    if order.dose is None:
        return ()
    doses = (order.dose, _for_patient(order.dose, scenario.patient.weight))
    if what == "rate" and order.dose.unit.power_of(Dimension.TIME) == 0:
        duration_ms = max(order.over_ms, order.least_ms, drug.least_duration_ms)
        return tuple(_per_hour(dose, duration_ms) for dose in doses) if duration_ms else ()
    return doses


def _for_patient(dose: Quantity, weight: Quantity) -> Quantity:
    """A dose by weight multiplied by the weight; any other as it is."""
    per_weight = [atom for atom, _ in dose.unit.powers if atom.dimension is Dimension.BODY]
    if not per_weight:
        return dose
    kept = tuple((a, power) for a, power in dose.unit.powers if a not in per_weight)
    units = weight.in_unit(product_of(((per_weight[0], 1),)))
    return Quantity(value=dose.value * units, unit=product_of(kept))


def _per_hour(dose: Quantity, duration_ms: int) -> Quantity:
    hour = parse_unit("h").powers[0][0]
    unit: Unit = product_of((*dose.unit.powers, (hour, -1)))
    return Quantity(value=dose.value / h_from_ms(duration_ms), unit=unit)


def to_heed(scenario: Scenario, order: Order, found: tuple[Key, ...]) -> tuple[str, ...]:
    """The drug's cautions, a weight that differs, an order too fast, a rounding that matters."""
    drug = drug_of(scenario, order)
    told = list(drug.cautions if drug else ())
    told += other_weight(scenario, order)
    told += _too_fast(scenario, order, drug)
    told += _usual_cautions(scenario, order, found)
    told += _too_little(scenario, order, found)
    return tuple(told)


def other_weight(scenario: Scenario, order: Order) -> list[str]:
    """A sentence if the order names a weight that is not the patient's."""
    if order.weight is None:
        return []
    measured = scenario.patient.weight
    if order.weight.in_unit(measured.unit) == measured.value:
        return []
    return [
        f"The order names a weight of {format_quantity(order.weight)}; "
        f"the patient weighs {format_quantity(measured)}."
    ]


def _too_fast(scenario: Scenario, order: Order, drug: Drug | None) -> list[str]:
    least = max(order.least_ms, drug.least_duration_ms if drug else 0)
    if not order.over_ms or order.over_ms >= least:
        return []
    return [
        f"The order says over {explain.span(order.over_ms)}; "
        f"it must run for {explain.span(least)} at least."
    ]


def _usual_cautions(scenario: Scenario, order: Order, found: tuple[Key, ...]) -> list[str]:
    """What `clinical.cautions` says of any such answer: rounding, speed, weight, rules."""
    weight_kg = scenario.patient.weight.to("kg", kg_per_lb=1 / scenario.policy.lb_per_kg)
    told = [*odd_weight(weight_kg), *(two_rules(weight_kg, order.rule) if order.rule else ())]
    for one in found:
        told += rounding_moved(one.quantity, one.unit, one.exact, scenario.policy.rounding)
        if one.quantity == "rate" and order.kind != "bolus":
            told += fast_rate(one.value, weight_kg)
    return [explain.sentence(words) for words in told]


def _too_little(scenario: Scenario, order: Order, found: tuple[Key, ...]) -> list[str]:
    volume = next((one for one in found if one.quantity == "volume"), None)
    if volume is None or not order.supply:
        return []
    holds = scenario.supply(order.supply).volume_ml
    if volume.value <= holds:
        return []
    return [
        f"The container holds {explain.amount(holds, 'mL')}, "
        f"less than the {explain.amount(volume.value, 'mL')} to give."
    ]

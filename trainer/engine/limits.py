"""The formulary's limits: for whom they hold, and what lies outside them.

One way of comparing serves two ends: the order as it is written (`scoring.caution`), and
the values that a learner enters and names a fluid for. A limit whose unit does not fit
what is compared says nothing about it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical.limits import standing
from trainer.clinical.quantity import Quantity
from trainer.clinical.units import ATOMS, Dimension, parse_unit, product_of
from trainer.engine.amounts import ml_from_motes, ml_h_from_ul_h
from trainer.engine.state import Programme
from trainer.errors import QuantityError
from trainer.scenario.model import Drug, Fluid, Limit, Scenario

_ML, _HOUR, _KG = ATOMS["mL"], ATOMS["h"], ATOMS["kg"]
_VOLUME = (Dimension.VOLUME,)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outside:
    """A limit that is left, and by how much, in words: a sentence without its full stop."""

    limit: Limit
    words: str


def route_of(scenario: Scenario, line_number: int) -> str:
    """The kind of catheter that a line runs into: peripheral or central; empty if unknown."""
    spec = next((one for one in scenario.lines if one.number == line_number), None)
    for access in scenario.patient.access:
        if spec is not None and access.id == spec.access:
            return access.kind
    return ""


def holds_for(limit: Limit, *, route: str, age_years: Fraction) -> bool:
    """Whether a limit is meant for this route and this age."""
    if limit.route and limit.route != route:
        return False
    if limit.from_years is not None and age_years < limit.from_years:
        return False
    return limit.below_years is None or age_years < limit.below_years


def left_by(drug: Drug, limit: Limit, quantities: Iterable[Quantity]) -> Outside | None:
    """How the first of these quantities that leaves the limit does so; None if none does."""
    for quantity in quantities:
        try:
            value = quantity.to(limit.unit)
        except QuantityError:
            continue
        found = standing(value, limit.unit, least=limit.least, most=limit.most)
        if not found.is_within:
            kind = "hard limit" if limit.hard else "soft limit"
            words = f"{drug.name}, {limit.of}: {found.words} ({kind})"
            return Outside(limit=limit, words=words)
    return None


# --- what is entered ----------------------------------------------------------------


def outside_as_entered(
    scenario: Scenario, line_number: int, fluid: Fluid, programme: Programme
) -> tuple[Outside, ...]:
    """The limits of the fluid's drug that a programme would leave, the hard ones first.

    The concentration is held against limits of a concentration; the rate, and the amount in
    the programmed volume, against those of a dose; the rate alone against those of a rate.
    Nothing is said of a day's dose: one entry does not tell how often it is given.
    """
    drug = next((one for one in scenario.formulary.drugs if one.id == fluid.drug), None)
    if drug is None or fluid.concentration is None:
        return ()
    route, age = route_of(scenario, line_number), scenario.patient.age_years
    found = []
    for limit in drug.limits:
        if holds_for(limit, route=route, age_years=age) and not _is_of_a_day(limit):
            entered = _entered(scenario, fluid.concentration, programme, limit.of)
            outside = left_by(drug, limit, entered)
            if outside is not None:
                found.append(outside)
    hard = {(one.limit.of, one.limit.unit) for one in found if one.limit.hard}
    told = [
        one for one in found if one.limit.hard or (one.limit.of, one.limit.unit) not in hard
    ]  # beyond the hard limit, the soft one of the same says nothing new
    return tuple(sorted(told, key=lambda one: not one.limit.hard))


def _is_of_a_day(limit: Limit) -> bool:
    return any(atom.symbol in ("day", "week") for atom, _ in parse_unit(limit.unit).powers)


def _entered(
    scenario: Scenario, strength: Quantity, programme: Programme, what: str
) -> tuple[Quantity, ...]:
    """What the programme gives, in every way in which a limit of that sort may be written."""
    if what == "concentration":
        return (strength,)
    volume_ml, rate_ml_h = ml_from_motes(programme.volume), ml_h_from_ul_h(programme.rate_ul_h)
    drug = tuple((a, power) for a, power in strength.unit.powers if a.dimension not in _VOLUME)
    per_ml = strength.in_unit(product_of((*drug, (_ML, -1))))
    per_time = (
        Quantity(value=per_ml * rate_ml_h, unit=product_of((*drug, (_HOUR, -1)))),
        Quantity(value=rate_ml_h, unit=product_of(((_ML, 1), (_HOUR, -1)))),
    )
    amount = Quantity(value=per_ml * volume_ml, unit=product_of(drug))
    given = per_time if what == "rate" else (amount, *per_time)
    return (*given, *(_by_weight(scenario, quantity) for quantity in given))


def _by_weight(scenario: Scenario, quantity: Quantity) -> Quantity:
    weight_kg = scenario.patient.weight.to("kg", kg_per_lb=1 / scenario.policy.lb_per_kg)
    unit = product_of((*quantity.unit.powers, (_KG, -1)))
    return Quantity(value=quantity.value / weight_kg, unit=unit)

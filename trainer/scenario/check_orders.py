"""Checks of orders: whether each says enough that its key can be computed, and no more.

For `trainer.scenario.check` alone.
"""

from __future__ import annotations

from fractions import Fraction

from trainer.clinical.quantity import Quantity, format_quantity, measures
from trainer.clinical.rounding import format_number, round_half_up
from trainer.clinical.units import Dimension
from trainer.scenario import schema
from trainer.scenario.case import Case
from trainer.scenario.check_drive import check_kind
from trainer.scenario.places import listed
from trainer.terms import Drive, Happening, Role

DRIP_RATE = "drip_rate"
HOW_MUCH = ("rule", "dose", "rate")


def check_orders(case: Case) -> None:
    """Note every fault of the orders."""
    case.refuse_repeats(("orders",), "id", "order")
    for order in case.every(schema.Order, "orders"):
        _check_names(case, order)
        _check_how_much(case, order)
        _check_time(case, order)
        _check_coming(case, order)
        _check_volume(case, order)


def _check_names(case: Case, order: schema.Order) -> None:
    case.known(order, "fluid", order.fluid, case.fluid_names, "fluid")
    case.known(order, "line", order.line, case.line_numbers, "line")
    case.known(order, "supply", order.supply, case.written("supplies"), "container")
    supply = case.supply(order.supply)
    if supply is not None and supply.fluid != order.fluid and supply.fluid in case.fluids:
        case.refuse(
            order,
            "supply",
            f"`{supply.id}` holds `{supply.fluid}`, and the order is for `{order.fluid}`",
            "name a container that holds it",
        )
    if supply is not None and not supply.fit:
        case.refuse(order, "supply", f"`{supply.id}` is not fit for use", "name a sound container")
    line = case.line(order.line)
    if line is not None:
        check_kind(case, order, line, order.supply)
        _check_drops(case, order, line)
    if order.role is Role.SECONDARY and line is not None and line.tubing.port is None:
        case.refuse(
            order, "role", f"line {order.line} has no port", "add `port:` to the line's tubing"
        )


def _check_drops(case: Case, order: schema.Order, line: schema.Line) -> None:
    """Drops are asked for only where they fall."""
    if DRIP_RATE in order.ask and line.drive is Drive.SYRINGE:
        what = f"no drops fall on line {line.number}, a syringe line"
        case.refuse(order, "ask", what, f"leave `{DRIP_RATE}` out")


def _check_how_much(case: Case, order: schema.Order) -> None:
    said = [key for key in HOW_MUCH if getattr(order, key) is not None]
    if not said:
        case.refuse(
            order,
            "",
            f"order `{order.id}` does not say how much",
            f"add one of {listed(HOW_MUCH)}",
        )
    for key in said[1:]:
        case.refuse_key(
            order, key, f"`{key}` and `{said[0]}` both say how much", "keep one of the two"
        )
    if order.dose is not None:
        _check_dose(case, order, order.dose)


def _check_dose(case: Case, order: schema.Order, dose: Quantity) -> None:
    """The dose fits the kind of order and what is in the container."""
    powers = dict(dose.unit.dimensions)
    shown = format_quantity(dose, plain=True)
    per_time = Dimension.TIME in powers
    if per_time and order.kind != "continuous":
        mend = "leave the time out, or make the order continuous"
        case.refuse(order, "dose", f"`{shown}` runs on, and this is a dose to be ended", mend)
    if not per_time and order.kind == "continuous":
        mend = "add the time, such as mL/kg/h, or make the order a bolus"
        case.refuse(order, "dose", f"`{shown}` has an end, and the order runs on", mend)
    fluid = case.fluids.get(order.fluid)
    if fluid is None or Dimension.VOLUME in powers:
        return
    if fluid.strength is None:
        mend = "write the dose as a volume, or order a fluid that holds a drug"
        case.refuse(order, "dose", f"there is no drug in `{fluid.id}`", mend)
    elif _amount_in(dose) != _amount_in(fluid.strength):
        case.refuse(
            order,
            "dose",
            f"`{shown}` is {measures(dose.unit)}, and `{fluid.id}` holds "
            f"{measures(fluid.strength.unit)}",
            "write both in the same kind of unit",
        )


def _amount_in(quantity: Quantity) -> frozenset[Dimension]:
    return frozenset(name for name, power in quantity.unit.dimensions if power > 0)


def _check_time(case: Case, order: schema.Order) -> None:
    """A dose that ends needs a duration, one that runs on has none."""
    if order.kind == "continuous":
        for key in ("over", "least"):
            if getattr(order, key) is not None:
                what = f"`{key}` does not go with an order that runs on"
                case.refuse_key(order, key, what, "leave it out, or make the order intermittent")
        return
    if order.rule is not None:
        what = "a maintenance rule does not go with a dose that ends"
        case.refuse(order, "rule", what, "make the order continuous, or write a dose")
    fluid = case.fluids.get(order.fluid)
    drug = case.drugs.get(fluid.drug or "") if fluid else None
    has_time = order.over or order.least or (drug is not None and drug.least_duration)
    is_told = fluid is not None and (fluid.drug is None or drug is not None)
    if order.dose is not None and is_told and not has_time:
        what = f"order `{order.id}` does not say over how long"
        case.refuse(order, "", what, "add `over:` or `least:` with a duration")
    if order.over and order.least and order.over < order.least:
        case.refuse(order, "over", "this is less than the least duration", "write a longer one")


def _check_coming(case: Case, order: schema.Order) -> None:
    """An order is there from the start, or comes with an event, and not both."""
    events = case.every(schema.Event, "events")
    given = {
        effect.order
        for event in events
        for effect in event.effects
        if effect.happens is Happening.ORDER_GIVEN
    }
    if not order.active and order.id not in given and _whole(case, events):
        what = f"no event brings order `{order.id}`"
        case.refuse(order, "active", what, "add the effect `order given`, or delete `active`")
    if order.active and order.id in given:
        what = f"an event brings order `{order.id}`, which is there from the start"
        case.refuse(order, "", what, "add `active: false`")
    case.known(order, "supersedes", order.supersedes, case.written("orders"), "order")
    if order.supersedes == order.id:
        case.refuse(order, "supersedes", "an order cannot replace itself", "name the older one")


def _whole(case: Case, events: list[schema.Event]) -> bool:
    """Whether every event and each of its effects is sound."""
    written = [case.faults.document.at((*event.place, "effects")) for event in events]
    effects = sum(len(one) for one in written if isinstance(one, list))
    sound = sum(len(event.effects) for event in events)
    there = case.faults.document.at(("events",)) is not None
    return not there or (case.written("events").whole and effects == sound)


def _check_volume(case: Case, order: schema.Order) -> None:
    """There is enough on the trolley for a dose that ends, for the heaviest patient."""
    needed = _volume_needed(case, order)
    if needed is None or not case.written("supplies").whole:
        return
    left = {
        line.hung.supply: line.hung.left
        for line in case.every(schema.Line, "lines")
        if line.hung is not None and line.hung.left is not None
    }
    there = sum(
        (
            left.get(supply.id, supply.volume)
            for supply in case.every(schema.Supply, "supplies")
            if supply.fluid == order.fluid and supply.fit
        ),
        Fraction(0),
    )
    if needed > there:
        case.refuse(
            order,
            "supply",
            f"the order needs {_ml(needed)}, and {_ml(there)} of `{order.fluid}` is there",
            "put more on the trolley",
        )


def _ml(volume_ml: Fraction) -> str:
    return f"{format_number(round_half_up(volume_ml, Fraction('0.1')))} mL"


def _volume_needed(case: Case, order: schema.Order) -> Fraction | None:
    """The volume in mL of a dose that ends, where that can be told."""
    dose, fluid, patient = order.dose, case.fluids.get(order.fluid), case.patient
    if dose is None or fluid is None or patient is None or order.kind == "continuous":
        return None
    powers = dict(dose.unit.dimensions)
    if Dimension.TIME in powers:
        return None
    amount = dose.value * dose.unit.size
    if Dimension.BODY in powers:
        amount *= heaviest_kg(case)
    if Dimension.VOLUME in powers:
        return amount
    if fluid.strength is None or _amount_in(dose) != _amount_in(fluid.strength):
        return None
    return amount / (fluid.strength.value * fluid.strength.unit.size)


def heaviest_kg(case: Case) -> Fraction:
    """The weight in kg of the heaviest patient that any seed gives."""
    ranges = case.parts.get("vary")
    ends = [one.most.to("kg") for one in ranges.values()] if isinstance(ranges, dict) else []
    written = [case.patient.weight.to("kg")] if case.patient else []
    return max([*ends, *written], default=Fraction(0))

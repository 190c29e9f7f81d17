"""Responses of signs as their author wrote them turned into those of `model`.

Here: the units. A response counts its driver in the drug's unit, which is the amount unit
of the first fluid of the formulary that holds the drug. For `trainer.scenario` alone.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

from trainer.clinical.quantity import Quantity
from trainer.clinical.units import parse_unit
from trainer.scenario import model, schema_ward
from trainer.scenario.behaviours import Behaviour
from trainer.scenario.response_values import driver_unit
from trainer.terms import Curve


def amount_unit(drug: str, fluids: Iterable[schema_ward.Fluid | model.Fluid]) -> str:
    """The unit in which a drug is counted, such as `mg`; empty if no fluid holds it."""
    strengths = (_strength(one) for one in fluids if one.drug == drug and _strength(one))
    first = next(strengths, None)
    return first.unit.text.partition("/")[0] if first else ""


def _strength(fluid: schema_ward.Fluid | model.Fluid) -> Quantity | None:
    return fluid.strength if isinstance(fluid, schema_ward.Fluid) else fluid.concentration


def response_from(response: schema_ward.Response, amount: str) -> model.Response:
    """A response in the units in which it is counted.

    Args:
        response: as written.
        amount: the drug's unit, or `volume`.
    """
    unit = driver_unit(response.driver, amount)
    per = response.most.per
    per_unit = Quantity(value=Fraction(1), unit=per).in_unit(unit) if per else Fraction(1)
    return model.Response(
        sign=response.sign,
        most=response.most.number / per_unit,
        driver=response.driver,
        curve=response.curve,
        half_at=response.half_at.in_unit(unit) if response.half_at else Fraction(0),
        steepness=response.steepness or 1,
        lag_ms=response.lag or 0,
        source=response.source,
    )


def responses_from(
    responses: Iterable[schema_ward.Response], amount: str
) -> tuple[model.Response, ...]:
    """Responses in the units in which they are counted; see `response_from`."""
    return tuple(response_from(one, amount) for one in responses)


def responses_in(ready: Behaviour, amount: str) -> tuple[model.Response, ...]:
    """A ready behaviour's responses, in the unit in which this formulary counts the drug."""
    if not amount:
        return ready.responses
    share = parse_unit(ready.unit, of_body=False).size / parse_unit(amount, of_body=False).size
    return tuple(_scaled(one, share) for one in ready.responses)


def _scaled(response: model.Response, share: Fraction) -> model.Response:
    """A response that counts its driver in another unit, of which the old one is a share."""
    if response.curve is Curve.SATURATING:
        return replace(response, half_at=response.half_at * share)
    return replace(response, most=response.most / share)

"""Limits of the formulary held against the order as written: for its route and age only."""

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.build import a_patient, a_ready_line, a_scenario, an_order
from trainer.clinical.quantity import parse_quantity
from trainer.scenario.model import Limit
from trainer.scoring.caution import outside_limits

STRONG = Limit(of="concentration", unit="mg/mL", most=Fraction(1))


@pytest.mark.parametrize(
    ("limit", "count"),
    [
        (STRONG, 1),
        (replace(STRONG, route="peripheral"), 1),
        (replace(STRONG, route="central"), 0),
        (replace(STRONG, below_years=Fraction(4)), 0),
        (replace(STRONG, from_years=Fraction(4)), 1),
    ],
)
def test_a_limit_speaks_of_an_order_for_its_own_route_and_age(limit, count):
    # The child is 4 years old, the hand's catheter peripheral, the sedative holds 2 mg/mL.
    order = an_order(
        fluid="sedative", supply="small-bag", dose=parse_quantity("1 mg/kg"), rate=None
    )
    scenario = a_scenario(lines=(a_ready_line(),), orders=(order,), patient=a_patient())
    drugs = tuple(replace(drug, limits=(limit,)) for drug in scenario.formulary.drugs)
    scenario = replace(scenario, formulary=replace(scenario.formulary, drugs=drugs))
    patient = replace(scenario.patient, weight=parse_quantity("16 kg", of_body=True))
    told = outside_limits(replace(scenario, patient=patient), order)
    assert len(told) == count
    assert all("2 mg/mL is 1 mg/mL above the highest" in one for one in told)

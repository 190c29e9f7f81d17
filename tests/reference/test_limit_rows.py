"""Limits of rate, concentration and duration: the formulary that ships, through the engine.

What a pump lets be entered is asked of the engine's own check for a grown-up of 70 kg
(most rows speak of grown-ups). 1 mmol of potassium is 1 mEq.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from tests.build import MINUTE, a_bag, a_patient, a_ready_line, a_scenario
from tests.reference.at_the_line import the_drug, the_formulary, the_ward
from tests.reference.published import Answer, Row, given, hold, rows
from trainer.clinical.quantity import parse_quantity
from trainer.engine.amounts import MOTES_PER_ML, time_to_move
from trainer.engine.limits import outside_as_entered
from trainer.engine.state import Programme
from trainer.scenario.model import Fluid, Scenario

MMOL_PER_ML = Fraction(20, 500)


def a_ward_with(fluid: str) -> tuple[Scenario, Fluid]:
    """A grown-up on the ward's own formulary, this fluid hanging."""
    patient = a_patient(age_years=Fraction(40), weight=parse_quantity("70 kg", of_body=False))
    scenario = replace(
        a_scenario(
            lines=(a_ready_line(hung="drug-bag"),),
            supplies=(a_bag("drug-bag", fluid, 1000),),
            patient=patient,
        ),
        formulary=the_formulary(),
        policy=the_ward(),
    )
    return scenario, scenario.fluid(fluid)


def left(fluid_id: str, volume_ml: Fraction, rate_ml_h: Fraction, *, of: str) -> list[bool]:
    """Of the limits that this entry would leave: whether each is a hard one."""
    scenario, fluid = a_ward_with(fluid_id)
    volume, rate = int(volume_ml * MOTES_PER_ML), int(rate_ml_h * 1000)
    programme = Programme(volume=volume, rate_ul_h=rate, duration_ms=time_to_move(volume, rate))
    found = outside_as_entered(scenario, 1, fluid, programme)
    return [one.limit.hard for one in found if one.limit.of == of]


def highest_potassium(*, hard: bool) -> Fraction:
    """The highest rate in mmol/h that leaves no (hard) limit of a rate, to 0.1 mL/h."""
    least, most = 1, 20_000
    while most - least > 1:
        middle = (least + most) // 2
        outside = left("potassium-20-500", Fraction(500), Fraction(middle, 10), of="rate")
        if any(outside) if hard else outside:
            most = middle
        else:
            least = middle
    return Fraction(least, 10) * MMOL_PER_ML


def shortest_minutes(drug: str, fluid_id: str, dose_mg: Fraction) -> int:
    """The shortest duration of a dose, in whole minutes, that keeps to every limit of rate."""
    per_ml = the_strength(fluid_id)
    volume = dose_mg / per_ml
    for minutes in range(1, 400):
        too_fast = left(fluid_id, volume, volume * 60 / minutes, of="rate")
        if not too_fast and minutes * MINUTE >= the_drug(drug).least_duration_ms:
            return minutes
    raise AssertionError("no duration keeps to the limits")


def the_strength(fluid_id: str) -> Fraction:
    fluid = next(one for one in the_formulary().fluids if one.id == fluid_id)
    assert fluid.concentration is not None
    return fluid.concentration.to("mg/mL")


def least_diluent_ml(row: Row) -> Fraction:
    """The volume of the ward's vancomycin for the row's dose; any stronger leaves the limit."""
    strength = the_strength("vancomycin-500mg-100")
    assert not left("vancomycin-500mg-100", Fraction(200), Fraction(120), of="concentration")
    (limit,) = [
        one for one in the_drug("vancomycin").limits if one.of == "concentration" and not one.hard
    ]
    assert limit.most == strength
    return given(row, "mg") / strength


ANSWERS: dict[str, Answer] = {
    "POT-02": lambda _row: highest_potassium(hard=False),
    "POT-03": lambda _row: highest_potassium(hard=True),
    "VAN-02": lambda row: shortest_minutes("vancomycin", "vancomycin-500mg-100", given(row, "mg")),
    "VAN-03": lambda row: shortest_minutes("vancomycin", "vancomycin-500mg-100", given(row, "mg")),
    "VAN-04": least_diluent_ml,
    "PHE-01": lambda row: shortest_minutes("phenytoin", "phenytoin-250mg-50", given(row, "mg")),
}


@rows(ANSWERS)
def test_the_formularys_limit_is_the_published_one(row: Row) -> None:
    hold(row, ANSWERS[row["id"]](row))


def test_the_highest_rates_of_potassium_are_reached_and_not_only_kept_below() -> None:
    """The rows only bound them from above; the formulary has exactly the published figures."""
    step = Fraction(1, 10) * MMOL_PER_ML
    assert 0 <= 10 - highest_potassium(hard=False) < step
    assert 0 <= 40 - highest_potassium(hard=True) < step

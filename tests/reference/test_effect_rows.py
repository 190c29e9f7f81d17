"""What drugs and fluid do to signs: the engine's signs against published figures."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from tests.build import HOUR, a_bag, a_patient, a_ready_line, a_scenario
from tests.reference.at_the_line import the_drug, the_formulary, the_ward
from tests.reference.in_the_body import a_body, hold_rate, in_ms, state_in
from tests.reference.published import Answer, Row, given, hold, rows
from trainer.clinical import kinetics
from trainer.clinical.quantity import parse_quantity
from trainer.engine.actions import act
from trainer.engine.advance import advance
from trainer.engine.begin import initial_state
from trainer.engine.carry import carry
from trainer.engine.evolve import fold
from trainer.engine.perform import perform
from trainer.engine.signs import number_now
from trainer.engine.state import State
from trainer.scenario.model import Circulation, Response, Sign
from trainer.terms import Curve, Verb

MINUTES_PER_H = 60
HALF_LIFE_H, VOLUME_L, RATE_MG_H = Fraction(1), Fraction(10), Fraction(20)


def number(state: State, sign: str) -> Fraction:
    found = number_now(state, sign)
    assert found is not None, sign
    return found


def rise_at_half_effect(row: Row) -> Fraction:
    """A mean pressure of 60 that answers to a level which stands at half effect."""
    clearance = kinetics.clearance_l_per_h(kinetics.elimination_per_h(HALF_LIFE_H), VOLUME_L)
    half_at = kinetics.steady_level_mg_per_l(RATE_MG_H, clearance)
    response = Response(
        sign="mean pressure",
        most=given(row, "Emax_mmHg"),
        curve=Curve.SATURATING,
        half_at=half_at,
    )
    bedside = a_body(
        half_life_h=HALF_LIFE_H,
        volume_l=VOLUME_L,
        responses=(response,),
        signs=(Sign(name="mean pressure", value="60.00", unit="mmHg"),),
    )
    hold_rate(bedside, RATE_MG_H)
    return number(state_in(bedside, 40 * HALF_LIFE_H), "mean pressure") - 60


def percent_overload(row: Row) -> Fraction:
    """The sign of fluid balance after 2 L, none of it passed, per kilogram of the patient."""
    kg = row["given"]["kg"]
    patient = a_patient(
        weight=parse_quantity(f"{kg} kg", of_body=False),
        signs=(Sign(name="fluid balance", value="0", unit="mL"),),
    )
    scenario = a_scenario(
        lines=(a_ready_line(),), supplies=(a_bag(volume_ml=5_000),), patient=patient
    )
    circulation = Circulation(half_life_ms=HOUR, urine_share=Fraction(0))
    state = initial_state(
        replace(scenario, formulary=replace(scenario.formulary, circulation=circulation))
    )
    litres = given(row, "in_minus_out_L")
    volume = str(int(litres * 1000))
    entered = act(Verb.ENTER, line="1", role="primary", volume=volume, rate="500")
    state, _ = perform(state, entered, at_ms=0, actor="test")
    state, _ = perform(state, act(Verb.START, line="1"), at_ms=0, actor="test")
    end_ms = in_ms(litres * 2)
    state = carry(fold(state, advance(state, end_ms)), end_ms)
    return 100 * number(state, "fluid balance") / 1000 / given(row, "kg")


def minutes_of_heparin(_row: Row) -> Fraction:
    """The half-life that the ward's heparin has from its ready behaviour."""
    return Fraction(the_drug("heparin").half_life_ms, 60_000)


def fall_of_glucose(_row: Row) -> Fraction:
    """mmol/L in the hour after the first, at 0.1 units/kg/h of the ward's insulin."""
    patient = a_patient(signs=(Sign(name="glucose", value="28.0", unit="mmol/L"),))
    scenario = a_scenario(
        lines=(a_ready_line(hung="drug-bag"),),
        supplies=(a_bag("drug-bag", "insulin-50-50", 50),),
        patient=patient,
    )
    scenario = replace(scenario, formulary=the_formulary(), policy=the_ward())
    rate = Fraction("0.1") * patient.weight.to("kg")  # 1 unit in each mL
    state = initial_state(scenario)
    entered = act(Verb.ENTER, line="1", role="primary", volume="40", rate=f"{float(rate):g}")
    state, _ = perform(state, entered, at_ms=0, actor="test")
    state, _ = perform(state, act(Verb.START, line="1"), at_ms=0, actor="test")
    at = [number(carry(fold(state, advance(state, h * HOUR)), h * HOUR), "glucose") for h in (1, 2)]
    return at[0] - at[1]


ANSWERS: dict[str, Answer] = {
    "PD-01": rise_at_half_effect,
    "FLU-08": percent_overload,
    "PK-H100": minutes_of_heparin,
    "INS-03": fall_of_glucose,
}


@rows(ANSWERS)
def test_the_sign_answers_as_published(row: Row) -> None:
    hold(row, ANSWERS[row["id"]](row))

"""Ready behaviours in the engine: what a usual dose does, and what ten times as much does."""

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.build import HOUR, MINUTE, Bedside, a_bag, a_patient, a_ready_line, a_scenario
from trainer.clinical.quantity import parse_quantity, parse_strength
from trainer.engine import signs
from trainer.engine.carry import carry
from trainer.engine.signs import sign_now
from trainer.engine.state import State
from trainer.engine.view import drug_level_per_l
from trainer.scenario import behaviours
from trainer.scenario.behaviours import NAMES, READY, TEACHING, named
from trainer.scenario.known_signs import UNITS
from trainer.scenario.model import Drug, Fluid, Scenario, Sign
from trainer.scenario.responses import responses_in
from trainer.terms import Running

CHARTED = {
    "heart rate": "120",
    "breathing": "24",
    "blood pressure": "70/40",
    "saturation": "97",
    "consciousness": "alert",
    "glucose": "24.0",
    "potassium": "4.2",
    "capillary refill": "4",
    "clotting time": "30",
}
SIGNS = tuple(Sign(name=name, value=text, unit=UNITS[name]) for name, text in CHARTED.items())


def a_ward_with(behaviour: str, strength: str, *, weight: str = "16 kg") -> Scenario:
    """A line that holds a drug of that behaviour, into a child."""
    ready = named(behaviour)
    amount = strength.split()[1].partition("/")[0]
    drug = Drug(
        id="drug",
        name="the drug",
        half_life_ms=ready.half_life_ms,
        volume_l_per_kg=ready.volume_l_per_kg,
        effect_site_half_ms=ready.effect_site_half_ms,
        responses=responses_in(ready, amount),
    )
    fluid = Fluid(
        id="drug", name="the drug", drug="drug", concentration=parse_strength(strength).quantity
    )
    scenario = a_scenario(
        lines=(a_ready_line(hung="bag"),),
        supplies=(a_bag("bag", "drug", 900),),
        patient=a_patient(weight=parse_quantity(weight, of_body=False), signs=SIGNS),
        at_end=Running.COMPLETE,
        highest_rate_ml_per_h=Fraction(9_999),
    )
    formulary = replace(scenario.formulary, fluids=(fluid,), drugs=(drug,))
    return replace(scenario, formulary=formulary)


def number_now(state: State, name: str) -> Fraction:
    """A sign's number; each of these signs has one."""
    number = signs.number_now(state, name)
    assert number is not None
    return number


def after(scenario: Scenario, rate: str, minutes: int, *, volume: str = "800") -> State:
    """The bedside after running so long."""
    bedside = Bedside(scenario)
    bedside.run(rate=rate, volume=volume)
    assert not bedside.of_kind("Refused"), bedside.refusal
    bedside.wait(minutes * MINUTE)
    return carry(bedside.state, bedside.now_ms)


def test_every_behaviour_moves_known_signs_and_names_its_sources():
    assert len(set(NAMES)) == len(NAMES)
    for ready in READY:
        assert ready.source
        assert ready.half_life_ms > 0
        assert ready.volume_l_per_kg > 0
        for response in ready.responses:
            assert response.sign in UNITS
            assert response.source
    for response in behaviours.circulation().responses:
        assert response.sign in UNITS
        assert TEACHING in response.source


def test_a_vasopressor_at_a_tenth_of_a_microgram_comes_to_its_published_level():
    """2.3 mcg/L by the clearance of 3 L/min in 70 kg; Br J Anaesth 2005;95:782-8. Taught: 2.8."""
    scenario = a_ward_with("vasopressor", "80 mcg/mL")
    state = after(scenario, "1.2", 30)  # 96 mcg/h in 16 kg: 0.1 mcg/kg/min
    level, unit = drug_level_per_l(state, "drug", Fraction("0.01"))
    assert unit == "mcg/L"
    assert 2 < level < 3
    assert sign_now(state, "blood pressure") == "86/52"  # mean up by 13 mmHg
    assert sign_now(state, "heart rate") == "115"


def test_ten_times_a_vasopressor_harms_within_minutes():
    state = after(a_ward_with("vasopressor", "80 mcg/mL"), "12", 5)
    assert number_now(state, "blood pressure") >= 95


def test_insulin_at_a_tenth_of_a_unit_lowers_glucose_by_three_in_the_first_hour():
    """About 3 mmol/L in an hour. Source: RCEM Learning, intravenous insulin regime."""
    scenario = a_ward_with("insulin", "1 units/mL")
    fall = 24 - number_now(after(scenario, "1.6", 60), "glucose")
    assert Fraction("2.6") <= fall <= Fraction("3.3")
    assert sign_now(after(scenario, "1.6", 60), "potassium") in ("3.9", "4")


def test_ten_times_insulin_makes_glucose_dangerously_low_within_the_hour():
    state = after(a_ward_with("insulin", "1 units/mL"), "16", 60)
    assert number_now(state, "glucose") < 4


def test_twenty_mmol_of_potassium_in_an_hour_raise_a_grown_up_by_a_quarter():
    """0.25 mmol/L. Source: a study of potassium replacement, summarised."""
    scenario = a_ward_with("potassium", "0.04 mmol/mL", weight="70 kg")
    state = after(scenario, "500", 60)
    level, _ = drug_level_per_l(state, "drug", Fraction("0.001"))
    assert Fraction("0.22") < level < Fraction("0.28")
    assert sign_now(state, "potassium") == "4.5"


def test_a_push_of_potassium_is_deadly_at_once():
    scenario = a_ward_with("potassium", "2 mmol/mL", weight="70 kg")
    state = after(scenario, "600", 1, volume="10")  # 20 mmol in a minute
    assert number_now(state, "potassium") >= Fraction("6.5")


def test_an_opioid_works_most_twenty_to_thirty_minutes_after_a_bolus():
    """After 15 to 30 min; teaching choice on common practice."""
    scenario = a_ward_with("opioid", "1 mg/mL")
    bedside = Bedside(scenario)
    bedside.run(rate="96", volume="1.6")  # 0.1 mg/kg in one minute
    bedside.wait(MINUTE)
    breaths = {
        minutes: number_now(carry(bedside.state, minutes * MINUTE), "breathing")
        for minutes in (2, 25, 240)
    }
    assert breaths[25] < breaths[2]
    assert breaths[25] < breaths[240]
    sites = [carry(bedside.state, m * MINUTE).drugs[0].site for m in range(2, 60)]
    assert 15 <= 2 + sites.index(max(sites)) <= 30


def test_ten_times_an_opioid_stops_the_breathing_and_the_waking():
    usual, too_much = (after(a_ward_with("opioid", "1 mg/mL"), rate, 60) for rate in ("0.3", "30"))
    assert number_now(usual, "breathing") >= 20
    assert sign_now(usual, "consciousness") == "alert"
    assert number_now(too_much, "breathing") <= 2
    assert number_now(too_much, "saturation") < 85
    assert sign_now(too_much, "consciousness") in ("pain", "unresponsive")


def test_heparin_at_eighteen_units_makes_the_clotting_time_right():
    """46 to 70 s is the aim. Source: weight-based nomogram, Am Fam Physician 2004."""
    scenario = a_ward_with("anticoagulant", "100 units/mL")
    seconds = number_now(after(scenario, "2.9", 360), "clotting time")  # 18 units/kg/h
    assert 46 <= seconds <= 70


@pytest.mark.parametrize(
    ("age", "per_h", "half_life_h"),
    [("1 to 12 months", "0.25", "2.8"), ("", "0.29", "2.4"), ("6 to 13 years", "0.24", "2.9"),
     ("13 to 18 years", "0.22", "3.2")],
)  # fmt: skip
def test_vancomycin_has_its_half_life_by_age(age, per_h, half_life_h):
    """Source: PAVED, Paediatr Drugs 2015;17:245-53; half-lives as printed there."""
    name = behaviours.ANTIBIOTIC + (f", {age}" if age else "")
    assert named(name).half_life_ms == Fraction(half_life_h) * HOUR
    assert abs(Fraction("0.6931") / Fraction(per_h) - Fraction(half_life_h)) < Fraction("0.1")


def test_an_antibiotic_reacts_above_ten_milligrams_a_minute_and_not_below():
    """No faster than 10 mg/min. Source: summary of the vancomycin label."""
    scenario = a_ward_with(behaviours.ANTIBIOTIC, "5 mg/mL")
    slow, fast = (after(scenario, rate, 10) for rate in ("48", "360"))  # 4 and 30 mg/min
    assert sign_now(slow, "heart rate") == "120"
    assert number_now(fast, "heart rate") >= 135
    assert number_now(fast, "blood pressure") <= 55


def test_a_crystalloid_bolus_helps_for_a_while():
    scenario = replace(
        a_scenario(patient=a_patient(signs=SIGNS), highest_rate_ml_per_h=Fraction(9_999),
                   at_end=Running.COMPLETE),
    )  # fmt: skip
    formulary = replace(scenario.formulary, circulation=behaviours.circulation())
    bedside = Bedside(replace(scenario, formulary=formulary))
    bedside.run(rate="1920", volume="320")  # 20 mL/kg in ten minutes
    bedside.wait(12 * MINUTE)
    soon, later = (carry(bedside.state, at_ms) for at_ms in (12 * MINUTE, 8 * HOUR))
    assert number_now(soon, "blood pressure") >= 75
    assert number_now(soon, "heart rate") <= 114
    assert number_now(soon, "capillary refill") < 4
    assert [sign_now(later, name) for name in ("blood pressure", "heart rate")] == ["70/40", "120"]
    assert number_now(later, "fluid balance") == 256  # a fifth of it was passed

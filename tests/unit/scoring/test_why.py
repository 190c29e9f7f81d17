"""What lies behind a wrong value: the slip, the first wrong factor, the question to ask."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.property.examples import tried
from tests.unit.scoring.test_keyed import entered, started
from tests.unit.scoring.ward import (
    ANTIBIOTIC,
    BOLUS,
    DOPAMINE,
    FORMULARY,
    MAINTENANCE,
    MIN,
    a_line,
    a_scenario,
    did,
)
from trainer.clinical.problem import parse_problem
from trainer.clinical.quantity import parse_quantity
from trainer.clinical.rounding import format_number, round_half_up
from trainer.clinical.slips.answer import answer_of
from trainer.clinical.slips.diagnose import diagnose
from trainer.clinical.slips.names import Slip
from trainer.engine.actions import act
from trainer.engine.events import Acted, Finished
from trainer.scenario.model import Fluid, Scenario
from trainer.scoring import expect
from trainer.scoring.entries import verdict_on
from trainer.scoring.findings import Why
from trainer.scoring.reading import read
from trainer.scoring.report import report
from trainer.scoring.slip_words import DID_YOU, WHEN
from trainer.scoring.why import why, why_value
from trainer.terms import Drive, Verb, Verdict

WARD = a_scenario(DOPAMINE, MAINTENANCE, ANTIBIOTIC, BOLUS)  # 18.2 kg
DRIP = a_scenario(
    replace(MAINTENANCE, rule="", rate=parse_quantity("84 mL/h"), ask=("drip_rate",)),
    lines=(a_line(drive=Drive.GRAVITY), a_line(number=2, drop_factor=Fraction(25))),
)


def key_in(scenario: Scenario, order: str, quantity: str):
    found = expect.key(expect.keys(scenario), order, quantity)
    assert found is not None
    return found


def behind(scenario: Scenario, order: str, quantity: str, typed: str) -> Why:
    return why(scenario, key_in(scenario, order, quantity), typed, expect.keys(scenario))


def names(found: Why) -> list[str]:
    return [str(one.slip) for one in found.slips]


# Right by hand: dopamine 5 x 18.2 x 60 / 1600 = 3.4125 mL/h; maintenance 40 + 16.4 = 56.4 mL/h,
# 112.8 mL in 2 h; antibiotic 15 x 18.2 = 273 mg, / 5 = 54.6 mL, in 1 h; bolus 182 mL in 20 min,
# 546 mL/h. Each typed value is the right sum with the slip made by hand.
@pytest.mark.parametrize(
    ("order", "quantity", "typed", "slip", "factor"),
    [
        ("dopamine", "rate", "34 mL/h", "tenfold", ""),
        ("dopamine", "rate", "341 mL/h", "hundredfold", ""),
        ("dopamine", "rate", "3413 mL/h", "thousandfold", "mcg per mg"),  # mcg for mg
        ("dopamine", "rate", "0.0569 mL/h", "per-minute", "minutes per hour"),
        ("dopamine", "rate", "0.19 mL/h", "weight-left-out", "weight"),  # 5 x 60 / 1600
        ("dopamine", "rate", "62.1 mL/h", "weight-twice", "weight"),
        ("dopamine", "rate", "7.5 mL/h", "pounds", "weight"),  # 40.04 as kg
        ("dopamine", "rate", "8.7 mL/h", "upside-down", "concentration"),  # x 1.6 for / 1.6
        ("dopamine", "rate", "5 mL/h", "dose-as-rate", "weight"),
        ("dopamine", "rate", "91 mL/h", "dose-as-rate", "concentration"),  # 91 mcg/min
        ("dopamine", "rate", "4.3 mL/h", "digits", ""),
        ("dopamine", "rate", "6.8 mL/h", "swapped", ""),  # the volume for 2 h
        ("dopamine", "rate", "3.4 L/h", "unit", ""),
        ("maintenance", "rate", "40 mL/h", "weight-left-out", "weight"),  # the first band alone
        ("maintenance", "rate", "80.1 mL/h", "pounds", "weight"),  # 40.04 kg: 40 + 20 + 20.04
        ("maintenance", "volume", "56.4 mL", "swapped", ""),  # the rate
        ("antibiotic", "dose", "601 mg", "pounds", "weight"),  # 40.04 x 15 = 600.6
        ("antibiotic", "volume", "3 mL", "weight-left-out", "weight"),
        ("antibiotic", "volume", "1365 mL", "upside-down", "concentration"),  # 273 x 5
        ("bolus", "rate", "9.1 mL/h", "hours-for-minutes", "duration"),  # 182 / 20
        ("bolus", "volume", "10 mL", "weight-left-out", "weight"),
    ],
)
def test_each_slip_is_named_with_the_first_factor_that_went_wrong(
    order: str, quantity: str, typed: str, slip: str, factor: str
):
    found = behind(WARD, order, quantity, typed)
    assert (names(found)[0], found.wrong_factor) == (slip, factor)


# 84 mL/h x 20 gtt/mL / 60 = 28 gtt/min; by hand.
@pytest.mark.parametrize(
    ("typed", "slip", "factor"),
    [
        ("84 gtt/min", "drop-factor", "drop factor"),  # mL/h taken for gtt/min
        ("1.4 gtt/min", "drop-factor", "drop factor"),  # mL/min: the factor left out
        ("1680 gtt/min", "per-minute", "minutes per hour"),
        ("280 gtt/min", "tenfold", ""),
    ],
)
def test_slips_with_drops_are_named(typed: str, slip: str, factor: str):
    found = behind(DRIP, "maintenance", "drip_rate", typed)
    assert slip in names(found)
    assert found.wrong_factor == factor


def test_the_factor_of_another_lines_set_is_named_from_this_bedside():
    found = behind(DRIP, "maintenance", "drip_rate", "35 gtt/min")  # 84 x 25 / 60
    assert names(found) == ["drop-factor"]
    assert (
        "the drop factor of 25 gtt/mL was used instead of 20 gtt/mL" in found.slips[0].explanation
    )


# Published: 5 mcg/kg/min, 30 kg, 1600 mcg/mL: 5.625, given as 5.6 mL/h, and from 800 mcg/mL
# 11.25 mL/h (anaesthesia drug-table handbook pages, dopamine 1600 and 800).
def test_the_strength_of_another_container_on_the_trolley_is_named():
    weak = Fluid(
        id="dopamine-weak",
        name="DOPamine 0.8 mg/mL",
        drug="dopamine",
        concentration=parse_quantity("0.8 mg/mL", of_body=False),
    )
    scenario = a_scenario(
        DOPAMINE,
        weight="30 kg",
        formulary=replace(FORMULARY, fluids=(*FORMULARY.fluids, weak)),
    )
    found = behind(scenario, "dopamine", "rate", "11.25 mL/h")
    assert (names(found)[0], found.wrong_factor) == ("other-concentration", "concentration")
    assert "0.8 mg/mL was used instead of 1.6 mg/mL" in found.slips[0].explanation
    assert why(scenario, key_in(scenario, "dopamine", "rate"), "5.6 mL/h", ()) == Why()


# Published: 4-2-1 for 22 kg is 62 mL/h, for 35 kg 75 mL/h (paediatric teaching site, fluid
# quick reference; Family Practice Notebook, isotonic dehydration).
def test_the_weight_written_on_the_order_is_an_older_one_if_it_is_not_the_patients():
    order = replace(MAINTENANCE, weight=parse_quantity("22 kg"))
    found = behind(a_scenario(order, weight="35 kg"), "maintenance", "rate", "62 mL/h")
    assert (names(found)[0], found.wrong_factor) == ("superseded", "weight")
    assert "the weight of 22 kg was used instead of 35 kg" in found.slips[0].explanation


def test_the_dose_of_the_order_that_was_superseded_is_named():
    older = replace(DOPAMINE, id="older", dose=parse_quantity("3 mcg/kg/min"))
    newer = replace(DOPAMINE, supersedes="older", active=False)
    found = behind(a_scenario(older, newer), "dopamine", "rate", "2 mL/h")  # 3 x 18.2 x 60 / 1600
    assert names(found)[0] == "superseded"
    said = "the dose of 3 mcg/kg/min in the order before was used instead of 5 mcg/kg/min"
    assert found.slips[0].because == said
    assert found.wrong_factor == "dose"


# --- what to ask ---------------------------------------------------------------------


def test_two_slips_that_fit_are_told_apart_by_one_question():
    at_sixty = a_scenario(DOPAMINE, weight="60 kg")  # 11.25 mL/h; / 60 = 0.1875 either way
    found = behind(at_sixty, "dopamine", "rate", "0.1875 mL/h")
    assert {"weight-left-out", "per-minute"} <= set(names(found))
    assert found.question == "Did you forget the 60 minutes, or leave the weight out?"


def test_a_single_slip_asks_nothing():
    assert behind(WARD, "dopamine", "rate", "34 mL/h").question == ""


def test_the_same_deed_under_two_names_is_not_asked_about():
    found = behind(WARD, "dopamine", "rate", "5 mL/h")
    assert names(found) == ["dose-as-rate", "swapped"]
    assert found.question == ""


def test_where_no_slip_fits_the_sum_is_to_be_said_aloud():
    found = behind(WARD, "dopamine", "rate", "77 mL/h")
    assert found.slips == ()
    assert found.question.startswith("No single slip explains this. Say the sum aloud")


def test_two_slips_together_are_asked_about_as_both():
    found = behind(WARD, "dopamine", "rate", "1.875 mL/h")  # weight left out, and ten times
    assert {"weight-left-out", "tenfold"} <= set(names(found))
    assert all(one.takes_two for one in found.slips)
    assert ", and also " in found.question


def test_a_keyed_value_is_held_against_the_same_slips():
    key, keys = key_in(WARD, "dopamine", "rate"), expect.keys(WARD)
    assert names(why_value(WARD, key, Fraction(34), keys)) == ["tenfold"]
    assert why_value(WARD, key, Fraction("3.4"), keys) == Why()


# --- in the debrief -------------------------------------------------------------------


def debrief(scenario: Scenario, *events):
    told = report(scenario, (*events, Finished(at_ms=10 * MIN, by="learner")))
    return {one.id.removeprefix("entry."): one for one in told.findings}


def calculated(at_ms: int, what: str, typed: str, order: str = "dopamine", **more: str):
    return did(at_ms, Verb.CALCULATE, order=order, what=what, entered=typed, **more)


def keyed(at_ms: int, volume: str, rate: str):
    """The act at the pump and the programme that it brings."""
    params = {"line": "1", "role": "primary", "volume": volume, "rate": rate}
    acted = Acted(at_ms=at_ms, action=act(Verb.ENTER, **params), actor="learner")
    return (acted, entered(at_ms, volume, rate), started(at_ms + 1, volume, rate))


PUMPED = a_scenario(DOPAMINE, lines=(a_line(hung="drug-bag"),))


def test_a_wrong_value_carries_its_slip_and_what_was_typed():
    one = debrief(PUMPED, calculated(5, "rate", " 34 ml/hr ", sure="certain"))["dopamine.rate"]
    assert (one.order, one.quantity, one.typed) == ("dopamine", "rate", " 34 ml/hr ")
    assert (one.sure, one.deed) == ("certain", 0)
    assert names(one.why) == ["tenfold"]
    assert one.reason.endswith("This is what comes out when the decimal point moves by one place.")


def test_a_right_value_carries_none():
    one = debrief(PUMPED, calculated(5, "rate", "3.4 mL/h"))["dopamine.rate"]
    assert (one.verdict, one.why) == (Verdict.RIGHT, Why())


def test_a_missing_unit_is_the_units_slip_and_not_the_numbers():
    found = debrief(PUMPED, calculated(5, "rate", "3.4"))
    assert found["dopamine.rate"].why == Why()
    assert names(found["dopamine.rate.unit"].why) == ["unit"]


def test_a_wrong_value_keyed_as_worked_out_is_no_new_slip():
    found = debrief(PUMPED, calculated(5, "rate", "0.2 mL/h"), *keyed(9, "6.8", "0.2"))
    one = found["dopamine.keyed-rate"]
    assert one.why.slips == found["dopamine.rate"].why.slips != ()
    assert "the slip lies in the working, not at the keys" in one.reason


def test_a_value_worked_out_right_and_keyed_wrong_is_a_slip_of_the_fingers_first():
    found = debrief(PUMPED, calculated(5, "rate", "3.4 mL/h"), *keyed(9, "6.8", "4.3"))
    one = found["dopamine.keyed-rate"]
    assert names(one.why)[0] == "digits"
    assert "It had been worked out right, and went wrong at the keys." in one.reason
    assert (one.typed, one.deed) == ("4.3", 1)


def test_after_a_right_sum_no_slip_of_thinking_is_named_beside_one_of_the_fingers():
    ward = a_scenario(replace(BOLUS, over_ms=30 * MIN), lines=(a_line(hung="saline-bag"),))
    found = behind(ward, "bolus", "rate", "182 mL/h")  # 182 mL over 30 min: 364 mL/h
    assert {"swapped", "hours-for-minutes"} <= set(names(found))
    log = (calculated(5, "rate", "364 mL/h", "bolus"), *keyed(9, "182", "182"))
    one = debrief(ward, *log)["bolus.keyed-rate"]
    assert names(one.why) == ["swapped"]
    assert one.why.question == ""


def test_a_given_typed_as_it_stands_is_not_asked_about_beside_what_was_left_out():
    found = behind(a_scenario(DOPAMINE), "dopamine", "dose", "5 mcg/min")  # 5 mcg/kg/min
    assert names(found) == ["weight-left-out"]
    assert found.question == ""


def test_the_volume_typed_where_the_rate_belongs_is_swapped():
    one = debrief(PUMPED, calculated(5, "rate", "3.4 mL/h"), *keyed(9, "6.8", "6.8"))
    assert names(one["dopamine.keyed-rate"].why)[0] == "swapped"


def test_a_value_that_follows_from_a_wrong_one_carries_its_slip():
    scenario = a_scenario(ANTIBIOTIC)
    found = debrief(
        scenario,
        calculated(5, "dose", "15 mg", order="antibiotic"),
        calculated(6, "volume", "3 mL", order="antibiotic"),
    )
    one = found["antibiotic.volume"]
    assert names(one.why)[0] == "weight-left-out"
    assert one.why.wrong_factor == "weight"
    assert "It follows from the dose before it, which was wrong" in one.reason


# --- laws -----------------------------------------------------------------------------

KEYS = expect.keys(WARD)
ANY_KEY = st.sampled_from(KEYS)
TEXTS = st.text(max_size=120) | st.from_regex(
    r"[0-9.,/eE+-]{1,12} ?(mL/h|mL|mg|min|h|gtt/min|mL/hr|)", fullmatch=True
)


@given(key=ANY_KEY, typed=TEXTS)
@tried(100)
def test_whatever_is_typed_the_question_why_is_answered(key, typed):
    found = why(WARD, key, typed, KEYS)
    assert isinstance(found, Why)


@given(key=ANY_KEY)
@settings(deadline=None)
def test_a_right_value_never_has_a_slip(key):
    for value in (key.value, *key.also):
        typed = f"{format_number(value, plain=True)} {key.unit}"
        assert why(WARD, key, typed, KEYS) == Why() or "…" in typed
        assert why_value(WARD, key, value, KEYS) == Why()


@given(
    ratio=st.fractions(min_value=Fraction(1, 40), max_value=50, max_denominator=40),
    places=st.integers(min_value=0, max_value=3),
)
@tried(100)
def test_the_debrief_and_a_diagnosis_of_the_same_problem_say_the_same(ratio, places):
    given_texts = {"dose": "5 mcg/kg/min", "weight": "18.2 kg", "concentration": "1.6 mg/mL"}
    answer = answer_of(
        parse_problem({"id": "a", "find": "rate", "unit": "mL/h", "given": given_texts})
    )
    scenario = a_scenario(DOPAMINE)
    key = key_in(scenario, "dopamine", "rate")
    value = round_half_up(key.exact * ratio, Fraction(1, 10**places))
    typed = f"{format_number(value, plain=True)} mL/h"
    verdict, _ = verdict_on(scenario, key, read(typed, key), (key,))
    told = diagnose(answer, typed, rounding=scenario.policy.rounding)
    assert SAME[told.verdict] is verdict


SAME = {"right": Verdict.RIGHT, "rounded": Verdict.ROUNDED_EARLY, "wrong": Verdict.WRONG}


def test_every_slip_has_its_words():
    assert set(WHEN) == set(Slip) == set(DID_YOU)

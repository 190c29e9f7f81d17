"""Signs as they truly are, and as they are seen: written, drifting, answering, measured."""

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from tests.build import (
    HOUR,
    MINUTE,
    SECOND,
    Bedside,
    a_bag,
    a_patient,
    a_ready_line,
    a_scenario,
    an_event,
)
from trainer.engine import signs
from trainer.engine.carry import carry
from trainer.engine.perceive import patient_text
from trainer.engine.signs import all_now, balance_ml, number_now, sign_now
from trainer.engine.state import State
from trainer.scenario.model import (
    Circulation,
    Drug,
    Effect,
    Response,
    Scenario,
    Sign,
    Trigger,
)
from trainer.terms import Curve, Driver, Happening, Refusal, Running, Site, Verb

FOREVER = 10**12
"""A half-life so long that nothing leaves: a level is then the dose over the volume."""


def a_sign(name: str, value: str, unit: str = "", **more: Any) -> Sign:
    return Sign(name=name, value=value, unit=unit, **more)


def with_drug(
    *responses: Response,
    signs: tuple[Sign, ...],
    half_life_ms: int = FOREVER,
    circulation: Circulation | None = None,
    events: tuple[Any, ...] = (),
    own: tuple[tuple[str, Response], ...] = (),
    **drug: Any,
) -> Scenario:
    """A line that holds 2 mg/mL of a drug with 1 L/kg, in a child of 16 kg."""
    scenario = a_scenario(
        lines=(a_ready_line(hung="drug-bag"),),
        supplies=(a_bag("drug-bag", "sedative", 900),),
        patient=a_patient(signs=signs),
        events=events,
        at_end=Running.COMPLETE,
    )
    made = Drug(
        id="sedative",
        name="an invented drug",
        half_life_ms=half_life_ms,
        volume_l_per_kg=Fraction(1),
        responses=responses,
        **drug,
    )
    formulary = replace(scenario.formulary, drugs=(made,), circulation=circulation)
    return replace(scenario, formulary=formulary, responses=own)


def given_mg(scenario: Scenario, mg: int, *, over_ms: int = HOUR) -> State:
    """The bedside right after so much of the drug has been given."""
    bedside = Bedside(scenario)
    rate_ml_per_h = Fraction(mg, 2) * HOUR / over_ms
    bedside.run(rate=f"{float(rate_ml_per_h):g}", volume=f"{mg / 2:g}")
    assert not bedside.of_kind("Refused"), bedside.refusal
    bedside.wait(over_ms)
    return carry(bedside.state, bedside.now_ms)


def answer(sign: str, most: str, **more: Any) -> Response:
    return Response(sign=sign, most=Fraction(most), **more)


# --- one sign, one response ---------------------------------------------------------

LINEAR = [
    # sign, charted, unit, change per mg/L, mg given to 16 kg, charted afterwards
    ("heart rate", "112", "/min", "-2", 160, "92"),
    ("breathing", "24", "/min", "-1", 160, "14"),
    ("breathing", "24", "/min", "-9", 160, "0"),  # cannot be less
    ("blood pressure", "98/62", "mmHg", "1", 160, "110/71"),
    ("saturation", "98", "%", "5", 160, "100"),  # cannot be more
    ("temperature", "36.8", "°C", "0.07", 160, "37.5"),
    ("consciousness", "alert", "", "0.1", 160, "voice"),
    ("consciousness", "alert", "", "9", 160, "unresponsive"),
    ("glucose", "12.4", "mmol/L", "-0.5", 160, "7.4"),
    ("glucose", "220", "mg/dL", "-9", 160, "130"),
    ("potassium", "3.1", "mmol/L", "0.12", 160, "4.3"),
    ("capillary refill", "2", "s", "0.03", 160, "2.5"),
    ("clotting time", "30", "s", "1.26", 160, "43"),
    ("lactate", "2.10", "mmol/L", "0.033", 160, "2.43"),  # as finely as it was written
    ("skin", "pale", "", "3", 160, "pale"),  # words stay words
]


@pytest.mark.parametrize(("name", "charted", "unit", "per_level", "mg", "expected"), LINEAR)
def test_a_sign_is_charted_in_its_own_steps(name, charted, unit, per_level, mg, expected):
    scenario = with_drug(answer(name, per_level), signs=(a_sign(name, charted, unit),))
    assert sign_now(given_mg(scenario, mg), name) == expected


def test_a_sign_that_nothing_moved_is_just_as_the_author_wrote_it():
    listed = (a_sign("temperature", "37.0", "°C"), a_sign("skin", "warm and dry"))
    state = given_mg(with_drug(signs=listed), 160)
    assert all_now(state) == (("temperature", "37.0"), ("skin", "warm and dry"))


def test_the_mean_pressure_moves_by_just_the_change():
    scenario = with_drug(
        answer("blood pressure", "1"), signs=(a_sign("blood pressure", "98/62", "mmHg"),)
    )
    upper, lower = map(int, sign_now(given_mg(scenario, 160), "blood pressure").split("/"))
    assert Fraction(upper + 2 * lower, 3) - Fraction(98 + 2 * 62, 3) == 10


@pytest.mark.parametrize(
    ("steepness", "level_mg_per_l", "rise"), [(1, 4, 16), (2, 4, 16), (1, 12, 24), (3, 8, 28)]
)
def test_a_saturating_answer_has_half_of_its_most_where_it_says(steepness, level_mg_per_l, rise):
    """E = Emax C^n / (EC50^n + C^n), rounded. Source: the maximum-effect model."""
    response = answer(
        "heart rate", "32", curve=Curve.SATURATING, half_at=Fraction(4), steepness=steepness
    )
    scenario = with_drug(response, signs=(a_sign("heart rate", "100", "/min"),))
    assert number_now(given_mg(scenario, 16 * level_mg_per_l), "heart rate") == 100 + rise


def test_an_exponential_answer_multiplies():
    """30 s x e^(1.6 C): 0.5 units/mL give 65 to 70 s. Common practice, no source."""
    response = answer("clotting time", "1.6", curve=Curve.EXPONENTIAL)
    scenario = with_drug(response, signs=(a_sign("clotting time", "30", "s"),))
    assert sign_now(given_mg(scenario, 8), "clotting time") == "67"  # 0.5 mg/L


def test_a_response_of_the_authors_adds_to_the_formularys():
    scenario = with_drug(
        answer("heart rate", "-2"),
        signs=(a_sign("heart rate", "112", "/min"),),
        own=(("sedative", answer("heart rate", "-1")),),
    )
    assert sign_now(given_mg(scenario, 160), "heart rate") == "82"


def test_a_response_to_the_volume_needs_no_circulation_in_the_formulary():
    scenario = with_drug(
        signs=(a_sign("heart rate", "112", "/min"),),
        own=(("volume", answer("heart rate", "-1")),),
    )
    state = given_mg(scenario, 640, over_ms=30 * MINUTE)
    # 320 mL, a half-life of half an hour: 320 / ln 2 / 2 = 231 mL circulate, 14.4 mL/kg
    assert sign_now(state, "heart rate") == "98"


def test_a_lag_makes_the_sign_come_behind_the_level():
    response = answer("heart rate", "-2", lag_ms=10 * MINUTE)
    scenario = with_drug(response, signs=(a_sign("heart rate", "112", "/min"),))
    state = given_mg(scenario, 160, over_ms=10 * MINUTE)
    # z = 10 (1 - (1 - 1/e)) = 3.68 mg/L at the end of ten minutes of even arrival
    assert sign_now(state, "heart rate") == "105"
    assert sign_now(carry(state, state.as_of_ms + 2 * HOUR), "heart rate") == "92"


def test_an_answer_to_the_rate_goes_as_soon_as_the_drug_stops():
    response = answer("heart rate", "10", driver=Driver.RATE)
    scenario = with_drug(response, signs=(a_sign("heart rate", "112", "/min"),))
    bedside = Bedside(scenario)
    bedside.run(rate="60", volume="60")  # 2 mg/min
    bedside.wait(10 * MINUTE)
    assert sign_now(bedside.state, "heart rate") == "132"
    bedside.do(Verb.STOP, line="1")
    assert sign_now(bedside.state, "heart rate") == "112"


def test_a_drug_that_misses_the_vein_moves_nothing():
    response = answer("heart rate", "-2")
    scenario = with_drug(response, signs=(a_sign("heart rate", "112", "/min"),))
    bedside = Bedside(scenario)
    bedside.run(rate="80", volume="80")
    bedside.do(Verb.CLOSE_CLAMP, line="1", clamp="patient")
    bedside.wait(HOUR)
    assert sign_now(carry(bedside.state, HOUR), "heart rate") == "112"


# --- drifts -----------------------------------------------------------------------


def drifting(sign: str, value: str, half_ms: int, **signs_of: Any) -> Bedside:
    effect = Effect(happening=Happening.SIGN_DRIFTS, sign=sign, value=value, half_ms=half_ms)
    event = an_event("worse", Trigger(at_ms=MINUTE), effect)
    bedside = Bedside(with_drug(events=(event,), **signs_of))
    bedside.wait(MINUTE)
    return bedside


@pytest.mark.parametrize(("minutes", "expected"), [(0, "100"), (10, "130"), (20, "145")])
def test_a_drift_goes_half_of_the_rest_in_each_half_time(minutes, expected):
    bedside = drifting(
        "heart rate", "160", 10 * MINUTE, signs=(a_sign("heart rate", "100", "/min"),)
    )
    state = carry(bedside.state, MINUTE + minutes * MINUTE)
    assert sign_now(state, "heart rate") == expected


def test_both_values_of_a_blood_pressure_drift():
    bedside = drifting(
        "blood pressure", "60/30", MINUTE, signs=(a_sign("blood pressure", "98/62", "mmHg"),)
    )
    assert sign_now(carry(bedside.state, 2 * MINUTE), "blood pressure") == "79/46"
    assert number_now(carry(bedside.state, 2 * MINUTE), "blood pressure") == 79


def test_a_second_drift_begins_where_the_first_has_got_to():
    up = Effect(happening=Happening.SIGN_DRIFTS, sign="heart rate", value="160", half_ms=MINUTE)
    down = replace(up, value="100")
    events = (
        an_event("up", Trigger(at_ms=0), up),
        an_event("down", Trigger(at_ms=MINUTE), down),
    )
    bedside = Bedside(with_drug(signs=(a_sign("heart rate", "100", "/min"),), events=events))
    bedside.wait(MINUTE)
    assert sign_now(bedside.state, "heart rate") == "130"
    assert sign_now(carry(bedside.state, 2 * MINUTE), "heart rate") == "115"


def test_a_change_ends_a_drift():
    drift = Effect(happening=Happening.SIGN_DRIFTS, sign="heart rate", value="160", half_ms=MINUTE)
    change = Effect(happening=Happening.SIGN_CHANGES, sign="heart rate", value="90")
    events = (
        an_event("up", Trigger(at_ms=0), drift),
        an_event("better", Trigger(at_ms=MINUTE), change),
    )
    bedside = Bedside(with_drug(signs=(a_sign("heart rate", "100", "/min"),), events=events))
    bedside.wait(MINUTE)
    assert sign_now(carry(bedside.state, HOUR), "heart rate") == "90"


def test_words_do_not_drift_but_change_at_once():
    bedside = drifting("skin", "mottled", MINUTE, signs=(a_sign("skin", "pink"),))
    assert sign_now(bedside.state, "skin") == "mottled"


# --- urine, balance, weight -----------------------------------------------------------

CIRCULATION = Circulation(half_life_ms=HOUR, urine_share=Fraction(1, 2))
FLUID_SIGNS = (
    a_sign("urine", "0", "mL/h"),
    a_sign("fluid balance", "0", "mL"),
    a_sign("weight", "16.00", "kg"),
)


def test_urine_balance_and_weight_follow_the_fluid():
    bedside = Bedside(with_drug(signs=FLUID_SIGNS, circulation=CIRCULATION))
    bedside.run(rate="400", volume="400")
    bedside.wait(HOUR)
    state = carry(bedside.state, HOUR)
    circulates = 400 / 0.6931471805599453 / 2  # R / k (1 - 1/2)
    assert sign_now(state, "urine") == str(round(0.5 * 0.6931471805599453 * circulates))
    passed = (400 - circulates) / 2
    assert sign_now(state, "fluid balance") == str(round(400 - passed))
    assert sign_now(state, "weight") == "16.34"
    assert abs(float(balance_ml(state)) - (400 - passed)) < 1e-4


def test_charted_urine_leaves_the_balance_through_changes_and_drifts_of_it():
    change = Effect(happening=Happening.SIGN_CHANGES, sign="urine", value="60")
    drift = Effect(happening=Happening.SIGN_DRIFTS, sign="urine", value="0", half_ms=HOUR)
    events = (
        an_event("more", Trigger(at_ms=HOUR), change),
        an_event("failing", Trigger(at_ms=2 * HOUR), drift),
    )
    listed = (a_sign("urine", "20", "mL/h"), a_sign("fluid balance", "0", "mL"))
    bedside = Bedside(with_drug(signs=listed, events=events))
    bedside.wait(3 * HOUR)
    state = carry(bedside.state, 3 * HOUR)
    while_failing = 60 * 0.5 / 0.6931471805599453
    assert abs(float(balance_ml(state)) + 20 + 60 + while_failing) < 1e-4
    assert sign_now(state, "urine") == "30"
    assert sign_now(state, "fluid balance") == "-123"


def test_the_balance_counts_what_went_into_the_tissue_too():
    effect = Effect(happening=Happening.SITE_CHANGES, access="hand", site=Site.INFILTRATED)
    bedside = Bedside(
        with_drug(signs=FLUID_SIGNS, events=(an_event("swells", Trigger(at_ms=0), effect),))
    )
    bedside.run(rate="100", volume="50")
    bedside.wait(30 * MINUTE)
    assert sign_now(carry(bedside.state, 30 * MINUTE), "fluid balance") == "50"


def test_a_computed_sign_can_be_asked_for_though_it_is_not_on_the_list():
    state = Bedside(with_drug(signs=())).state
    assert signs.names_of(state) == ("urine", "fluid balance", "weight")
    assert [sign_now(state, name) for name in signs.names_of(state)] == ["0", "0", "16"]


# --- seen and measured --------------------------------------------------------------

MEASURED = (
    a_sign("heart rate", "112", "/min"),
    a_sign("glucose", "12.0", "mmol/L", measured=True, takes_ms=5 * MINUTE),
    a_sign("temperature", "37.0", "°C", measured=True),
)


def glucose_falls() -> Bedside:
    """Glucose falls by a half mmol/L for each mg/L; 10 mg/L come in an hour."""
    bedside = Bedside(
        with_drug(answer("glucose", "-0.5"), answer("heart rate", "1"), signs=MEASURED)
    )
    bedside.run(rate="80", volume="200")
    return bedside


def test_a_look_shows_what_needs_no_measuring():
    bedside = glucose_falls()
    bedside.wait(HOUR)
    bedside.do(Verb.LOOK_AT_PATIENT)
    (look,) = bedside.of_kind("Perceived")
    assert look.text == "Mika Tarn: heart rate 122 /min."
    assert dict(bedside.state.signs_seen) == {
        "heart rate": "122",
        "glucose": "12.0",
        "temperature": "37.0",
    }
    assert bedside.state.signs_seen_ms == (("heart rate", HOUR),)


def test_a_result_tells_the_value_at_the_moment_of_taking():
    bedside = glucose_falls()
    bedside.wait(HOUR)
    bedside.do(Verb.MEASURE, what="glucose")
    assert dict(bedside.state.signs_seen)["glucose"] == "12.0"
    assert [one.sign for one in bedside.state.samples] == ["glucose"]
    bedside.wait(10 * MINUTE)
    (result,) = bedside.of_kind("ResultCame")
    assert (result.at_ms, result.taken_ms) == (HOUR + 5 * MINUTE, HOUR)
    assert result.value == "7"
    assert sign_now(carry(bedside.state, bedside.now_ms), "glucose") == "6.2"
    assert dict(bedside.state.signs_seen)["glucose"] == "7"
    assert dict(bedside.state.signs_seen_ms)["glucose"] == HOUR
    assert bedside.state.samples == ()


def test_what_takes_no_time_is_known_at_once():
    bedside = glucose_falls()
    bedside.do(Verb.MEASURE, what="Temperature")
    assert [one.value for one in bedside.of_kind("ResultCame")] == ["37.0"]
    assert bedside.state.samples == ()


def test_two_samples_of_one_sign_each_bring_their_own_result():
    bedside = glucose_falls()
    bedside.do(Verb.MEASURE, what="glucose")
    bedside.wait(2 * MINUTE)
    bedside.do(Verb.MEASURE, what="glucose")
    bedside.wait(HOUR)
    assert bedside.happened("ResultCame") == [5 * MINUTE, 7 * MINUTE]
    assert [one.taken_ms for one in bedside.of_kind("ResultCame")] == [0, 2 * MINUTE]


def test_a_sign_that_nobody_charts_cannot_be_measured():
    bedside = glucose_falls()
    bedside.do(Verb.MEASURE, what="lactate")
    assert bedside.refusal.reason is Refusal.NOT_UNDERSTOOD
    assert "glucose" in bedside.refusal.text


def test_a_patient_without_signs_looks_ordinary():
    state = Bedside(with_drug(signs=())).state
    assert patient_text(state) == "Mika Tarn: nothing out of the ordinary."


# --- events that wait for a sign ------------------------------------------------------


def waiting_for(sign: str, response: Response, charted: Sign, **when: Any) -> Bedside:
    event = an_event("crossed", Trigger(sign=sign, **when))
    bedside = Bedside(with_drug(response, signs=(charted,), events=(event,)))
    bedside.run(rate="80", volume="200")  # 10 mg/L in an hour, evenly
    return bedside


def test_an_event_comes_in_the_millisecond_in_which_the_charted_sign_passes_its_number():
    bedside = waiting_for(
        "heart rate",
        answer("heart rate", "6"),
        a_sign("heart rate", "100", "/min"),
        above=Fraction(130),
    )
    bedside.wait(2 * HOUR)
    (at_ms,) = bedside.happened("EventCame")
    # 130.5 is charted as 131: after 30.5 / 60 of an hour
    assert abs(at_ms - HOUR * 305 // 600) <= 3  # a little is gone of what came first
    running = Bedside(replace(bedside.scenario, events=()))
    running.run(rate="80", volume="200")
    before, after = (carry(running.state, moment) for moment in (at_ms - 1, at_ms))
    assert (sign_now(before, "heart rate"), sign_now(after, "heart rate")) == ("130", "131")


def test_a_sign_that_falls_and_rises_again_between_two_happenings_is_not_missed():
    response = answer("heart rate", "-160", lag_ms=4 * MINUTE)
    event = an_event("slow", Trigger(sign="heart rate", below=Fraction(100)))
    scenario = with_drug(
        response,
        signs=(a_sign("heart rate", "112", "/min"),),
        events=(event,),
        half_life_ms=2 * MINUTE,
    )
    bedside = Bedside(scenario)
    bedside.do(Verb.FLUSH, line="1", volume="10")  # pushes 6 mg into the vein at once
    assert not bedside.of_kind("Refused"), bedside.refusal
    bedside.wait(20 * HOUR)
    assert len(bedside.happened("EventCame")) == 1
    assert sign_now(carry(bedside.state, bedside.now_ms), "heart rate") == "112"


def test_an_event_comes_at_once_if_the_sign_lies_beyond_already():
    bedside = waiting_for(
        "heart rate",
        answer("heart rate", "6"),
        a_sign("heart rate", "140", "/min"),
        above=Fraction(130),
    )
    bedside.wait(SECOND)
    assert bedside.happened("EventCame") == [0]


def test_a_sign_that_never_gets_there_brings_nothing():
    bedside = waiting_for(
        "heart rate",
        answer("heart rate", "6", curve=Curve.SATURATING, half_at=Fraction(1)),
        a_sign("heart rate", "100", "/min"),
        above=Fraction(130),
    )
    bedside.wait(3 * HOUR)
    assert bedside.happened("EventCame") == []


def test_the_moment_is_the_same_however_often_one_looks():
    often, once = (
        waiting_for(
            "heart rate",
            answer("heart rate", "6", lag_ms=11 * MINUTE),
            a_sign("heart rate", "100", "/min"),
            above=Fraction(120),
        )
        for _ in range(2)
    )
    for _ in range(240):
        often.wait(30 * SECOND)
    once.wait(2 * HOUR)
    assert often.happened("EventCame") == once.happened("EventCame") != []


def test_a_state_of_consciousness_can_be_waited_for():
    bedside = waiting_for(
        "consciousness",
        answer("consciousness", "0.3"),
        a_sign("consciousness", "alert"),
        above=Fraction(0),
    )
    bedside.wait(2 * HOUR)
    (at_ms,) = bedside.happened("EventCame")
    assert sign_now(carry(bedside.state, at_ms), "consciousness") == "voice"


def test_a_drift_crosses_too():
    drift = Effect(happening=Happening.SIGN_DRIFTS, sign="heart rate", value="160", half_ms=HOUR)
    events = (
        an_event("up", Trigger(at_ms=0), drift),
        an_event("crossed", Trigger(sign="heart rate", above=Fraction(129))),
    )
    bedside = Bedside(with_drug(signs=(a_sign("heart rate", "100", "/min"),), events=events))
    bedside.wait(2 * HOUR)
    up_ms, crossed_ms = bedside.happened("EventCame")
    assert up_ms == 0
    assert HOUR - 2 * MINUTE < crossed_ms < HOUR  # 129.5 of 130 at the half-time

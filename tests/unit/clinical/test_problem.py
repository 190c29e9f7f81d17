"""Problems: what may be asked and given, and refusals that teach."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from trainer.clinical.givens import parse_pound
from trainer.clinical.problem import parse_problem
from trainer.clinical.solve import solve
from trainer.errors import ProblemError, QuantityError, TrainerError


def refusal(find: str, unit: str, **given: str) -> str:
    with pytest.raises(TrainerError) as caught:
        solve(parse_problem({"id": "a", "find": find, "unit": unit, "given": given}))
    return str(caught.value)


GOOD: dict[str, Any] = {"id": "a", "find": "rate", "unit": "mL/h", "given": {"volume": "1 L"}}


@pytest.mark.parametrize(
    ("problem", "said"),
    [
        ("rate", "a problem is an object"),
        (None, "a problem is an object"),
        ([], "a problem is an object"),
        ({**GOOD, "id": None}, "id is missing"),
        ({**GOOD, "id": 7}, "id must be text"),
        ({**GOOD, "id": " "}, "id is empty"),
        ({**GOOD, "find": 7}, "find must be text"),
        ({**GOOD, "unit": ["mL"]}, "unit must be text"),
        ({**GOOD, "given": []}, "given is missing or no object"),
        ({**GOOD, "given": {"weight": 18.2}}, "given weight must be text"),
        ({**GOOD, "given": {"doses_per_day": 2}}, 'in quotes, "2"'),
        ({**GOOD, "lb_per_kg": 2.2}, "lb_per_kg must be text"),
        ({**GOOD, "wieght": "1 kg"}, "`wieght` is not a key of a problem"),
    ],
)
def test_a_malformed_problem_says_which_key_and_how(problem: object, said: str) -> None:
    with pytest.raises(ProblemError, match=said):
        parse_problem(problem)


def test_a_row_of_published_examples_is_read_with_its_other_keys() -> None:
    row = {**GOOD, "exact": "1", "published": "1", "source": "a sheet", "agrees": True}
    assert parse_problem(row).find == "rate"


def test_an_unknown_question_or_given_lists_what_there_is() -> None:
    assert "write one of rate, volume" in refusal("speed", "mL/h", volume="1 L")
    assert "write one of volume, duration" in refusal("rate", "mL/h", vol="1 L")
    assert "nothing is given" in refusal("rate", "mL/h")


@pytest.mark.parametrize(
    ("find", "unit", "given", "said"),
    [
        ("rate", "mL/h", {"dose": "5 mcg/kg/min", "concentration": "2 mg/mL"}, "weight is missing"),
        ("rate", "mL/h", {"dose": "5 mcg/kg/min", "weight": "9 kg"}, "concentration is missing"),
        ("rate", "mL/h", {"volume": "1 L"}, "duration is missing"),
        ("rate", "mL/h", {"weight": "9 kg"}, r"rule \(4-2-1 or 100-50-20\) is missing"),
        ("rate", "mL/h", {"rule": "4-2-1"}, "weight is missing"),
        ("rate", "mL/h", {"height": "90 cm"}, "does not follow from height"),
        ("drip_rate", "gtt/min", {"rate": "60 mL/h"}, "drop_factor is missing"),
        ("bsa", "m2", {"height": "90 cm", "weight": "9 kg"}, "mosteller or haycock"),
        ("bsa", "m2", {"height": "90 cm", "rule": "mosteller"}, "weight is missing"),
        ("deficit", "mL", {"weight": "9 kg"}, "dehydration is missing"),
        ("resuscitation", "mL", {"weight": "9 kg", "burned": "9 %"}, "coefficient is missing"),
        ("finish", "clock", {"duration": "1 h"}, "start is missing"),
        ("finish", "clock", {"start": "10:00", "volume": "1 L"}, "rate is missing"),
        ("concentration", "mg/mL", {"amount": "5 mg"}, "volume or diluent is missing"),
        ("dose", "mg", {"dose": "5 mg/kg"}, "weight is missing"),
        ("dose", "mg", {"dose": "5 mg/kg/h", "weight": "9 kg"}, "duration is missing"),
        (
            "volume",
            "mL",
            {"dose": "40 mg/kg/day", "weight": "9 kg", "concentration": "5 mg/mL"},
            "doses_per_day or duration is missing",
        ),
        ("duration", "h", {"dose": "20 mL/kg"}, "weight and rate"),
    ],
)
def test_what_is_missing_is_named(find: str, unit: str, given: dict[str, str], said: str) -> None:
    with pytest.raises(ProblemError, match=said):
        solve(parse_problem({"id": "a", "find": find, "unit": unit, "given": given}))


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (
            {"volume": "100 mL", "duration": "2 h", "rate": "40 mL/h"},
            r"rate of 40 mL/h contradicts the volume of 100 mL .* make it 50 mL/h",
        ),
        (
            {"volume": "100 mL", "duration": "2 h", "drip_rate": "40 gtt/min", "drop_factor": "20 gtt/mL"},
            r"drip_rate of 40 gtt/min contradicts .* 16\.6666",
        ),
        (
            {"rule": "4-2-1", "weight": "22 kg", "rate": "80 mL/h"},
            r"rate of 80 mL/h contradicts .* 62 mL/h",
        ),
        (
            {"amount": "500 mg", "volume": "10 mL", "concentration": "20 mg/mL", "duration": "1 h"},
            r"amount of 500 mg contradicts .* 200 mg",
        ),
        (
            {"bsa": "0.9 m2", "height": "97 cm", "weight": "16.8 kg", "rule": "mosteller",
             "dose": "900 mL/m2/day"},
            r"bsa of 0\.9 m2 contradicts",
        ),
    ],
)  # fmt: skip
def test_two_values_that_contradict_are_both_named(given: dict[str, str], said: str) -> None:
    for find, unit in (("rate", "mL/h"), ("duration", "h")):
        with pytest.raises(ProblemError, match=said):
            solve(parse_problem({"id": "a", "find": find, "unit": unit, "given": given}))


@pytest.mark.parametrize(
    "given",
    [
        {"volume": "100 mL", "duration": "30 min", "rate": "200 mL/h"},
        {"volume": "500 mL", "duration": "8 h", "rate": "63 mL/h"},
        {"dose": "5 mcg/kg/min", "weight": "18.2 kg", "concentration": "1.6 mg/mL", "rate": "3.4 mL/h"},
        {"bsa": "0.67 m2", "height": "97 cm", "weight": "16.8 kg", "rule": "mosteller", "dose": "9 mL/m2/h"},
    ],
)  # fmt: skip
def test_a_value_given_twice_agrees_to_the_place_it_is_written(given: dict[str, str]) -> None:
    solve(parse_problem({"id": "a", "find": "rate", "unit": "mL/h", "given": given}))


@pytest.mark.parametrize(
    ("find", "unit", "said"),
    [
        ("rate", "mL", "no rate; write a unit such as mL/h, or ask for the volume"),
        ("rate", "mg/h", "ask for the dose"),
        ("rate", "gtt/min", "ask for the drip_rate"),
        ("volume", "mL/h", "ask for the rate"),
        ("volume", "clock", "clock is for a finish"),
        ("amount", "mL", "ask for the volume"),
        ("finish", "HH:MM", "write clock"),
        ("weight", "mL", "is volume, which is no weight"),
        ("dose", "U/h", "write units"),
        ("volume", "cc", "write mL"),
    ],
)
def test_a_unit_that_the_answer_cannot_have_is_refused(find: str, unit: str, said: str) -> None:
    assert said in refusal(find, unit, volume="100 mL", duration="2 h")


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"weight": "18.2 mg"}, "weight: 18.2 mg is mass, which is no weight; write it as 18.2 kg"),
        ({"rate": "5 mg/h"}, "a drug per time is a dose"),
        ({"rate": "5 gtt/min"}, "drops per time are a drip_rate"),
        ({"volume": "5 mL/h"}, "a volume per time is a rate"),
        ({"amount": "5 mg/kg"}, "a dose per kg or per time is a dose"),
        ({"dose": "5 gtt/min"}, "which is no dose"),
        ({"weight": "3000 kg"}, "absurd (possible are 0.2 to 700 kg)"),
        ({"burned": "120 %"}, "absurd"),
        ({"concentration": "9 g/mL"}, "absurd"),
        ({"volume": "0 mL"}, "zero makes no sense"),
        ({"duration": "0 h"}, "zero makes no sense"),
        ({"diluent": "0 mL"}, "zero makes no sense"),
        ({"doses_per_day": "every 0 h"}, "every 0 h makes no sense"),
        ({"volume": "-5 mL"}, "without the minus"),
        ({"rule": "5-3-1"}, "write one of 4-2-1, 100-50-20, mosteller, haycock"),
        ({"start": "25:00"}, "HH:MM"),
        ({"weight": "18.2"}, "18.2 has no unit; write one, such as 18.2 kg"),
    ],
)
def test_a_given_that_is_none_is_refused_with_the_mend(given: dict[str, str], said: str) -> None:
    assert said in refusal("rate", "mL/h", **given)


def test_an_answer_that_no_patient_could_have_is_refused() -> None:
    said = refusal("weight", "kg", dose="1 mg/kg", amount="5 g")
    assert "would be 5000 kg, which is absurd" in said
    assert "amount 5 g" in said


def test_a_drug_in_mg_does_not_become_units() -> None:
    said = refusal("rate", "mL/h", dose="5 units/h", concentration="1 mg/mL")
    assert "5 units/h is in units of activity, 1 mg/mL in mass" in said
    assert "mmol/h in millimoles" in refusal(
        "dose", "mmol/h", rate="5 mL/h", concentration="1 mEq/mL"
    )


def test_the_pound_is_read_in_both_forms_and_must_be_one() -> None:
    assert parse_pound(None) == parse_pound("2.2 lb per kg") == Fraction(5, 11)
    assert parse_pound("0.45359237 kg per lb") == Fraction("0.45359237")
    for text in ("3 lb per kg", "2.2", "0 lb per kg", "lb"):
        with pytest.raises(QuantityError, match="lb_per_kg"):
            parse_pound(text)


def test_a_dilution_that_cannot_be_made_is_refused() -> None:
    said = refusal("diluent", "mL", amount="50 mg", volume="10 mL", concentration="10 mg/mL")
    assert "diluent = volume in the container - volume = 5 - 10 = -5 mL, which cannot be" in said

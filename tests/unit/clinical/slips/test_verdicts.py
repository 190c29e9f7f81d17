"""The verdict, the order of the slips, two slips together, and the sentences."""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.unit.clinical.slips.ask import DRIP, LITRE, answer, judged, names
from trainer.clinical.rounding import RoundingRule, RoundingRules
from trainer.clinical.slips.answer import answer_of_chain
from trainer.clinical.slips.diagnose import diagnose
from trainer.clinical.solve import solve

RIGHT = ["3.4 mL/h", "3.41 mL/h", "3.413 mL/h", "3.4125 mL/h", "3.4 ml/hr", "0.056875 mL/min"]
NOT_RIGHT = ["3.3 mL/h", "3.5 mL/h", "3.42 mL/h", "3.45 mL/h", "3 mL/h", "4 mL/h", "3.4 mL/min"]


@pytest.mark.parametrize("entered", RIGHT)
def test_right_is_the_answer_rounded_by_the_policy_or_less_far(entered: str) -> None:
    found = judged(DRIP, entered)
    assert (found.verdict, found.slips) == ("right", ())


@pytest.mark.parametrize("entered", NOT_RIGHT)
def test_what_lies_outside_the_rounding_is_not_right(entered: str) -> None:
    assert judged(DRIP, entered).verdict != "right"


def test_rounded_early_or_to_another_place_is_rounded_with_its_slip() -> None:
    for entered, slip in (
        ("143 mL/h", "early-rounding"),
        ("142.8 mL/h", "truncated"),
        ("142 mL/h", "truncated"),
    ):
        found = judged(LITRE, entered)
        assert (found.verdict, names(found)[0]) == ("rounded", slip)


def test_a_rounding_that_moves_the_value_by_more_than_the_policy_allows_is_wrong() -> None:
    found = judged(DRIP, "3 mL/h")  # 12 percent off
    assert found.verdict == "wrong"
    assert names(found)[0] == "early-rounding"


def test_the_policy_decides_what_is_right() -> None:
    whole = RoundingRules(rules=(RoundingRule(kind="rate", step=Fraction(1)),))
    assert diagnose(answer(LITRE), "143 mL/h", rounding=whole).verdict == "right"
    assert diagnose(answer(LITRE), "142 mL/h", rounding=whole).verdict == "rounded"


@pytest.mark.parametrize(
    ("entered", "slips"),
    [
        ("3.4", ["unit"]),
        ("3.40 mL/h", ["written-form"]),
        ("3.40", ["unit", "written-form"]),
        ("3.4 cc/h", ["unit"]),
        ("03.4 mL/h", ["written-form"]),
    ],
)
def test_a_fault_of_form_leaves_a_right_value_right(entered: str, slips: list[str]) -> None:
    found = judged(DRIP, entered)
    assert (found.verdict, names(found)) == ("right", slips)


def test_no_leading_zero_and_a_point_at_the_end_are_faults_of_form() -> None:
    drug = {"dose": "30 units", "concentration": "100 units/mL"}  # right is 0.3 mL
    found = judged(drug, ".3 mL", find="volume", unit="mL")
    assert (found.verdict, names(found)) == ("right", ["written-form"])
    assert found.slips[0].explanation.endswith("write 0.3 mL.")
    whole = {"volume": "1000 mL", "duration": "8 h"}
    assert names(judged(whole, "125. mL/h")) == ["written-form"]


def test_the_right_number_with_a_wrong_unit_is_wrong_and_the_unit_is_named_first() -> None:
    for entered in ("3.4 mL/min", "3.4 mg", "3.4 mL", "3.4 furlongs"):
        found = judged(DRIP, entered)
        assert found.verdict == "wrong", entered
        assert names(found)[0] == "unit", entered


def test_a_wrong_value_without_its_unit_is_named_by_its_value() -> None:
    found = judged(DRIP, "34.1")
    assert names(found) == ["tenfold"]
    assert found.unit_fault


def test_several_slips_that_fit_are_all_named_the_likelier_first() -> None:
    found = judged({**DRIP, "weight": "60 kg"}, "0.1875 mL/h")  # right is 11.25 mL/h
    assert names(found)[:2] == ["per-minute", "weight-left-out"]


def test_two_slips_are_named_only_where_no_single_one_fits() -> None:
    found = judged(DRIP, "0.0188 mL/h")  # 3.4125 / 18.2 / 10 = 0.01875
    assert set(names(found)) == {"tenfold", "weight-left-out"}
    assert "takes two slips" in found.slips[0].explanation
    single = judged(DRIP, "0.19 mL/h")
    assert all("two slips" not in one.explanation for one in single.slips)


def test_what_no_slip_leads_to_is_wrong_without_a_name() -> None:
    found = judged(DRIP, "777.7 mL/h")
    assert (found.verdict, found.slips) == ("wrong", ())


def test_the_explanation_is_a_sentence_with_the_numbers_in_it() -> None:
    given = {"dose": "5 mcg/kg/min", "weight": "30.08 kg", "concentration": "400 mg in 250 mL"}
    found = judged(given, "56.4 mL/h")  # right is 5.64 mL/h
    assert found.slips[0].explanation.startswith(
        "56.4 mL/h is ten times the right 5.64 mL/h: the decimal point moved by one place"
    )
    left_out = judged(given, "0.1875 mL/h").slips[0].explanation
    assert left_out == "0.1875 mL/h instead of 5.64 mL/h: the weight of 30.08 kg was left out."


def test_a_chain_alone_is_enough() -> None:
    chain = solve(answer(DRIP).asked.problem).chain  # type: ignore[union-attr]
    assert chain is not None
    right = answer_of_chain("rate", chain, also=(Fraction("3.5"),))
    assert diagnose(right, "3.5 mL/h").verdict == "right"
    assert names(diagnose(right, "0.19 mL/h")) == ["weight-left-out"]
    assert names(diagnose(right, "5 mL/h"))[0] == "dose-as-rate"

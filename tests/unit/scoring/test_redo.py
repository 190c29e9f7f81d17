"""One calculation again with fresh numbers: which numbers, what is given, how it is judged."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.rehearsed import SHIPPED
from trainer.clinical.quantity import format_quantity, parse_quantity
from trainer.clinical.slips.names import Slip
from trainer.errors import NoOtherNumbers, StepNotFound
from trainer.scenario.model import Scenario
from trainer.scoring import caution, explain
from trainer.scoring.accept import usable
from trainer.scoring.expect import keys
from trainer.scoring.redo import FARTHEST, Redo, fresh, judged
from trainer.terms import Verdict

ASKED = [
    pytest.param(scenario, order.id, quantity, id=f"{scenario.id}-{order.id}-{quantity}")
    for scenario in SHIPPED.values()
    for order in scenario.orders
    for quantity in order.ask
]


def shipped(name: str) -> Scenario:
    return SHIPPED[name]


def key_value(scenario: Scenario, order: str, quantity: str) -> Fraction:
    found = {(one.order, one.quantity): one.value for one in keys(scenario)}
    return found[order, quantity]


def cefazolin(seed: int = 3) -> Redo:
    """30 mg/kg from 1 g in 50 mL over at least 30 min: rate = 30 x kg / 20 mg/mL / 0.5 h."""
    return fresh(shipped("antibiotic-and-air"), "antibiotic", "rate", seed)


# --- which numbers ------------------------------------------------------------------


@pytest.mark.parametrize(("scenario", "order", "quantity"), ASKED)
def test_every_calculation_a_shipped_scenario_asks_can_be_done_again(scenario, order, quantity):
    for seed in (1, 2, 9_999, 999_999_999):
        redo = fresh(scenario, order, quantity, seed)
        assert usable(redo.scenario)
        assert redo.key.value != key_value(scenario, order, quantity)
        assert redo.key == next(
            one for one in keys(redo.scenario) if (one.order, one.quantity) == (order, quantity)
        )


@pytest.mark.parametrize(("scenario", "order", "quantity"), ASKED)
def test_the_same_seed_gives_the_same_numbers(scenario, order, quantity):
    assert fresh(scenario, order, quantity, 42) == fresh(scenario, order, quantity, 42)


def test_several_seeds_give_several_numbers():
    values = {cefazolin(seed).key.value for seed in range(1, 12)}
    assert len(values) > 3


def test_the_attempts_own_answer_does_not_come_again():
    scenario = shipped("antibiotic-and-air")
    first = fresh(scenario, "antibiotic", "dose", 5)
    other = fresh(scenario, "antibiotic", "dose", 5, unlike=(first.key.value,))
    assert other.key.value != first.key.value


def without_variation(name: str) -> Scenario:
    return replace(shipped(name), vary=())


def test_where_nothing_varies_the_weight_moves_by_a_fifth_in_steps_of_200_g():
    scenario = without_variation("antibiotic-and-air")
    written = scenario.patient.weight.value
    for seed in range(1, 30):
        redo = fresh(scenario, "antibiotic", "dose", seed)
        weight = redo.scenario.patient.weight.value
        assert abs(weight - written) <= FARTHEST * written
        assert weight % Fraction(1, 5) == 0
        assert weight != written
        assert redo.scenario.order("antibiotic").dose == scenario.order("antibiotic").dose


def test_numbers_never_leave_the_formularys_limits():
    """A ward that gives 400 to 420 mg at most: only weights from 13.4 to 14 kg are left."""
    scenario = without_variation("antibiotic-and-air")
    drug = scenario.drug("cefazolin")
    narrow = replace(
        drug,
        limits=tuple(
            replace(one, least=Fraction(400), most=Fraction(420), unit="mg")
            for one in drug.limits[:1]
        ),
    )
    drugs = tuple(narrow if one.id == narrow.id else one for one in scenario.formulary.drugs)
    scenario = replace(scenario, formulary=replace(scenario.formulary, drugs=drugs))
    doses = {fresh(scenario, "antibiotic", "dose", seed).key.value for seed in range(1, 16)}
    assert doses == {402, 414, 420}  # 13.4, 13.8 and 14 kg; 13.6 kg is the attempt's own
    redo = fresh(scenario, "antibiotic", "dose", 1)
    assert not caution.outside_limits(redo.scenario, redo.scenario.order("antibiotic"))


def test_a_rate_as_ordered_is_written_anew_into_the_order():
    """No weight bears on 84 mL/h by gravity, so the ordered rate itself is drawn."""
    redo = fresh(shipped("fluid-by-gravity"), "fluid", "drip_rate", 4)
    rate = redo.scenario.order("fluid").rate
    assert rate is not None
    assert format_quantity(rate) in redo.written
    assert "84 mL/h" not in redo.written
    assert redo.key.exact == rate.value * 20 / 60  # reference row "Drip rate", a 20-drop set


def test_an_ordered_time_is_drawn_in_steps_of_five_minutes():
    redo = fresh(shipped("bolus-and-a-dry-bag"), "bolus", "duration", 1)
    assert redo.key.value in {25, 35}
    assert explain.amount(redo.key.value, "min") in redo.written


def test_what_only_a_ward_rule_sets_has_no_other_numbers():
    with pytest.raises(NoOtherNumbers):
        fresh(shipped("antibiotic-and-air"), "antibiotic", "duration", 1)


@pytest.mark.parametrize(("order", "quantity"), [("nobody", "rate"), ("antibiotic", "colour")])
def test_a_step_that_is_none_is_told_with_those_that_are(order, quantity):
    with pytest.raises(StepNotFound, match="antibiotic/dose"):
        fresh(shipped("antibiotic-and-air"), order, quantity, 1)


# --- what is given ------------------------------------------------------------------


def test_all_that_is_needed_is_given_and_nothing_worked_out():
    redo = cefazolin()
    given = dict(redo.givens)
    assert given["Weight today"] == format_quantity(redo.scenario.patient.weight)
    assert "1 g in 50 mL" in given["On the label"]
    assert given["Rounding"] == "Once, at the end, half up to 0.1 mL/h"
    words = [text for _, text in redo.givens]
    assert "ceFAZolin: over at least 30 min" in words
    assert "ceFAZolin, dose: 8 to 35 mg/kg" in words
    answer = explain.amount(redo.key.value, redo.key.unit)
    assert not any(answer in text for text in (redo.written, *words))


def test_a_weight_in_pounds_comes_with_the_wards_pound():
    scenario = without_variation("antibiotic-and-air")
    patient = replace(scenario.patient, weight=parse_quantity("30 lb", of_body=True))
    redo = fresh(replace(scenario, patient=patient), "antibiotic", "dose", 1)
    assert redo.scenario.patient.weight.unit.text == "kg"  # drawn weights are in kilograms


# --- judging ------------------------------------------------------------------------


def typed(redo: Redo, factor: str = "1") -> str:
    return explain.typed(redo.key.value * Fraction(factor), redo.key.unit)


def test_the_right_value_with_its_unit_is_right():
    redo = cefazolin()
    found = judged(redo, typed(redo), "certain")
    assert found.is_right
    assert not found.why.slips


def test_a_right_number_without_its_unit_is_not_yet_right():
    redo = cefazolin()
    found = judged(redo, typed(redo).split()[0], "")
    assert found.verdict is Verdict.RIGHT
    assert not found.is_right
    assert "unit is missing" in found.reason


@pytest.mark.parametrize(
    ("factor", "slip"), [("10", Slip.TENFOLD), ("1/10", Slip.TENFOLD), ("1/100", Slip.HUNDREDFOLD)]
)
def test_a_wrong_value_is_named_by_its_slip(factor, slip):
    redo = cefazolin()
    found = judged(redo, typed(redo, factor), "certain")
    assert found.verdict is Verdict.WRONG
    assert found.why.slips[0].slip is slip


def test_the_factor_that_went_wrong_is_named():
    """The weight left out: 30 mg / 20 mg/mL / 0.5 h = 3 mL/h, whatever the patient weighs."""
    found = judged(cefazolin(), "3 mL/h", "fairly")
    assert found.why.slips[0].slip is Slip.WEIGHT_LEFT_OUT
    assert found.why.wrong_factor == "weight"


@pytest.mark.parametrize("text", ["abc", "1/2", "1e3", "", "mL/h"])
def test_what_cannot_be_read_says_how_to_write_it(text):
    found = judged(cefazolin(), text, "")
    assert not found.is_read
    assert not found.is_right
    assert found.reason.startswith("This cannot be read as a value.")
    assert found.typed == text


def test_the_worked_solution_ends_with_the_right_value():
    redo = cefazolin()
    assert explain.amount(redo.key.value, redo.key.unit) in judged(redo, "1 mL/h", "").worked[-1]

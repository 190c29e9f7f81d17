"""The computed key: dose, volume, rate and duration of every order."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.unit.scoring.ward import (
    ANTIBIOTIC,
    BOLUS,
    DOPAMINE,
    MAINTENANCE,
    MIN,
    POLICY,
    H,
    a_line,
    a_scenario,
)
from trainer.clinical.problem import parse_problem
from trainer.clinical.quantity import parse_quantity
from trainer.clinical.rounding import TEACHING_ROUNDING
from trainer.clinical.solve import solve
from trainer.engine.amounts import motes_from_ml
from trainer.errors import ProblemError
from trainer.scenario.model import Limit
from trainer.scoring import expect
from trainer.terms import Drive


def the_key(order, quantity, **changes):
    found = expect.key(expect.keys(a_scenario(order, **changes)), order.id, quantity)
    assert found is not None
    return found


def value(order, quantity, **changes):
    return the_key(order, quantity, **changes).value


def plain_rate(text):
    return replace(MAINTENANCE, rule="", rate=parse_quantity(text))


# Common practice, no source: in a child at most two hours of volume at once; 40 mL/h is
# given as 80 mL; 100 mL over 30 min runs at 200 mL/h; vancomycin over an hour at least, so
# 28 mL runs at 28 mL/h.
def test_a_child_on_40_ml_per_h_is_given_80_ml_at_once():
    assert value(plain_rate("40 mL/h"), "volume") == 80


def test_an_adult_on_40_ml_per_h_is_given_the_whole_bag():
    child = a_scenario().patient
    adult = replace(child, age_years=Fraction(40))
    assert value(plain_rate("40 mL/h"), "volume", patient=adult) == 500


def test_100_ml_over_30_min_runs_at_200_ml_per_h():
    dose = parse_quantity("100 mL")
    order = replace(BOLUS, dose=dose, over_ms=30 * MIN)
    assert value(order, "rate") == 200


def test_a_made_up_bag_of_28_ml_over_an_hour_at_least_runs_at_28_ml_per_h():
    order = replace(ANTIBIOTIC, fluid="made-up", supply="made-up", dose=parse_quantity("140 mg"))
    assert value(order, "volume") == 28
    assert value(order, "rate") == 28


# 22 kg: 62 mL/h by 4-2-1, 64 by 100-50-20 (1540 / 24): the two published rules differ.
@pytest.mark.parametrize(("rule", "expected"), [("4-2-1", "62"), ("100-50-20", "64.2")])
def test_maintenance_follows_the_rule_that_the_order_names(rule, expected):
    order = replace(MAINTENANCE, rule=rule)
    assert value(order, "rate", weight="22 kg") == Fraction(expected)


# 5 mcg/kg/min, 18.2 kg, 400 mg in 250 mL: 3.4125 mL/h, worked by hand.
def test_a_dose_by_weight_and_minute_becomes_a_rate_with_its_chain():
    rate = the_key(DOPAMINE, "rate")
    assert rate.exact == Fraction("3.4125")
    assert rate.value == Fraction("3.4")
    assert rate.chain is not None
    assert rate.chain.exact == rate.exact
    assert rate.worked[0] == "rate = dose x weight / concentration"
    assert rate.worked[-1] == "half up to 0.1 mL/h: 3.4 mL/h"


def test_the_dose_itself_is_part_of_the_key():
    dose = the_key(ANTIBIOTIC, "dose")
    assert (dose.value, dose.unit) == (Fraction(273), "mg")


def test_a_dose_that_is_part_of_the_bag_is_given_as_dose_by_concentration():
    assert value(ANTIBIOTIC, "volume") == Fraction("54.6")


def test_the_longest_of_ordered_and_least_durations_counts():
    short = replace(ANTIBIOTIC, over_ms=30 * MIN, least_ms=0)
    assert value(short, "duration") == 60
    long = replace(ANTIBIOTIC, over_ms=2 * H)
    assert value(long, "duration") == 120


def test_a_rate_is_cut_down_where_half_up_would_break_the_least_duration():
    order = replace(
        ANTIBIOTIC,
        fluid="made-up",
        supply="made-up",
        least_ms=63 * MIN,
    )
    rate = the_key(order, "rate")
    assert rate.exact == Fraction(80, 3)  # 28 mL in 63 min: 26.67 mL/h, half up 26.7
    assert rate.value == Fraction("26.6")
    assert Fraction("26.7") in rate.also
    assert "faster than the least duration" in rate.worked[-1]


def test_a_bolus_is_volume_by_weight_over_its_time():
    assert value(BOLUS, "volume") == 182
    assert value(BOLUS, "rate") == 546


def test_a_continuous_order_for_a_stated_time_asks_no_more_than_that():
    assert value(replace(plain_rate("40 mL/h"), over_ms=H), "volume") == 40


def test_the_container_bounds_what_is_entered_at_once():
    assert value(replace(plain_rate("300 mL/h"), supply="drug-bag"), "volume") == 250


def test_the_expected_programme_is_volume_and_rate_of_the_key():
    programme = expect.expected_programme(a_scenario(plain_rate("40 mL/h")), "maintenance")
    assert programme.volume == motes_from_ml(Fraction(80))
    assert programme.rate_ul_h == 40_000
    assert programme.duration_ms == 2 * H


def test_the_wards_hours_are_data():
    policy = replace(POLICY, hours_at_once=Fraction(4))
    assert value(plain_rate("40 mL/h"), "volume", policy=policy) == 160


def test_a_key_that_cannot_be_computed_names_order_and_quantity():
    endless = replace(BOLUS, over_ms=0)
    with pytest.raises(ProblemError, match="order `bolus`: the duration cannot be computed"):
        expect.keys(a_scenario(endless))
    unfit = replace(DOPAMINE, dose=parse_quantity("5 units/kg/min"))
    with pytest.raises(ProblemError, match="order `dopamine`: the rate cannot be computed"):
        expect.keys(a_scenario(unfit))


def test_a_dose_outside_the_formularys_limit_is_a_caution():
    scenario = a_scenario(ANTIBIOTIC)
    limit = Limit(of="dose", unit="mg/kg", most=Fraction(10), because="ears")
    drug = replace(scenario.drug("antibiotic"), limits=(limit,))
    formulary = replace(scenario.formulary, drugs=(drug, scenario.drug("dopamine")))
    told = expect.keys(replace(scenario, formulary=formulary))[0].cautions
    assert told == (
        "antibiotic, dose: 15 mg/kg is 5 mg/kg above the highest, 10 mg/kg (soft limit). Ears.",
    )


def test_a_weight_on_the_order_that_is_not_the_patients_is_a_caution():
    order = replace(BOLUS, weight=parse_quantity("28.1 kg"))
    (first, *_) = expect.keys(a_scenario(order))
    assert "The order names a weight of 28.1 kg; the patient weighs 18.2 kg." in first.cautions


# The key and the calculator reach the same answer on two ways.
@pytest.mark.parametrize(
    ("order", "given"),
    [
        (
            DOPAMINE,
            {"dose": "5 mcg/kg/min", "weight": "18.2 kg", "concentration": "400 mg in 250 mL"},
        ),
        (BOLUS, {"volume": "182 mL", "duration": "20 min"}),
        (MAINTENANCE, {"weight": "18.2 kg", "rule": "4-2-1"}),
    ],
)
def test_the_key_agrees_with_the_calculator(order, given):
    problem = parse_problem({"id": "a", "find": "rate", "unit": "mL/h", "given": given})
    assert the_key(order, "rate").exact == solve(problem, TEACHING_ROUNDING).exact


def test_the_usual_cautions_are_told():
    (first, *_) = expect.keys(a_scenario(MAINTENANCE, weight="22 kg"))
    assert any("4-2-1 gives 62 mL/h, 100-50-20 gives 64.2 mL/h" in told for told in first.cautions)


def on_a_drip(**changes):
    """The line run by gravity."""
    return (a_line(drive=Drive.GRAVITY, **changes),)


# Published worked answers for drops per minute: rate or volume over time, drop factor, answer.
@pytest.mark.parametrize(
    ("rate", "drop_factor", "drops"),
    [
        ("62.5 mL/h", 60, 63),  # 1500 mL in a day: Pharmacology Math for the Practical Nurse
        ("125 mL/h", 20, 42),  # the same book
        ("125 mL/h", 10, 21),  # pharmacy mathematics slides
    ],
)
def test_drops_per_minute_are_rate_by_drop_factor_rounded_to_whole_drops(rate, drop_factor, drops):
    lines = on_a_drip(drop_factor=Fraction(drop_factor))
    key = the_key(plain_rate(rate), "drip_rate", lines=lines)
    assert (key.value, key.unit) == (drops, "gtt/min")


def test_drops_of_a_dose_over_a_time_follow_from_its_unrounded_rate():
    """250 mL in 45 min by 10 gtt/mL: 56 gtt/min (Pharmacology Math for the Practical Nurse)."""
    order = replace(BOLUS, dose=parse_quantity("250 mL"), over_ms=45 * MIN)
    key = the_key(order, "drip_rate", lines=on_a_drip(drop_factor=Fraction(10)))
    assert key.value == 56
    assert key.exact == Fraction(500, 9)


def test_drops_are_worked_out_on_a_pumps_line_only_if_asked():
    asked = replace(plain_rate("125 mL/h"), ask=("drip_rate",))
    assert value(asked, "drip_rate") == 42
    assert expect.key(expect.keys(a_scenario(MAINTENANCE)), "maintenance", "drip_rate") is None

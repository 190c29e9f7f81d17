"""Dosing, fluids, body surface, kinetics, time, limits: one table or case each."""

from __future__ import annotations

from fractions import Fraction

import pytest

from trainer.clinical import bsa, dosing, fluids, kinetics, powers, timebase
from trainer.clinical.limits import Side, standing
from trainer.clinical.problem import Problem
from trainer.clinical.rounding import round_half_up
from trainer.clinical.solve import FLUID_PER_PERCENT, solve
from trainer.errors import QuantityError

F = Fraction


def solved(find: str, unit: str, **given: str) -> Fraction:
    exact = solve(Problem(id="x", find=find, unit=unit, given=tuple(given.items()))).exact
    assert exact is not None
    return exact


def test_the_functions_and_the_table_of_relations_say_the_same() -> None:
    cases = [
        (dosing.rate_for_duration(F(500), F(7)), solved("rate", "mL/h", volume="500 mL", duration="7 h")),
        (dosing.volume_from_rate(F(35), F(7)), solved("volume", "mL", rate="35 mL/h", duration="7 h")),
        (dosing.duration_for_volume(F(500), F(35)), solved("duration", "h", volume="500 mL", rate="35 mL/h")),
        (dosing.drip_rate(F(35), F(20)), solved("drip_rate", "gtt/min", rate="35 mL/h", drop_factor="20 gtt/mL")),
        (dosing.rate_from_drip(F(35), F(20)), solved("rate", "mL/h", drip_rate="35 gtt/min", drop_factor="20 gtt/mL")),
        (dosing.drop_factor(F(35), F(70)), solved("drop_factor", "gtt/mL", drip_rate="35 gtt/min", rate="70 mL/h")),
        (dosing.rate_from_dose(F(5), F(18), F(2)), solved("rate", "mL/h", dose="5 mcg/kg/min", weight="18 kg", concentration="2 mg/mL")),
        (dosing.dose_from_rate(F(5), F(18), F(2)), solved("dose", "mcg/kg/min", rate="5 mL/h", weight="18 kg", concentration="2 mg/mL")),
        (dosing.dose_by_weight(F(7), F(18)), solved("dose", "mg", dose="7 mg/kg", weight="18 kg")),
        (dosing.single_dose(F(70), F(4)), solved("dose", "mg", dose="70 mg/day", doses_per_day="4")),
        (dosing.volume_for_dose(F(7), F(3)), solved("volume", "mL", dose="7 mg", concentration="3 mg/mL")),
        (dosing.amount_in_volume(F(7), F(3)), solved("amount", "mg", volume="7 mL", concentration="3 mg/mL")),
        (dosing.concentration_after_dilution(F(7), F(3), F(4)), solved("concentration", "mg/mL", amount="7 mg", volume="3 mL", diluent="4 mL")),
        (fluids.deficit_ml(F(7), F(3)), solved("deficit", "mL", weight="7 kg", dehydration="3 %")),
        (fluids.resuscitation_ml(F(7), F(30), F(4)), solved("resuscitation", "mL", weight="7 kg", burned="30 %", coefficient="4 mL/kg/%")),
    ]  # fmt: skip
    for formula, searched in cases:
        assert formula == searched


@pytest.mark.parametrize(
    ("weight_kg", "per_h", "per_day"),
    [
        # 22, 27 and 35 kg: paediatric fluid problems, see worked_examples.json WE-09
        ("22", "62", "1540"),
        ("27", "67", "1640"),
        ("35", "75", "1800"),
        # the corners of the rules: Holliday and Segar 1957, from memory
        ("10", "40", "1000"),
        ("20", "60", "1500"),
        ("3.4", "13.6", "340"),
    ],
)
def test_maintenance_by_both_rules_and_back(weight_kg: str, per_h: str, per_day: str) -> None:
    weight = F(weight_kg)
    assert fluids.maintenance_ml_per_h(weight) == F(per_h)
    assert fluids.maintenance_ml_per_day(weight) == F(per_day)
    assert fluids.weight_from_maintenance_ml_per_h(F(per_h)) == weight
    assert fluids.weight_from_maintenance_ml_per_day(F(per_day)) == weight


def test_the_two_maintenance_rules_are_not_equal() -> None:
    assert fluids.maintenance_ml_per_h(F(22)) * 24 != fluids.maintenance_ml_per_day(F(22))


def test_one_percent_of_body_weight_is_the_same_constant_in_both_places() -> None:
    assert FLUID_PER_PERCENT.size == fluids.DEFICIT_ML_PER_KG_PER_PERCENT


def test_mosteller_is_exact_where_the_root_is() -> None:
    assert bsa.mosteller_m2(F(100), F(36)) == 1
    assert bsa.mosteller_other(F(1), F(36)) == 100


def test_haycock_turns_round_to_the_height_and_the_weight() -> None:
    area = bsa.haycock_m2(F(110), F(18))
    step = F(1, 10**20)
    assert round_half_up(bsa.haycock_height_cm(area, F(18)), step) == 110
    assert round_half_up(bsa.haycock_weight_kg(area, F(110)), step) == 18


def test_haycock_and_mosteller_are_near_each_other_for_a_child() -> None:
    near = bsa.haycock_m2(F(110), F(18)) / bsa.mosteller_m2(F(110), F(18))
    assert F("0.97") < near < F("1.03")


def test_powers_undo_each_other() -> None:
    step = F(1, 10**25)
    assert round_half_up(powers.exponential(powers.natural_log(F(7))), step) == 7
    assert round_half_up(powers.square_root(F(2)) ** 2, step) == 2
    assert powers.square_root(F(9, 16)) == F(3, 4)


@pytest.mark.parametrize(
    "call",
    [
        lambda: powers.square_root(F(-1)),
        lambda: powers.natural_log(F(0)),
        lambda: powers.exponential(F(20_000)),
        lambda: bsa.mosteller_m2(F(0), F(18)),
        lambda: bsa.haycock_m2(F(110), F(0)),
        lambda: fluids.maintenance_ml_per_h(F(0)),
        lambda: fluids.deficit_ml(F(10), F(0)),
        lambda: dosing.rate_for_duration(F(1), F(0)),
        lambda: dosing.rate_from_dose(F(1), F(1), F(0)),
        lambda: kinetics.elimination_per_h(F(0)),
        lambda: kinetics.share_left_after_half_lives(F(-1)),
    ],
)
def test_an_impossible_value_is_refused(call) -> None:
    with pytest.raises(QuantityError):
        call()


def test_a_level_rises_while_an_infusion_runs_and_falls_afterwards() -> None:
    def level(at_h: int) -> Fraction:
        return kinetics.level_of_one_infusion_mg_per_l(F(10), F("0.2"), F(2), F(at_h))

    assert level(0) == 0
    assert level(1) < level(2) > level(3) > level(9) > 0


def test_half_a_half_life_leaves_the_root_of_one_half() -> None:
    left = kinetics.share_left_after_half_lives(F(1, 2))
    assert round_half_up(left**2, F(1, 10**25)) == F(1, 2)


def test_simulated_time_in_words_and_back() -> None:
    assert timebase.parse_sim_duration("1 h 30 min") == 90 * timebase.MS_PER_MIN
    assert timebase.format_duration(90 * timebase.MS_PER_MIN) == "1 h 30 min"
    assert timebase.format_duration(-1500) == "-1 s"
    assert timebase.format_sim(25 * timebase.MS_PER_H + 999) == "25:00:00"
    assert timebase.parse_sim("25:00:01") == 25 * timebase.MS_PER_H + 1000
    assert timebase.h_from_ms(timebase.MS_PER_DAY) == 24


@pytest.mark.parametrize("text", ["1:30:00", "01:60:00", "01:30", "x"])
def test_a_moment_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(QuantityError, match="HH:MM:SS"):
        timebase.parse_sim(text)


def test_a_duration_finer_than_a_millisecond_is_refused() -> None:
    with pytest.raises(QuantityError, match="finer than a millisecond"):
        timebase.parse_sim_duration("0.00001 s")


@pytest.mark.parametrize(
    ("value", "side", "by"),
    [("4", Side.BELOW, "1"), ("5", Side.WITHIN, "0"), ("10", Side.WITHIN, "0"), ("12", Side.ABOVE, "2")],
)  # fmt: skip
def test_a_value_stands_to_a_range_whose_ends_are_within(value: str, side: Side, by: str) -> None:
    found = standing(F(value), "mg/h", least=F(5), most=F(10))
    assert (found.side, found.by, found.is_within) == (side, F(by), side is Side.WITHIN)


def test_a_standing_says_by_how_much() -> None:
    assert standing(F(4), "mg/h", least=F(5)).words == "4 mg/h is 1 mg/h below the lowest, 5 mg/h"
    assert standing(F(12), "mg/h", most=F(10)).share == F(1, 5)
    assert standing(F(12), "mg/h").words == "12 mg/h is within the limits"
    with pytest.raises(QuantityError, match="exchange them"):
        standing(F(1), "mg", least=F(2), most=F(1))

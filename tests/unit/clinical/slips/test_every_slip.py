"""Each slip by hand: the entry that it leads to, worked out beside it."""

from __future__ import annotations

import pytest

from tests.unit.clinical.slips.ask import DRIP, LITRE, Given, judged, names
from trainer.clinical.slips.likelihood import LIKELIHOODS
from trainer.clinical.slips.names import Slip

SYRUP: Given = {
    "dose": "40 mg/kg/day",
    "weight": "22 lb",
    "doses_per_day": "2",
    "concentration": "400 mg in 5 mL",
}
DROPS: Given = {"volume": "250 mL", "duration": "45 min", "drop_factor": "10 gtt/mL"}
SET: Given = {"rate": "125 mL/h", "drop_factor": "20 gtt/mL"}
HEAVY: Given = {"dose": "10 mg/kg", "weight": "40 lb"}

RATES = [
    ("tenfold", DRIP, "34.1 mL/h"),
    ("tenfold", DRIP, "0.34 mL/h"),
    ("hundredfold", DRIP, "341 mL/h"),
    ("thousandfold", DRIP, "3412.5 mL/h"),
    ("thousandfold", DRIP, "0.00341 mL/h"),
    ("pounds", DRIP, "7.5 mL/h"),  # 18.2 x 2.2 = 40.04
    ("pounds", DRIP, "1.6 mL/h"),  # 18.2 / 2.2 = 8.27
    ("per-minute", DRIP, "0.0569 mL/h"),  # 3.4125 / 60
    ("per-minute", DRIP, "204.8 mL/h"),  # 3.4125 x 60
    ("weight-left-out", DRIP, "0.19 mL/h"),  # 3.4125 / 18.2 = 0.1875
    ("weight-twice", DRIP, "62.1 mL/h"),  # 3.4125 x 18.2
    ("upside-down", DRIP, "8.7 mL/h"),  # 250 mg in 400 mL: x 2.56
    ("dose-as-rate", DRIP, "5 mL/h"),
    ("swapped", DRIP, "18.2 mL/h"),
    ("swapped", DRIP, "250 mL/h"),
    ("digits", DRIP, "33.4 mL/h"),
    ("digits", DRIP, "4.3 mL/h"),
    ("truncated", LITRE, "142.8 mL/h"),
    ("early-rounding", LITRE, "143 mL/h"),
    ("hours-for-minutes", LITRE, "8571.4 mL/h"),  # 7 min
    ("upside-down", LITRE, "0.007 mL/h"),  # 7 / 1000
]


@pytest.mark.parametrize(("slip", "given", "entered"), RATES, ids=lambda one: str(one)[:20])
def test_a_slip_in_a_rate_is_named_first(slip: str, given: Given, entered: str) -> None:
    assert names(judged(given, entered))[0] == slip


OTHER_QUESTIONS = [
    ("per-day", SYRUP, "5 mL", "volume", "mL"),  # not divided by the two doses; right is 2.5 mL
    ("pounds", SYRUP, "5.5 mL", "volume", "mL"),  # 22 lb as 22 kg
    ("hours-for-minutes", DROPS, "0.926 gtt/min", "drip_rate", "gtt/min"),  # 45 h; right is 56
    ("drop-factor", SET, "31 gtt/min", "drip_rate", "gtt/min"),  # a set of 15; right is 42
    ("drop-factor", SET, "125 gtt/min", "drip_rate", "gtt/min"),  # mL/h for drops
    ("drop-factor", SET, "2.1 gtt/min", "drip_rate", "gtt/min"),  # mL/min for drops
    ("early-rounding", HEAVY, "180 mg", "dose", "mg"),  # 18.18 kg as 18; right is 182
    ("thousandfold", {"amount": "250 mcg"}, "250 mg", "amount", "mg"),
    ("pounds", {"weight": "74 lb"}, "74 kg", "weight", "kg"),  # right is 33.6
    ("pounds", {"weight": "8 lb 6 oz"}, "8.4 kg", "weight", "kg"),  # 8.375; right is 3.8
]


@pytest.mark.parametrize(
    ("slip", "given", "entered", "find", "unit"), OTHER_QUESTIONS, ids=lambda one: str(one)[:20]
)
def test_a_slip_in_another_answer_is_named_first(
    slip: str, given: Given, entered: str, find: str, unit: str
) -> None:
    assert names(judged(given, entered, find=find, unit=unit))[0] == slip


RULES = [
    ("weight-left-out", {"rule": "4-2-1", "weight": "22 kg"}, "60 mL/h"),  # the last 2 kg
    ("pounds", {"rule": "4-2-1", "weight": "22 kg"}, "40 mL/h"),  # 22 / 2.2 = 10 kg
    ("per-day", {"rule": "4-2-1", "weight": "22 kg"}, "1488 mL/h"),
    ("tenfold", {"rule": "4-2-1", "weight": "22 kg"}, "620 mL/h"),
    ("per-minute", {"rule": "100-50-20", "weight": "22 kg"}, "1.07 mL/h"),
    ("early-rounding", {"rule": "100-50-20", "weight": "22 kg"}, "62 mL/h"),  # the hourly rule
    ("per-day", {"rule": "4-2-1", "weight": "7.4 kg"}, "30.8 mL/h"),  # 740 mL in a day, by 24
]


@pytest.mark.parametrize(("slip", "given", "entered"), RULES, ids=lambda one: str(one)[:20])
def test_a_slip_in_a_rule_by_weight_is_listed(slip: str, given: Given, entered: str) -> None:
    assert slip in names(judged(given, entered))


def test_half_of_the_fluid_after_a_burn_is_not_the_whole() -> None:
    given = {"weight": "20 kg", "burned": "15 %", "coefficient": "3 mL/kg/%", "duration": "8 h"}
    found = judged(given, "900 mL", find="resuscitation", unit="mL")  # right is 450 mL
    assert names(found)[0] == "per-day"


def test_a_weight_left_out_of_a_deficit_is_seen() -> None:
    given = {"weight": "22 kg", "dehydration": "5 %"}  # right is 1100 mL
    assert "weight-left-out" in names(judged(given, "50 mL", find="deficit", unit="mL"))


def test_the_diluent_not_counted_is_another_concentration() -> None:
    given = {"amount": "10 mg", "volume": "10 mL", "diluent": "40 mL"}  # right is 200 mcg/mL
    found = judged(given, "250 mcg/mL", find="concentration", unit="mcg/mL")
    assert names(found)[0] == "other-concentration"


def test_half_past_written_as_hundredths_is_hours_for_minutes() -> None:
    """9 h 30 min is 9.5 h; a published student answer has 9.30."""
    given = {"volume": "950 mL", "duration": "9 h 30 min"}  # right is 100 mL/h
    assert "hours-for-minutes" in names(judged(given, "102.2 mL/h"))


def test_a_time_of_day_is_followed_through_its_duration() -> None:
    given = {
        "start": "22:00",
        "volume": "500 mL",
        "drip_rate": "50 gtt/min",
        "drop_factor": "20 gtt/mL",
    }  # 200 min: right is 01:20
    ask = {"find": "finish", "unit": "clock"}
    assert judged(given, "01:20", **ask).verdict == "right"  # type: ignore[arg-type]
    wrong = judged(given, "23:40", find="finish", unit="clock")  # 100 min, a set of 10
    assert names(wrong) == ["drop-factor"]
    assert "10 gtt/mL" in wrong.slips[0].explanation


OTHERS = [
    ("superseded", {"weight": ["22 kg"]}, "4.1 mL/h"),  # 4.125
    ("superseded", {"dose": ["8 mcg/kg/min"]}, "5.5 mL/h"),  # 5.46
    ("superseded", {"rate": ["12 mL/h"]}, "12 mL/h"),  # the rate of the older order
    ("superseded", {"older order": ["8 mcg/kg/min"]}, "5.5 mL/h"),
    ("other-concentration", {"concentration": ["200 mg in 500 mL"]}, "13.7 mL/h"),  # 13.65
    ("pounds", {"weight": ["41 lb"]}, "7.7 mL/h"),  # 41 kg: 7.6875
]


@pytest.mark.parametrize(("slip", "others", "entered"), OTHERS, ids=lambda one: str(one)[:30])
def test_a_value_that_lay_about_is_recognised(
    slip: str, others: dict[str, list[str]], entered: str
) -> None:
    assert names(judged(DRIP, entered, others=others))[0] == slip


def test_the_set_of_another_patient_is_a_drop_factor() -> None:
    ask = judged(
        SET, "25 gtt/min", find="drip_rate", unit="gtt/min", others={"drop_factor": ["12 gtt/mL"]}
    )
    assert names(ask)[0] == "drop-factor"


def test_every_slip_has_a_likelihood_with_its_source() -> None:
    assert {one.slip for one in LIKELIHOODS} == set(Slip)
    assert all(one.source and 0 < one.in_a_hundred <= 100 for one in LIKELIHOODS)
    shares = [one.in_a_hundred for one in LIKELIHOODS]
    assert shares == sorted(shares, reverse=True)
    assert len(set(shares)) == len(shares)

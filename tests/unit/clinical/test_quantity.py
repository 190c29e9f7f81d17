"""Quantities as written: numbers, sums, strengths, durations and times of day."""

from __future__ import annotations

from fractions import Fraction

import pytest

from trainer.clinical.quantity import (
    decimals_written,
    format_clock,
    format_quantity,
    measures,
    parse_clock,
    parse_duration,
    parse_quantity,
    parse_strength,
)
from trainer.clinical.units import parse_unit
from trainer.errors import QuantityError


@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("5 mg", "5"),
        ("0.25 mg", "0.25"),
        ("18.2kg", "18.2"),
        ("10,000 units", "10000"),
        ("1,234,567.5 units", "1234567.5"),
        ("25\u2009000 units", "25000"),
        ("25\u202f000 units", "25000"),
        ("25 000 units", "25000"),
        ("8 lb 6 oz", "8.375"),
        ("1 h 30 min", "1.5"),
        ("2 million units", "2"),
        ("0.17 1/h", "0.17"),
        ("5 %", "5"),
    ],
)
def test_the_value_is_exact_as_written(written: str, value: str) -> None:
    assert parse_quantity(written).value == Fraction(value)


@pytest.mark.parametrize(
    ("written", "mend"),
    [
        ("12,5 mg", r"decimal comma; write 12\.5"),
        ("1e3 mg", "power of ten"),
        ("5 x 10 mg", "power of ten"),
        ("1/2 mg", r"fraction or ratio; write a decimal, such as 0\.5"),
        ("1/0 mg", "divides by zero"),
        (".5 mg", r"write 0\.5"),
        ("5. mg", "ends in a point; write 5"),
        ("05 mg", "idle zero; write 5"),
        ("+5 mg", "write 5"),
        ("-5 mg", "without the minus"),
        ("\u22125 mg", "without the minus"),
        ("\uff15 mg", "another script"),
        ("\u0665 mg", "another script"),
        ("5'4\"", "write 5 ft 4 in"),
        ("5'", "write 5 ft"),
        ("NaN mg", "not a value"),
        ("inf", "not a value"),
        ("mg", "a number is missing"),
        ("", "nothing is written"),
        ("   ", "nothing is written"),
        ("5", "has no unit"),
        ("1 5 mg", "not a number"),
        ("1,00,000 mg", "not a number"),
        ("9" * 30 + " mg", "too many digits"),
        ("5 mg " * 50, "too long"),
        ("8 lb 20 oz", "smaller than one"),
        ("1.5 h 30 min", "only the last number"),
        ("5 kg 3 mL", "two kinds"),
    ],
)
def test_an_unsafe_number_is_refused_with_how_to_write_it(written: str, mend: str) -> None:
    with pytest.raises(QuantityError, match=mend) as caught:
        parse_quantity(written, what="dose")
    assert str(caught.value).startswith("dose: ")


def test_a_quantity_converts_within_its_dimension() -> None:
    assert parse_quantity("5 mcg/kg/min").to("mg/kg/h") == Fraction("0.3")
    assert parse_quantity("18.2 kg").to("g") == 18200
    assert parse_quantity("22 lb").to("kg") == 10


def test_a_conversion_into_another_dimension_names_both() -> None:
    with pytest.raises(QuantityError, match=r"5 mL cannot be given in mg: volume is not mass"):
        parse_quantity("5 mL").to("mg")


@pytest.mark.parametrize(
    ("written", "mg_per_ml"),
    [
        ("2 mg/mL", "2"),
        ("400 mg in 250 mL", "1.6"),
        ("125 mg/5 mL", "25"),
        ("1 g per 10 mL", "100"),
        ("10 %", "100"),
        ("0.9%", "9"),
        ("500 mcg/mL", "0.5"),
    ],
)
def test_a_strength_is_read_in_each_way_it_is_written(written: str, mg_per_ml: str) -> None:
    assert parse_strength(written).quantity.to("mg/mL") == Fraction(mg_per_ml)


@pytest.mark.parametrize(
    ("written", "mend"),
    [
        ("1:1000", "ratio, which is misread; write 1 mg/mL"),
        ("1:10,000", r"write 0\.1 mg/mL"),
        ("5 mg", "not an amount in a volume"),
        ("5 mL in 10 mL", "not an amount of drug"),
        ("400 mg in 0 mL", "has no volume"),
        ("150 %", "above 100 %"),
    ],
)
def test_a_strength_that_is_none_says_how_to_write_it(written: str, mend: str) -> None:
    with pytest.raises(QuantityError, match=mend):
        parse_strength(written)


@pytest.mark.parametrize(
    ("written", "minutes"),
    [("1 h 30 min", 90), ("90 min", 90), ("7.5 h", 450), ("2 days", 2880), ("1 day 4 h", 1680)],
)
def test_a_duration_is_read_in_each_way_it_is_written(written: str, minutes: int) -> None:
    assert parse_duration(written).to("min") == minutes


@pytest.mark.parametrize(
    ("written", "mend"), [("1:30", "write 1 h 30 min"), ("5 mL", "not a time"), ("2", "no unit")]
)
def test_a_duration_that_is_none_says_how_to_write_it(written: str, mend: str) -> None:
    with pytest.raises(QuantityError, match=mend):
        parse_duration(written)


@pytest.mark.parametrize(
    ("written", "mend"),
    [
        ("24:00", "write 00:00"),
        ("25:00", "write HH:MM"),
        ("12:60", "write HH:MM"),
        ("0830", "write 08:30"),
        ("3:30 pm", "write 15:30"),
        ("12:05 a.m.", "write 00:05"),
        ("noon", "write HH:MM"),
        ("", "write HH:MM"),
    ],
)
def test_a_time_of_day_that_is_none_says_how_to_write_it(written: str, mend: str) -> None:
    with pytest.raises(QuantityError, match=mend):
        parse_clock(written)


def test_a_time_of_day_past_midnight_begins_again() -> None:
    assert parse_clock("00:05") == 5
    assert format_clock(24 * 60 + 80) == "01:20"


def test_a_quantity_is_written_safely() -> None:
    assert format_quantity(parse_quantity("0.50 mg")) == "0.5 mg"
    assert format_quantity(parse_quantity("25000 unit")) == "25\u2009000 units"
    assert format_quantity(parse_quantity("0.17 1/h")) == "0.17 /h"


def test_how_finely_a_value_was_written() -> None:
    assert decimals_written("18.25 kg") == 2
    assert decimals_written("400 mg in 250.5 mL") == 0


def test_what_a_unit_measures_in_words() -> None:
    assert measures(parse_unit("1/h")) == "per time"
    assert measures(parse_unit("doses")) == "a number"

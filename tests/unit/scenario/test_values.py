"""Each kind of value: what is read from it, in which unit."""

from collections.abc import Callable
from fractions import Fraction

import pytest

from trainer.scenario import values
from trainer.scenario.values import WrongValueError


@pytest.mark.parametrize(
    ("read", "written", "value"),
    [
        (values.read_volume, "40 mL", 40),
        (values.read_volume, "0.5 L", 500),
        (values.read_any_volume, "0 mL", 0),
        (values.read_rate, "56.4 mL/h", Fraction("56.4")),
        (values.read_rate, "1 mL/min", 60),
        (values.read_duration, "1 h 30 min", 5_400_000),
        (values.read_duration, "90 s", 90_000),
        (values.read_any_duration, "0 min", 0),
        (values.read_hours, "90 min", Fraction(3, 2)),
        (values.read_seconds, "0.25 min", 15),
        (values.read_drop_factor, "60 gtt/mL", 60),
        (values.read_litres_per_kg, "600 mL/kg", Fraction(3, 5)),
        (values.read_pressure, "250 mmHg", 250),
        (values.read_compliance, "0.0012 mL/mmHg", Fraction("1.2")),
        (values.read_percent, "10 %", Fraction(1, 10)),
        (values.read_lb_per_kg, "2.2 lb per kg", Fraction("2.2")),
        (values.read_lb_per_kg, "0.45 kg per lb", Fraction(20, 9)),
        (values.read_clock, "08:50", "08:50"),
        (values.read_name_of_step, "look at site", "look-at-site"),
        (values.read_typed, 15, "15"),
        (values.read_sign, "98/56 mmHg", ("98/56", "mmHg")),
        (values.read_line_number, "2", 2),
    ],
)
def test_a_value_is_read_exactly_in_the_unit_of_its_kind(
    read: Callable[[object], object], written: object, value: object
):
    assert read(written) == value


@pytest.mark.parametrize(
    ("written", "years"),
    [
        ("5 years", 5),
        ("1 year", 1),
        ("3 years 4 months", Fraction(10, 3)),
        ("18 months", Fraction(3, 2)),
        ("10 days", Fraction(10, 365)),
        ("6 weeks", Fraction(42, 365)),
    ],
)
def test_an_age_is_read_in_years(written: str, years: Fraction):
    assert values.read_age(written).years == years


@pytest.mark.parametrize(
    ("written", "unit"),
    [("20 mL/kg", "mL/kg"), ("5 mcg/kg/min", "mcg/kg/min"), ("1 g", "g"), ("2 mL/kg/h", "mL/kg/h")],
)
def test_a_dose_is_an_amount_perhaps_by_weight_and_by_time(written: str, unit: str):
    assert values.read_dose(written).unit.text == unit


@pytest.mark.parametrize(
    ("read", "written"),
    [
        (values.read_dose, "20 kg/mL"),
        (values.read_dose, "5 min"),
        (values.read_weight, "70 mL"),
        (values.read_weight, "400 kg"),
        (values.read_duration, "10:30"),
        (values.read_pressure, "20 psi"),
        (values.read_percent, "0 %"),
        (values.read_lb_per_kg, "2.2"),
        (values.read_lb_per_kg, "22 lb per kg"),
        (values.read_lb_per_kg, "2.2 kg per lb"),
        (values.read_age, "young"),
        (values.read_age, "200 years"),
        (values.read_text, "  "),
        (values.read_text, "x" * 2001),
        (values.read_id, "-a"),
        (values.read_whole, True),
        (values.read_truth, "yes"),
        (values.read_volume, "-3 mL"),
        (values.read_volume, "5 U"),
        (values.read_strength, "0 g in 50 mL"),
    ],
)
def test_a_value_that_cannot_be_meant_is_refused_with_a_mend(
    read: Callable[[object], object], written: object
):
    with pytest.raises(WrongValueError) as caught:
        read(written)
    assert caught.value.what
    assert caught.value.mend

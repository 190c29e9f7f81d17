"""Units: the closed table, harmless spellings, refused ones with the mend."""

from __future__ import annotations

from fractions import Fraction

import pytest

from trainer.clinical.units import ALIASES, ATOMS, REFUSED, Dimension, parse_unit, product_of
from trainer.errors import QuantityError


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("mcg/kg/min", "mcg/kg/min"),
        ("ml/hr", "mL/h"),
        ("mL per hour", "mL/h"),
        ("drops/minute", "gtt/min"),
        ("unit/h", "units/h"),
        ("mg / m²/day", "mg/m2/day"),
        ("lbs", "lb"),
        ("1/h", "1/h"),
        ("/min", "1/min"),
        ("million units", "million units"),
        ("mg/dose", "mg/dose"),
    ],
)
def test_a_harmless_spelling_is_read_as_the_unit_of_the_table(written: str, read: str) -> None:
    assert parse_unit(written).text == read


@pytest.mark.parametrize(
    ("written", "mend"),
    [
        ("U", "write units"),
        ("IU/h", "write units"),
        ("mU/min", "write milliunits"),
        ("cc", "write mL"),
        ("\u00b5g", "write mcg"),
        ("\u03bcg/kg/min", "write mcg"),
        ("ug", "write mcg"),
        ("gm", "write g"),
        ("mg/QD", "write day"),
        ("mg/d", "write day"),
        ("ML", "write mL"),
        ("Mcg", "write mcg"),
        ("MG", "write mg"),
        ("KG", "write kg"),
        ("l", "write L"),
        ("mg/36 h", "number in the unit"),
        ("mg//kg", "nothing beside it"),
        ("mg/kg/kg", "write it once"),
        ("", "a unit is missing"),
        ("furlong", "not a unit the trainer knows"),
        ("m" * 100, "too long"),
    ],
)
def test_a_refused_unit_says_what_to_write_instead(written: str, mend: str) -> None:
    with pytest.raises(QuantityError, match=mend):
        parse_unit(written, what="dose")


def test_every_mend_of_a_refused_spelling_can_itself_be_read() -> None:
    for mend in {text.partition(",")[0] for text in REFUSED.values()}:
        parse_unit(mend)


def test_no_spelling_is_both_read_and_refused() -> None:
    assert not set(ALIASES) & set(REFUSED)
    assert set(ALIASES.values()) <= set(ATOMS)


def test_a_kilogram_below_the_stroke_is_of_the_patient_and_a_gram_above_it_of_the_drug() -> None:
    assert parse_unit("g/kg").dimensions == ((Dimension.BODY, -1), (Dimension.MASS, 1))


def test_grams_weigh_the_patient_where_a_weight_is_meant() -> None:
    assert parse_unit("g", of_body=True).dimensions == parse_unit("kg").dimensions
    assert parse_unit("g", of_body=True).size == Fraction(1, 1000)


def test_the_pound_is_a_setting_because_sources_differ() -> None:
    assert parse_unit("lb").size == Fraction(5, 11)
    assert parse_unit("lb", kg_per_lb=Fraction("0.45359237")).size == Fraction("0.45359237")
    assert parse_unit("oz", kg_per_lb=Fraction(1, 2)).size == Fraction(1, 32)


def test_equal_units_above_and_below_leave_nothing() -> None:
    mg = ATOMS["mg"]
    assert product_of(((mg, 1), (mg, -1))).text == ""

"""Rounding once, by rule, and numbers as text."""

from __future__ import annotations

from fractions import Fraction

import pytest

from trainer.clinical.rounding import (
    TEACHING_ROUNDING,
    Manner,
    RoundingRule,
    RoundingRules,
    exact_text,
    format_number,
    parse_exact,
    round_half_up,
    significant_text,
    truncate,
)
from trainer.errors import QuantityError


@pytest.mark.parametrize(
    ("value", "step", "rounded"),
    [
        ("34.5", "1", "35"),  # drops half up: Georgia Highlands College library guide
        ("62.5", "1", "63"),  # US Army Subcourse MD0904, a worked answer
        ("80.5", "1", "81"),  # Adelphi University dosage sheet
        ("11.25", "0.1", "11.3"),
        ("9.75", "0.1", "9.8"),
        ("17.5", "1.5", "18"),
        ("0.125", "0.01", "0.13"),
        ("-2.5", "1", "-3"),
    ],
)
def test_a_half_goes_up_on_the_decimal_value(value: str, step: str, rounded: str) -> None:
    assert round_half_up(Fraction(value), Fraction(step)) == Fraction(rounded)


def test_children_may_be_rounded_down_to_whole_ml() -> None:
    """OpenStax Clinical Nursing Skills: 5.642 mL becomes 5 mL where policy says so."""
    assert truncate(Fraction("5.642"), Fraction(1)) == 5


def test_a_step_of_nothing_is_refused() -> None:
    with pytest.raises(QuantityError, match="more than zero"):
        round_half_up(Fraction(1), Fraction(0))


@pytest.mark.parametrize(
    ("kind", "unit", "value", "rounded"),
    [
        ("rate", "mL/h", "3.4125", "3.4"),
        ("drip_rate", "gtt/min", "12.5", "13"),
        ("volume", "mL", "0.375", "0.38"),
        ("volume", "mL", "3.75", "3.8"),
        ("weight", "kg", "33.6363", "33.6"),
        ("bsa", "m2", "0.67316905", "0.67"),
        ("rate", "mL/kg/min", "0.0075", "0.0075"),
        ("dose", "mg", "1234.4", "1234"),
        ("dose", "mg/h", "20.8333", "20.8"),
    ],
)
def test_the_teaching_rules_round_each_kind_in_its_own_way(
    kind: str, unit: str, value: str, rounded: str
) -> None:
    assert TEACHING_ROUNDING.apply(kind, unit, Fraction(value)) == Fraction(rounded)


def test_a_rule_that_would_leave_nothing_is_passed_over() -> None:
    assert TEACHING_ROUNDING.apply("rate", "mL/h", Fraction("0.04")) == Fraction("0.04")


def test_the_first_rule_that_covers_a_value_is_used() -> None:
    down = RoundingRule(kind="rate", unit="mL/h", step=Fraction(1), manner=Manner.DOWN)
    rules = RoundingRules(rules=(down, RoundingRule(kind="*", step=Fraction(10))))
    assert rules.apply("rate", "mL/h", Fraction("5.9")) == 5
    assert rules.apply("dose", "mg", Fraction(17)) == 20
    assert rules.rule_for("rate", "mL/h", Fraction(5)).words(Fraction(5), "mL/h") == (
        "cut down to 1 mL/h"
    )


def test_the_share_by_which_rounding_moves_a_value() -> None:
    assert TEACHING_ROUNDING.share_moved("drip_rate", "gtt/min", Fraction("1.25")) == Fraction(1, 5)
    assert TEACHING_ROUNDING.share_moved("rate", "mL/h", Fraction(0)) == 0


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ("0.50", "0.5"),
        ("5.0", "5"),
        ("9999", "9999"),
        ("10000", "10\u2009000"),
        ("1234567.25", "1\u2009234\u2009567.25"),
        ("25/3", "8.3333…"),
        ("1/30000", "0.00003333…"),
        ("-12345", "-12\u2009345"),
        ("0", "0"),
    ],
)
def test_a_number_is_written_safely_for_people(value: str, text: str) -> None:
    """Leading zero, no trailing zero, thousands from 10 000: ISMP list of error-prone forms."""
    assert format_number(Fraction(value)) == text


@pytest.mark.parametrize(("value", "text"), [("12.50", "12.5"), ("25/3", "25/3"), ("7", "7")])
def test_an_exact_value_is_written_exactly_for_the_wire(value: str, text: str) -> None:
    assert exact_text(Fraction(value)) == text
    assert parse_exact(text) == Fraction(value)


@pytest.mark.parametrize("text", ["", "1/0", "1e3", "0x1", "1.", "½", "1/2/3", "9" * 99])
def test_an_unexact_text_is_refused(text: str) -> None:
    with pytest.raises(QuantityError, match=r"write 12\.5 or 25/3"):
        parse_exact(text)


def test_a_value_without_end_keeps_twelve_digits() -> None:
    assert significant_text(Fraction(2, 3)) == "0.666666666667"

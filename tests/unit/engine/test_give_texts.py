"""What may be typed into the give sentence: taken, or refused with how to write it."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.build import pump_rules
from trainer.engine.amounts import ml_from_motes, ml_h_from_ul_h
from trainer.engine.programme import give

RULES = pump_rules()


def rate_of(text: str) -> Fraction | str:
    found = give("80", "", text, RULES)
    return found if isinstance(found, str) else ml_h_from_ul_h(found.rate_ul_h)


def volume_of(text: str) -> Fraction | str:
    found = give(text, "", "40", RULES)
    return found if isinstance(found, str) else ml_from_motes(found.volume)


def minutes_of(text: str) -> Fraction | str:
    found = give("80", text, "", RULES)
    return found if isinstance(found, str) else Fraction(found.duration_ms, 60_000)


@pytest.mark.parametrize("text", ["40", "40 mL/h", "40 ml/hr", "40mL/h", " 40 ", "0.04 L/h"])
def test_a_rate_may_be_a_number_or_carry_its_unit(text):
    assert rate_of(text) == 40


@pytest.mark.parametrize("text", ["80", "80 mL", "80 ml", "80mL", "0.08 L"])
def test_a_volume_may_be_a_number_or_carry_its_unit(text):
    assert volume_of(text) == 80


@pytest.mark.parametrize("text", ["1 h 30 min", "90 min", "1.5 h", "90 minutes", "1.5 hours"])
def test_a_duration_carries_its_units(text):
    assert minutes_of(text) == 90


EMPTY = "Enter two of volume, duration and rate; the third follows."
BELOW_ZERO = "a value below zero makes no sense here; check it and write it without the minus."


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("12,5", "`12,5` has a decimal comma; write 12.5."),
        ("1/2", "`1/2` is a fraction or ratio; write a decimal, such as 0.5."),
        ("1e3", "`1e3` is written with a power of ten; write it out, such as 1,000."),
        ("1e400", "`1e400` is written with a power of ten; write it out, such as 1,000."),
        (".5", "`.5` has a bare point, which is overlooked; write 0.5."),
        ("5.", "`5.` ends in a point; write 5."),
        ("05", "`05` begins with an idle zero; write 5."),
        ("\uff15", "`\uff15` has digits from another script; write 0 to 9."),
        ("\u0663", "`\u0663` has digits from another script; write 0 to 9."),
        ("-5", BELOW_ZERO),
        ("\u22125", BELOW_ZERO),
        ("+5", "`+5` has a plus; write 5."),
        ("NaN", "`NaN` is not a number; write it plainly, such as 12.5 or 10,000."),
        ("inf", "`inf` is not a number; write it plainly, such as 12.5 or 10,000."),
        ("9" * 10_000, "`999999999999…` has too many digits; write at most 15."),
        ("about 40", "`about 40` is not a number; write it plainly, such as 12.5 or 10,000."),
    ],
)
def test_a_number_that_is_none_is_refused_with_how_to_write_it(text, said):
    assert rate_of(text) == f"Rate: {said}"
    assert volume_of(text) == f"Volume: {said}"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("40 mL", "Rate: `40 mL` is volume; write it in mL/h."),
        ("40 mg/h", "Rate: `40 mg/h` is mass per time; write it in mL/h."),
        ("40 mL/h/kg", "Rate: `40 mL/h/kg` is volume per body weight per time; write it in mL/h."),
        ("40 drips", "Rate: `drips` is not a unit the trainer knows; write mL/h."),
        ("40 cc/h", "Rate: `cc` is misread and not used in orders; write mL."),
        ("mL/h", "Rate: a number is missing; write one before the unit, such as 5 mL/h."),
        ("", EMPTY),
        ("   ", EMPTY),
        ("0", "The rate must be more than zero."),
    ],
)
def test_a_rate_in_another_unit_or_in_none_is_refused_with_the_right_one(text, said):
    assert rate_of(text) == said


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("5 ml/hr", "Volume: `5 ml/hr` is volume per time; write it in mL."),
        ("80 drips", "Volume: `drips` is not a unit the trainer knows; write mL."),
        ("mL", "Volume: a number is missing; write one before the unit, such as 5 mL."),
        ("0 mL", "The volume must be more than zero."),
    ],
)
def test_a_volume_in_another_unit_or_in_none_is_refused_with_the_right_one(text, said):
    assert volume_of(text) == said


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("1,5 h", "Duration: `1,5` has a decimal comma; write 1.5."),
        ("1/2 h", "Duration: `1/2` is a fraction or ratio; write a decimal, such as 0.5."),
        ("1e3 h", "Duration: `1e3` is written with a power of ten; write it out, such as 1,000."),
        ("1:30", "Duration: `1:30` may be a time of day; write 1 h 30 min."),
        ("90", "Duration: 90 has no unit; write one, such as 1 h 30 min."),
        ("30m", "Duration: `30m` is length, not a time; write 1 h 30 min."),
        ("h", "The duration `h` cannot be read; write it as 1 h 30 min or 90 min."),
        ("-5 min", "No part of a duration is below zero; write it without a minus."),
        ("0 min", "The duration must be more than zero."),
        ("\uff15 h", "Duration: `\uff15` has digits from another script; write 0 to 9."),
    ],
)
def test_a_duration_that_is_none_is_refused_with_how_to_write_it(text, said):
    assert minutes_of(text) == said


@given(text=st.text(max_size=200))
def test_whatever_is_typed_is_taken_or_refused_in_a_sentence(text):
    for found in (rate_of(text), volume_of(text), minutes_of(text)):
        assert not isinstance(found, str) or found.endswith((".", "!", "?"))

"""What may be typed: accepted, or refused with the reason and how to write it."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.unit.clinical.slips.ask import DRIP, answer, judged, names
from trainer.clinical.slips.diagnose import diagnose
from trainer.clinical.slips.others import read_others
from trainer.errors import ProblemError, QuantityError

REFUSED = [
    ("12,5", "write 12.5"),
    ("12,5 mL/h", "write 12.5"),
    ("1/2", "write a decimal, such as 0.5"),
    ("1 1/2 mL/h", "such as 1.5"),
    ("1e3", "write it out"),
    ("3 x 10 mL/h", "write it out"),
    ("\uff13.\uff14", "write 0 to 9"),
    ("\u0663", "write 0 to 9"),
    ("", "write a number and a unit"),
    ("   ", "write a number and a unit"),
    ("nonsense", "write one before the unit"),
    ("-3.4 mL/h", "write it without the minus"),
    ("\u22123.4", "write it without the minus"),
    ("+3.4", "write 3.4"),
    ("3.4.1 mL/h", "write it plainly"),
    ("nan", "write a number"),
    ("inf mL/h", "write a number"),
    ("3-4 mL/h", "write"),
    ("9" * 200, "write"),
    ("3" + "0" * 30 + " mL/h", "write"),
    ("\U0001f489 3 mL/h", "write"),
]


@pytest.mark.parametrize(("entered", "mend"), REFUSED, ids=lambda one: repr(one)[:24])
def test_what_is_no_number_is_refused_with_how_to_write_it(entered: str, mend: str) -> None:
    with pytest.raises(QuantityError) as refusal:
        diagnose(answer(DRIP), entered)
    assert mend in str(refusal.value)
    assert str(refusal.value).startswith("entered: ")


def test_a_number_with_a_unit_that_is_none_is_read_and_the_unit_is_told() -> None:
    found = judged(DRIP, "3.4 mL/h; drop table")
    assert (found.verdict, names(found)) == ("wrong", ["unit"])
    assert found.unit_fault.endswith("write mL/h")


ACCEPTED = ["5 ml/hr", ".5", "5.", "1,250 mL/h", "1 250 mL/h", "1 250", "0", "99999999999999"]


@pytest.mark.parametrize("entered", ACCEPTED)
def test_odd_but_plain_numbers_are_read_and_kept_as_typed(entered: str) -> None:
    assert judged(DRIP, entered).typed == entered


@settings(max_examples=150, deadline=None)
@given(st.text(max_size=30) | st.from_regex(r"[0-9.,/ e]{0,8}[a-zA-Z/ ]{0,8}", fullmatch=True))
def test_no_text_does_more_than_be_judged_or_refused(entered: str) -> None:
    with suppress(QuantityError):
        assert diagnose(answer(DRIP), entered).typed == entered


@pytest.mark.parametrize("entered", ["1:20 pm", "25:00", "0120", "1 h", ""])
def test_a_time_of_day_is_refused_with_its_form(entered: str) -> None:
    clock = {"start": "22:00", "duration": "200 min"}
    with pytest.raises(QuantityError, match="write"):
        judged(clock, entered, find="finish", unit="clock")


def test_a_duration_written_as_a_time_of_day_is_refused_with_its_form() -> None:
    run = {"volume": "100 mL", "rate": "80 mL/h"}
    with pytest.raises(QuantityError, match="write 1 h 15 min"):
        judged(run, "1:15", find="duration", unit="min")


@pytest.mark.parametrize(
    ("find", "unit", "texts", "entered"),
    [
        ("bsa", "m2", {"height": "100 cm", "weight": "36 kg", "rule": "mosteller"}, "1 m2"),
        ("duration", "min", {"volume": "100 mL", "rate": "80 mL/h"}, "1 h 15 min"),
        ("weight", "kg", {"weight": "8 lb 6 oz"}, "3.81 kg"),
        ("concentration", "mg/mL", {"amount": "400 mg", "volume": "250 mL"}, "400 mg in 250 mL"),
        ("concentration", "%", {"amount": "10 g", "volume": "100 mL"}, "10 %"),
        ("doses_per_day", "doses/day", {"dose": "40 mg/day", "amount": "10 mg"}, "4"),
    ],
)
def test_answers_of_every_kind_are_read_in_their_own_form(
    find: str, unit: str, texts: dict[str, str], entered: str
) -> None:
    assert judged(texts, entered, find=find, unit=unit).verdict == "right"


@pytest.mark.parametrize(
    ("others", "mend"),
    [
        ([], "others must be an object"),
        ("40 lb", "others must be an object"),
        ({"weight": "40 lb"}, "must hold a list"),
        ({"weight": [40]}, "in quotes"),
        ({"weight": ["40"]}, "has no unit"),
        ({"weight": ["fat"]}, "write"),
        ({"weight": ["4000 kg"]}, "absurd"),
        ({"rule": ["5-3-1"]}, "unknown"),
        ({"weight": ["40 kg"] * 50}, "more than 40"),
    ],
    ids=str,
)
def test_other_values_that_make_no_sense_are_refused(others: object, mend: str) -> None:
    with pytest.raises((ProblemError, QuantityError), match=mend):
        read_others(others, answer(DRIP).kg_per_lb)


def test_no_other_values_are_none() -> None:
    assert read_others(None, answer(DRIP).kg_per_lb) == ()

"""What holds for any problem: right only within the rounding; a slip made is a slip listed."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tests.unit.clinical.slips.ask import answer, names
from trainer.clinical.rounding import TEACHING_ROUNDING, format_number
from trainer.clinical.slips.answer import Answer
from trainer.clinical.slips.diagnose import diagnose
from trainer.clinical.slips.readable import look_alikes

tenths = st.integers(min_value=5, max_value=999).map(lambda n: Fraction(n, 10))


@st.composite
def drips(draw: st.DrawFn) -> dict[str, str]:
    """A dose per kg and minute from a bag."""
    dose, weight = draw(tenths), draw(tenths)
    amount = draw(st.integers(min_value=1, max_value=80)) * 10
    volume = draw(st.sampled_from((50, 100, 250, 500)))
    return {
        "dose": f"{format_number(dose, plain=True)} mcg/kg/min",
        "weight": f"{format_number(weight, plain=True)} kg",
        "concentration": f"{amount} mg in {volume} mL",
    }


def number(given_texts: dict[str, str], name: str) -> Fraction:
    return Fraction(given_texts[name].split()[0])


MADE: dict[str, Callable[[dict[str, str], Fraction], Fraction]] = {
    "tenfold": lambda _, exact: exact * 10,
    "hundredfold": lambda _, exact: exact / 100,
    "thousandfold": lambda _, exact: exact * 1000,
    "per-minute": lambda _, exact: exact / 60,
    "pounds": lambda _, exact: exact * Fraction("2.2"),
    "weight-left-out": lambda texts, exact: exact / number(texts, "weight"),
    "weight-twice": lambda texts, exact: exact * number(texts, "weight"),
    "dose-as-rate": lambda texts, _: number(texts, "dose"),
    "swapped": lambda texts, _: number(texts, "weight"),
}


def entry(right: Answer, value: Fraction) -> str:
    rounded = right.rounded(value, TEACHING_ROUNDING)
    return f"{format_number(rounded, plain=True)} mL/h"


@settings(max_examples=150, deadline=None)
@given(drips(), st.sampled_from(sorted(MADE)))
def test_a_slip_that_is_made_is_listed(texts: dict[str, str], slip: str) -> None:
    right = answer(texts)
    value = MADE[slip](texts, right.exact)
    assume(value >= Fraction(1, 10**8))
    found = diagnose(right, entry(right, value))
    assume(found.verdict != "right")
    assert slip in names(found)


@settings(max_examples=150, deadline=None)
@given(drips(), st.integers(min_value=1, max_value=10**6), st.integers(min_value=0, max_value=4))
def test_no_entry_outside_the_rounding_is_called_right(
    texts: dict[str, str], digits: int, places: int
) -> None:
    right = answer(texts)
    value = Fraction(digits, 10**places)
    rule = TEACHING_ROUNDING.rule_for("rate", "mL/h", right.exact)
    found = diagnose(right, f"{format_number(value, plain=True)} mL/h")
    is_near = abs(value - right.exact) <= rule.step_for(right.exact) / 2
    assert found.verdict != "right" or is_near


@settings(max_examples=100, deadline=None)
@given(drips(), st.integers(min_value=-30, max_value=30))
def test_no_neighbour_of_the_right_answer_is_called_right(
    texts: dict[str, str], steps: int
) -> None:
    assume(steps != 0)
    right = answer(texts)
    rule = TEACHING_ROUNDING.rule_for("rate", "mL/h", right.exact)
    value = rule.apply(right.exact) + steps * rule.step_for(right.exact)
    assume(value > 0)
    assert diagnose(right, f"{format_number(value, plain=True)} mL/h").verdict != "right"


@settings(max_examples=100, deadline=None)
@given(drips())
def test_the_right_answer_rounded_by_the_policy_is_right(texts: dict[str, str]) -> None:
    right = answer(texts)
    found = diagnose(right, entry(right, right.exact))
    assert (found.verdict, found.slips) == ("right", ())


@settings(max_examples=60, deadline=None)
@given(drips())
def test_slips_that_cannot_be_told_apart_are_both_named_for_the_entry_they_share(
    texts: dict[str, str],
) -> None:
    right = answer(texts)
    for pair in look_alikes(right):
        assert pair.sentence.endswith(".")
        assert pair.second is None or pair.first is not pair.second

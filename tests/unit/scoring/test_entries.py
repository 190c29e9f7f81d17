"""Worked-out values against the key: value, unit and reading, each told apart."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.property.examples import tried
from tests.unit.scoring.ward import DOPAMINE, MAINTENANCE, S, a_scenario, did
from trainer.scoring import entries, expect, record
from trainer.scoring.reading import read
from trainer.terms import Verb, Verdict


def found(*typed, order=DOPAMINE, what="rate", started=None, **changes):
    scenario = a_scenario(order, **changes)
    log = tuple(
        did(n * S, Verb.CALCULATE, order=order.id, what=what, entered=text)
        for n, text in enumerate(typed, start=1)
    )
    starts = {} if started is None else {order.id: started}
    return entries.calculations(
        scenario,
        record.deeds(log),
        record.standings(scenario, log),
        expect.keys(scenario),
        starts,
    )


# Right is 3.4125 mL/h, by the policy 3.4 (5 mcg/kg/min, 18.2 kg, 1.6 mg/mL; by hand).
@pytest.mark.parametrize(
    "typed", ["3.4 mL/h", "3.41 mL/h", "3.4125 mL/h", "3.413 mL/h", "3.4 ml/hr"]
)
def test_the_exact_value_rounded_by_the_policy_or_less_far_is_right(typed):
    (one,) = found(typed)
    assert (one.verdict, one.points, one.most) == (Verdict.RIGHT, 1, 1)


# 18 kg gives 3.375, rounded 3.4: the same. 18.2 x 5 = 91 mcg/min is whole; 5.46 mg/h
# rounded to 5.5 gives 3.4375. With 8.45 kg: 1.584375; 8 kg gives 1.5.
def test_a_weight_rounded_first_is_rounded_early_and_said_so():
    (one,) = found("1.5 mL/h", weight="8.45 kg")
    assert one.verdict is Verdict.ROUNDED_EARLY
    assert one.points == Fraction(1, 2)
    assert one.reason == "The weight, 8.45, was rounded to 8 first. Round once, at the end."


# 42.25 mcg/min rounded to 42: 42 x 60 / 1600 = 1.575, rounded 1.6, the same; the
# concentration 1.6 rounded to 2: 1.2675, rounded 1.3, off by a fifth.
def test_an_early_rounding_that_moves_the_value_far_is_wrong_and_still_named():
    (one,) = found("1.3 mL/h", weight="8.45 kg")
    assert one.verdict is Verdict.WRONG
    assert one.reason == (
        "The concentration, 1.6, was rounded to 2 first. This moves the value by more than 10 %."
    )


# 5 x 8.45 = 42.25 mcg/min, rounded to 42: 42 x 60 / 1600 = 1.575 mL/h; by hand.
def test_an_early_rounding_is_found_however_finely_the_answer_is_written():
    (one,) = found("1.575 mL/h", weight="8.45 kg")
    assert one.verdict is Verdict.ROUNDED_EARLY
    assert "was rounded to 42 first" in one.reason


def test_an_answer_rounded_further_than_the_ward_asks_is_told():
    (one,) = [f for f in found("62 mL/h", order=MAINTENANCE, weight="22.3 kg") if f.at_ms]
    assert one.verdict is Verdict.ROUNDED_EARLY
    assert "here it is rounded to 0.1 mL/h" in one.reason


def test_a_wrong_value_carries_the_right_one_and_the_worked_solution():
    (one,) = found("34 mL/h")
    assert (one.verdict, one.points) == (Verdict.WRONG, 0)
    assert one.title == "DOPamine, hourly rate worked out: 34 mL/h; right: 3.4 mL/h"
    assert one.worked[0] == "rate = dose x weight / concentration"
    assert one.chain is not None


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("3.4", "The unit is missing; write 3.4 mL/h."),
        ("3.4 mL", "`mL` is no unit of this answer; write mL/h."),
        ("3.4 cc/h", "`cc` is misread and not used in orders; write mL."),
    ],
)
def test_a_faulty_unit_is_its_own_finding_and_costs_half(typed, said):
    value, unit = found(typed)
    assert (value.verdict, value.points, value.most) == (
        Verdict.RIGHT,
        Fraction(1, 2),
        Fraction(1, 2),
    )
    assert (unit.verdict, unit.points, unit.most) == (Verdict.WRONG, 0, Fraction(1, 2))
    assert unit.reason == said


def test_another_unit_of_the_same_kind_is_read():
    (one,) = found("0.0034 L/h")
    assert one.verdict is Verdict.RIGHT


@pytest.mark.parametrize("typed", ["about three", ".5.", "NaN mL/h", "", "1/0 mL/h", "x" * 300])
def test_what_cannot_be_read_is_kept_as_typed_with_the_reason(typed):
    (one,) = found(typed)
    assert one.verdict is Verdict.WRONG
    assert one.actual == typed
    assert one.reason.startswith("This cannot be read as a value.")
    assert one.points == 0


def test_a_wrong_value_put_right_before_the_start_is_praised():
    first, second = found("34 mL/h", "3.4 mL/h")
    assert (first.verdict, first.most) == (Verdict.WRONG, 0)
    assert (second.verdict, second.points) == (Verdict.CORRECTED, 1)


def test_a_wrong_value_put_right_only_after_the_start_stays_wrong():
    first, second = found("34 mL/h", "3.4 mL/h", started=1)
    assert (first.verdict, first.points, first.most) == (Verdict.WRONG, 0, 1)
    assert (second.verdict, second.most) == (Verdict.RIGHT, 0)


def test_working_a_right_value_out_again_costs_nothing():
    assert sum(one.points for one in found("3.4 mL/h", "3.41 mL/h")) == 1


def test_a_value_that_nobody_asked_for_is_told_and_not_marked():
    missed, extra = sorted(found("9 mL", what="volume"), key=lambda one: one.id)
    assert (missed.id, missed.verdict) == ("entry.dopamine.rate", Verdict.MISSED)
    assert (extra.verdict, extra.most) == (Verdict.WRONG, 0)


def test_a_value_asked_and_not_worked_out_is_missed():
    (one,) = found()
    assert (one.verdict, one.at_ms, one.points, one.most) == (Verdict.MISSED, None, 0, 1)


def test_how_sure_the_learner_was_stands_beside_the_value():
    scenario = a_scenario(DOPAMINE)
    log = (
        did(1, Verb.CALCULATE, order="dopamine", what="rate", entered="34 mL/h", sure="certain"),
    )
    (one,) = entries.calculations(
        scenario, record.deeds(log), record.standings(scenario, log), expect.keys(scenario), {}
    )
    assert one.actual == "34 mL/h (certain)"


@pytest.mark.parametrize("typed", ["2 h", "120 min", "1 h 60 s 59 min"])
def test_a_duration_may_be_written_in_hours_or_minutes(typed):
    (one,) = [f for f in found(typed, order=MAINTENANCE, what="duration") if f.at_ms]
    assert (one.verdict is Verdict.RIGHT) is (typed != "1 h 60 s 59 min")


@given(
    typed=st.text() | st.from_regex(r"[0-9]{1,4}(\.[0-9]{0,3})? ?[a-zA-Z/%]{0,8}", fullmatch=True)
)
@tried(100)
def test_whatever_is_typed_is_read_or_told_and_never_breaks(typed):
    for quantity in ("rate", "duration", "dose"):
        key = expect.key(KEYS, "dopamine", quantity)
        assert key is not None
        reading = read(typed, key)
        assert (reading.value is None) is bool(reading.fault)
        assert reading.typed == typed


KEYS = expect.keys(a_scenario(DOPAMINE))

"""What is told to be written instead of a number with an idle zero is itself safe to read."""

from __future__ import annotations

import pytest

from trainer.clinical.problem import Problem
from trainer.clinical.slips.answer import answer_of
from trainer.clinical.slips.diagnose import Judged, diagnose
from trainer.clinical.slips.entered import _mended


@pytest.mark.parametrize(
    ("typed", "write"),
    [
        ("0.770 mL/h", "0.77 mL/h"),
        ("3.40 mL/h", "3.4 mL/h"),
        ("3.00 mL/h", "3 mL/h"),
        ("10.0 mL", "10 mL"),
        ("100.50", "100.5"),
        ("0.0", "0"),
    ],
)
def test_the_idle_zero_goes_and_the_leading_one_stays(typed, write):
    # ISMP's list of error-prone abbreviations: no trailing zero, always a leading one
    assert _mended(typed)[1].endswith(f"; write {write}")


@pytest.mark.parametrize("typed", ["0.77 mL/h", "0.770 mL/h", "0.8 mL/h", "0.80 mL/h", "0.8000"])
def test_a_right_value_stays_right_with_an_idle_zero_and_the_form_is_told(typed):
    # 0.05 mcg/kg/min for 20.4 kg from 80 mcg/mL: 0.765 mL/h
    problem = Problem(
        id="slow",
        find="rate",
        unit="mL/h",
        given=(("dose", "0.05 mcg/kg/min"), ("weight", "20.4 kg"), ("concentration", "80 mcg/mL")),
    )
    found = diagnose(answer_of(problem), typed)
    assert found.verdict is not Judged.WRONG
    assert bool(found.form_fault) is (typed not in {"0.77 mL/h", "0.8 mL/h"})

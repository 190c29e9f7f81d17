"""A value of the order before, told by what stood on each of the two orders."""

from __future__ import annotations

import pytest

from tests.rehearsed import SHIPPED
from trainer.scoring import expect
from trainer.scoring.why import why

SLOW_LINE = SHIPPED["vasopressor-through-a-slow-line"]
"""0.05 mcg/kg/min, then 0.1 mcg/kg/min; 20.4 kg; 0.08 mg/mL."""


# By hand: 0.05 x 20.4 = 1.02 mcg/min; x 60 / 80 = 0.765 mL/h.
@pytest.mark.parametrize(
    ("quantity", "typed"), [("dose", "1.02 mcg/min"), ("rate", "0.765 mL/h"), ("rate", "0.8 mL/h")]
)
def test_the_ordered_dose_is_the_factor_that_went_wrong_and_is_held_against_the_new_one(
    quantity: str, typed: str
):
    all_keys = expect.keys(SLOW_LINE)
    key = expect.key(all_keys, "noradrenaline-more", quantity)
    assert key is not None
    found = why(SLOW_LINE, key, typed, all_keys)
    assert found.slips[0].slip == "superseded"
    assert found.wrong_factor == "dose"
    assert found.slips[0].because == (
        "the dose of 0.05 mcg/kg/min in the order before was used instead of 0.1 mcg/kg/min"
    )

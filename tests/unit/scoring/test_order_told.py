"""An order at fault is told as it was written, not by the right value it does not lead to."""

from __future__ import annotations

import pytest

from tests.rehearsed import model_report
from trainer.terms import Stage


@pytest.mark.parametrize(
    ("order", "told"),
    [("maintenance", "4-2-1 for 15 kg"), ("maintenance-today", "4-2-1 by weight: 54.8 mL/h")],
)
def test_the_first_link_of_a_way_says_what_the_order_says(order, told):
    found = next(
        one for one in model_report("maintenance-and-a-bent-line").traces if one.order == order
    )
    assert found.links[0].stage is Stage.ORDERED
    assert found.links[0].text == told

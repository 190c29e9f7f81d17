"""The chart: what there is to work out for the orders that stand."""

from __future__ import annotations

import pytest

from tests.build import a_scenario, an_order
from trainer.engine.begin import initial_state
from trainer.web.views_chart import work_view


def to_work_out(*orders) -> list[tuple[str, str]]:
    state = initial_state(a_scenario(orders=orders))
    return [(one.order, one.what) for one in work_view(state)]


def test_an_order_is_offered_with_the_quantities_that_it_asks():
    asks = an_order(ask=("volume", "duration"))
    assert to_work_out(asks) == [("maintenance", "volume"), ("maintenance", "duration")]


@pytest.mark.parametrize(
    ("kind", "usual"),
    [
        ("continuous", ["rate", "volume"]),
        ("intermittent", ["dose", "volume", "rate"]),
        ("bolus", ["volume", "rate"]),
    ],
)
def test_an_order_that_asks_nothing_is_offered_with_what_is_usual_for_its_kind(kind, usual):
    assert to_work_out(an_order(kind=kind)) == [("maintenance", what) for what in usual]


def test_orders_that_ask_come_first():
    asked = an_order("antibiotic", ask=("dose",))
    assert [order for order, _ in to_work_out(an_order(), asked)] == [
        "antibiotic",
        "maintenance",
        "maintenance",
    ]


def test_an_order_that_does_not_stand_offers_nothing():
    assert to_work_out(an_order(active=False, ask=("rate",))) == []

"""The race of heads at the join: which container gives, how much, and when both do."""

from fractions import Fraction

import pytest

from trainer.engine.heads import Feeds, head_u, holding_u, race, vacuum_at, vacuum_u
from trainer.engine.state import Container, Inlet, Line
from trainer.terms import Role

SET_U = 12_000
"""0.012 mmHg per (mL/h): a primary set with its clamp fully open."""
SECONDARY_U = 100_000
"""0.1 mmHg per (mL/h)."""


def a_line(
    *,
    drop_mm: int = 300,
    lowered: bool = True,
    primary_mm: int = 900,
    secondary_mm: int = 900,
    primary_u: int = SET_U,
    secondary_u: int = SECONDARY_U,
) -> Line:
    """A line with both inlets joined; how high they hang and what holds them back."""
    return Line(
        number=1,
        access="hand",
        above_size=0,
        below_size=0,
        primary=Inlet(
            size=0, chamber_size=0, joined=True, height_mm=primary_mm, resistance_u=primary_u
        ),
        secondary=Inlet(
            size=0, chamber_size=0, joined=True, height_mm=secondary_mm, resistance_u=secondary_u
        ),
        primary_lowered=lowered,
        hanger_drop_mm=drop_mm,
    )


def secondary_ml_h(line: Line, rate_ml_h: str, *, valve_works: bool = True) -> float:
    rate = int(Fraction(rate_ml_h) * 1_000)
    return race(line, rate, valve_works=valve_works).secondary_ul_h / 1_000


# Source: reference row SEC-03, Q* = 0.73556 dh / R, physics with an invented resistance,
# from memory: dh 30 cm and R 0.1 mmHg per (mL/h) give 220.7 mL/h within 0.2 %.
PUBLISHED_START_ML_H, PUBLISHED_TOLERANCE = 220.7, 0.002


def test_the_primary_starts_to_join_at_the_rate_that_head_over_resistance_gives():
    line = a_line(drop_mm=300)
    below = int(PUBLISHED_START_ML_H * (1 - PUBLISHED_TOLERANCE) * 1_000)
    above = int(PUBLISHED_START_ML_H * (1 + PUBLISHED_TOLERANCE) * 1_000)
    assert race(line, below, valve_works=True) == Feeds(0, below)
    assert race(line, above, valve_works=True).primary_ul_h > 0


@pytest.mark.parametrize(
    ("drop_mm", "rate", "gives"),
    [
        # Worked by hand from Q_s = (0.73556 dh + Q R_p) / (R_s + R_p), R_p 0.012, R_s 0.1
        (300, "50", 50.0),  # below Q* = 220.7: the secondary alone
        (300, "220.6", 220.6),
        (300, "300", 229.168),  # (22.0668 + 3.6) / 0.112
        (300, "600", 261.311),  # (22.0668 + 7.2) / 0.112
        (0, "100", 10.714),  # equal heights: 1.2 / 0.112, both flow
        (0, "600", 64.286),
        (-50, "100", 0.0),  # the secondary 5 cm lower: -3.68 + 1.2 < 0
        (-50, "400", 10.019),  # (-3.6778 + 4.8) / 0.112
    ],
)
def test_the_heads_and_resistances_share_the_flow(drop_mm, rate, gives):
    line = a_line(drop_mm=drop_mm)
    assert secondary_ml_h(line, rate) == pytest.approx(gives, abs=0.002)


def test_what_both_give_is_what_the_pump_draws():
    for rate in (1, 999, 100_000, 999_999):
        for drop_mm in (-300, 0, 1, 250):
            for valve_works in (True, False):
                flows = race(a_line(drop_mm=drop_mm), rate, valve_works=valve_works)
                assert flows.primary_ul_h + flows.secondary_ul_h == rate
                assert flows.secondary_ul_h >= 0
                assert flows.primary_ul_h >= 0 or not valve_works


def test_a_stuck_valve_lets_the_secondary_run_up_into_the_primary_at_low_rate():
    # (22.0668 + 0.6) / 0.112 = 202.38 mL/h from the secondary, 50 of it to the pump
    assert secondary_ml_h(a_line(), "50", valve_works=False) == pytest.approx(202.382, abs=0.002)
    assert race(a_line(), 50_000, valve_works=False).primary_ul_h < 0


def test_a_stuck_valve_lets_it_run_up_though_the_pump_stands():
    # 22.0668 / 0.112
    assert secondary_ml_h(a_line(), "0", valve_works=False) == pytest.approx(197.025, abs=0.002)
    assert race(a_line(), 0, valve_works=True) == Feeds(0, 0)


def test_a_stuck_valve_changes_nothing_above_the_rate_where_the_primary_joins():
    line = a_line()
    assert race(line, 400_000, valve_works=False) == race(line, 400_000, valve_works=True)


def test_without_a_secondary_the_primary_gives_all():
    line = Line(
        number=1,
        access="hand",
        above_size=0,
        below_size=0,
        primary=Inlet(size=0, chamber_size=0),
        secondary=None,
    )
    assert race(line, 100_000, valve_works=True) == Feeds(100_000, 0)


def test_a_primary_is_lowered_by_the_hangers_length():
    assert head_u(a_line(drop_mm=250, lowered=False)) == 0
    assert head_u(a_line(drop_mm=250, lowered=True)) == 250 * 73_556


@pytest.mark.parametrize("rate", [50_000, 300_000])
def test_a_closed_bottle_is_held_at_the_vacuum_that_leaves_all_flow_to_the_other(rate):
    """At that vacuum the head that is left gives nothing (or all, for the primary)."""
    line = a_line()
    held = holding_u(line, Role.SECONDARY, rate)
    left_u = head_u(line) - held + rate * SET_U // 1_000
    assert left_u == 0
    primary_held = holding_u(line, Role.PRIMARY, rate)
    with_vacuum = head_u(line) + primary_held + rate * SET_U // 1_000
    assert with_vacuum // (SET_U + SECONDARY_U) == rate // 1_000


def test_a_bottles_vacuum_follows_the_gas_law():
    # 20 mL of gas at 760 mmHg: 1 mL out lowers it by 38 mmHg
    gas, out = 20 * 3_600_000_000, 3_600_000_000
    bottle = Container(supply="b", fluid="saline", left=out, rigid=True, gas=gas, vacuum=out)
    assert vacuum_u(bottle) == 38_000_000
    assert vacuum_at(bottle, 38_000_000) == out

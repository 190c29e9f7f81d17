"""The exponential from basic operations: as right as the library's, the same everywhere."""

import math

import pytest

from trainer.engine.law import STANDING, Law
from trainer.engine.physics.decay import exp_neg, expm1_neg
from trainer.engine.physics.outflow import died_away, lagged

POINTS = [
    *(number / 64 for number in range(0, 640)),
    *(10.0**power * step for power in range(-14, 2) for step in (1.0, 1.7, 3.3, 7.9)),
    *(float(number) for number in range(10, 690, 7)),
]


def test_e_to_the_minus_x_is_right_to_one_part_in_a_thousand_million_million():
    assert max(abs(exp_neg(x) / math.exp(-x) - 1) for x in POINTS) < 1e-15


def test_the_share_that_has_gone_is_right_for_small_exponents_too():
    assert max(abs(expm1_neg(x) / -math.expm1(-x) - 1) for x in POINTS if x) < 1e-15


def test_the_ends_are_exact():
    assert (exp_neg(0.0), expm1_neg(0.0)) == (1.0, 0.0)
    assert (exp_neg(1e6), expm1_neg(1e6)) == (0.0, 1.0)


def test_known_bits_come_out_on_every_machine():
    # Computed once with this code; another machine must give the same doubles.
    assert exp_neg(1.0).hex() == "0x1.78b56362cef38p-2"
    assert expm1_neg(0.25).hex() == "0x1.c5041854df7d4p-3"


def test_half_of_an_amount_dies_away_in_a_half_life():
    tau_ms = 1_000_000
    half_ms = round(math.log(2) * tau_ms)
    assert died_away(10**9, half_ms, tau_ms) == pytest.approx(5 * 10**8, abs=400)


def test_what_comes_through_a_lag_is_less_by_what_fills_it():
    rate, tau_ms = 50_000, 60_000
    late = lagged(rate, 0, 100 * tau_ms, tau_ms)
    assert rate * 100 * tau_ms - late == pytest.approx(rate * tau_ms, abs=2)


@pytest.mark.parametrize(
    "law",
    [
        Law(40_000),
        Law(40_000, short=10**9),
        Law(0, dying=10**9, tau_ms=5_000),
        Law(40_000, dying=10**9, tau_ms=90_000, builds_up=True),
        Law(40_000, short=10**8, tau_ms=90_000, builds_up=True),
    ],
)
def test_the_first_millisecond_is_where_the_volume_is_first_reached(law):
    for volume in (1, 10**6, 5 * 10**8):
        first = law.first_ms(volume, 10**7)
        assert first is not None
        assert law.volume(first) >= volume
        assert first == 1 or law.volume(first - 1) < volume


def test_what_never_comes_has_no_moment():
    assert STANDING.first_ms(1, 10**9) is None
    assert Law(0, dying=10**6, tau_ms=1_000).first_ms(2 * 10**6, 10**9) is None
    assert Law(1_000).first_ms(10**9, 999_999) is None

"""Body, effect site and lags in closed form, against the same equations integrated by scipy."""

from math import exp, log

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from tests.build import HOUR, MINUTE, SECOND
from trainer.engine.physics.chain import Chain, Course, Values, chain_from, later
from trainer.terms import Driver

FOLLOWED = (
    (Driver.LEVEL, 3 * MINUTE),
    (Driver.EFFECT_SITE, 40 * SECOND),
    (Driver.RATE, 5 * MINUTE),
    (Driver.EFFECT_SITE, 2 * HOUR),
    (Driver.LEVEL, 0),
)
HALF_LIFE_MS, SITE_HALF_MS = 37 * MINUTE, 6 * MINUTE
START = (12.0, 3.0, 7.0, 2.0, 0.4, 1.0, 0.0)


def the_chain() -> Chain:
    return chain_from(HALF_LIFE_MS, SITE_HALF_MS, FOLLOWED)


def arriving_per_ms(arrivals: list[Course], length_ms: int, at_ms: float) -> float:
    return sum(
        even / length_ms + (decaying / tau_ms * exp(-at_ms / tau_ms) if decaying else 0.0)
        for even, decaying, tau_ms in arrivals
    )


def integrated(start: Values, length_ms: int, arrivals: list[Course]) -> list[float]:
    """The differential equations of the module's docstring, in milliseconds."""
    k, ke0 = log(2) / HALF_LIFE_MS, log(2) / SITE_HALF_MS

    def slope(at_ms: float, y: list[float]) -> list[float]:
        comes = arriving_per_ms(arrivals, length_ms, at_ms)
        drivers = {
            Driver.LEVEL: y[0],
            Driver.EFFECT_SITE: y[1],
            Driver.RATE: comes * 60_000,
        }
        lags = [
            (drivers[driver] - z) / lag_ms if lag_ms else 0.0
            for (driver, lag_ms), z in zip(FOLLOWED, y[2:], strict=True)
        ]
        return [comes - k * y[0], ke0 * (y[0] - y[1]), *lags]

    solved = solve_ivp(
        slope, (0, length_ms), start, method="DOP853", rtol=1e-12, atol=1e-13
    )  # steps of its own choice, an order tighter than what is asked for
    return [series[-1] for series in solved.y]


@pytest.mark.parametrize(
    "arrivals",
    [
        [],
        [(50.0, 0.0, 0)],
        [(50.0, 20.0, 90_000)],
        [(50.0, -20.0, 90_000), (5.0, 0.0, 0)],
        [(0.0, 8.0, 3_202_000)],  # dies away about as fast as the body clears it
    ],
    ids=["nothing", "evenly", "dying away", "building up", "at the body's own pace"],
)
@pytest.mark.parametrize("length_ms", [1, 700, 95_000, 20 * MINUTE, 9 * HOUR])
def test_every_value_is_that_of_the_differential_equations(arrivals, length_ms):
    ours = later(the_chain(), START, length_ms, arrivals, 0.0)
    for found, expected in zip(ours, integrated(START, length_ms, arrivals), strict=True):
        assert abs(found - expected) <= 1e-8 * max(1.0, abs(expected))


@given(
    first_ms=st.integers(1, 8 * HOUR),
    second_ms=st.integers(1, 8 * HOUR),
    per_ms=st.floats(0, 1e-3),
)
def test_two_stretches_give_what_one_gives(first_ms, second_ms, per_ms):
    chain = the_chain()
    half_way = later(chain, START, first_ms, [(per_ms * first_ms, 0.0, 0)], 0.0)
    twice = later(chain, half_way, second_ms, [(per_ms * second_ms, 0.0, 0)], 0.0)
    once = later(
        chain, START, first_ms + second_ms, [(per_ms * (first_ms + second_ms), 0.0, 0)], 0.0
    )
    assert twice == pytest.approx(once, rel=1e-9, abs=1e-9)


def test_what_comes_at_once_is_in_the_body_and_not_yet_at_the_effect_site():
    after = later(the_chain(), (0.0,) * 7, MINUTE, [], 10.0)
    amount, site, level_lag, site_lag, rate_lag, *_ = after
    assert amount == 10.0
    assert abs(site) < 1e-12
    assert abs(level_lag) < 1e-12
    assert abs(site_lag) < 1e-9
    assert rate_lag == pytest.approx(10.0 * 60_000 / (5 * MINUTE))  # 2 units/min, then dying away


def test_an_effect_site_has_half_of_a_lasting_level_after_its_half_time():
    chain = chain_from(10**12, SITE_HALF_MS, ())  # a body that keeps everything
    _, site = later(chain, (8.0, 0.0), SITE_HALF_MS, [], 0.0)
    assert site == pytest.approx(4.0, rel=1e-6)


@pytest.mark.parametrize("site_half_ms", [HOUR, HOUR + 1, HOUR - 1_000])
def test_paces_that_are_the_same_are_hardly_set_apart(site_half_ms):
    lag_ms = round(HOUR / log(2))  # the pace of a half-life of one hour
    chain = chain_from(HOUR, site_half_ms, ((Driver.EFFECT_SITE, lag_ms),))
    found = later(chain, (1.0, 0.0, 0.0), HOUR, [], 0.0)
    x = log(2)  # all three paces the same: 1, x, x^2 / 2 times e^-x
    for ours, expected in zip(found, (0.5, x / 2, x * x / 4), strict=True):
        assert ours == pytest.approx(expected, rel=3e-3)


def test_a_drug_without_a_half_life_can_still_be_answered_by_its_rate():
    chain = chain_from(0, 0, ((Driver.RATE, MINUTE), (Driver.LEVEL, MINUTE)))
    amount, _, of_rate, of_level = later(chain, (0.0,) * 4, HOUR, [(60.0, 0.0, 0)], 0.0)
    assert (amount, of_level) == (0.0, 0.0)
    assert of_rate == pytest.approx(1.0)  # 60 units in an hour


def test_the_same_pace_is_worked_out_once():
    assert len(chain_from(HOUR, 0, ((Driver.LEVEL, MINUTE), (Driver.RATE, MINUTE))).paces) == 2

"""A narrowed line against a general solver: the same equation integrated independently.

The solver knows dE/dt = Q(t) - E/tau and V' = E/tau as written in a textbook; it is given
the script of rates and nothing of the engine.
"""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from tests.build import Bedside, a_scenario, an_event
from tests.property.examples import tried
from trainer.engine.amounts import MOTES_PER_ML
from trainer.engine.carry import carry
from trainer.engine.view import pressure_mmhg
from trainer.scenario.model import Effect, Trigger
from trainer.terms import Happening, Verb

COMPLIANCE_ML_PER_MMHG = 1.2e-3
RESTING_MMHG = 10.0
STRETCHES = st.lists(
    st.tuples(st.sampled_from((0, 5, 20, 80, 150)), st.integers(3, 900)), min_size=1, max_size=6
)


def by_the_solver(resistance: float, stretches: list[tuple[int, int]]) -> list[tuple[float, float]]:
    """Excess and volume delivered, in mL, at the end of each stretch."""
    tau_s = resistance * COMPLIANCE_ML_PER_MMHG * 3600
    values, found = [0.0, 0.0], []
    for rate, seconds in stretches:
        done = solve_ivp(
            lambda _, y, rate=rate: [rate / 3600 - y[0] / tau_s, y[0] / tau_s],
            (0, seconds),
            values,
            rtol=1e-10,
            atol=1e-13,
            method="LSODA",
        )
        values = list(done.y[:, -1])
        found.append((values[0], values[1]))
    return found


@tried(60)
@given(st.sampled_from(("0.1", "1", "2.5")), STRETCHES)
def test_pressure_and_volume_agree_to_one_part_in_a_million(resistance, stretches):
    effect = Effect(
        happening=Happening.LINE_NARROWS, line=1, reason="a strap", resistance=Fraction(resistance)
    )
    events = (an_event("strap", Trigger(at_ms=0), effect),)
    bedside = Bedside(a_scenario(events=events, pressure_alarm_mmhg=Fraction(5_000)))
    bedside.wait(0)
    expected = by_the_solver(float(resistance), stretches)
    for (rate, seconds), (excess_ml, given_ml) in zip(stretches, expected, strict=True):
        if rate:
            bedside.run(rate=str(rate), volume="9000")
        elif bedside.state.line(1).pump.rate_ul_h:
            bedside.do(Verb.STOP, line="1")
        bedside.wait(seconds * 1000)
        state = carry(bedside.state, bedside.now_ms)
        came_ml = sum(volume for _, volume in state.ledger.vein) / MOTES_PER_ML
        assert abs(came_ml - given_ml) <= 1e-6 * max(1e-3, given_ml)
        rise = float(pressure_mmhg(state, 1)) - RESTING_MMHG
        assert abs(rise - excess_ml / COMPLIANCE_ML_PER_MMHG) <= 1e-6 * max(1.0, rise)

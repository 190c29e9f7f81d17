"""The engine against differential equations: one part in a million over random scripts.

`ode_twin` integrates the same equations with scipy's `solve_ivp` at tight tolerances, from
act to act and from crossing to crossing, knowing nothing of the engine. Volumes, pressures,
drug amounts, effect sites and lags must agree before every act and at the end, alarms to
the millisecond. `TRAINER_EXAMPLES` asks for more examples than the usual few.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from tests.build import Bedside, a_bag, a_patient, a_ready_line, a_scenario
from tests.property.both_ways import (
    ARMS,
    NARROWINGS,
    VEINS,
    Pair,
    Step,
    a_pair_with_secondary,
    a_plain_pair,
    a_syringe_pair,
    compare,
    compare_alarms,
)
from tests.property.examples import tried
from tests.property.ode_twin import MMHG_PER_MM, clamp_at, gravity_flow
from trainer.engine.amounts import MOTES_PER_ML
from trainer.engine.carry import carry
from trainer.scenario.model import Access, Hydraulics
from trainer.terms import Drive

EXAMPLES = 40
MOST_MS = 12 * 60_000
END: Step = (1_234_567, "stop", None)

RATES = ("0.7", "12.3", "60", "87.3", "400", "900")
WAITS = st.one_of(st.integers(1, 2_000), st.integers(1, 60_000), st.integers(1, MOST_MS))


def steps(*choices: st.SearchStrategy[tuple[str, object]]) -> st.SearchStrategy[list[Step]]:
    one = st.tuples(WAITS, st.one_of(*choices)).map(lambda pair: (pair[0], *pair[1]))
    return st.lists(one, min_size=2, max_size=8)


def act(what: str, *values: object) -> st.SearchStrategy[tuple[str, object]]:
    return st.sampled_from([(what, value) for value in values or (None,)])


def run(role: str, *volumes: str) -> st.SearchStrategy[tuple[str, object]]:
    return st.tuples(st.sampled_from(volumes), st.sampled_from(RATES)).map(
        lambda typed: ("run", (role, *typed))
    )


RUNS = run("primary", "0.4", "7", "300")
PUMP_ACTS = (
    act("start"),
    act("stop"),
    act("clamp shut", "patient"),
    act("clamp open", "patient"),
    act("come", "bend", *NARROWINGS),
    act("straighten"),
    act("straighten"),
    act("release"),
    act("flush", "0.3", "1.5", "4"),
)
PLAIN = steps(RUNS, RUNS, *PUMP_ACTS, act("clamp shut", "primary"), act("clamp open", "primary"),
              act("come", "bend-above", *VEINS, *ARMS))  # fmt: skip
SECONDARY = steps(
    RUNS,
    run("secondary", "3", "21"),
    run("secondary", "3", "21"),
    act("start"),
    act("stop"),
    act("clamp shut", "secondary"),
    act("clamp open", "secondary"),
    act("lower"),
    act("raise"),
    act("come", "bend", "narrow-more"),
    act("straighten"),
    act("flush", "0.3", "4"),
)
SYRINGE_RUNS = run("primary", "0.4", "3")
SYRINGE = steps(
    SYRINGE_RUNS, SYRINGE_RUNS, act("start"), act("stop"), act("height", "0", "40", "-60"),
    act("clamp shut", "patient"), act("clamp open", "patient"),
    act("come", "bend", *NARROWINGS, *VEINS), act("straighten"),
)  # fmt: skip

RUN = ("run", ("primary", "300", "87.3"))
FAST = ("run", ("primary", "300", "400"))
SECOND = ("run", ("secondary", "15", "200"))


def agree(pair: Pair, begin: Step, script: list[Step]) -> None:
    pair.play([begin, *script, END])
    compare(pair.now, pair.twin)
    compare_alarms(pair)


@tried(EXAMPLES, costs=5)
@given(PLAIN)
@example([(61_003, "come", "bend"), (200_000, "straighten", None), (3_001, "start", None)])
@example([(61_003, "come", "narrow"), (30_000, "straighten", None)])
@example([(61_003, "come", "narrow-most"), (90_000, "stop", None), (500_001, "straighten", None)])
@example([(61_003, "clamp shut", "patient"), (9_000, "stop", None), (4_000, "release", None),
          (2_001, "clamp open", "patient"), (7, "flush", "1.5"), (5_000, "start", None)])  # fmt: skip
@example([(11_000, "come", "vein-high"), (90_000, "come", "arm-up"), (60_000, "come", "vein-low")])
@example([(11_000, "come", "bend-above"), (90_000, "straighten", None), (60_000, "start", None)])
def test_one_line_agrees_through_blocks_narrowings_and_changes_of_rate(script):
    agree(a_plain_pair(), (1_000, *RUN), script)


@tried(EXAMPLES, costs=5)
@given(SECONDARY)
@example([(5_000, "lower", None), (100, *SECOND), (400_000, "run", ("primary", "300", "900"))])
@example([(5_000, "lower", None), (100, "run", ("secondary", "21", "400")), (700_000, *RUN)])
@example([(100, *FAST), (60_000, "lower", None), (60_000, "raise", None)])
@example([(100, *SECOND), (70_000, "clamp shut", "secondary"), (60_000, "lower", None)])
def test_a_secondary_agrees_through_switches_and_concurrent_flow(script):
    agree(a_pair_with_secondary(), (1_000, *RUN), script)


@tried(EXAMPLES // 4, costs=10)
@given(SECONDARY)
@example([(60_000, "stop", None), (300_000, *FAST), (20_000, *RUN)])
def test_a_stuck_valve_agrees_though_fluid_runs_up_the_primary(script):
    pair = a_pair_with_secondary()
    pair.play([(1_000, *RUN), (3_000, "lower", None), (1_003, "come", "stick")])
    agree(pair, (10_000, *FAST), script)


@tried(EXAMPLES, costs=5)
@given(SYRINGE)
@example([(400_000, "height", "40"), (400_000, "height", "0"), (90_000, "height", "-60")])
@example([(9_000, "come", "narrow-more"), (90_000, "stop", None)])
def test_a_syringe_agrees_through_slack_heights_and_narrowings(script):
    agree(a_syringe_pair(), (1_000, "run", ("primary", "12", "12.3")), script)


# --- by height alone ------------------------------------------------------------------

SET, CATHETER, CLAMP = Fraction("0.012"), Fraction("0.06"), Fraction("0.02")
GAS_ML, ATMOSPHERE_MMHG = 20, 760


def by_height(height_cm: int, thousandths: int, vein: int, *, kind: str = "bag") -> Bedside:
    """A gravity line; a bottle's air inlet is shut."""
    hydraulics = Hydraulics(
        container_height_cm=Fraction(height_cm),
        set_resistance=SET,
        clamp_resistance=CLAMP,
        catheter_flow=((24, Fraction("73.556") / (CATHETER * 60)),),
        bottle_gas_ml=Fraction(GAS_ML),
    )
    line = a_ready_line(drive=Drive.GRAVITY, opening=Fraction(thousandths, 1000))
    bedside = Bedside(
        a_scenario(
            lines=(line,),
            supplies=(a_bag(volume_ml=2_000, kind=kind),),
            patient=a_patient(access=(Access(id="hand", name="h", kind="peripheral", gauge=24),)),
            hydraulics=hydraulics,
            resting_pressure_mmhg=Fraction(vein),
        )
    )
    closed = (replace(one, vented=False) for one in bedside.state.containers)
    bedside.state = replace(bedside.state, containers=tuple(closed))
    return bedside


def gone_ml(bedside: Bedside, elapsed_ms: int) -> float:
    """What has reached the vein by then."""
    vein = carry(bedside.state, elapsed_ms).ledger.vein
    return sum(volume for _, volume in vein) / MOTES_PER_ML


HEIGHTS, OPENINGS = st.integers(20, 200), st.integers(20, 1000)


@tried(EXAMPLES)
@given(HEIGHTS, OPENINGS, st.integers(0, 40), st.integers(1, 600_000))
def test_a_gravity_flow_is_driving_pressure_over_resistance(height, opening, vein, elapsed_ms):
    bedside = by_height(height, opening, vein)
    flow = gravity_flow(
        container_mm=height * 10,
        site_mm=0,
        vein_pressure=vein,
        resistance=float(SET + CATHETER),
        opening=Fraction(opening, 1000),
        clamp_resistance=CLAMP,
    )
    whole_microlitre_per_h = elapsed_ms / 3_600_000 * 1e-3
    assert gone_ml(bedside, elapsed_ms) == pytest.approx(
        flow * elapsed_ms / 3_600_000, rel=1e-9, abs=1.001 * whole_microlitre_per_h
    )


@tried(EXAMPLES)
@given(st.integers(50, 200), OPENINGS, st.integers(0, 30), st.integers(1, 600_000))
def test_a_bottle_without_air_dies_away_as_its_gas_stretches(height, opening, vein, elapsed_ms):
    bedside = by_height(height, opening, vein, kind="bottle")
    resistance = float(SET + CATHETER) + clamp_at(Fraction(opening, 1000), CLAMP)
    per_mmhg = GAS_ML / ATMOSPHERE_MMHG
    tau_s = round(resistance * per_mmhg * 3_600_000) / 1000  # counted in whole milliseconds
    holds = (MMHG_PER_MM * height * 10 - vein) * per_mmhg
    solved = solve_ivp(
        lambda _t, y: [(holds - y[0]) / tau_s],
        (0, elapsed_ms / 1000),
        [0.0],
        method="DOP853",
        rtol=1e-11,
        atol=1e-13,
    )
    assert gone_ml(bedside, elapsed_ms) == pytest.approx(float(solved.y[0][-1]), rel=1e-6, abs=1e-6)


# --- tests of the test ----------------------------------------------------------------


@pytest.mark.parametrize("script", [[END]])
def test_the_twin_would_see_a_wrong_compliance(script):
    """A test of the test: a twin with another compliance does not agree."""
    pair = a_plain_pair()
    pair.twin.compliance *= 1.001
    with pytest.raises(AssertionError):
        agree(pair, (1_000, *RUN), [(9_000, "come", "bend"), (90_000, "start", None), *script])


def test_the_bedside_is_the_one_the_twin_describes():
    line = a_plain_pair().bedside.state.line(1)
    assert Fraction(line.below_size, 3_600_000_000) == Fraction("1.5")

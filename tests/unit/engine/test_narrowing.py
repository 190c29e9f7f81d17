"""A line that is narrowed, a vein's pressure, the arm's height, a shared catheter."""

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.build import (
    HOUR,
    MINUTE,
    SECOND,
    Bedside,
    a_block,
    a_patient,
    a_ready_line,
    a_scenario,
    an_event,
)
from trainer.engine.amounts import MOTES_PER_ML
from trainer.engine.carry import carry
from trainer.engine.downstream import excess
from trainer.engine.view import flow_ul_h, pressure_mmhg
from trainer.scenario.model import Access, Effect, Hydraulics, Scenario, Trigger
from trainer.terms import AlarmKind, Happening, Site, Verb

KOREAN = "Korean J Anesthesiol 2014;66:300-305"
FITTED_UL_PER_MMHG = Fraction("1.156")


def narrowed(resistance: str = "2", rate: str = "100", at_ms: int = 0, **rules) -> Bedside:
    effect = Effect(
        happening=Happening.LINE_NARROWS,
        line=1,
        reason="the tubing is pinched under the arm",
        mend=Verb.STRAIGHTEN,
        resistance=Fraction(resistance),
    )
    events = (an_event("pinch", Trigger(at_ms=at_ms), effect),)
    bedside = Bedside(a_scenario(events=events, **rules))
    bedside.run(rate=rate, volume="900")
    return bedside


def pressure_at(bedside: Bedside, at_ms: int) -> float:
    return float(pressure_mmhg(carry(bedside.state, at_ms), 1))


@pytest.mark.parametrize(("rate", "published_s", "within_s"), [("10", 416, 1), ("50", 81, 3)])
def test_one_fitted_compliance_gives_both_published_times_to_1000_mmhg(rate, published_s, within_s):
    # Source: KOREAN (reference rows OCC-01 and OCC-02): 416 s at 10 mL/h, 81 s at 50 mL/h.
    assert KOREAN
    scenario = a_scenario(
        events=(a_block(),),
        resting_pressure_mmhg=Fraction(0),
        pressure_alarm_mmhg=Fraction(1000),
        compliance_below_ul_per_mmhg=FITTED_UL_PER_MMHG,
    )
    bedside = Bedside(scenario)
    bedside.run(rate=rate, volume="20")
    bedside.wait(HOUR)
    ((kind, at_ms),) = bedside.alarms()
    assert kind is AlarmKind.DOWNSTREAM_OCCLUSION
    assert abs(at_ms / SECOND - published_s) <= within_s


@pytest.mark.parametrize(
    ("rate", "seconds", "published_ml", "share"), [("10", 416, "1.1556", 3), ("50", 81, "1.125", 5)]
)
def test_what_is_stored_at_the_alarm_is_as_published(rate, seconds, published_ml, share):
    # Source: KOREAN, rows OCC-06 and OCC-07 (V = Q t of the published times).
    stored_ml = Fraction(rate) * seconds / 3600
    capacity_ml = FITTED_UL_PER_MMHG * 1000 / 1000
    assert abs(capacity_ml / stored_ml - 1) <= Fraction(share, 100)
    assert abs(stored_ml / Fraction(published_ml) - 1) < Fraction(1, 1000)


def test_the_pressure_before_a_narrowing_tends_to_the_veins_and_r_times_q():
    bedside = narrowed(resistance="2", rate="100")
    # tau = R C = 2 mmHg/(mL/h) x 1.2 uL/mmHg = 8.64 s; 10 + 2 x 100 = 210 mmHg
    assert pressure_at(bedside, 8_640) == pytest.approx(10 + 200 * (1 - 0.36787944), abs=0.001)
    assert pressure_at(bedside, 10 * MINUTE) == pytest.approx(210, abs=0.001)
    assert bedside.alarms() == []


def test_through_a_narrowing_everything_comes_in_the_end_but_what_it_stores():
    bedside = narrowed(resistance="2", rate="100")
    bedside.wait(30 * MINUTE)
    state = carry(bedside.state, 30 * MINUTE)
    came = sum(volume for _, volume in state.ledger.vein)
    assert came == pytest.approx(50 * MOTES_PER_ML - 200 * 1.2e-3 * MOTES_PER_ML, rel=1e-8)
    assert flow_ul_h(state, 1) == pytest.approx(100_000, abs=1)


def test_a_narrowing_that_cannot_reach_the_limit_never_alarms():
    bedside = narrowed(resistance="4", rate="99")  # 10 + 396 < 410
    bedside.wait(4 * HOUR)
    assert bedside.alarms() == []


def test_a_narrowing_alarms_when_its_pressure_reaches_the_limit():
    bedside = narrowed(resistance="8", rate="100")
    bedside.wait(HOUR)
    ((kind, at_ms),) = bedside.alarms()
    # 10 + 800 (1 - e^(-t / 34.56 s)) = 410: t = 34.56 s x ln 2 = 23.955 s
    assert (kind, at_ms) == (AlarmKind.DOWNSTREAM_OCCLUSION, 23_956)
    assert pressure_at(bedside, 23_956) == pytest.approx(410, abs=0.02)


def test_what_stands_behind_a_narrowing_flows_out_after_the_pump_has_stopped():
    bedside = narrowed(resistance="2", rate="100")
    bedside.wait(10 * MINUTE)
    bedside.do(Verb.STOP, line="1")
    before = sum(volume for _, volume in bedside.state.ledger.vein)
    later = carry(bedside.state, 20 * MINUTE)
    came = sum(volume for _, volume in later.ledger.vein) - before
    assert came == pytest.approx(0.24 * MOTES_PER_ML, rel=1e-6)  # 200 mmHg x 1.2 uL/mmHg
    assert 0 <= excess(later.line(1)) < 10


def test_what_stands_behind_a_narrowing_comes_at_once_when_it_is_mended():
    bedside = narrowed(resistance="2", rate="100")
    bedside.wait(10 * MINUTE)
    bedside.do(Verb.STRAIGHTEN, line="1")
    (released,) = bedside.of_kind("PressureReleased")
    assert released.into_vein
    assert released.volume == pytest.approx(0.24 * MOTES_PER_ML, rel=1e-6)
    assert bedside.state.line(1).stored == 0


def test_pressure_released_first_does_not_reach_the_vein():
    bedside = narrowed(resistance="2", rate="100")
    bedside.wait(10 * MINUTE)
    bedside.do(Verb.STOP, line="1")
    bedside.do(Verb.RELEASE_PRESSURE, line="1")
    bedside.do(Verb.STRAIGHTEN, line="1")
    (released,) = bedside.of_kind("PressureReleased")
    assert not released.into_vein


# --- the vein and the arm -------------------------------------------------------------


def moved(effect: Effect, rate: str = "6") -> Bedside:
    bedside = Bedside(a_scenario(events=(an_event("moves", Trigger(at_ms=MINUTE), effect),)))
    bedside.run(rate=rate, volume="100")
    bedside.wait(MINUTE)
    return bedside


def test_a_vein_whose_pressure_rises_takes_nothing_until_the_line_is_filled_up():
    effect = Effect(
        happening=Happening.VEIN_PRESSURE_CHANGES, access="hand", pressure_mmhg=Fraction(60)
    )
    bedside = moved(effect)
    assert pressure_at(bedside, MINUTE) == 10  # 60 less what is still missing
    assert flow_ul_h(bedside.state, 1) == 0
    # 50 mmHg x 1.2 uL/mmHg = 60 uL, at 6 mL/h 36 s
    bedside.wait(35 * SECOND)
    assert flow_ul_h(carry(bedside.state, bedside.now_ms), 1) == 0
    bedside.wait(2 * SECOND)
    assert bedside.happened("FrontReachedVein") == [MINUTE + 36 * SECOND]
    assert flow_ul_h(bedside.state, 1) == 6_000
    assert pressure_at(bedside, bedside.now_ms) == 60


def test_an_arm_laid_lower_gets_the_difference_at_once():
    effect = Effect(happening=Happening.ARM_MOVES, access="hand", height_cm=Fraction(-40))
    bedside = moved(effect)
    (released,) = bedside.of_kind("PressureReleased")
    # 40 cm of water = 29.42 mmHg, x 1.2 uL/mmHg = 35.3 uL
    assert released.volume / MOTES_PER_ML == pytest.approx(0.0353, abs=0.0001)
    assert released.into_vein


# --- the catheter ---------------------------------------------------------------------


def with_catheter(gauge: int, ml_per_min: str, **changes) -> Scenario:
    access = (Access(id="hand", name="left hand", kind="peripheral", gauge=gauge),)
    scenario = a_scenario(patient=a_patient(access=access), **changes)
    ward = Hydraulics(catheter_flow=((gauge, Fraction(ml_per_min)),))
    return replace(scenario, policy=replace(scenario.policy, hydraulics=ward))


@pytest.mark.parametrize(
    # Source: peripheral catheter charts, nominal free water flow (rows CAN-14G to CAN-26G).
    ("gauge", "ml_per_min"),
    [(14, "240"), (20, "60"), (22, "36"), (26, "13")],
)
def test_a_catheters_resistance_lets_its_published_flow_through_at_a_metre(gauge, ml_per_min):
    bedside = Bedside(with_catheter(gauge, ml_per_min))
    bedside.run(rate="600", volume="100")
    # p - p_vein = R Q with R = 73.556 mmHg / (flow at one metre of water)
    rise = pressure_at(bedside, 0) - 10
    assert rise == pytest.approx(73.556 * 600 / (60 * float(ml_per_min)), rel=3e-4)


def test_an_open_lines_pressure_can_alarm_by_its_flow_alone():
    bedside = Bedside(with_catheter(26, "13", pressure_alarm_mmhg=Fraction(60)))
    bedside.run(rate="600", volume="100")
    bedside.wait(MINUTE)
    assert bedside.alarms() == [(AlarmKind.DOWNSTREAM_OCCLUSION, 1)]


def test_lines_on_one_catheter_see_each_others_flow():
    lines = (a_ready_line(1), a_ready_line(2, hung="second-bag"))
    bedside = Bedside(with_catheter(22, "36", lines=lines))
    bedside.run(rate="300", volume="100")
    alone = pressure_at(bedside, 0)
    bedside.run(rate="300", volume="100", line="2")
    assert pressure_at(bedside, 0) - 10 == pytest.approx(2 * (alone - 10), rel=1e-6)


def test_a_blocked_catheter_holds_all_its_lines():
    lines = (a_ready_line(1), a_ready_line(2, hung="second-bag"))
    block = Effect(happening=Happening.SITE_CHANGES, access="hand", site=Site.BLOCKED)
    events = (an_event("clot", Trigger(at_ms=MINUTE), block),)
    bedside = Bedside(a_scenario(lines=lines, events=events))
    bedside.run(rate="36", volume="100")
    bedside.run(rate="36", volume="100", line="2")
    bedside.wait(HOUR)
    # 400 mmHg x 1.2 uL/mmHg = 0.48 mL, at 36 mL/h 48 s
    due_ms = MINUTE + 48 * SECOND
    assert bedside.alarms() == [(AlarmKind.DOWNSTREAM_OCCLUSION, due_ms)] * 2

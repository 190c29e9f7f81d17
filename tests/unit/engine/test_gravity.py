"""A gravity drip: head, resistances, roller clamp, drops; a bottle without air; the arm."""

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.build import (
    HOUR,
    MINUTE,
    SECOND,
    Bedside,
    a_bag,
    a_dry_line,
    a_patient,
    a_ready_line,
    a_scenario,
    an_event,
)
from trainer.engine.amounts import MOTES_PER_ML
from trainer.engine.carry import carry
from trainer.engine.view import drops_per_min, flow_ul_h, vein_flow_ul_h
from trainer.scenario.model import Access, Effect, Hydraulics, Scenario, Supply, Trigger
from trainer.terms import Drive, Happening, Refusal, Verb

WARD = Hydraulics(
    container_height_cm=Fraction(100),
    set_resistance=Fraction("0.01"),
    clamp_resistance=Fraction("0.02"),
    catheter_flow=((20, Fraction(60)),),
)
CATHETER = 73.556 / 3600
"""Resistance of a 20 gauge catheter in mmHg per (mL/h): 60 mL/min at one metre of water."""


def a_drip(
    *, ward: Hydraulics = WARD, resting: str = "20", supplies: tuple[Supply, ...] = (), **changes
) -> Scenario:
    """A gravity line that is hung and connected, its clamp open."""
    access = (Access(id="hand", name="left hand", kind="peripheral", gauge=20),)
    scenario = a_scenario(
        lines=(a_ready_line(drive=Drive.GRAVITY, **changes.pop("line", {})),),
        patient=a_patient(access=access),
        supplies=supplies or (a_bag(volume_ml=1000), a_bag("second-bag", "saline", 250)),
        resting_pressure_mmhg=Fraction(resting),
        **changes,
    )
    return replace(scenario, policy=replace(scenario.policy, hydraulics=ward))


def vein_ml(bedside: Bedside, at_ms: int) -> float:
    state = carry(bedside.state, at_ms)
    return sum(volume for _, volume in state.ledger.vein) / MOTES_PER_ML


def test_the_flow_is_the_net_head_over_all_that_is_in_the_way():
    # Source of the head: row HYD-05, 0.73556 x 100 cm - 20 mmHg = 53.556 mmHg.
    bedside = Bedside(a_drip())
    expected = 53.556 / (0.01 + CATHETER)
    assert flow_ul_h(bedside.state, 1) / 1000 == pytest.approx(expected, rel=1e-4)


def test_a_free_gravity_set_runs_as_fast_as_the_standard_asks():
    # Source: ISO 8536-4:2020, row GRV-01: 1000 mL in at most 10 min at 1 m, no catheter.
    bedside = Bedside(a_drip(ward=replace(WARD, catheter_flow=()), resting="0"))
    assert flow_ul_h(bedside.state, 1) >= 6_000_000


def test_the_pump_stands_and_the_line_counts_what_ran():
    bedside = Bedside(a_drip())
    bedside.wait(10 * MINUTE)
    line = carry(bedside.state, 10 * MINUTE).line(1)
    assert line.pump.rate_ul_h == 0
    assert line.pump.total == pytest.approx(vein_ml(bedside, 10 * MINUTE) * MOTES_PER_ML)


@pytest.mark.parametrize("percent", [100, 50, 20, 10])
def test_a_roller_clamp_holds_back_by_one_over_its_opening_squared(percent):
    bedside = Bedside(a_drip())
    if percent < 100:
        bedside.do(Verb.TURN_CLAMP, line="1", opening=f"{percent} %")
    share = percent / 100
    expected = 53.556 / (0.01 + CATHETER + 0.02 * (1 / share**2 - 1))
    assert flow_ul_h(bedside.state, 1) / 1000 == pytest.approx(expected, rel=1e-4)


def test_a_clamp_turned_to_nothing_is_closed_and_opens_where_it_stood():
    bedside = Bedside(a_drip())
    bedside.do(Verb.TURN_CLAMP, line="1", opening="20")
    turned = flow_ul_h(bedside.state, 1)
    bedside.do(Verb.TURN_CLAMP, line="1", opening="0 %")
    assert flow_ul_h(bedside.state, 1) == 0
    bedside.do(Verb.OPEN_CLAMP, line="1", clamp="primary")
    assert flow_ul_h(bedside.state, 1) == turned


@pytest.mark.parametrize("opening", ["101 %", "-5", "wide", "12.34 %"])
def test_an_opening_that_no_clamp_has_is_refused(opening):
    bedside = Bedside(a_drip())
    bedside.do(Verb.TURN_CLAMP, line="1", opening=opening)
    assert bedside.refusal.reason in (Refusal.OUT_OF_RANGE, Refusal.NOT_UNDERSTOOD)


def test_a_container_hung_higher_runs_faster_and_at_the_height_of_the_vein_not_at_all():
    bedside = Bedside(a_drip())
    bedside.do(Verb.SET_HEIGHT, line="1", height="150 cm")
    expected = (0.73556 * 150 - 20) / (0.01 + CATHETER)
    assert flow_ul_h(bedside.state, 1) / 1000 == pytest.approx(expected, rel=1e-4)
    bedside.do(Verb.SET_HEIGHT, line="1", height="25")
    assert flow_ul_h(bedside.state, 1) == 0


def test_a_lowered_arm_makes_a_drip_run_faster():
    lower = Effect(happening=Happening.ARM_MOVES, access="hand", height_cm=Fraction(-30))
    bedside = Bedside(a_drip(events=(an_event("arm", Trigger(at_ms=MINUTE), lower),)))
    bedside.wait(MINUTE)
    expected = (0.73556 * 130 - 20) / (0.01 + CATHETER)
    assert flow_ul_h(bedside.state, 1) / 1000 == pytest.approx(expected, rel=1e-4)


def test_a_narrowed_drip_runs_slower():
    pinch = Effect(
        happening=Happening.LINE_NARROWS, line=1, reason="a loop", resistance=Fraction(1)
    )
    bedside = Bedside(a_drip(events=(an_event("loop", Trigger(at_ms=0), pinch),)))
    bedside.wait(1)
    expected = 53.556 / (1.01 + CATHETER)
    assert flow_ul_h(bedside.state, 1) / 1000 == pytest.approx(expected, rel=1e-4)


# --- drops ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    # Source: row GRV-04, drops/min = mL/h x drops/mL / 60.
    ("rate", "drop_factor", "published"),
    [("125", 15, "31.25")],
)
def test_drops_a_minute_are_as_published(rate, drop_factor, published):
    line = a_ready_line(drop_factor=Fraction(drop_factor))
    bedside = Bedside(a_scenario(lines=(line,)))
    bedside.run(rate=rate, volume="500")
    assert drops_per_min(bedside.state, 1) == Fraction(published)


def test_whole_drops_are_counted_in_the_seconds_given():
    bedside = Bedside(a_scenario(lines=(a_ready_line(drop_factor=Fraction(15)),)))
    bedside.run(rate="125", volume="500")
    bedside.do(Verb.COUNT_DROPS, line="1", seconds="30")
    (seen,) = bedside.of_kind("Perceived")
    assert seen.text == "15 drops fell in the primary drip chamber in 30 s."


def test_no_drop_falls_while_the_clamp_is_closed():
    bedside = Bedside(a_drip())
    bedside.do(Verb.CLOSE_CLAMP, line="1", clamp="primary")
    bedside.do(Verb.COUNT_DROPS, line="1", seconds="60")
    assert bedside.of_kind("Perceived")[0].text.startswith("No drop fell")


# --- what runs out, and what is open --------------------------------------------------


def test_an_empty_chamber_stands_without_air_or_alarm():
    bedside = Bedside(a_drip())
    bedside.wait(4 * HOUR)
    assert bedside.happened("ContainerEmptied")
    assert bedside.happened("ChamberDrained")
    assert bedside.alarms() == []
    state = carry(bedside.state, bedside.now_ms)
    assert vein_ml(bedside, bedside.now_ms) == 1010  # the bag and its chamber, not the tubing
    assert state.ledger.air_in_vein == 0
    assert flow_ul_h(state, 1) == 0


def test_a_volume_given_by_gravity_makes_an_event_come():
    event = an_event("called", Trigger(given_ml=Fraction(100), line=1))
    bedside = Bedside(a_drip(events=(event,)))
    bedside.wait(10 * MINUTE)
    (came,) = bedside.of_kind("EventCame")
    rate = flow_ul_h(bedside.state, 1)
    assert came.at_ms == -(-100 * MOTES_PER_ML // rate)


def test_a_drip_is_started_by_its_clamp_and_not_by_a_pump():
    bedside = Bedside(a_drip())
    bedside.do(Verb.START, line="1")
    assert bedside.refusal.reason is Refusal.NOTHING_THERE
    assert "clamp" in bedside.refusal.text
    bedside.do(Verb.LOAD, line="1")
    assert "gravity" in bedside.refusal.text


def test_a_line_that_is_not_connected_stands_until_it_is_primed():
    line = a_dry_line(drive=Drive.GRAVITY)
    bedside = Bedside(a_scenario(lines=(line,)))
    for verb, more in (
        (Verb.CHOOSE, {"supply": "bag"}),
        (Verb.HANG, {"line": "1", "role": "primary", "supply": "bag"}),
        (Verb.SPIKE, {"line": "1", "role": "primary"}),
        (Verb.FILL_CHAMBER, {"line": "1", "role": "primary"}),
        (Verb.OPEN_CLAMP, {"line": "1", "clamp": "primary"}),
    ):
        bedside.do(verb, **more)
    bedside.wait(HOUR)
    assert flow_ul_h(bedside.state, 1) == 0
    bedside.do(Verb.PRIME, line="1", role="primary")
    bedside.do(Verb.CLOSE_CLAMP, line="1", clamp="primary")
    bedside.do(Verb.CONNECT, line="1", at="access")
    assert vein_flow_ul_h(bedside.state, 1) == 0
    bedside.do(Verb.OPEN_CLAMP, line="1", clamp="primary")
    assert vein_flow_ul_h(bedside.state, 1) > 0
    assert not bedside.of_kind("Refused")


def test_running_fluid_is_not_taken_down_or_disconnected():
    bedside = Bedside(a_drip())
    for verb, more in (
        (Verb.TAKE_DOWN, {"role": "primary"}),
        (Verb.DISCONNECT, {"at": "access"}),
    ):
        bedside.do(verb, line="1", **more)
        assert bedside.refusal.reason is Refusal.RUNNING


# --- a bottle -------------------------------------------------------------------------


def a_bottle_that_drips() -> Bedside:
    """A bottle hung, its air inlet open, its line primed and connected."""
    bottle = a_bag("bottle", volume_ml=500, kind="bottle")
    bedside = Bedside(a_drip(supplies=(bottle, a_bag()), line={"hung": ""}))
    for verb, more in (
        (Verb.CHOOSE, {"supply": "bottle"}),
        (Verb.HANG, {"line": "1", "role": "primary", "supply": "bottle"}),
        (Verb.SPIKE, {"line": "1", "role": "primary"}),
        (Verb.OPEN_AIR_INLET, {"line": "1", "role": "primary"}),
        (Verb.FILL_CHAMBER, {"line": "1", "role": "primary"}),
        (Verb.OPEN_CLAMP, {"line": "1", "clamp": "primary"}),
        (Verb.PRIME, {"line": "1", "role": "primary"}),
        (Verb.CONNECT, {"line": "1", "at": "access"}),
    ):
        bedside.do(verb, **more)
    assert not bedside.of_kind("Refused")
    return bedside


def closed_again(bedside: Bedside) -> Bedside:
    """The same with the air inlet shut, as if its filter had got wet."""
    state = bedside.state
    bottle = replace(state.container("bottle"), vented=False, vacuum=0)
    bedside.state = replace(
        state, containers=tuple(bottle if one.rigid else one for one in state.containers)
    )
    return bedside


def test_a_bottle_with_air_coming_in_empties():
    bedside = a_bottle_that_drips()
    bedside.wait(2 * HOUR)
    assert bedside.happened("ContainerEmptied")


def test_a_closed_bottle_gives_less_and_less_with_its_gas_as_a_spring():
    bedside = closed_again(a_bottle_that_drips())
    most_ml = 53.556 * 20 / 760
    tau_s = (0.01 + CATHETER) * 20 / 760 * 3600
    first = flow_ul_h(bedside.state, 1)
    assert first / 1000 == pytest.approx(53.556 / (0.01 + CATHETER), rel=1e-3)
    after_tau = vein_ml(bedside, bedside.now_ms + round(tau_s * SECOND))
    assert after_tau == pytest.approx(most_ml * (1 - 0.36787944), rel=1e-3)
    assert vein_ml(bedside, bedside.now_ms + HOUR) == pytest.approx(most_ml, rel=1e-6)


def test_a_closed_bottle_that_stands_still_runs_when_its_air_inlet_is_opened():
    bedside = closed_again(a_bottle_that_drips())
    bedside.wait(HOUR)
    bedside.do(Verb.COUNT_DROPS, line="1", seconds="60")
    assert bedside.of_kind("Perceived")[-1].text.startswith("No drop fell")
    bedside.do(Verb.OPEN_AIR_INLET, line="1", role="primary")
    assert flow_ul_h(bedside.state, 1) > 1_000_000


def test_a_bag_needs_no_air_inlet():
    bedside = Bedside(a_drip())
    bedside.do(Verb.OPEN_AIR_INLET, line="1", role="primary")
    assert bedside.refusal.reason is Refusal.NOTHING_THERE

"""Two containers on one line: heads, the check valve, blends and closed bottles at the bedside.

The ward's figures are those of `scenario.model.Hydraulics`: both containers at 90 cm, a
lowered primary 25 cm lower, resistances 0.012 and 0.1 mmHg per (mL/h). So the secondary
alone gives up to 0.73556 x 25 / 0.1 = 183.89 mL/h.
"""

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from tests.build import (
    HOUR,
    MINUTE,
    SECOND,
    SUPPLIES,
    Bedside,
    a_bag,
    a_dry_line,
    a_ready_line,
    a_scenario,
    an_event,
)
from trainer.engine.amounts import ml_from_motes
from trainer.engine.blend import parts_of, volumes_of
from trainer.engine.carry import carry
from trainer.engine.state import State
from trainer.engine.view import drug_level_per_l, feeds_of, flowing_role_of, suction_mmhg
from trainer.scenario.model import Effect, Trigger
from trainer.terms import AlarmKind, Happening, Refusal, Role, Running, Verb

HANGING: tuple[tuple[Verb, dict[str, str]], ...] = (
    (Verb.CHOOSE, {"supply": "small-bag"}),
    (Verb.HANG, {"line": "1", "role": "secondary", "supply": "small-bag"}),
    (Verb.SPIKE, {"line": "1", "role": "secondary"}),
    (Verb.FILL_CHAMBER, {"line": "1", "role": "secondary"}),
    (Verb.OPEN_CLAMP, {"line": "1", "clamp": "secondary"}),
    (Verb.PRIME, {"line": "1", "role": "secondary"}),
    (Verb.CONNECT, {"line": "1", "at": "port"}),
)


def with_secondary(*, lower: bool = True, prime: bool = True, **changes: Any) -> Bedside:
    """The small bag of sedative on the port, its clamp open; the pump stands."""
    bedside = Bedside(a_scenario(**changes))
    for verb, params in HANGING:
        if prime or verb is not Verb.PRIME:
            bedside.do(verb, **params)
    if lower:
        bedside.do(Verb.LOWER_PRIMARY, line="1")
    assert bedside.of_kind("Refused") == []
    return bedside


def now(bedside: Bedside) -> State:
    return carry(bedside.state, bedside.now_ms)


def left(bedside: Bedside, supply: str) -> Fraction:
    return ml_from_motes(now(bedside).container(supply).left)


def in_vein(bedside: Bedside, fluid: str) -> float:
    return float(ml_from_motes(dict(now(bedside).ledger.vein).get(fluid, 0)))


# --- both flow -----------------------------------------------------------------------


def test_below_the_rate_of_the_heads_the_secondary_alone_gives():
    bedside = with_secondary()
    bedside.run(rate="183", volume="30", role="secondary")
    bedside.wait(5 * MINUTE)
    assert left(bedside, "bag") == 500
    assert feeds_of(now(bedside), 1) == (0, 183_000)


def test_above_it_the_primary_gives_too_and_without_any_alarm():
    bedside = with_secondary()
    bedside.run(rate="400", volume="40", role="secondary")
    small, large = left(bedside, "small-bag"), left(bedside, "bag")
    bedside.wait(5 * MINUTE)
    # (0.73556 x 25 + 400 x 0.012) / 0.112 = 207.045 mL/h for 5 min
    assert float(small - left(bedside, "small-bag")) == pytest.approx(207.045 / 12, abs=0.001)
    assert float(large - left(bedside, "bag")) == pytest.approx(192.955 / 12, abs=0.001)
    assert bedside.alarms() == []


def test_a_primary_left_at_its_height_gives_most_and_dilutes_the_drug():
    bedside = with_secondary(lower=False)
    bedside.run(rate="60", volume="30", role="secondary")
    assert flowing_role_of(bedside.state, 1) is Role.PRIMARY
    bedside.wait(30 * MINUTE)
    (front,) = bedside.of_kind("FrontReachedVein")
    assert front.at_ms == 7 * MINUTE  # 4 mL and 3 mL at 60 mL/h
    # 60 x 0.012 / 0.112 = 6.429 mL/h of 60
    assert dict(parts_of(front.fluid))["sedative"] == pytest.approx(1e9 * 6.428 / 60, abs=2)
    assert in_vein(bedside, "sedative") == pytest.approx(6.428 * 23 / 60, abs=0.001)
    assert [kind for kind, _ in bedside.alarms()] == [AlarmKind.INFUSION_COMPLETE]


def test_a_blends_drug_reaches_the_body_by_its_share():
    bedside = with_secondary(lower=False, half_life_ms=10_000 * HOUR)
    bedside.run(rate="60", volume="100", role="secondary")
    bedside.wait(HOUR)
    level, unit = drug_level_per_l(now(bedside), "sedative", Fraction("0.001"))
    # 53 min of 6.428 mL/h at 2 mg/mL, in 16 kg x 1 L/kg
    assert unit == "mg/L"
    assert float(level) == pytest.approx(6.428 * 53 / 60 * 2 / 16, abs=0.002)


def test_the_secondary_that_runs_empty_beside_the_primary_leaves_it_the_flow():
    bedside = with_secondary()
    bedside.run(rate="400", volume="200", role="secondary")
    bedside.wait(25 * MINUTE)
    assert [event.role for event in bedside.of_kind("ContainerEmptied")] == [Role.SECONDARY]
    (drained,) = bedside.of_kind("ChamberDrained")
    # 44 mL (5 mL of it in the chamber) at 207.045 mL/h
    assert drained.at_ms == pytest.approx(44 / 207.045 * HOUR, abs=100)
    assert feeds_of(now(bedside), 1) == (400_000, 0)
    assert bedside.alarms() == []
    assert now(bedside).ledger.air_in_vein == 0


def test_an_empty_primary_leaves_the_flow_to_the_secondary():
    bedside = with_secondary(
        lower=False, lines=(a_ready_line(hung_left_ml=Fraction(5)),), drop_sensor=False
    )
    bedside.run(rate="120", volume="40", role="primary")
    bedside.wait(15 * MINUTE)
    assert [event.role for event in bedside.of_kind("ChamberDrained")] == [Role.PRIMARY]
    assert feeds_of(now(bedside), 1) == (0, 120_000)
    assert bedside.alarms() == []


def test_a_shut_primary_clamp_is_no_alarm_while_the_secondary_gives():
    bedside = with_secondary(lower=False)
    bedside.do(Verb.CLOSE_CLAMP, line="1", clamp="primary")
    bedside.run(rate="60", volume="20", role="secondary")
    bedside.wait(10 * MINUTE)
    assert left(bedside, "bag") == 500
    assert bedside.alarms() == []


def test_both_clamps_shut_is_an_alarm_above():
    bedside = with_secondary()
    for clamp in ("primary", "secondary"):
        bedside.do(Verb.CLOSE_CLAMP, line="1", clamp=clamp)
    bedside.run(rate="54", volume="20", role="secondary")
    bedside.wait(MINUTE)
    assert bedside.alarms() == [(AlarmKind.UPSTREAM_OCCLUSION, 10 * SECOND)]


@pytest.mark.parametrize("verb", [Verb.TAKE_DOWN, Verb.DISCONNECT])
def test_neither_of_two_that_flow_is_taken_off_while_the_pump_runs(verb):
    bedside = with_secondary(lower=False)
    bedside.run(rate="60", volume="20", role="secondary")
    params = {"role": "secondary"} if verb is Verb.TAKE_DOWN else {"at": "port"}
    bedside.do(verb, line="1", **params)
    assert bedside.refusal.reason is Refusal.RUNNING


def test_the_air_of_an_unprimed_secondary_comes_in_one_piece_and_alarms():
    bedside = with_secondary(lower=False, prime=False)
    bedside.run(rate="60", volume="30", role="secondary")
    bedside.wait(10 * MINUTE)
    # its front passes the 4 mL from the join to the detector at 60 mL/h
    assert bedside.alarms() == [(AlarmKind.AIR_IN_LINE, 4 * MINUTE)]
    assert now(bedside).ledger.air_in_vein == 0


def test_after_its_volume_the_primary_runs_on_at_its_own_rate():
    bedside = with_secondary()
    bedside.run(rate="40", volume="80")
    bedside.run(rate="400", volume="20", role="secondary")
    bedside.wait(4 * MINUTE)
    (done,) = bedside.of_kind("VolumeComplete")
    assert (done.role, done.hand_back, done.at_ms) == (Role.SECONDARY, True, 3 * MINUTE)
    assert now(bedside).line(1).pump.rate_ul_h == 40_000
    # the small bag is not empty yet and hangs higher: it gives the primary's rate too
    assert feeds_of(now(bedside), 1) == (0, 40_000)


# --- the check valve -----------------------------------------------------------------

STUCK = a_ready_line(valve_works=False)


def total_of(bedside: Bedside, fluid: str) -> int:
    """All of a fluid at the bedside, in motes, blends taken apart."""
    state, total = now(bedside), 0
    line = state.line(1)
    held = [(one.fluid, one.left) for one in state.containers]
    for inlet in (line.primary, line.secondary):
        if inlet is not None:
            held.append((inlet.chamber_fluid, inlet.chamber))
            held += [(plug.fluid, plug.volume) for plug in inlet.contents]
    held += [(plug.fluid, plug.volume) for plug in (*line.above, *line.below)]
    held += [*state.ledger.vein, *state.ledger.tissue, *state.ledger.waste]
    for name, volume in held:
        total += dict(volumes_of(name, volume)).get(fluid, 0)
    return total


def test_a_valve_that_works_holds_the_secondary_back_from_the_primary_bag():
    bedside = with_secondary()
    bedside.wait(10 * MINUTE)
    assert left(bedside, "bag") == 500


def test_through_a_stuck_valve_the_drug_runs_up_into_the_primary_bag_in_silence():
    bedside = with_secondary(lines=(STUCK,))
    bedside.wait(10 * MINUTE)
    # 0.73556 x 25 / 0.112 = 164.19 mL/h; 8 mL of tubing first, all of it saline
    assert float(left(bedside, "bag")) == pytest.approx(500 + 164.187 / 6, abs=0.001)
    parts = dict(parts_of(now(bedside).container("bag").fluid))
    assert parts["sedative"] / 1e9 == pytest.approx((164.187 / 6 - 8) / (510 + 164.187 / 6), 1e-4)
    assert bedside.alarms() == []
    assert now(bedside).line(1).pump.running is Running.IDLE


def test_it_ends_when_the_secondary_is_empty():
    bedside = with_secondary(lines=(STUCK,))
    bedside.wait(HOUR)
    (drained,) = bedside.of_kind("ChamberDrained")
    assert (drained.role, drained.line) == (Role.SECONDARY, 1)
    assert float(left(bedside, "bag")) == pytest.approx(500 + 44, abs=0.001)
    assert left(bedside, "small-bag") == 0


@pytest.mark.parametrize(
    ("verb", "params"),
    [
        (Verb.CLOSE_CLAMP, {"clamp": "secondary"}),
        (Verb.CLOSE_CLAMP, {"clamp": "primary"}),
        (Verb.RAISE_PRIMARY, {}),
    ],
)
def test_a_clamp_or_equal_heights_end_it(verb, params):
    bedside = with_secondary(lines=(STUCK,))
    bedside.wait(MINUTE)
    bedside.do(verb, line="1", **params)
    before = left(bedside, "bag")
    bedside.wait(10 * MINUTE)
    assert left(bedside, "bag") == before


def test_with_the_pump_running_the_patient_gets_the_rate_and_the_bag_gets_the_rest():
    bedside = with_secondary(lines=(STUCK,))
    bedside.run(rate="60", volume="30", role="secondary")
    bedside.wait(10 * MINUTE)
    # (18.389 + 0.72) / 0.112 = 170.616 mL/h from the secondary, 60 of it to the pump
    assert float(left(bedside, "small-bag")) == pytest.approx(39 - 170.616 / 6, abs=0.001)
    assert float(left(bedside, "bag")) == pytest.approx(500 + 110.616 / 6, abs=0.001)
    assert in_vein(bedside, "sedative") == pytest.approx(3, abs=1e-6)


def test_a_valve_that_sticks_later_lets_fluid_run_up_from_then_on():
    sticks = an_event(
        "sticks", Trigger(at_ms=5 * MINUTE), Effect(happening=Happening.VALVE_STICKS, line=1)
    )
    bedside = with_secondary(events=(sticks,))
    bedside.wait(5 * MINUTE)
    assert left(bedside, "bag") == 500
    bedside.wait(MINUTE)
    assert float(left(bedside, "bag")) == pytest.approx(500 + 164.187 / 60, abs=0.001)


def test_no_microlitre_of_any_fluid_is_lost_in_blends():
    bedside = with_secondary(lines=(STUCK,))
    before = {fluid: total_of(bedside, fluid) for fluid in ("saline", "sedative")}
    bedside.wait(4 * MINUTE)
    bedside.run(rate="333.3", volume="60", role="secondary")
    for number in range(20):
        bedside.wait(30 * SECOND + number)
        bedside.do(Verb.RAISE_PRIMARY if number % 2 else Verb.LOWER_PRIMARY, line="1")
    for fluid, volume in before.items():
        assert abs(total_of(bedside, fluid) - volume) <= 3_600_000  # one microlitre


# --- bottles -------------------------------------------------------------------------

BOTTLE = a_bag("bottle", "saline", 250, kind="bottle")


def with_bottle() -> Bedside:
    """A bottle in the place of the bag of a line that is ready, its air inlet closed."""
    bedside = Bedside(a_scenario(supplies=(*SUPPLIES, BOTTLE)))
    bedside.do(Verb.TAKE_DOWN, line="1", role="primary")
    bedside.do(Verb.CHOOSE, supply="bottle")
    bedside.do(Verb.HANG, line="1", role="primary", supply="bottle")
    bedside.do(Verb.SPIKE, line="1", role="primary")
    return bedside


def test_a_closed_bottle_gives_a_little_and_then_the_pump_alarms():
    bedside = with_bottle()
    bedside.run(rate="60", volume="100")
    bedside.wait(HOUR)
    # 20 mL of gas: 100 mmHg of suction is 100/760 x 20 mL = 2.6316 mL, at 1 mL/min
    ((kind, at_ms),) = bedside.alarms()
    assert kind is AlarmKind.UPSTREAM_OCCLUSION
    assert at_ms == pytest.approx(100 / 760 * 20 * MINUTE, abs=1)
    assert float(suction_mmhg(now(bedside), 1)) == pytest.approx(100, abs=0.001)
    assert now(bedside).line(1).pump.running is Running.STOPPED


def test_starting_it_again_without_opening_the_air_inlet_alarms_again():
    bedside = with_bottle()
    bedside.run(rate="60", volume="100")
    bedside.wait(10 * MINUTE)
    bedside.do(Verb.START, line="1")
    bedside.wait(MINUTE)
    assert [kind for kind, _ in bedside.alarms()] == [AlarmKind.UPSTREAM_OCCLUSION] * 2


def test_opening_the_air_inlet_ends_the_suction_and_the_bottle_runs():
    bedside = with_bottle()
    bedside.run(rate="60", volume="100")
    bedside.wait(10 * MINUTE)
    bedside.do(Verb.OPEN_AIR_INLET, line="1", role="primary")
    assert suction_mmhg(now(bedside), 1) == 0
    bedside.do(Verb.START, line="1")
    bedside.wait(30 * MINUTE)
    assert len(bedside.alarms()) == 1
    assert float(left(bedside, "bottle")) == pytest.approx(250 - 30 - 2.6316, abs=0.001)


def test_a_dry_set_is_not_primed_from_a_closed_bottle():
    bedside = Bedside(a_scenario(lines=(a_dry_line(),), supplies=(BOTTLE,)))
    bedside.do(Verb.CHOOSE, supply="bottle")
    bedside.do(Verb.HANG, line="1", role="primary", supply="bottle")
    bedside.do(Verb.SPIKE, line="1", role="primary")
    bedside.do(Verb.FILL_CHAMBER, line="1", role="primary")
    bedside.do(Verb.OPEN_CLAMP, line="1", clamp="primary")
    bedside.do(Verb.PRIME, line="1", role="primary")
    assert bedside.refusal.reason is Refusal.CAUSE_REMAINS
    assert "air inlet" in bedside.refusal.text
    bedside.do(Verb.OPEN_AIR_INLET, line="1", role="primary")
    bedside.do(Verb.PRIME, line="1", role="primary")
    assert len(bedside.of_kind("Primed")) == 1


def test_a_closed_bottle_as_secondary_stops_giving_and_the_primary_takes_over_in_silence():
    vented_by_hand = (*SUPPLIES[:2], replace(SUPPLIES[2], kind="bottle"))
    bedside = Bedside(a_scenario(supplies=vented_by_hand))
    for verb, params in HANGING:
        if verb is not Verb.PRIME:
            bedside.do(verb, **params)
        else:  # primed before somebody closed the air inlet again
            bedside.do(Verb.OPEN_AIR_INLET, line="1", role="secondary")
            bedside.do(verb, **params)
            closed = [
                replace(one, vented=False) if one.supply == "small-bag" else one
                for one in bedside.state.containers
            ]
            bedside.state = replace(bedside.state, containers=tuple(closed))
    bedside.do(Verb.LOWER_PRIMARY, line="1")
    bedside.run(rate="60", volume="30", role="secondary")
    bedside.wait(10 * MINUTE)
    # held at 18.389 + 60 x 0.012 = 19.109 mmHg: 19.109 / 760 x 20 mL = 0.50287 mL
    assert float(39 - left(bedside, "small-bag")) == pytest.approx(0.50287, abs=0.0001)
    assert feeds_of(now(bedside), 1) == (60_000, 0)
    assert bedside.alarms() == []
    assert [event.line for event in bedside.of_kind("SuctionReachedLimit")] == [1]


# --- overfill ------------------------------------------------------------------------

# Source: reference row RES-06, a study of overfill in Pharmacy 2023;11(2):75, read: bags of
# nominally 250 mL hold 265 to 285 mL.
OVERFILLED = (265, 285)


@pytest.mark.parametrize("holds_ml", OVERFILLED)
def test_a_bag_holds_more_than_its_label_says_and_a_rate_by_the_label_leaves_the_rest(holds_ml):
    bag = a_bag(volume_ml=250, overfill_ml=Fraction(holds_ml - 250))
    bedside = Bedside(a_scenario(supplies=(bag,)))
    assert OVERFILLED[0] <= left(bedside, "bag") <= OVERFILLED[1]
    bedside.run(rate="250", volume="250")
    bedside.wait(HOUR)
    assert bedside.happened("VolumeComplete") == [HOUR]
    assert left(bedside, "bag") == holds_ml - 250


def test_what_an_author_says_is_left_in_a_hung_bag_holds_with_overfill_too():
    bag = a_bag(volume_ml=250, overfill_ml=Fraction(20))
    line = a_ready_line(hung_left_ml=Fraction(100))
    assert left(Bedside(a_scenario(supplies=(bag,), lines=(line,))), "bag") == 100

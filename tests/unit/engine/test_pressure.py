"""Pressure above and below the pump: build-up, alarm, release; against published times."""

from fractions import Fraction
from typing import Any

import pytest

from tests.build import HOUR, MINUTE, SECOND, Bedside, a_block, a_ready_line, a_scenario
from trainer.engine.amounts import ml_from_motes
from trainer.engine.carry import carry
from trainer.engine.view import flow_ul_h, pressure_mmhg, suction_mmhg
from trainer.terms import AlarmKind, Refusal, Verb, Where

PARALLEL_INFUSIONS = (
    "Arrangements of intravenous parallel infusions with anti-reflux valves decreasing "
    "occlusion alarm delay, Korean J Anesthesiol 2014;66:300-305"
)


def blocked_from_the_start(rate: str, **changes: Any) -> Bedside:
    bedside = Bedside(a_scenario(events=(a_block(),), **changes))
    bedside.run(rate=rate, volume="250")
    return bedside


@pytest.mark.parametrize(
    ("rate", "published_s", "tolerance_s"),
    [
        # Source: the paper above, times read; one compliance fitted to both rows
        # (they imply 1.16 and 1.13 microlitres per mmHg).
        ("10", 416, Fraction(416) * Fraction("0.03")),
        ("50", 81, 3),
    ],
)
def test_one_compliance_gives_the_published_alarm_times_at_two_rates(
    rate, published_s, tolerance_s
):
    assert PARALLEL_INFUSIONS
    bedside = blocked_from_the_start(
        rate,
        resting_pressure_mmhg=Fraction(0),
        pressure_alarm_mmhg=Fraction(1000),
        compliance_below_ul_per_mmhg=Fraction("1.145"),
    )
    bedside.wait(HOUR)
    ((kind, at_ms),) = bedside.alarms()
    assert kind is AlarmKind.DOWNSTREAM_OCCLUSION
    assert abs(Fraction(at_ms, 1000) - published_s) <= tolerance_s


def test_the_worked_case_of_a_rise_from_15_to_85_kpa_at_12_ml_per_h_takes_210_s():
    # Source: Infusion occlusion alarm delay, engineering case study (hypothetical data);
    # C 0.01 mL/kPa, no latency. 1 kPa is 7.50062 mmHg.
    per_kpa = Fraction("7.50062")
    bedside = blocked_from_the_start(
        "12",
        resting_pressure_mmhg=15 * per_kpa,
        pressure_alarm_mmhg=85 * per_kpa,
        compliance_below_ul_per_mmhg=10 / per_kpa,
    )
    bedside.wait(HOUR)
    ((_, at_ms),) = bedside.alarms()
    assert at_ms == 210 * SECOND
    assert ml_from_motes(bedside.state.line(1).stored) == Fraction("0.7")


def test_the_alarm_comes_at_compliance_times_rise_over_rate_and_stops_the_pump():
    bedside = blocked_from_the_start("36")  # 1.2 uL/mmHg x 400 mmHg / (36 mL/h) = 48 s
    bedside.wait(HOUR)
    assert bedside.alarms() == [(AlarmKind.DOWNSTREAM_OCCLUSION, 48 * SECOND)]
    assert bedside.of_kind("Stopped")[0].by == "alarm"
    assert pressure_mmhg(bedside.state, 1) == 410


def test_pressure_rises_in_a_straight_line_and_nothing_reaches_the_vein():
    bedside = blocked_from_the_start("36")
    halfway = carry(bedside.state, 24 * SECOND)
    assert pressure_mmhg(halfway, 1) == 210
    assert flow_ul_h(halfway, 1) == 0
    assert halfway.ledger.vein == ()


def test_freeing_the_block_sends_what_was_stored_to_the_vein_at_once():
    bedside = blocked_from_the_start("36")
    bedside.wait(MINUTE)
    bedside.do(Verb.STRAIGHTEN, line="1")
    (released,) = bedside.of_kind("PressureReleased")
    assert released.into_vein
    assert ml_from_motes(released.volume) == Fraction("0.48")
    assert bedside.state.ledger.vein == (("saline", released.volume),)
    assert pressure_mmhg(bedside.state, 1) == 10


def test_pressure_released_first_goes_to_waste_and_gives_no_bolus():
    bedside = blocked_from_the_start("36")
    bedside.wait(MINUTE)
    bedside.do(Verb.RELEASE_PRESSURE, line="1")
    bedside.do(Verb.STRAIGHTEN, line="1")
    (released,) = bedside.of_kind("PressureReleased")
    assert not released.into_vein
    assert bedside.state.ledger.vein == ()
    assert bedside.state.ledger.waste == (("saline", released.volume),)


def test_pressure_is_not_released_while_the_pump_runs():
    bedside = blocked_from_the_start("36")
    bedside.wait(10 * SECOND)
    bedside.do(Verb.RELEASE_PRESSURE, line="1")
    assert bedside.refusal.reason is Refusal.RUNNING


def test_a_closed_patient_clamp_is_a_block_and_opening_it_releases():
    bedside = Bedside(a_scenario())
    bedside.do(Verb.CLOSE_CLAMP, line="1", clamp="patient")
    bedside.run(rate="36", volume="250")
    bedside.wait(MINUTE)
    assert bedside.alarms() == [(AlarmKind.DOWNSTREAM_OCCLUSION, 48 * SECOND)]
    bedside.do(Verb.OPEN_CLAMP, line="1", clamp="patient")
    assert bedside.of_kind("PressureReleased")[0].into_vein


def test_starting_against_a_block_that_is_still_there_alarms_again():
    bedside = blocked_from_the_start("36")
    bedside.wait(MINUTE)
    bedside.do(Verb.START, line="1")
    bedside.wait(MINUTE)
    assert bedside.alarms() == [
        (AlarmKind.DOWNSTREAM_OCCLUSION, 48 * SECOND),
        (AlarmKind.DOWNSTREAM_OCCLUSION, MINUTE + 1),
    ]


def test_the_wrong_mend_frees_nothing_and_is_seen_to():
    bedside = blocked_from_the_start("36")
    bedside.do(Verb.REPOSITION, access="hand")
    assert bedside.of_kind("LineFreed") == []
    assert bedside.of_kind("Perceived")[-1].of == "site"


def test_a_closed_clamp_above_draws_to_the_suction_limit_then_alarms():
    bedside = Bedside(a_scenario())
    bedside.do(Verb.CLOSE_CLAMP, line="1", clamp="primary")
    bedside.run(rate="54", volume="250")  # 1.5 uL/mmHg x 100 mmHg / (54 mL/h) = 10 s
    bedside.wait(MINUTE)
    assert bedside.alarms() == [(AlarmKind.UPSTREAM_OCCLUSION, 10 * SECOND)]
    assert suction_mmhg(bedside.state, 1) == 100
    left = bedside.state.container("bag").left
    bedside.do(Verb.OPEN_CLAMP, line="1", clamp="primary")
    assert left - bedside.state.container("bag").left == 540_000_000  # 0.15 mL came after
    assert bedside.state.line(1).drawn == 0


def test_a_block_above_alarms_upstream():
    event = a_block(where=Where.UPSTREAM)
    bedside = Bedside(a_scenario(events=(event,)))
    bedside.run(rate="54", volume="250")
    bedside.wait(MINUTE)
    assert [kind for kind, _ in bedside.alarms()] == [AlarmKind.UPSTREAM_OCCLUSION]


def test_priming_or_flushing_through_a_block_is_refused():
    bedside = blocked_from_the_start("36")
    bedside.wait(MINUTE)
    bedside.do(Verb.FLUSH, line="1", volume="3")
    assert bedside.refusal.reason is Refusal.CAUSE_REMAINS


def test_a_tube_with_little_reach_alarms_when_nothing_more_can_be_drawn():
    spec = a_ready_line(above_ml=Fraction("0.1"), port_ml=Fraction("0.05"))
    bedside = Bedside(a_scenario(lines=(spec,)))
    bedside.do(Verb.CLOSE_CLAMP, line="1", clamp="primary")
    bedside.run(rate="54", volume="250")
    bedside.wait(MINUTE)
    ((kind, at_ms),) = bedside.alarms()
    assert kind is AlarmKind.UPSTREAM_OCCLUSION
    assert at_ms == 6_667  # 0.1 mL at 54 mL/h, up to the next whole millisecond

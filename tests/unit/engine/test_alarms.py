"""Alarms: priority, latching, reset, the paused sound."""

from typing import Any

from tests.build import (
    MINUTE,
    PRIORITIES,
    SECOND,
    Bedside,
    a_block,
    a_ready_line,
    a_scenario,
)
from trainer.terms import AlarmKind, Priority, Refusal, Verb


def blocked(**changes: Any) -> Bedside:
    bedside = Bedside(a_scenario(events=(a_block(),), **changes))
    bedside.run(rate="36", volume="250")
    bedside.wait(MINUTE)
    return bedside


def test_the_priority_is_the_policys():
    bedside = blocked()
    assert bedside.of_kind("AlarmRaised")[0].priority is Priority.HIGH


def test_a_high_priority_alarm_stays_announced_after_its_cause_is_gone_until_it_is_reset():
    bedside = blocked()
    bedside.do(Verb.RESET_ALARM, line="1")
    assert bedside.refusal.reason is Refusal.CAUSE_REMAINS
    bedside.do(Verb.STRAIGHTEN, line="1")
    (alarm,) = bedside.state.alarms
    assert not alarm.cause_present
    bedside.do(Verb.RESET_ALARM, line="1")
    assert bedside.state.alarms == ()


def test_a_start_that_succeeds_ends_a_latched_alarm():
    bedside = blocked()
    bedside.do(Verb.STRAIGHTEN, line="1")
    bedside.do(Verb.START, line="1")
    assert bedside.state.alarms == ()
    assert bedside.of_kind("Refused") == []


def test_a_medium_priority_alarm_ends_with_its_cause():
    lower = tuple((kind, Priority.MEDIUM) for kind, _ in PRIORITIES)
    bedside = blocked(priorities=lower)
    bedside.do(Verb.STRAIGHTEN, line="1")
    assert bedside.state.alarms == ()


def test_the_sound_is_paused_for_the_wards_time():
    bedside = blocked()
    bedside.do(Verb.PAUSE_SOUND)
    assert bedside.state.sound_paused_until_ms == 3 * MINUTE
    bedside.wait(2 * MINUTE)
    assert bedside.happened("SoundResumed") == [3 * MINUTE]
    assert bedside.state.sound_paused_until_ms is None


def test_a_new_alarm_sounds_at_once():
    lines = (a_ready_line(1), a_ready_line(2, hung="second-bag", access="foot"))
    bedside = Bedside(a_scenario(lines=lines, events=(a_block(),)))
    bedside.run(rate="36", volume="250", line="1")
    bedside.run(rate="60", volume="1", line="2")
    bedside.wait(50 * SECOND)
    bedside.do(Verb.PAUSE_SOUND)
    bedside.wait(MINUTE)
    assert bedside.happened("SoundResumed") == [MINUTE]
    assert [alarm.kind for alarm in bedside.state.alarms] == [
        AlarmKind.DOWNSTREAM_OCCLUSION,
        AlarmKind.INFUSION_COMPLETE,
    ]


def test_completion_can_be_acknowledged_by_a_reset():
    bedside = Bedside(a_scenario())
    bedside.run(rate="60", volume="1")
    bedside.wait(2 * MINUTE)
    bedside.do(Verb.RESET_ALARM, line="1")
    assert bedside.state.alarms == ()


def test_an_alarm_of_one_line_is_not_reset_at_the_other():
    lines = (a_ready_line(1), a_ready_line(2, hung="second-bag", access="foot"))
    bedside = Bedside(a_scenario(lines=lines))
    bedside.run(rate="60", volume="1", line="1")
    bedside.wait(2 * MINUTE)
    bedside.do(Verb.RESET_ALARM, line="2")
    assert bedside.refusal.reason is Refusal.NO_ALARM


def test_condition_stop_and_alarm_come_in_this_order():
    bedside = blocked()
    kinds = [type(event).__name__ for event in bedside.log if event.at_ms == 48 * SECOND]
    assert kinds == ["PressureReachedLimit", "Stopped", "AlarmRaised"]

"""Mains and battery: what is told as they fail, when the pump is off, and charging."""

from fractions import Fraction

import pytest

from tests.build import HOUR, MINUTE, Bedside, a_ready_line, a_scenario, an_event
from trainer.engine.carry import carry
from trainer.engine.power import left_ms
from trainer.scenario.model import Effect, Trigger
from trainer.terms import AlarmKind, Drive, Happening, Priority, Refusal, Verb

STANDARD = (
    "IEC 60601-2-24, from memory: a battery is told as low at least 30 minutes, and as nearly "
    "spent at least 3 minutes, before its end"
)


def power(happening: Happening, at_ms: int):
    return an_event(happening.name.lower(), Trigger(at_ms=at_ms), Effect(happening=happening))


FAILS = power(Happening.POWER_FAILS, HOUR)


def on_battery(*more, battery_ms: int | None = None, **rules) -> Bedside:
    """A running line whose mains fail after an hour."""
    line = a_ready_line(battery_ms=battery_ms)
    bedside = Bedside(a_scenario(lines=(line,), events=(FAILS, *more), **rules))
    bedside.run(rate="20", volume="450")
    return bedside


def test_a_full_battery_is_told_low_half_an_hour_and_spent_three_minutes_before_its_end():
    assert STANDARD
    bedside = on_battery()
    bedside.wait(10 * HOUR)
    end_ms = HOUR + 4 * HOUR
    assert bedside.alarms() == [
        (AlarmKind.POWER_LOST, HOUR),
        (AlarmKind.LOW_BATTERY, end_ms - 30 * MINUTE),
        (AlarmKind.BATTERY_DEPLETED, end_ms - 3 * MINUTE),
    ]
    (stopped,) = bedside.of_kind("Stopped")
    assert (stopped.at_ms, stopped.by) == (end_ms, "power")
    assert carry(bedside.state, bedside.now_ms).line(1).pump.total == 5 * 20 * 3_600_000_000


def test_mains_lost_and_a_low_battery_are_told_without_haste_a_spent_one_is_not():
    bedside = on_battery()
    bedside.wait(10 * HOUR)
    assert [alarm.priority for alarm in bedside.of_kind("AlarmRaised")] == [
        Priority.LOW, Priority.LOW, Priority.HIGH,
    ]  # fmt: skip


def test_a_pump_without_power_neither_starts_nor_takes_values():
    bedside = on_battery(battery_ms=MINUTE)
    bedside.wait(4 * HOUR)
    # an hour on the mains charged it by an hour
    assert bedside.of_kind("Stopped")[0].at_ms == HOUR + HOUR + MINUTE
    bedside.do(Verb.START, line="1")
    assert bedside.reason() is Refusal.NO_POWER
    bedside.do(Verb.ENTER, line="1", role="primary", volume="10", rate="10")
    assert bedside.reason() is Refusal.NO_POWER


def test_the_mains_bring_it_back_and_end_what_was_told_of_them():
    bedside = on_battery(power(Happening.POWER_RETURNS, 6 * HOUR))
    bedside.wait(6 * HOUR)
    assert [alarm.kind for alarm in bedside.state.alarms] == [AlarmKind.BATTERY_DEPLETED]
    assert not bedside.state.alarms[0].cause_present
    bedside.do(Verb.START, line="1")
    assert bedside.state.alarms == ()
    bedside.wait(HOUR)
    assert left_ms(carry(bedside.state, bedside.now_ms), bedside.state.line(1)) == HOUR


def test_a_battery_charges_up_to_full_and_no_further():
    bedside = Bedside(a_scenario(lines=(a_ready_line(battery_ms=HOUR),)))
    for hours, left in ((1, 2 * HOUR), (2, 4 * HOUR), (3, 4 * HOUR)):
        bedside.wait(hours * HOUR)
        state = carry(bedside.state, bedside.now_ms)
        assert left_ms(state, state.line(1)) == left


def test_a_pump_that_is_not_plugged_in_runs_down_until_it_is():
    line = a_ready_line(plugged_in=False, battery_ms=40 * MINUTE)
    bedside = Bedside(a_scenario(lines=(line,)))
    bedside.run(rate="20")
    bedside.wait(20 * MINUTE)
    assert bedside.alarms() == [(AlarmKind.LOW_BATTERY, 10 * MINUTE)]
    bedside.do(Verb.RESET_ALARM, line="1")
    assert bedside.reason() is Refusal.CAUSE_REMAINS
    bedside.do(Verb.PLUG_IN, line="1")
    assert bedside.state.alarms == ()
    assert left_ms(bedside.state, bedside.state.line(1)) == 20 * MINUTE
    bedside.do(Verb.PLUG_IN, line="1")
    assert bedside.reason() is Refusal.ALREADY_DONE


def test_a_plug_helps_nothing_while_the_mains_are_off():
    line = a_ready_line(plugged_in=False, battery_ms=HOUR)
    events = (power(Happening.POWER_FAILS, 0),)
    bedside = Bedside(a_scenario(lines=(line,), events=events))
    bedside.wait(0)
    bedside.do(Verb.PLUG_IN, line="1")
    bedside.wait(30 * MINUTE)
    assert bedside.alarms() == [(AlarmKind.LOW_BATTERY, 30 * MINUTE)]


def test_a_battery_that_is_low_already_is_told_at_once():
    line = a_ready_line(plugged_in=False, battery_ms=2 * MINUTE)
    bedside = Bedside(a_scenario(lines=(line,)))
    bedside.wait(0)
    assert bedside.alarms() == [(AlarmKind.LOW_BATTERY, 0), (AlarmKind.BATTERY_DEPLETED, 0)]
    bedside.wait(HOUR)
    assert [event.left_ms for event in bedside.of_kind("BatteryReached")] == [2 * MINUTE, 0]


def test_every_pump_on_the_mains_tells_that_they_failed_and_a_gravity_line_does_not():
    lines = (
        a_ready_line(1),
        a_ready_line(2, hung="second-bag", access="foot", plugged_in=False),
        a_ready_line(3, hung="small-bag", access="foot", drive=Drive.GRAVITY, opening=Fraction("0.1")),
    )  # fmt: skip
    bedside = Bedside(a_scenario(lines=lines, events=(power(Happening.POWER_FAILS, 0),)))
    bedside.wait(0)
    assert [event.line for event in bedside.of_kind("AlarmRaised")] == [1]
    bedside.do(Verb.PLUG_IN, line="3")
    assert bedside.reason() is Refusal.NOTHING_THERE


@pytest.mark.parametrize("happening", [Happening.POWER_FAILS, Happening.POWER_RETURNS])
def test_the_same_news_twice_changes_nothing(happening):
    events = (
        power(happening, MINUTE),
        an_event("again", Trigger(at_ms=2 * MINUTE), Effect(happening=happening)),
    )
    bedside = Bedside(a_scenario(events=events))
    bedside.wait(HOUR)
    assert len(bedside.of_kind("PowerChanged")) == (happening is Happening.POWER_FAILS)

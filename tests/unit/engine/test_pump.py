"""The pump: programmes, completion, keeping open, hand-back, start, stop, change."""

from fractions import Fraction

import pytest

from tests.build import (
    HOUR,
    MINUTE,
    Bedside,
    a_dry_line,
    a_ready_line,
    a_running_state,
    a_scenario,
    pump_rules,
)
from trainer.engine.advance import advance, next_happening_ms
from trainer.engine.amounts import ml_from_motes, motes_from_ml
from trainer.engine.carry import carry
from trainer.engine.events import Finished
from trainer.engine.programme import give
from trainer.engine.state import Programme
from trainer.engine.view import flow_ul_h, remaining, time_remaining_ms
from trainer.terms import AlarmKind, Refusal, Running, Verb


def test_250_ml_at_100_ml_per_h_are_complete_at_exactly_two_and_a_half_hours():
    bedside = Bedside(a_scenario())
    bedside.run(rate="100", volume="250")
    bedside.wait(3 * HOUR)
    assert bedside.happened("VolumeComplete") == [9_000_000]


def test_a_crossing_between_milliseconds_lands_on_the_next_whole_one():
    bedside = Bedside(a_scenario())
    bedside.run(rate="7", volume="1")
    bedside.wait(HOUR)
    exact_ms = Fraction(HOUR, 7)
    assert bedside.happened("VolumeComplete") == [exact_ms.__ceil__()]


def test_after_completion_the_lower_of_kvo_and_set_rate_keeps_the_vein_open():
    for rate, keeps in (("100", 3_000), ("2", 2_000)):
        bedside = Bedside(a_scenario())
        bedside.run(rate=rate, volume="1")
        bedside.wait(HOUR)
        pump = bedside.state.line(1).pump
        assert (pump.running, pump.rate_ul_h) == (Running.KEEPING_OPEN, keeps)


def test_what_keeps_the_vein_open_counts_as_total_but_not_as_given():
    bedside = Bedside(a_scenario())
    bedside.run(rate="60", volume="1")
    bedside.wait(MINUTE + HOUR)
    pump = carry(bedside.state, bedside.now_ms).line(1).pump
    assert ml_from_motes(pump.given_primary) == 1
    assert ml_from_motes(pump.total) == 4


def test_a_ward_that_stops_at_the_end_stops():
    bedside = Bedside(a_scenario(at_end=Running.COMPLETE))
    bedside.run(rate="100", volume="1")
    bedside.wait(HOUR)
    assert bedside.state.line(1).pump.running is Running.COMPLETE
    assert flow_ul_h(bedside.state, 1) == 0


def test_the_warning_before_the_end_comes_at_the_wards_time_and_ends_with_completion():
    bedside = Bedside(a_scenario(near_end_ms=10 * MINUTE))
    bedside.run(rate="100", volume="100")
    bedside.wait(HOUR)
    assert bedside.alarms() == [
        (AlarmKind.INFUSION_NEAR_COMPLETE, 50 * MINUTE),
        (AlarmKind.INFUSION_COMPLETE, HOUR),
    ]
    assert [alarm.kind for alarm in bedside.state.alarms] == [AlarmKind.INFUSION_COMPLETE]


def test_a_programme_shorter_than_the_warning_time_gives_no_warning():
    bedside = Bedside(a_scenario(near_end_ms=10 * MINUTE))
    bedside.run(rate="60", volume="5")
    bedside.wait(HOUR)
    assert [kind for kind, _ in bedside.alarms()] == [AlarmKind.INFUSION_COMPLETE]


def test_entered_values_wait_while_the_old_ones_run_on():
    bedside = Bedside(a_scenario())
    bedside.run(rate="100", volume="250")
    bedside.wait(HOUR)
    bedside.do(Verb.ENTER, line="1", role="primary", volume="50", rate="50")
    bedside.wait(HOUR)
    now = carry(bedside.state, bedside.now_ms).line(1).pump
    assert ml_from_motes(now.given_primary) == 200
    bedside.do(Verb.START, line="1")
    bedside.wait(30 * MINUTE)
    now = carry(bedside.state, bedside.now_ms).line(1).pump
    assert ml_from_motes(now.given_primary) == 25
    assert ml_from_motes(now.total) == 225


def test_a_stopped_pump_goes_on_with_what_is_left():
    bedside = Bedside(a_scenario())
    bedside.run(rate="100", volume="100")
    bedside.wait(30 * MINUTE)
    bedside.do(Verb.STOP, line="1")
    bedside.wait(HOUR)
    bedside.do(Verb.START, line="1")
    assert not bedside.of_kind("Started")[-1].fresh
    bedside.wait(HOUR)
    assert bedside.happened("VolumeComplete") == [2 * HOUR]


def test_time_remaining_follows_the_rate():
    state = a_running_state(rate="40", volume="80")
    line = carry(state, HOUR).line(1)
    assert ml_from_motes(remaining(line)) == 40
    assert time_remaining_ms(line) == HOUR


def test_values_entered_but_not_started_bring_a_reminder_once():
    bedside = Bedside(a_scenario(reminder_ms=2 * MINUTE))
    bedside.do(Verb.ENTER, line="1", role="primary", volume="50", rate="50")
    bedside.wait(HOUR)
    assert bedside.alarms() == [(AlarmKind.ATTENTION_REMINDER, 2 * MINUTE)]
    bedside.do(Verb.START, line="1")
    assert bedside.state.alarms == ()


def test_a_reminder_that_was_reset_does_not_come_again_for_the_same_entry():
    bedside = Bedside(a_scenario(reminder_ms=2 * MINUTE))
    bedside.do(Verb.ENTER, line="1", role="primary", volume="50", rate="50")
    bedside.wait(3 * MINUTE)
    bedside.do(Verb.RESET_ALARM, line="1")
    bedside.wait(HOUR)
    assert len(bedside.alarms()) == 1


def test_nothing_happens_by_itself_at_a_line_that_stands_until_time_is_up():
    state = Bedside(a_scenario(ends_ms=5 * HOUR)).state
    assert next_happening_ms(state) == 5 * HOUR


def test_time_up_ends_everything_and_nothing_comes_after():
    bedside = Bedside(a_scenario(ends_ms=HOUR))
    bedside.run(rate="100", volume="250")
    bedside.wait(2 * HOUR)
    assert bedside.log[-1] == Finished(at_ms=HOUR, by="time")
    assert advance(bedside.state, 100 * HOUR) == ()
    assert next_happening_ms(bedside.state) is None
    bedside.do(Verb.STOP, line="1")
    assert bedside.refusal.reason is Refusal.ENDED


@pytest.mark.parametrize(
    ("spec", "verb", "params", "reason"),
    [
        (a_dry_line(), Verb.START, {"line": "1"}, Refusal.NOT_LOADED),
        (a_ready_line(), Verb.START, {"line": "1"}, Refusal.NOT_PROGRAMMED),
        (a_ready_line(), Verb.STOP, {"line": "1"}, Refusal.NOT_RUNNING),
        (a_ready_line(), Verb.START, {"line": "7"}, Refusal.NOT_UNDERSTOOD),
        (a_ready_line(), Verb.START, {}, Refusal.NOT_UNDERSTOOD),
        (a_ready_line(), Verb.START, {"line": "1", "rate": "5"}, Refusal.NOT_UNDERSTOOD),
        (a_ready_line(), Verb.RESET_ALARM, {"line": "1"}, Refusal.NO_ALARM),
        (a_ready_line(), Verb.PAUSE_SOUND, {}, Refusal.NO_ALARM),
    ],
)
def test_an_impossible_act_is_refused_with_its_reason_and_a_whole_sentence(
    spec, verb, params, reason
):
    bedside = Bedside(a_scenario(lines=(spec,)))
    bedside.do(verb, **params)
    assert [type(event).__name__ for event in bedside.log] == ["Acted", "Refused"]
    assert bedside.refusal.reason is reason
    assert bedside.refusal.text[0].isupper()
    assert bedside.refusal.text.endswith(".")


def test_a_line_that_is_not_connected_does_not_start():
    bedside = Bedside(a_scenario())
    bedside.do(Verb.DISCONNECT, line="1", at="access")
    bedside.run()
    assert bedside.refusal.reason is Refusal.NOT_CONNECTED


def test_starting_a_running_pump_again_is_refused():
    bedside = Bedside(a_scenario())
    bedside.run()
    bedside.do(Verb.START, line="1")
    assert bedside.refusal.reason is Refusal.RUNNING


# --- the give sentence ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("volume", "duration", "rate", "expected"),
    [
        # common practice, no source: 100 mL over 30 min runs at 200 mL/h; 40 mL/h for 2 h is 80 mL
        ("100", "30 min", "", ("100", 200_000, 30 * MINUTE)),
        ("", "2 h", "40", ("80", 40_000, 2 * HOUR)),
        ("80", "", "40", ("80", 40_000, 2 * HOUR)),
        ("80 mL", "2 h", "40 mL/h", ("80", 40_000, 2 * HOUR)),
        # worked out rates are rounded half up to the step, once
        ("100", "1 h 30 min", "", ("100", 66_700, 90 * MINUTE)),
        ("100", "1 h 30 min", "66.7", ("100", 66_700, 90 * MINUTE)),
        ("", "10 min", "12.3", ("2.1", 12_300, 10 * MINUTE)),
    ],
)
def test_any_two_of_volume_duration_and_rate_fix_the_third(volume, duration, rate, expected):
    made = give(volume, duration, rate, pump_rules())
    assert made == Programme(
        volume=motes_from_ml(Fraction(expected[0])),
        rate_ul_h=expected[1],
        duration_ms=expected[2],
    )


@pytest.mark.parametrize(
    ("volume", "duration", "rate", "says"),
    [
        ("80", "", "", "two of volume, duration and rate"),
        ("", "", "", "two of volume, duration and rate"),
        ("80", "2 h", "50", "does not take the duration"),
        ("80", "", "40.25", "steps of 0.1"),
        ("80", "", "1000", "0.1 to 999"),
        ("0", "", "40", "more than zero"),
        ("10000", "", "40", "9999"),
        ("lots", "", "40", "not a number"),
        ("80", "2", "", "unit"),
        ("80", "", "-4", "minus"),
        ("1" * 30, "", "40", "digits"),
        ("80", "", "4e1", "power of ten"),
        ("80", "9999999 h", "", "longer"),
        ("80", "", "40 mg", "mL/h"),
    ],
)
def test_a_give_sentence_that_cannot_be_says_why_and_the_mend(volume, duration, rate, says):
    made = give(volume, duration, rate, pump_rules())
    assert isinstance(made, str)
    assert says in made
    assert made.endswith(".")


def test_two_lines_run_each_for_itself():
    lines = (a_ready_line(1), a_ready_line(2, hung="second-bag", access="foot"))
    bedside = Bedside(a_scenario(lines=lines))
    bedside.run(rate="100", volume="100", line="1")
    bedside.wait(10 * MINUTE)
    bedside.run(rate="60", volume="30", line="2")
    bedside.wait(2 * HOUR)
    done = [(event.line, event.at_ms) for event in bedside.of_kind("VolumeComplete")]
    assert done == [(2, 40 * MINUTE), (1, HOUR)]


def test_a_line_can_be_found_running():
    spec = a_ready_line(
        hung_left_ml=Fraction(200),
        running_rate_ml_per_h=Fraction(40),
        running_volume_ml=Fraction(80),
    )
    bedside = Bedside(a_scenario(lines=(spec,)))
    bedside.wait(3 * HOUR)
    assert bedside.happened("VolumeComplete") == [2 * HOUR]

"""Programmes keyed at the pump against the order that they serve."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.unit.scoring.ward import ANTIBIOTIC, BOLUS, MAINTENANCE, MIN, H, a_line, a_scenario
from trainer.clinical.quantity import parse_quantity
from trainer.engine.amounts import MS_PER_H, motes_from_ml, ul_h_from_ml_h
from trainer.engine.events import Entered, Finished, OrderGiven, Started, Stopped
from trainer.engine.state import Programme
from trainer.scoring import expect, keyed, programmes, record
from trainer.scoring.report import states_after
from trainer.terms import Drive, Role, Verdict

PLAIN = replace(MAINTENANCE, rule="", rate=parse_quantity("40 mL/h"))  # 80 mL at once


def programme(volume, rate):
    volume_ml, rate_ml_per_h = Fraction(volume), Fraction(rate)
    return Programme(
        volume=motes_from_ml(volume_ml),
        rate_ul_h=ul_h_from_ml_h(rate_ml_per_h),
        duration_ms=round(volume_ml / rate_ml_per_h * MS_PER_H),
    )


def entered(at_ms, volume, rate, role=Role.PRIMARY):
    return Entered(at_ms=at_ms, line=1, role=role, programme=programme(volume, rate))


def started(at_ms, volume, rate, role=Role.PRIMARY):
    one = programme(volume, rate)
    primary, secondary = (one, None) if role is Role.PRIMARY else (None, one)
    return Started(
        at_ms=at_ms, line=1, source=role, primary=primary, secondary=secondary, fresh=True
    )


def ended(at_ms):
    return Finished(at_ms=at_ms, by="learner")


def found(*events, orders=(PLAIN,), drive=Drive.PUMP, **changes):
    scenario = a_scenario(*orders, lines=(a_line(hung="bag", drive=drive),), **changes)
    keys = expect.keys(scenario)
    states = states_after(scenario, events)[1:]
    stood = record.standings(scenario, events)
    entries = programmes.keyed(scenario, events, states, stood, keys)
    listed = keyed.findings(scenario, events, states, stood, keys, entries)
    return {one.id.removeprefix("entry."): one for one in listed}


def test_the_keys_values_started_are_right_in_both_parts():
    by_id = found(entered(1, 80, 40), started(2, 80, 40), ended(MIN))
    assert set(by_id) == {"maintenance.keyed-rate", "maintenance.keyed-volume"}
    assert {one.verdict for one in by_id.values()} == {Verdict.RIGHT}


def test_a_wrong_rate_that_was_started_tells_what_ran_meanwhile():
    by_id = found(
        entered(0, 80, 80),
        started(0, 80, 80),
        entered(3 * MIN, 80, 40),
        started(3 * MIN, 80, 40),
        ended(4 * MIN),
    )
    rate = by_id["maintenance.keyed-rate"]
    assert (rate.verdict, rate.points, rate.critical) == (Verdict.WRONG, 0, True)
    assert rate.title == "Maintenance, rate entered: 80 mL/h; right: 40 mL/h"
    assert rate.reason == (
        "This is 2 times the right rate. It was started and reached the patient. "
        "So 4 mL ran in 3 min."
    )
    assert by_id["maintenance.keyed-volume"].verdict is Verdict.RIGHT


def test_a_wrong_rate_runs_until_it_is_stopped():
    stop = Stopped(at_ms=6 * MIN, line=1, by="learner")
    by_id = found(entered(0, 80, 80), started(0, 80, 80), stop, ended(H))
    assert "So 8 mL ran in 6 min." in by_id["maintenance.keyed-rate"].reason


def test_a_wrong_value_put_right_before_the_start_is_a_near_miss_and_praised():
    by_id = found(entered(1, 80, 400), entered(2, 80, 40), started(3, 80, 40), ended(MIN))
    rate = by_id["maintenance.keyed-rate"]
    assert (rate.verdict, rate.points) == (Verdict.CORRECTED, 1)
    assert "did not reach the patient" in rate.reason


def test_a_wrong_value_left_standing_was_not_started_and_is_wrong():
    rate = found(entered(1, 80, 400), ended(MIN))["maintenance.keyed-rate"]
    assert (rate.verdict, rate.critical) == (Verdict.WRONG, False)
    assert "It was not started." in rate.reason


def test_more_than_the_hours_at_once_is_wrong_for_a_child():
    volume = found(entered(1, 500, 40), started(2, 500, 40), ended(3))["maintenance.keyed-volume"]
    assert volume.verdict is Verdict.WRONG
    assert volume.reason.startswith("For a child no more than 2 h of volume is entered at once")


def test_less_than_the_hours_at_once_is_right():
    volume = found(entered(1, 40, 40), started(2, 40, 40), ended(3))["maintenance.keyed-volume"]
    assert volume.verdict is Verdict.RIGHT


def test_an_order_never_entered_is_missed_in_every_part():
    by_id = found(ended(MIN))
    assert {one.verdict for one in by_id.values()} == {Verdict.MISSED}
    assert {one.at_ms for one in by_id.values()} == {None}


def test_an_order_that_never_came_is_not_needed():
    later = replace(BOLUS, active=False)
    by_id = found(entered(1, 80, 40), started(2, 80, 40), ended(3), orders=(PLAIN, later))
    assert by_id["bolus.keyed-rate"].verdict is Verdict.NOT_NEEDED
    assert by_id["bolus.keyed-rate"].most == 0


def test_a_line_found_running_at_the_right_rate_needs_no_entry():
    line = a_line(hung="bag", running_rate_ml_per_h=Fraction(40), running_volume_ml=Fraction(80))
    scenario = a_scenario(PLAIN, lines=(line,))
    keys = expect.keys(scenario)
    events = (ended(1),)
    states, stood = states_after(scenario, events)[1:], record.standings(scenario, events)
    assert keyed.findings(scenario, events, states, stood, keys, ()) == ()


NEWER = replace(
    PLAIN, id="newer", rate=parse_quantity("60 mL/h"), active=False, supersedes="maintenance"
)


def test_after_a_changed_order_the_old_values_are_wrong():
    by_id = found(
        OrderGiven(at_ms=1, order="newer"),
        entered(2, 80, 40),
        started(3, 80, 40),
        ended(4),
        orders=(PLAIN, NEWER),
    )
    assert by_id["newer.keyed-rate"].verdict is Verdict.WRONG
    assert by_id["maintenance.keyed-rate"].verdict is Verdict.NOT_NEEDED


def test_before_the_change_the_old_values_are_right():
    by_id = found(
        entered(1, 80, 40),
        started(2, 80, 40),
        OrderGiven(at_ms=3, order="newer"),
        entered(4, 120, 60),
        started(5, 120, 60),
        ended(6),
        orders=(PLAIN, NEWER),
    )
    assert {one.verdict for one in by_id.values()} == {Verdict.RIGHT}


def test_values_of_one_order_at_the_inlet_of_another_are_named():
    by_id = found(
        entered(1, "54.6", "54.6"),
        started(2, "54.6", "54.6"),
        ended(3),
        orders=(PLAIN, ANTIBIOTIC),
    )
    wrong = by_id["none.0"]
    assert (wrong.verdict, wrong.critical) == (Verdict.WRONG, True)
    assert "`Antibiotic`, which belongs to line 1, secondary" in wrong.reason


def test_a_programme_for_which_no_order_stands_is_wrong():
    wrong = found(entered(1, 5, 5, Role.SECONDARY), ended(2))["none.0"]
    assert wrong.reason == "No order stands for this inlet at this moment. It was not started."


@pytest.mark.parametrize(
    ("volume", "rate", "wrong"),
    [
        ("182", "546", set()),
        ("182", "182", {"rate", "duration"}),
        ("364", "546", {"volume", "duration"}),
        ("18.2", "54.6", {"rate", "volume"}),  # right in its time alone
    ],
)
def test_rate_volume_and_duration_are_judged_apart(volume, rate, wrong):
    by_id = found(entered(1, volume, rate), started(2, volume, rate), ended(3), orders=(BOLUS,))
    faulty = {name.split("-")[1] for name, one in by_id.items() if one.verdict is Verdict.WRONG}
    assert faulty == wrong


def test_where_two_orders_stand_for_an_inlet_the_one_that_ends_is_due_first():
    by_id = found(
        entered(1, "180", "546"), ended(2), orders=(PLAIN, replace(BOLUS, fluid="glucose-saline"))
    )
    assert by_id["bolus.keyed-volume"].verdict is Verdict.WRONG
    assert by_id["maintenance.keyed-rate"].verdict is Verdict.MISSED


def test_the_rest_of_a_bolus_may_be_entered_after_a_part_was_given():
    by_id = found(
        entered(0, "182", "546"),
        started(0, "182", "546"),
        Stopped(at_ms=10 * MIN, line=1, by="alarm"),
        entered(11 * MIN, "91", "546"),
        started(11 * MIN, "91", "546"),
        ended(12 * MIN),
        orders=(BOLUS,),
    )
    assert {one.verdict for one in by_id.values()} == {Verdict.RIGHT}


def test_the_whole_bolus_entered_again_after_a_part_was_given_is_too_much():
    by_id = found(
        entered(0, "182", "546"),
        started(0, "182", "546"),
        Stopped(at_ms=10 * MIN, line=1, by="alarm"),
        entered(11 * MIN, "182", "546"),
        started(11 * MIN, "182", "546"),
        ended(12 * MIN),
        orders=(PLAIN, BOLUS),
    )
    volume = by_id["bolus.keyed-volume"]
    assert volume.verdict is Verdict.WRONG
    assert volume.reason.startswith("Of this order 91 mL had been given; 91 mL were left to give.")


def test_the_rest_of_a_bolus_is_its_own_where_maintenance_stands_too():
    by_id = found(
        entered(0, "182", "546"),
        started(0, "182", "546"),
        Stopped(at_ms=10 * MIN, line=1, by="alarm"),
        entered(11 * MIN, "91", "546"),
        started(11 * MIN, "91", "546"),
        ended(12 * MIN),
        orders=(PLAIN, BOLUS),
    )
    assert by_id["bolus.keyed-volume"].verdict is Verdict.RIGHT
    assert by_id["maintenance.keyed-rate"].verdict is Verdict.MISSED


def test_an_order_on_a_gravity_line_is_not_missed_at_the_pump():
    assert set(found(ended(MIN))) == {"maintenance.keyed-rate", "maintenance.keyed-volume"}
    assert found(ended(MIN), drive=Drive.GRAVITY) == {}

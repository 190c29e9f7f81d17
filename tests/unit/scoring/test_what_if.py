"""One act left out, moved or done otherwise: what would have happened, told with numbers."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.build import HOUR, MINUTE, SECOND, Bedside, a_block, a_scenario, an_order
from trainer.clinical.quantity import parse_quantity
from trainer.engine.decide import finish
from trainer.engine.events import Acted, AlarmRaised, Event
from trainer.engine.replay import is_input, rerun
from trainer.errors import NoSuchChange
from trainer.scenario.model import Scenario, Trigger
from trainer.scoring import what_if as module
from trainer.scoring.course import course
from trainer.scoring.report import report
from trainer.scoring.what_if import Change, Otherwise, told_of, what_if
from trainer.terms import Verb

CHANGED, LEFT_OUT, MOVED = "changed", "left out", "moved"


def a_bedside(**changes) -> Bedside:
    return Bedside(a_scenario(orders=(an_order(rate=parse_quantity("40 mL/h")),), **changes))


def ended(bedside: Bedside) -> Bedside:
    """The attempt ended by the learner, now."""
    bedside.log += finish(bedside.state, at_ms=bedside.now_ms, by="learner")
    return bedside


def ten_times_too_fast() -> Bedside:
    """Maintenance of 40 mL/h keyed as 400 mL/h and started after a minute; then half an hour."""
    bedside = a_bedside()
    bedside.wait(MINUTE)
    bedside.do(Verb.ENTER, line="1", role="primary", volume="400", rate="400")
    bedside.do(Verb.START, line="1")
    bedside.wait(30 * MINUTE)
    bedside.do(Verb.STOP, line="1")
    return ended(bedside)


def place_of(log: tuple[Event, ...], verb: Verb) -> int:
    """Where in the log an act of that verb first stands."""
    return next(
        place
        for place, event in enumerate(log)
        if isinstance(event, Acted) and event.action.verb is verb
    )


def asked(bedside: Bedside, verb: Verb, how: str, **more) -> Otherwise:
    change = Change(deed=place_of(bedside.log, verb), how=how, **more)
    return what_if(bedside.scenario, bedside.log, change)


def told(otherwise: Otherwise) -> dict[str, tuple[str, str, bool | None]]:
    return {one.name: (one.was, one.then, one.is_better) for one in otherwise.differences}


RIGHT = (
    ("line", "1"),
    ("rate", "key:maintenance.rate"),
    ("role", "primary"),
    ("volume", "key:maintenance.volume"),
)


def test_the_right_rate_keyed_gives_the_ordered_volume():
    otherwise = asked(ten_times_too_fast(), Verb.ENTER, CHANGED, params=RIGHT)
    was, then, is_better = told(otherwise)["Maintenance fluid"]
    assert was == "200 mL, 968 % of what was ordered"
    assert then == "20 mL, 97 % of what was ordered"
    assert is_better


def test_the_right_rate_keyed_loses_the_critical_finding_and_says_so_first():
    otherwise = asked(ten_times_too_fast(), Verb.ENTER, CHANGED, params=RIGHT)
    rows = [one for one in otherwise.differences if "finding" in one.name]
    assert rows[0].name == "critical finding"
    assert rows[0].was == "Maintenance fluid, rate entered: 400 mL/h; right: 40 mL/h"
    assert rows[0].is_better
    assert otherwise.words.startswith("The worst error would have been: ")
    assert "; Maintenance fluid: 20 mL, 97 % of what was ordered instead of 200 mL" in (
        otherwise.words
    )


def test_points_are_told_as_earned_of_most():
    was, then, is_better = told(asked(ten_times_too_fast(), Verb.ENTER, CHANGED, params=RIGHT))[
        "points"
    ]
    assert was.endswith(f" of {then.rpartition(' ')[2]}")
    assert is_better


def test_a_start_left_out_gives_nothing_and_makes_the_stop_impossible():
    otherwise = asked(ten_times_too_fast(), Verb.START, LEFT_OUT)
    assert told(otherwise)["Maintenance fluid"][1] == "0 mL, 0 % of what was ordered"
    (refused,) = otherwise.refused
    assert refused.action.verb is Verb.STOP
    assert "not running" in refused.refused
    assert told(otherwise)["line 1 stood still"] == ("1 min", "31 min", None)


def test_an_act_that_becomes_possible_is_told_too():
    bedside = a_bedside()
    bedside.wait(MINUTE)
    bedside.do(Verb.START, line="1")  # nothing is entered yet
    bedside.wait(MINUTE)
    bedside.do(Verb.ENTER, line="1", role="primary", volume="80", rate="40")
    bedside.wait(HOUR)
    otherwise = asked(ended(bedside), Verb.ENTER, MOVED, at_ms=30 * SECOND)
    assert [one.action.verb for one in otherwise.possible] == [Verb.START]
    assert otherwise.refused == ()
    assert told(otherwise)["Maintenance fluid"][1].startswith("40.7 mL")


def test_a_start_moved_later_gives_less_and_the_other_acts_stay_at_their_moments():
    bedside = ten_times_too_fast()
    otherwise = asked(bedside, Verb.START, MOVED, at_ms=16 * MINUTE)
    before = [(one.at_ms, one.action.verb) for one in bedside.log if isinstance(one, Acted)]
    after = [(one.at_ms, one.action.verb) for one in otherwise.events if isinstance(one, Acted)]
    assert after == [
        (at_ms, verb) if verb is not Verb.START else (16 * MINUTE, verb) for at_ms, verb in before
    ]
    assert told(otherwise)["Maintenance fluid"][1].startswith("100 mL")


def a_bent_line() -> Bedside:
    """A line that bends after 2 mL and is straightened ten minutes after its alarm."""
    bedside = a_bedside(events=(a_block(when=Trigger(given_ml=Fraction(2), line=1)),))
    bedside.run(rate="40", volume="80")
    bedside.wait(20 * MINUTE)
    bedside.do(Verb.STRAIGHTEN, line="1")
    bedside.do(Verb.START, line="1")
    bedside.wait(20 * MINUTE)
    return ended(bedside)


def test_an_alarm_that_does_not_come_is_time_without_alarm():
    otherwise = asked(a_bent_line(), Verb.ENTER, LEFT_OUT)
    assert not any(isinstance(event, AlarmRaised) for event in otherwise.events)
    was, then, is_better = told(otherwise)["high priority alarm"]
    assert was.endswith("min") or was.endswith("s")
    assert then == "none"
    assert is_better


def test_time_runs_on_to_the_same_end():
    bedside = a_bent_line()
    log = bedside.log
    for how, more in ((LEFT_OUT, {}), (MOVED, {"at_ms": 30 * MINUTE})):
        then = asked(bedside, Verb.STRAIGHTEN, how, **more)
        assert then.course.ends_ms == log[-1].at_ms == 40 * MINUTE


def test_an_alarm_that_comes_before_the_moved_act_is_run_again():
    """Moved to before an alarm that came between the two moments: it must not be kept."""
    bedside = a_bent_line()
    otherwise = asked(bedside, Verb.STRAIGHTEN, MOVED, at_ms=MINUTE)
    change = otherwise.change
    inputs = [
        replace(event, at_ms=MINUTE) if place == change.deed else event
        for place, event in enumerate(bedside.log)
        if is_input(event)
    ]
    inputs.sort(key=lambda event: event.at_ms)
    assert otherwise.events == rerun(bedside.scenario, inputs)


def test_nothing_different_is_a_result():
    bedside = a_bedside()
    bedside.run(rate="40", volume="80")
    bedside.do(Verb.CHART, what="what ran")
    bedside.wait(MINUTE)
    ended(bedside)
    otherwise = asked(bedside, Verb.CHART, LEFT_OUT)
    assert otherwise.differences == ()
    assert otherwise.words == "Nothing that is told here would have been different."


def test_moved_to_its_own_moment_nothing_at_all_differs():
    bedside = ten_times_too_fast()
    otherwise = asked(bedside, Verb.START, MOVED, at_ms=MINUTE)
    assert otherwise.events == bedside.log
    assert otherwise.words == "Nothing would have been different."


def test_the_other_report_and_course_are_those_of_the_other_log():
    bedside = ten_times_too_fast()
    otherwise = asked(bedside, Verb.ENTER, CHANGED, params=RIGHT)
    assert otherwise.report == report(bedside.scenario, otherwise.events)
    assert otherwise.course == course(bedside.scenario, otherwise.events)


def test_what_is_known_already_is_not_made_again(monkeypatch):
    bedside = ten_times_too_fast()
    known = told_of(bedside.scenario, bedside.log)
    monkeypatch.setattr(module, "told_of", None)
    change = Change(deed=place_of(bedside.log, Verb.START), how=LEFT_OUT)
    assert what_if(bedside.scenario, bedside.log, change, known=known).differences


def a_log() -> tuple[Scenario, tuple[Event, ...]]:
    bedside = ten_times_too_fast()
    return bedside.scenario, bedside.log


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (Change(deed=99, how=LEFT_OUT), "no act at position 99 of the log; the acts"),
        (Change(deed=-1, how=LEFT_OUT), "no act at position -1"),
        (Change(deed=1, how=LEFT_OUT), "no act at position 1 of the log; the acts .* 0, 2"),
        (Change(deed=0, how="undone"), "`undone` is no way .* `left out`, `moved` or `changed`"),
        (Change(deed=0, how=MOVED), "write which, in milliseconds"),
        (Change(deed=0, how=MOVED, at_ms=-1), "moved to -1 ms; the attempt ran from 0 to"),
        (Change(deed=0, how=MOVED, at_ms=HOUR), "moved to 3600000 ms; .* write a moment between"),
        (
            Change(deed=0, how=CHANGED, params=(("rate", "key:maintenance.colour"),)),
            "names no computed key; there are maintenance",
        ),
        (Change(deed=0, how=CHANGED, params=(("seconds", "15"),)), "`enter` carries no `seconds`"),
    ],
)
def test_what_cannot_be_asked_is_said_with_the_mend(change, says):
    scenario, log = a_log()
    with pytest.raises(NoSuchChange, match=says):
        what_if(scenario, log, change)


def test_a_value_that_the_bedside_cannot_read_is_refused_there_with_its_reason():
    params = (("line", "1"), ("rate", "many"), ("role", "primary"), ("volume", "80"))
    otherwise = asked(ten_times_too_fast(), Verb.ENTER, CHANGED, params=params)
    assert otherwise.refused[0].action.verb is Verb.ENTER
    assert "many" in otherwise.refused[0].refused

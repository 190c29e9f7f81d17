"""The share of what was ordered is told only where the order had time to run."""

from __future__ import annotations

from tests.unit.scoring.test_report import RUNNING, do, run, wait
from tests.unit.scoring.ward import MIN
from trainer.terms import Verb


def test_a_share_of_an_order_that_stood_for_seconds_is_not_told():
    (one,) = run(RUNNING, wait(12_000)).delivered
    assert one.share is None
    assert "%" not in one.text


def test_a_share_of_an_order_that_stood_for_minutes_is_told():
    (one,) = run(RUNNING, wait(5 * MIN)).delivered
    assert one.share == 1
    assert "100 %" in one.text


def test_a_break_of_a_few_seconds_explains_nothing_and_is_not_told():
    stopped = do(Verb.STOP, pause_ms=5_000, line="1")
    (one,) = run(RUNNING, wait(5 * MIN), stopped, do(Verb.START, line="1"), wait(MIN)).delivered
    assert "did not run" not in one.text


def test_from_twice_as_much_on_a_share_is_told_as_times():
    pump = do(Verb.ENTER, pause_ms=MIN, line="1", role="primary", volume="80", rate="400")
    (one,) = run(RUNNING, pump, do(Verb.START, line="1"), wait(10 * MIN)).delivered
    # 40 mL/h for 11 min are 7.3 mL; a minute of that and ten of 400 mL/h are 67.3 mL
    assert "9.2 times as much" in one.text

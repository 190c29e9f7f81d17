"""Scripted runs: acts with the key filled in, and waits that end."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.unit.scoring.ward import (
    ANTIBIOTIC,
    DOPAMINE,
    MAINTENANCE,
    MIN,
    H,
    S,
    a_line,
    a_scenario,
)
from trainer.clinical.quantity import parse_quantity
from trainer.engine.amounts import ml_from_motes
from trainer.engine.events import Acted, AlarmRaised, Entered, Finished
from trainer.errors import ProblemError
from trainer.scenario.model import AuthoredEvent, Conduct, ConductStep, Effect, Trigger
from trainer.scoring import expect, rehearse
from trainer.scoring.report import states_after
from trainer.terms import AlarmKind, Happening, Verb, Where

PLAIN = replace(MAINTENANCE, rule="", rate=parse_quantity("40 mL/h"))
LINE = a_line(hung="bag", running_rate_ml_per_h=Fraction(40), running_volume_ml=Fraction(80))
RUNNING = a_scenario(PLAIN, lines=(LINE,))
BLOCKED = replace(
    RUNNING,
    events=(
        AuthoredEvent(
            id="kink",
            title="A kink",
            when=Trigger(at_ms=10 * MIN),
            effects=(
                Effect(
                    happening=Happening.LINE_BLOCKED,
                    line=1,
                    where=Where.DOWNSTREAM,
                    reason="a kink",
                    mend=Verb.STRAIGHTEN,
                ),
            ),
        ),
    ),
)


def do(verb, pause_ms=5 * S, **params):
    return ConductStep(verb=verb, params=tuple(params.items()), pause_ms=pause_ms)


def run(scenario, *steps):
    return rehearse.rehearse(scenario, Conduct(id="try", title="A try", steps=steps))


def acts(log):
    return [event for event in log if isinstance(event, Acted)]


def test_each_act_comes_its_pause_after_the_one_before_and_the_run_is_finished():
    log = run(RUNNING, do(Verb.CLEAN_HANDS), do(Verb.IDENTIFY_PATIENT, pause_ms=20 * S))
    assert [event.at_ms for event in acts(log)] == [5 * S, 25 * S]
    assert log[-1] == Finished(at_ms=25 * S, by="learner")


def test_a_key_stands_as_a_learner_would_write_it():
    work_out = do(Verb.CALCULATE, order="maintenance", what="rate", entered="key:maintenance.rate")
    enter = do(
        Verb.ENTER,
        line="1",
        role="primary",
        volume="key:maintenance.volume",
        duration="key:maintenance.duration",
    )
    log = run(RUNNING, work_out, enter)
    worked_out, entered = (dict(event.action.params) for event in acts(log))
    assert worked_out["entered"] == "40 mL/h"
    assert (entered["volume"], entered["duration"]) == ("80", "2 h")
    assert [event for event in log if isinstance(event, Entered)]


@pytest.mark.parametrize(
    ("order", "quantity", "text"),
    [
        (replace(ANTIBIOTIC, least_ms=90 * MIN), "duration", "1 h 30 min"),
        (ANTIBIOTIC, "dose", "273 mg"),
        (DOPAMINE, "dose", "91 mcg/min"),
    ],
)
def test_every_quantity_can_be_written(order, quantity, text):
    found = expect.key(expect.keys(a_scenario(order)), order.id, quantity)
    assert found is not None
    assert rehearse.key_text(found, with_unit=True) == text


def test_a_key_that_there_is_not_is_told_with_those_that_there_are():
    step = do(Verb.CALCULATE, order="maintenance", what="dose", entered="key:maintenance.dose")
    with pytest.raises(ProblemError, match=r"conduct `try`, step 1: .*maintenance\.rate"):
        run(RUNNING, step)


def test_a_wait_for_an_alarm_ends_when_it_is_raised():
    log = run(BLOCKED, ConductStep(until_alarm=AlarmKind.DOWNSTREAM_OCCLUSION))
    raised = next(event for event in log if isinstance(event, AlarmRaised))
    assert log[-1].at_ms == raised.at_ms


def test_a_wait_for_an_event_ends_when_it_comes():
    assert run(BLOCKED, ConductStep(until_event="kink"))[-1].at_ms == 10 * MIN


def test_a_wait_for_a_volume_ends_in_the_first_millisecond_in_which_it_is_given():
    wait = ConductStep(until_given_ml=Fraction("7.31"), line=1)
    log = run(RUNNING, wait)
    total = states_after(RUNNING, log)[-1].line(1).pump.total
    assert 0 <= ml_from_motes(total) - Fraction("7.31") < Fraction(1, 10_000)


def test_a_wait_for_what_does_not_come_is_a_fault_of_the_conduct():
    with pytest.raises(ProblemError, match="waits for the alarm `air in line`, which does not"):
        run(RUNNING, ConductStep(until_alarm=AlarmKind.AIR_IN_LINE))
    with pytest.raises(ProblemError, match="waits for 900 mL to be given"):
        run(RUNNING, ConductStep(until_given_ml=Fraction(900), line=1))


def test_waiting_moves_the_clock():
    log = run(RUNNING, do(Verb.WAIT, length="5 min"), ConductStep(pause_ms=MIN))
    assert log[-1].at_ms == 6 * MIN + 5 * S


def test_a_run_ends_when_time_is_up():
    log = run(replace(RUNNING, ends_ms=H), do(Verb.WAIT, length="3 h"), do(Verb.CLEAN_HANDS))
    assert [event for event in log if isinstance(event, Finished)] == [log[-1]]
    assert log[-1].at_ms == H

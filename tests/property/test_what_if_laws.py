"""Laws of the other course: what changes nothing changes nothing, and no fluid is lost."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import assume, given
from hypothesis import strategies as st

from tests.property.examples import tried
from tests.property.scripts import scripts
from tests.property.test_engine_laws import Case, nothing_lost, played
from trainer.engine.actions import unknown_params
from trainer.engine.begin import initial_state
from trainer.engine.carry import carry
from trainer.engine.decide import finish
from trainer.engine.events import Acted, Event, Input
from trainer.engine.replay import is_input, rerun, run_on
from trainer.scenario.model import Scenario
from trainer.scoring.reading_log import states_after
from trainer.scoring.what_if import Change, is_askable, what_if

Logged = tuple[Scenario, tuple[Event, ...], int]


def logged(case: Case, share: float) -> Logged:
    """A random attempt that the learner ended, and the position of an act to ask about."""
    states, events, ends_ms = played(case)
    log = (*events, *finish(states[-1], at_ms=ends_ms, by="learner"))
    acts = [
        place
        for place, event in enumerate(log)
        if isinstance(event, Acted) and is_askable(event.action)
    ]
    assume(acts)
    return case[0], log, acts[int(share * (len(acts) - 1))]


SHARES = st.floats(0, 1)


def run_anew(scenario: Scenario, log: tuple[Event, ...], change: Change) -> tuple[Event, ...]:
    """The other course from the very beginning, without keeping anything of the first."""
    inputs: list[Input] = []
    for place, event in enumerate(log):
        if is_input(event) and place != change.deed:
            inputs.append(event)
        elif isinstance(event, Acted) and change.how == "moved" and change.at_ms is not None:
            inputs.append(replace(event, at_ms=change.at_ms))
    inputs.sort(key=lambda event: event.at_ms)
    return run_on(initial_state(scenario), inputs, log[-1].at_ms)[0]


@tried(20, costs=8)
@given(scripts(), SHARES)
def test_a_change_that_changes_nothing_gives_the_same_log(case, share):
    scenario, log, deed = logged(case, share)
    acted = log[deed]
    assert isinstance(acted, Acted)
    same = [Change(deed=deed, how="moved", at_ms=acted.at_ms)]
    if not unknown_params(acted.action):
        same.append(Change(deed=deed, how="changed", params=acted.action.params))
    for change in same:
        otherwise = what_if(scenario, log, change)
        assert otherwise.events == log
        assert otherwise.differences == ()
        assert otherwise.refused == otherwise.possible == ()


@tried(20, costs=8)
@given(scripts(), SHARES, SHARES, st.booleans())
def test_keeping_what_came_before_the_change_gives_the_same_as_running_all_anew(
    case, share, moment, is_left_out
):
    scenario, log, deed = logged(case, share)
    at_ms = int(moment * log[-1].at_ms)
    change = Change(deed=deed, how="left out" if is_left_out else "moved", at_ms=at_ms)
    otherwise = what_if(scenario, log, change)
    assert otherwise.events == run_anew(scenario, log, change)
    assert rerun(scenario, otherwise.events) == otherwise.events
    assert otherwise.states == states_after(scenario, otherwise.events)


@tried(10, costs=16)
@given(scripts(), SHARES, SHARES)
def test_asked_twice_it_answers_the_same(case, share, moment):
    scenario, log, deed = logged(case, share)
    change = Change(deed=deed, how="moved", at_ms=int(moment * log[-1].at_ms))
    assert what_if(scenario, log, change) == what_if(scenario, log, change)


@tried(20, costs=8)
@given(scripts(), SHARES, SHARES)
def test_no_fluid_is_made_or_lost_in_the_other_course(case, share, moment):
    scenario, log, deed = logged(case, share)
    change = Change(deed=deed, how="moved", at_ms=int(moment * log[-1].at_ms))
    otherwise = what_if(scenario, log, change)
    last = carry(otherwise.states[-1], log[-1].at_ms)
    nothing_lost(otherwise.states[0], otherwise.events, last)


@tried(20, costs=8)
@given(scripts(), SHARES, SHARES)
def test_moved_there_and_back_it_is_as_it_was(case, share, moment):
    """Where nothing else was done at the same millisecond, which of two comes first is known."""
    scenario, log, deed = logged(case, share)
    moments = [event.at_ms for event in log if is_input(event)]
    assume(moments.count(log[deed].at_ms) == 1)
    at_ms = int(moment * log[-1].at_ms)
    assume(at_ms not in moments)
    there = what_if(scenario, log, Change(deed=deed, how="moved", at_ms=at_ms))
    place = next(
        place
        for place, event in enumerate(there.events)
        if isinstance(event, Acted) and event.at_ms == at_ms
    )
    back = what_if(scenario, there.events, Change(deed=place, how="moved", at_ms=log[deed].at_ms))
    assert back.events == log

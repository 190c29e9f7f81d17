"""A leap of the ward clock ends where a learner would look up, and nowhere else."""

import pytest

from tests.build import MINUTE, a_running_state, a_scenario, an_event
from trainer.engine.events import AlarmRaised, EventCame
from trainer.errors import NothingAhead
from trainer.live.attempt import leap_to_next
from trainer.scenario.model import Effect, Trigger
from trainer.store.records import Leapt
from trainer.terms import AlarmKind, Happening, Where


def test_a_leap_passes_the_bend_that_nobody_sees_and_ends_at_the_alarm():
    bend = Effect(happening=Happening.LINE_BLOCKED, line=1, where=Where.DOWNSTREAM, reason="bent")
    scenario = a_scenario(events=(an_event("bend", Trigger(at_ms=5 * MINUTE), bend),))
    state = a_running_state(scenario=scenario)
    leapt, *brought = leap_to_next(state, 0)
    assert isinstance(leapt, Leapt)
    assert [one.at_ms for one in brought if isinstance(one, EventCame)] == [5 * MINUTE]
    last = brought[-1]
    assert isinstance(last, AlarmRaised)
    assert last.kind is AlarmKind.DOWNSTREAM_OCCLUSION
    assert last.at_ms == leapt.to_ms > 5 * MINUTE


def test_a_leap_never_ends_an_attempt():
    state = a_running_state(scenario=a_scenario(ends_ms=30 * MINUTE))
    with pytest.raises(NothingAhead):
        leap_to_next(state, 0)

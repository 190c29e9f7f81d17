"""A log again: states of any moment, re-runs, the first difference; faults of ours."""

from dataclasses import replace

import pytest

from tests.build import HOUR, MINUTE, Bedside, a_block, a_scenario
from trainer.engine.actions import act
from trainer.engine.carry import carry
from trainer.engine.copying import changed
from trainer.engine.decide import decide
from trainer.engine.events import Noted, Stopped
from trainer.engine.evolve import evolve
from trainer.engine.notation import format_state
from trainer.engine.replay import audit, rerun, state_at
from trainer.errors import EngineError
from trainer.scoring.reading_log import states_after
from trainer.terms import Verb


def a_run() -> Bedside:
    bedside = Bedside(a_scenario(events=(a_block(),)))
    bedside.run(rate="36", volume="100")
    bedside.wait(MINUTE)
    bedside.do(Verb.STRAIGHTEN, line="1")
    bedside.do(Verb.START, line="1")
    bedside.wait(HOUR)
    return bedside


def test_a_log_reproduces_itself():
    bedside = a_run()
    assert rerun(bedside.scenario, bedside.log) == bedside.log
    assert audit(bedside.scenario, bedside.log) is None
    assert audit(bedside.scenario, ()) is None


def test_the_first_difference_is_told_with_its_place_and_both_texts():
    bedside = a_run()
    place = next(i for i, event in enumerate(bedside.log) if isinstance(event, Stopped))
    altered = list(bedside.log)
    altered[place] = replace(bedside.of_kind("Stopped")[0], by="learner")
    found = audit(bedside.scenario, altered)
    assert found is not None
    assert found.index == place
    assert "by='learner'" in found.logged
    assert "by='alarm'" in found.rerun


def test_an_event_too_many_is_a_difference_too():
    bedside = a_run()
    log = (*bedside.log, Noted(at_ms=bedside.now_ms, verb=Verb.TEACH))
    found = audit(bedside.scenario, log)
    assert found is not None
    assert (found.index, found.rerun) == (len(bedside.log), "")


def test_the_state_of_any_moment_is_what_was_live_then():
    bedside = a_run()
    then = state_at(bedside.scenario, bedside.log, 30_000)
    assert format_state(then).startswith("t=00:00:30.000 line1 infusing 36 mL/h")
    now = state_at(bedside.scenario, bedside.log, bedside.now_ms)
    assert now == carry(bedside.state, bedside.now_ms)


def test_an_event_out_of_order_is_a_fault_of_ours():
    bedside = a_run()
    with pytest.raises(EngineError, match="must be folded in their order"):
        evolve(bedside.state, Noted(at_ms=0, verb=Verb.TEACH))
    with pytest.raises(EngineError):
        decide(bedside.state, act(Verb.CLEAN_HANDS), at_ms=0, actor="learner")


def test_a_field_that_does_not_exist_cannot_be_changed():
    state = Bedside(a_scenario()).state
    with pytest.raises(AttributeError, match="State has no field colour"):
        changed(state, colour="red")


def test_a_changed_copy_leaves_the_first_as_it_was():
    state = Bedside(a_scenario()).state
    later = changed(state, as_of_ms=5)
    assert (state.as_of_ms, later.as_of_ms) == (0, 5)
    assert later == replace(state, as_of_ms=5)


def test_with_kept_states_the_bedside_at_a_moment_is_the_same():
    bedside = Bedside(a_scenario())
    bedside.run(rate="60", volume="10")
    bedside.wait(20 * MINUTE)
    states = states_after(bedside.scenario, bedside.log)
    for at_ms in (0, 1, 5 * MINUTE, 10 * MINUTE - 1, 10 * MINUTE, 20 * MINUTE):
        plain = state_at(bedside.scenario, bedside.log, at_ms)
        assert state_at(bedside.scenario, bedside.log, at_ms, states) == plain

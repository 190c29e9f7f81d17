"""Which cue comes next, and in which words."""

from dataclasses import replace

import pytest

from tests.rehearsed import SHIPPED
from tests.unit.scoring.ward import MAINTENANCE, MIN, a_scenario, did, event_came, step
from trainer.engine.events import Cued, Event, Finished
from trainer.scenario.model import AuthoredEvent, Cue, Pattern, Plan, Scenario, Step, Trigger
from trainer.scoring import explain
from trainer.scoring.accept import variant
from trainer.scoring.cues import NextCue, ladder, next_cue
from trainer.scoring.expect import keys
from trainer.scoring.findings import Key
from trainer.terms import CueKind, Domain, Verb

PLAIN = replace(MAINTENANCE, ask=())
HANDS = step("hands", Verb.CLEAN_HANDS, domain=Domain.SETTING_UP)
WHO = step("who", Verb.IDENTIFY_PATIENT, domain=Domain.VERIFYING, critical=True)
LOOK = step("look", Verb.LOOK_AT_SITE, access="hand")
START = step("start", Verb.START, line="1", after=("look",), critical=True)
SAID = Cue(kind=CueKind.REALITY, text="The hand is cool.")
ASKED = Cue(kind=CueKind.CONCEPTUAL, text="What would show that it runs beside the vein?")

hands, who = did(1, Verb.CLEAN_HANDS), did(2, Verb.IDENTIFY_PATIENT)
look, start = did(3, Verb.LOOK_AT_SITE, access="hand"), did(4, Verb.START, line="1")


def a_ward(*steps, events=(), orders=(PLAIN,)) -> Scenario:
    return a_scenario(*orders, plan=Plan(steps=steps), events=events)


def told(scenario: Scenario, *events: Event, at_ms: int | None = None) -> str:
    found = next_cue(scenario, events, at_ms)
    return found.step if found else "nothing"


def given(found: NextCue | None) -> Cued:
    assert found is not None
    return Cued(at_ms=9, kind=found.kind, step=found.step, text=found.text, by="learner")


def test_what_is_critical_comes_before_what_stands_first():
    assert told(a_ward(HANDS, WHO)) == "start.who"
    assert told(a_ward(HANDS, WHO), who) == "start.hands"
    assert told(a_ward(HANDS, WHO), hands, who) == "nothing"


def test_a_step_waits_for_what_must_come_first_and_lends_it_its_urgency():
    ward = a_ward(HANDS, LOOK, START)
    assert told(ward) == "start.look"
    assert told(ward, look) == "start.start"


def test_what_is_overdue_comes_first_of_all():
    late = replace(HANDS, within_ms=MIN)
    assert told(a_ward(WHO, late), at_ms=MIN) == "start.who"
    assert told(a_ward(WHO, late), at_ms=MIN + 1) == "start.hands"


def test_of_two_alike_the_one_that_has_been_open_longer_comes_first():
    event = AuthoredEvent(id="kink", title="", when=Trigger(by_hand=True), effects=(), plan=Plan(steps=(replace(LOOK, critical=True),)))  # fmt: skip
    ward = a_ward(HANDS, WHO, events=(event,))
    assert told(ward, event_came(5, "kink")) == "start.who"
    assert told(ward, who, event_came(5, "kink")) == "kink.look"


def test_an_event_that_has_not_come_asks_for_nothing():
    event = AuthoredEvent(id="kink", title="", when=Trigger(by_hand=True), effects=(), plan=Plan(steps=(WHO,)))  # fmt: skip
    assert told(a_ward(events=(event,))) == "nothing"


def test_what_comes_out_of_a_container_waits_until_one_hangs_there():
    prime = step("prime", Verb.PRIME, line="1", role="primary", critical=True)
    hang = step("hang", Verb.HANG, line="1", role="primary", supply="bag")
    assert told(a_ward(HANDS, prime, hang)) == "start.hang"
    other = step("hang", Verb.HANG, line="1", role="secondary", supply="small-bag")
    assert told(a_ward(HANDS, prime, other)) == "start.prime"


def test_a_value_that_is_asked_and_not_worked_out_counts_and_the_start_waits_for_it():
    ward = a_ward(LOOK, START, orders=(replace(PLAIN, ask=("rate",)),))
    assert told(ward, look) == "entry.maintenance.rate"
    worked = did(5, Verb.CALCULATE, order="maintenance", what="rate", entered="1 mL/h")
    assert told(ward, look, worked) == "start.start"


def test_a_finished_attempt_gets_no_cue():
    assert told(a_ward(WHO), Finished(at_ms=1, by="learner")) == "nothing"


# --- words ------------------------------------------------------------------------------


def test_the_authors_cues_come_one_by_one():
    ward = a_ward(replace(LOOK, cues=(SAID, ASKED)))
    first = next_cue(ward, ())
    assert first == NextCue(kind=CueKind.REALITY, step="start.look", text=SAID.text)
    second = next_cue(ward, (given(first),))
    assert second == NextCue(kind=CueKind.CONCEPTUAL, step="start.look", text=ASKED.text)
    assert next_cue(ward, (given(first), given(second))) is None


def test_without_the_authors_there_is_a_question_and_then_the_act_in_words():
    assert [cue.text for cue in ladder(a_ward(LOOK), LOOK)] == [
        "What could you look at now, and what would it tell you?",
        "Next: look at the site: left hand.",
    ]
    assert {cue.kind for cue in ladder(a_ward(LOOK), LOOK)} == {CueKind.CONCEPTUAL}


def test_the_same_question_can_be_asked_for_two_steps():
    patient = step("patient", Verb.LOOK_AT_PATIENT)
    ward = a_ward(LOOK, patient)
    question = given(next_cue(ward, ()))
    assert told(ward, question, look) == "start.patient"
    assert given(next_cue(ward, (question, look))).text == question.text


def test_when_a_step_has_no_cue_left_the_next_one_is_helped():
    ward = a_ward(replace(WHO, cues=(SAID,)), HANDS)
    assert told(ward, given(next_cue(ward, ()))) == "start.hands"


@pytest.mark.parametrize("name", ["rate", "volume", "duration", "opening", "seconds"])
def test_the_act_in_words_keeps_values_to_itself(name: str):
    verb = {"opening": Verb.TURN_CLAMP, "seconds": Verb.SCRUB_HUB}.get(name, Verb.ENTER)
    pattern = Pattern(verb=verb, params=(("line", "1"), (name, "4711")))
    one = Step(id="one", pattern=pattern, domain=Domain.ENTERING)
    assert not [cue for cue in ladder(a_ward(one), one) if "4711" in cue.text]


def every_cue(scenario: Scenario) -> list[str]:
    steps = [*scenario.plan.steps, *(one for event in scenario.events for one in event.plan.steps)]
    return [cue.text for one in steps for cue in ladder(scenario, one)]


@pytest.mark.parametrize("name", SHIPPED)
@pytest.mark.parametrize("seed", [0, 1])
def test_no_cue_of_a_shipped_scenario_tells_a_computed_value(name: str, seed: int):
    scenario = variant(SHIPPED[name], seed)
    assert every_cue(scenario)
    printed = {supply.volume_ml for supply in scenario.supplies}  # a label may say it
    all_keys = keys(scenario)
    for text in every_cue(scenario):
        told = [key for key in all_keys if tells(text, key)]
        assert [key for key in told if key.value not in printed] == []


def tells(text: str, key: Key) -> bool:
    text = text.replace("line 1 ", "the line ")  # a line's number is no value
    return explain.amount(key.value, key.unit) in text or f"{explain.number(key.value)} " in text

"""Objectives with ids, what serves them, cues, and how a policy marks: right and wrong files."""

from fractions import Fraction

import pytest

from tests.unit.scenario.small_files import POLICY, SCENARIO, changed, loaded, place, told
from trainer.scenario.model import Bar, Cue, Marking
from trainer.terms import Credit, CueKind, Domain, Happening, Purpose

OLD = "objectives: [Know that the loader reads.]"
NAMED = changed(
    changed(SCENARIO, OLD, "objectives: [{id: ready, text: Make it ready.}]"),
    "{do: start, line: 1, after: clean hands, critical: true}",
    "{do: start, line: 1, after: clean hands, critical: true, serves: ready}",
)
"""The small scenario with an objective that its critical step serves."""
WITH_CUE = changed(
    NAMED,
    "      - {happens: line blocked,",
    "      - {happens: cue, kind: reality, text: It is quiet., step: start.clean-hands}\n"
    "      - {happens: line blocked,",
)
MARKED = changed(
    POLICY,
    "lb_per_kg",
    "marking:\n"
    "  credit: {after a conceptual cue: 25 %}\n"
    "  bars: {formative: {all: 80 %, calculating: 90 %}}\n"
    "  least_items: 3\n"
    "lb_per_kg",
)


def test_objectives_in_plain_words_have_no_ids_and_nothing_is_asked_of_them():
    assert loaded().objectives == ("Know that the loader reads.",)
    assert loaded().objective_ids == ("",)


def test_an_objective_with_an_id_is_served_by_steps_and_orders():
    text = changed(NAMED, "    rule: 4-2-1\n", "    rule: 4-2-1\n    serves: [ready]\n")
    found = loaded(text)
    assert (found.objectives, found.objective_ids) == (("Make it ready.",), ("ready",))
    assert found.plan.steps[1].serves == ("ready",)
    assert found.order("maintenance").serves == ("ready",)


def test_a_step_can_have_cues_in_their_order():
    text = changed(
        SCENARIO,
        "{do: clean hands}\n  - {do: start, line: 1, after: clean hands, critical: true}",
        "{do: clean hands, cues: [{kind: reality, text: A smell.}, "
        "{kind: conceptual, text: What is on them?}]}\n"
        "  - {do: start, line: 1, after: clean hands, critical: true}",
    )
    assert loaded(text).plan.steps[0].cues == (
        Cue(kind=CueKind.REALITY, text="A smell."),
        Cue(kind=CueKind.CONCEPTUAL, text="What is on them?"),
    )


def test_an_event_can_give_a_cue():
    effect = loaded(WITH_CUE).events[0].effects[0]
    assert (effect.happening, effect.cue) == (Happening.CUE, CueKind.REALITY)
    assert (effect.text, effect.step) == ("It is quiet.", "start.clean-hands")


def test_a_policy_without_marking_sets_no_bar():
    marking = loaded().policy.marking
    assert marking == Marking()
    assert marking.bars == ()


def test_a_policy_says_what_a_level_of_credit_leaves_and_which_bars_hold():
    marking = loaded(policy=MARKED).policy.marking
    assert marking.credit == ((Credit.AFTER_CONCEPTUAL_CUE, Fraction(1, 4)),)
    assert marking.bars == (
        Bar(purpose=Purpose.FORMATIVE, least=Fraction(4, 5)),
        Bar(purpose=Purpose.FORMATIVE, least=Fraction(9, 10), domain=Domain.CALCULATING),
    )
    assert marking.least_items == 3


def test_a_step_that_serves_an_objective_that_is_not_there_is_a_fault():
    text = changed(NAMED, "serves: ready}", "serves: redy}")
    at = "s.yaml:" + place(text, "redy")
    assert told(text) == [f"{at}: no objective has the id `redy`; did you mean `ready`?"]


def test_an_objective_that_nothing_serves_is_a_fault():
    text = changed(
        NAMED, "text: Make it ready.}]", "text: Make it ready.}, {id: keep, text: Keep it.}]"
    )
    at = "s.yaml:" + place(text, "keep")
    assert told(text) == [
        f"{at}: nothing serves the objective `keep`; "
        "add `serves: keep` to the steps or orders that show it"
    ]


def test_an_objective_without_an_id_among_others_with_one_is_a_fault():
    text = changed(NAMED, "text: Make it ready.}]", "text: Make it ready.}, Keep it.]")
    at = "s.yaml:" + place(text, "Keep it.")
    assert told(text) == [
        f"{at}: nothing can serve this objective without an id; "
        "give it an `id`, as the others have, and let steps serve it"
    ]


def test_two_objectives_of_one_id_are_a_fault():
    text = changed(
        NAMED, "text: Make it ready.}]", "text: Make it ready.}, {id: ready, text: Again.}]"
    )
    at = "s.yaml:" + place(text, "ready, text: Again")
    assert told(text) == [f"{at}: there is already an objective `ready`; choose another name"]


def test_a_critical_step_that_serves_nothing_is_a_fault_once_objectives_have_ids():
    text = changed(
        NAMED, "expect:\n  - {do: clean hands}", "expect:\n  - {do: clean hands, critical: true}"
    )
    at = "s.yaml:" + place(text, "clean hands, critical")
    assert told(text) == [
        f"{at}: `clean-hands` is critical and serves no objective; add `serves:` with ready"
    ]


@pytest.mark.parametrize(
    ("name", "mend"),
    [
        ("start.clean-hand", "did you mean `start.clean-hands`?"),
        ("entry.dose.volume", "did you mean `entry.dose.keyed-volume`?"),
    ],
)
def test_a_cue_for_a_step_that_is_not_there_is_a_fault(name: str, mend: str):
    text = changed(WITH_CUE, "step: start.clean-hands}", f"step: {name}}}")
    (line,) = told(text)
    assert line.startswith(
        f"s.yaml:{place(text, name)}: nothing is marked under the name `{name}`; "
    )
    assert line.endswith(mend)


def test_a_cue_for_a_value_that_an_order_asks_is_sound():
    assert told(changed(WITH_CUE, "step: start.clean-hands}", "step: entry.dose.rate}")) == []


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("all: 80 %", "all: 180 %", "`180 %` is more than the whole; write 100 % or less"),
        ("all: 80 %", "al: 80 %", "`al` is no known part of the work; did you mean `all`?"),
        ("formative:", "formativ:", "`formativ` is no known purpose; did you mean `formative`?"),
        ("formative: {all: 80 %, calculating: 90 %}", "formative: {}",
         "no bar is set for `formative`; add `all:` or a domain"),
        ("least_items: 3", "least_items: 0", "0 items can show nothing; write 1 or more"),
        ("least_items: 3", "harm_from: 5 %",
         "an error would count as harm before it wants watching; write at least `watch_from`"),
        ("after a conceptual cue", "unaided",
         "`unaided` is no known level of credit; write after a reality cue, "
         "after a conceptual cue or self-corrected"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_policys_marking(old: str, new: str, words: str):
    (line,) = told(policy=changed(MARKED, old, new))
    assert line.split(": ", 1)[1] == words

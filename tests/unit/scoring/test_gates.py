"""Gates: must-pass apart from all points, bars from the policy alone, unknown as a result."""

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.unit.scoring.ward import POLICY, a_scenario
from trainer.scenario.model import Bar, Marking
from trainer.scoring.findings import Finding, Gate
from trainer.scoring.gates import gates
from trainer.scoring.objectives import objective_marks
from trainer.scoring.rubric import CREDIT, marks
from trainer.terms import Credit, Domain, Outcome, Purpose, Verdict

ALL_80 = Bar(purpose=Purpose.FORMATIVE, least=Fraction(4, 5))
SUMS_90 = Bar(purpose=Purpose.FORMATIVE, least=Fraction(9, 10), domain=Domain.CALCULATING)


def a_finding(name: str, verdict: Verdict = Verdict.RIGHT, **changes) -> Finding:
    finding = Finding(
        id=f"start.{name}", verdict=verdict, domain=Domain.CALCULATING, title="", reason="",
        at_ms=None if verdict is Verdict.MISSED else 1, plan="start", points=CREDIT[verdict],
        most=Fraction(int(verdict is not Verdict.NOT_NEEDED)),
    )  # fmt: skip
    return replace(finding, **changes)


def held(*found: Finding, bars=(), least_items=1, purpose=Purpose.FORMATIVE) -> dict[str, Gate]:
    policy = replace(POLICY, marking=Marking(bars=bars, least_items=least_items))
    by_domain = marks(found, least_items)
    told = gates(a_scenario(policy=policy), found, by_domain, purpose)
    return {gate.name: gate for gate in told}


RIGHT = tuple(a_finding(f"n{number}") for number in range(9))


def test_there_is_a_gate_for_must_pass_one_for_all_and_one_for_each_part_of_the_work():
    assert tuple(held(*RIGHT)) == ("must-pass", "all", *map(str, Domain))


def test_no_points_make_up_for_one_must_pass_item():
    missed = a_finding("who", Verdict.MISSED, critical=True)
    told = held(*RIGHT, missed, a_finding("who-2", critical=True), bars=(ALL_80,))
    assert told["must-pass"].outcome is Outcome.NOT_PASSED
    assert told["must-pass"].short == ("start.who",)
    assert (
        told["must-pass"].words == "1 of 2 must-pass items fell short; no points make up for that."
    )
    assert told["all"].outcome is Outcome.PASSED


def test_a_must_pass_item_done_after_a_cue_is_passed_and_told():
    helped = a_finding(
        "who", critical=True, points=Fraction(1, 2), credit=Credit.AFTER_CONCEPTUAL_CUE
    )
    gate = held(helped, a_finding("what", critical=True))["must-pass"]
    assert gate.outcome is Outcome.PASSED
    assert gate.words == "All 2 must-pass items were met. 1 of them after a cue."


def test_must_pass_items_without_an_occasion_are_no_evidence():
    unneeded = a_finding("who", Verdict.NOT_NEEDED, critical=True)
    assert held(unneeded)["must-pass"].outcome is Outcome.NOT_ENOUGH_EVIDENCE
    both = held(unneeded, a_finding("what", critical=True))["must-pass"]
    assert both.outcome is Outcome.PASSED
    assert both.words == "It was met. For 1 there was no occasion."


@pytest.mark.parametrize("purpose", Purpose)
def test_without_a_bar_in_the_policy_there_is_none(purpose: Purpose):
    told = held(*RIGHT, purpose=purpose)
    assert {gate.outcome for name, gate in told.items() if name != "must-pass"} == {Outcome.NO_BAR}
    assert told["all"].share == 1


def test_a_bar_for_one_purpose_does_not_hold_for_another():
    assert held(*RIGHT, bars=(ALL_80,), purpose=Purpose.SUMMATIVE)["all"].outcome is Outcome.NO_BAR


def test_a_share_is_held_against_the_bar_and_never_rounded_up_to_it():
    eight = (a_finding(f"n{n}") for n in range(8))
    just_short = (*eight, a_finding("n9", Verdict.LATE), a_finding("n10", Verdict.MISSED))
    told = held(*just_short, bars=(SUMS_90,))["calculating"]
    assert told.outcome is Outcome.NOT_PASSED
    assert (told.least, told.share) == (Fraction(9, 10), Fraction(17, 20))
    assert told.short == ("start.n9", "start.n10")
    assert told.words == "85 % of the points; the bar is 90 %, and is not reached."


def test_the_bar_itself_passes():
    found = (*RIGHT, a_finding("missed", Verdict.MISSED))
    assert held(*found, bars=(SUMS_90,))["calculating"].outcome is Outcome.PASSED


def test_too_few_items_are_not_enough_evidence_however_right():
    told = held(*RIGHT[:2], bars=(SUMS_90,), least_items=3)["calculating"]
    assert told.outcome is Outcome.NOT_ENOUGH_EVIDENCE
    assert told.words == "Too little could be seen; the bar is 90 %."


def test_a_part_of_the_work_that_never_came_up_is_not_enough_evidence():
    bar = Bar(purpose=Purpose.FORMATIVE, least=Fraction(1, 2), domain=Domain.COMMUNICATING)
    gate = held(*RIGHT, bars=(bar,))[str(Domain.COMMUNICATING)]
    assert (gate.outcome, gate.share) == (Outcome.NOT_ENOUGH_EVIDENCE, None)


# --- objectives -------------------------------------------------------------------------


def test_objectives_add_up_what_serves_them():
    scenario = a_scenario(objectives=("Sums.", "Words."), objective_ids=("sums", ""))
    found = (
        a_finding("one", serves=("sums",)),
        a_finding("two", Verdict.MISSED, serves=("sums", "other")),
        a_finding("three"),
    )
    (mark,) = objective_marks(scenario, found)
    assert (mark.objective, mark.text) == ("sums", "Sums.")
    assert (mark.points, mark.most) == (Fraction(1), Fraction(2))
    assert mark.seen
    assert mark.missing == ("start.two",)


def test_an_objective_with_too_few_items_is_not_seen():
    policy = replace(POLICY, marking=Marking(least_items=2))
    scenario = a_scenario(objectives=("Sums.",), objective_ids=("sums",), policy=policy)
    (mark,) = objective_marks(scenario, (a_finding("one", serves=("sums",)),))
    assert not mark.seen

"""What was done alone, after a cue or after one's own correction, and what that leaves."""

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.unit.scoring.ward import MAINTENANCE, POLICY, a_scenario, did, never, step
from trainer.engine.events import Cued
from trainer.scenario.model import Marking, Plan
from trainer.scoring import match, record
from trainer.scoring.credit import credited
from trainer.scoring.findings import Finding
from trainer.terms import Credit, CueKind, Domain, Verb, Verdict

LOOK = replace(step("look", Verb.LOOK_AT_SITE, access="hand"), serves=("watch",))
MEND = step("mend", Verb.STRAIGHTEN, line="1", after=("look",), critical=True)
PLAN = Plan(steps=(LOOK, MEND), nevers=(never(Verb.FLUSH, before="look"),))
NONE, QUARTER, HALF, ALL = Fraction(0), Fraction(1, 4), Fraction(1, 2), Fraction(1)


def cue(kind: CueKind = CueKind.CONCEPTUAL, name: str = "start.look", by: str = "learner") -> Cued:
    return Cued(at_ms=1, kind=kind, step=name, text=f"a {kind} cue", by=by)


look, mend = did(2, Verb.LOOK_AT_SITE, access="hand"), did(3, Verb.STRAIGHTEN, line="1")


def found(*events, marking: Marking | None = None) -> dict[str, Finding]:
    policy = replace(POLICY, marking=marking or Marking())
    scenario = a_scenario(plan=PLAN, policy=policy)
    done = record.deeds(events)
    raw = match.findings(scenario, PLAN, done, name="start", began=(-1, 0))
    return {one.id: one for one in credited(scenario, events, raw)}


def told(finding: Finding) -> tuple[Credit, Fraction, str]:
    return finding.credit, finding.points, finding.cue


def test_what_is_done_without_help_is_unaided_and_earns_all():
    assert told(found(look, mend)["start.look"]) == (Credit.UNAIDED, ALL, "")


def test_after_a_conceptual_cue_half_is_left_unless_the_policy_says_otherwise():
    one = found(cue(), look)["start.look"]
    assert told(one) == (Credit.AFTER_CONCEPTUAL_CUE, HALF, "a conceptual cue")
    assert one.verdict is Verdict.RIGHT
    shares = Marking(credit=((Credit.AFTER_CONCEPTUAL_CUE, QUARTER),))
    assert found(cue(), look, marking=shares)["start.look"].points == QUARTER


def test_a_reality_cue_costs_nothing_by_default():
    assert told(found(cue(CueKind.REALITY), look)["start.look"]) == (
        Credit.AFTER_REALITY_CUE, ALL, "a reality cue"
    )  # fmt: skip


def test_the_strongest_of_several_cues_counts():
    for cues in ((CueKind.REALITY, CueKind.CONCEPTUAL), (CueKind.CONCEPTUAL, CueKind.REALITY)):
        one = found(*map(cue, cues), look)["start.look"]
        assert told(one) == (Credit.AFTER_CONCEPTUAL_CUE, HALF, "a conceptual cue")


def test_a_cue_that_comes_after_the_act_changes_nothing():
    assert told(found(look, replace(cue(), at_ms=9))["start.look"]) == (Credit.UNAIDED, ALL, "")


def test_a_cue_for_one_step_leaves_the_others_alone():
    assert told(found(cue(), look, mend)["start.mend"]) == (Credit.UNAIDED, ALL, "")


def test_a_cue_for_nothing_in_particular_costs_nothing():
    assert {one.credit for one in found(cue(name=""), look, mend).values()} == {Credit.UNAIDED}


def test_a_cue_of_the_scenario_counts_like_one_that_was_asked_for():
    assert found(cue(by="scenario"), look)["start.look"].credit is Credit.AFTER_CONCEPTUAL_CUE


def test_what_was_never_done_is_told_with_the_cue_that_did_not_help():
    assert told(found(cue())["start.look"]) == (Credit.NOT_DONE, NONE, "a conceptual cue")


def test_a_look_made_good_in_its_order_is_self_corrected_and_earns_all():
    second = replace(LOOK, id="second", after=("mend",))
    plan = Plan(steps=(MEND, second))
    events = (look, mend, did(4, Verb.LOOK_AT_SITE, access="hand"))
    raw = match.findings(a_scenario(), plan, record.deeds(events), name="start", began=(-1, 0))
    by_id = {one.id: one for one in credited(a_scenario(plan=plan), events, raw)}
    assert told(by_id["start.second"]) == (Credit.SELF_CORRECTED, ALL, "")


@pytest.mark.parametrize(
    ("verdict", "credit"),
    [
        (Verdict.RIGHT, Credit.UNAIDED),
        (Verdict.LATE, Credit.UNAIDED),
        (Verdict.CORRECTED, Credit.SELF_CORRECTED),
        (Verdict.WRONG, Credit.NOT_DONE),
        (Verdict.MISSED, Credit.NOT_DONE),
        (Verdict.NOT_NEEDED, Credit.NOT_SEEN),
    ],
)
def test_each_verdict_has_its_credit(verdict: Verdict, credit: Credit):
    assert credited(a_scenario(), (), (an_entry(verdict),))[0].credit is credit


def an_entry(verdict: Verdict, name: str = "entry.maintenance.rate") -> Finding:
    return Finding(
        id=name, verdict=verdict, domain=Domain.CALCULATING, title="", reason="", at_ms=5,
        plan="entry", points=Fraction(1),
    )  # fmt: skip


def test_a_cue_for_a_value_counts_for_the_value_and_its_unit():
    events = (cue(name="entry.maintenance.rate"),)
    both = (an_entry(Verdict.RIGHT), an_entry(Verdict.RIGHT, "entry.maintenance.rate.unit"))
    assert [one.points for one in credited(a_scenario(), events, both)] == [HALF, HALF]


def test_findings_serve_what_their_step_or_order_serves():
    scenario = a_scenario(replace(MAINTENANCE, serves=("sums",)), plan=PLAN)
    flushed = (did(1, Verb.FLUSH, line="1", volume="5"), look)
    raw = match.findings(scenario, PLAN, record.deeds(flushed), name="start", began=(-1, 0))
    by_id = {
        one.id: one.serves for one in credited(scenario, flushed, (*raw, an_entry(Verdict.RIGHT)))
    }
    assert by_id["start.look"] == by_id["start.never-1"] == ("watch",)
    assert by_id["start.mend"] == ()
    assert by_id["entry.maintenance.rate"] == ("sums",)

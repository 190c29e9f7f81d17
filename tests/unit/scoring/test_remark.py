"""Marking by another policy: only the rules of marking are taken, and what changed is told."""

from dataclasses import replace
from fractions import Fraction

from tests.rehearsed import SHIPPED, model_log, model_report
from tests.unit.scoring.ward import POLICY, PUMP, a_scenario
from trainer.scenario.model import Hydraulics, Marking
from trainer.scoring.remark import by_policy, changes, rules_changed
from trainer.scoring.report import report
from trainer.terms import Credit, Verdict

LATER = replace(
    POLICY,
    id="later",
    title="A later policy",
    hub_scrub_s=Fraction(30),
    marking=Marking(least_items=4),
    lb_per_kg=Fraction(2),
    pump=replace(PUMP, pressure_alarm_mmhg=Fraction(90)),
    hydraulics=Hydraulics(hanger_drop_cm=Fraction(5)),
)


def test_only_the_rules_of_marking_are_taken():
    scenario = a_scenario()
    policy = by_policy(scenario, LATER).policy
    assert (policy.id, policy.title) == ("later", "A later policy")
    assert policy.hub_scrub_s == 30
    assert policy.marking.least_items == 4
    assert (policy.pump, policy.hydraulics) == (POLICY.pump, POLICY.hydraulics)
    assert policy.lb_per_kg == POLICY.lb_per_kg


def test_by_its_own_policy_a_scenario_stays_what_it_is():
    scenario = a_scenario()
    assert by_policy(scenario, scenario.policy) == scenario


def test_the_rules_that_differ_are_named():
    assert rules_changed(POLICY, LATER) == ("hub_scrub_s", "marking")
    assert rules_changed(POLICY, POLICY) == ()


def test_a_longer_scrub_by_a_later_policy_changes_the_scrub_and_says_why():
    scenario = SHIPPED["maintenance-and-a-bent-line"]
    events = model_log(scenario.id)
    stricter = replace(scenario.policy, hub_scrub_s=Fraction(30))
    was, now = model_report(scenario.id), report(by_policy(scenario, stricter), events)
    (changed,) = changes(was, now)
    assert (changed.id, changed.was and changed.was.verdict) == ("start.scrub-hub", Verdict.RIGHT)
    assert changed.now is not None
    assert (changed.now.verdict, changed.now.credit) == (Verdict.WRONG, Credit.NOT_DONE)
    assert changed.why.startswith("The hub was scrubbed for 15 s; this ward asks 30 s.")
    assert was.points - now.points == 1
    assert was.most == now.most
    assert was.full
    assert changes(was, was) == ()

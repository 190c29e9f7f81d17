"""Two marks of one attempt beside each other, and which rules differ, in words."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.rehearsed import SHIPPED, model_log, model_report
from tests.unit.scoring.ward import POLICY
from trainer.clinical.rounding import RoundingRule, RoundingRules
from trainer.scenario.model import Bar, Marking, Policy
from trainer.scoring.marked_again import marked_again, rules_beside
from trainer.scoring.remark import by_policy
from trainer.scoring.report import report
from trainer.terms import Domain, Purpose

WHOLE = RoundingRules(
    rules=(RoundingRule(kind="rate", unit="mL/h", step=Fraction(1)),), largest_share=Fraction(1, 5)
)
STRICT = Marking(bars=(Bar(purpose=Purpose.FORMATIVE, least=Fraction(9, 10)),), least_items=3)


def differing(now: Policy) -> dict[str, tuple[str, str]]:
    return {one.name: (one.was, one.now) for one in rules_beside(POLICY, now)}


@pytest.mark.parametrize(
    ("now", "name", "was", "is_now"),
    [
        (replace(POLICY, hub_scrub_s=Fraction(30)), "the hub is scrubbed for", "15 s", "30 s"),
        (
            replace(POLICY, hours_at_once=Fraction(1)),
            "hours of volume at once for a child",
            "2 h",
            "1 h",
        ),
        (replace(POLICY, second_check=("insulin",)), "a second check for", "none", "insulin"),
        (replace(POLICY, rounding=WHOLE), "largest share that rounding may move", "10 %", "20 %"),
        (replace(POLICY, marking=STRICT), "bars", "none", "formative, all parts: 90 %"),
        (replace(POLICY, marking=STRICT), "least number of items in a part", "1", "3"),
    ],
)
def test_a_rule_that_differs_is_told_old_first(now, name, was, is_now):
    assert differing(now)[name] == (was, is_now)


def test_rounding_is_told_row_by_row():
    told = differing(replace(POLICY, rounding=WHOLE))
    assert told["rounding of rate"][1] == "half up to 1 mL/h"
    assert told["rounding of volume"] == (
        "half up to 0.01 mL below 1 mL; half up to 0.1 mL",
        "none",
    )


def test_what_bears_on_no_mark_is_not_told():
    pump = replace(POLICY.pump, pressure_alarm_mmhg=Fraction(99))
    assert differing(replace(POLICY, pump=pump, title="Another title")) == {}


def test_the_same_rules_give_the_same_mark_and_others_another():
    scenario = SHIPPED["infiltrated-hand"]
    events, first = model_log("infiltrated-hand"), model_report("infiltrated-hand")
    assert not marked_again(first, report(scenario, events)).moved
    longer = replace(scenario.policy, hub_scrub_s=Fraction(300), marking=STRICT)
    later = report(by_policy(scenario, longer), events)
    both = marked_again(first, later)
    assert both.moved
    by_name = {one.name: one for one in both.domains}
    assert by_name[str(Domain.SETTING_UP)].moved
    assert any("scrub" in one.id for one in both.findings)
    assert marked_again(first, later) == both

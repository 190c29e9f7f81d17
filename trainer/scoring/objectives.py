"""Findings added up by objective: by the scenario's own aims, not by parts of the work."""

from __future__ import annotations

from fractions import Fraction

from trainer.scenario.model import Scenario
from trainer.scoring.findings import Finding, ObjectiveMark
from trainer.scoring.rubric import is_seen


def objective_marks(scenario: Scenario, found: tuple[Finding, ...]) -> tuple[ObjectiveMark, ...]:
    """Points for each objective that has an id; an objective without one is served by nothing.

    Args:
        scenario: with its objectives, and how many items are evidence by its policy.
        found: findings that say what they serve.
    """
    named = zip(scenario.objective_ids, scenario.objectives, strict=False)
    return tuple(_mark(scenario, name, text, found) for name, text in named if name)


def _mark(scenario: Scenario, name: str, text: str, found: tuple[Finding, ...]) -> ObjectiveMark:
    mine = tuple(one for one in found if name in one.serves)
    return ObjectiveMark(
        objective=name,
        text=text,
        points=sum((one.points for one in mine), Fraction(0)),
        most=sum((one.most for one in mine), Fraction(0)),
        seen=is_seen(mine, scenario.policy.marking.least_items),
        missing=tuple(one.id for one in mine if one.points < one.most),
    )

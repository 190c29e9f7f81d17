"""How far the learner did each thing alone, and what that leaves of its points.

A cue counts for the step it was given for, if it came before the act that answers the step.
What each level leaves is the policy's (`Marking.credit`); of several that apply, the one
that leaves least counts. So a cue can lower a mark and never raise one.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from trainer.engine.events import Cued, Event
from trainer.scenario.model import Marking, Plan, Scenario
from trainer.scoring.findings import Finding
from trainer.terms import Credit, CueKind, Verdict

START = "start"
"""What findings call the scenario's own plan."""
ABOUT_ORDERS = ("entry", "delivered")
"""Findings whose id says after a point which order they are about."""

NOTHING_DONE = frozenset({Verdict.MISSED, Verdict.WRONG, Verdict.NEVER_DONE})
AFTER_CUE = {
    CueKind.REALITY: Credit.AFTER_REALITY_CUE,
    CueKind.CONCEPTUAL: Credit.AFTER_CONCEPTUAL_CUE,
}
HELP = (
    Credit.UNAIDED, Credit.SELF_CORRECTED, Credit.AFTER_REALITY_CUE, Credit.AFTER_CONCEPTUAL_CUE,
)  # fmt: skip
"""Levels of what was done, from the least help to the most."""

Placed = tuple[int, Cued]
"""A cue, and where in the log it stands."""


def credited(
    scenario: Scenario, events: tuple[Event, ...], found: tuple[Finding, ...]
) -> tuple[Finding, ...]:
    """The findings with their credit, the cue before them, what they serve and their points.

    Args:
        scenario: with the policy's shares and what each step and order serves.
        events: the log, for its cues.
        found: findings whose points are those of their verdict alone.
    """
    cues = tuple((index, one) for index, one in enumerate(events) if isinstance(one, Cued))
    return tuple(_credited(scenario, cues, one) for one in found)


def share_of(marking: Marking, level: Credit) -> Fraction:
    """What a level leaves of the points; a level that the policy does not name, all of them."""
    return dict(marking.credit).get(level, Fraction(1))


def _credited(scenario: Scenario, cues: tuple[Placed, ...], finding: Finding) -> Finding:
    mine = [one for one in cues if _helps(one, finding)]
    level = _level(scenario.policy.marking, mine, finding)
    return replace(
        finding,
        credit=level,
        cue=_strongest(mine),
        points=finding.points * share_of(scenario.policy.marking, level),
        serves=served_by(scenario, finding),
    )


def _helps(placed: Placed, finding: Finding) -> bool:
    """Whether a cue was for this, and came before it was done (if it ever was)."""
    index, cue = placed
    if not (finding.id == cue.step or finding.id.startswith(f"{cue.step}.")) or not cue.step:
        return False
    if finding.deed is not None:
        return index < finding.deed
    return finding.at_ms is None or cue.at_ms <= finding.at_ms


def _level(marking: Marking, mine: list[Placed], finding: Finding) -> Credit:
    if finding.verdict is Verdict.NOT_NEEDED:
        return Credit.NOT_SEEN
    if finding.verdict in NOTHING_DONE:
        return Credit.NOT_DONE
    levels = {finding.credit, *(AFTER_CUE[cue.kind] for _, cue in mine)}
    if finding.verdict is Verdict.CORRECTED:
        levels.add(Credit.SELF_CORRECTED)
    return min(levels, key=lambda level: (share_of(marking, level), -HELP.index(level)))


def _strongest(mine: list[Placed]) -> str:
    """The words of the strongest cue; of two alike, the later."""
    ordered = sorted(mine, key=lambda placed: (placed[1].kind is CueKind.CONCEPTUAL, placed[0]))
    return ordered[-1][1].text if ordered else ""


# --- what a finding serves ------------------------------------------------------------


def served_by(scenario: Scenario, finding: Finding) -> tuple[str, ...]:
    """The ids of the objectives that a finding shows: those of its step or its order.

    What must not be done before a step serves what that step serves.
    """
    if finding.plan in ABOUT_ORDERS:
        name = finding.order or finding.id.split(".")[1]
        return next((one.serves for one in scenario.orders if one.id == name), ())
    plan = _plan(scenario, finding.plan)
    name = finding.id.removeprefix(f"{finding.plan}.")
    number = name.removeprefix("never-")
    if number != name and number.isdigit() and int(number) <= len(plan.nevers):
        name = plan.nevers[int(number) - 1].before
    return next((step.serves for step in plan.steps if step.id == name), ())


def _plan(scenario: Scenario, name: str) -> Plan:
    if name == START:
        return scenario.plan
    return next((event.plan for event in scenario.events if event.id == name), Plan())

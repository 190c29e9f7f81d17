"""Marking an attempt again by the rules of another policy, beside the first mark.

Only the rules of marking are taken from the other policy. Its pumps and hydraulics are not:
what happened, happened with those of the time. Nor is what the seed's numbers came from.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.scenario.model import Policy, Scenario
from trainer.scoring.findings import Finding, Report

MARKING_RULES = (
    "rounding", "hours_at_once", "child_below_years", "hub_scrub_s", "least_site_look_ms",
    "drip_tolerance", "second_check", "marking",
)  # fmt: skip
"""The parts of a policy that decide a mark."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed:
    """A finding that the two markings see differently; None where one does not have it."""

    id: str
    was: Finding | None
    now: Finding | None

    @property
    def why(self) -> str:
        """What the second marking says of it."""
        if self.now is None:
            return "By the other policy there is nothing to find here."
        return self.now.reason


def by_policy(scenario: Scenario, policy: Policy) -> Scenario:
    """The attempt's scenario with the marking rules, the id and the title of another policy."""
    taken = {name: getattr(policy, name) for name in MARKING_RULES}
    mixed = replace(scenario.policy, id=policy.id, title=policy.title, **taken)
    return replace(scenario, policy=mixed)


def rules_changed(was: Policy, now: Policy) -> tuple[str, ...]:
    """The names of the marking rules in which two policies differ."""
    return tuple(name for name in MARKING_RULES if getattr(was, name) != getattr(now, name))


def changes(was: Report, now: Report) -> tuple[Changed, ...]:
    """Each finding whose verdict, credit or points differ, in the order of the second report."""
    before = {one.id: one for one in was.findings}
    after = {one.id: one for one in now.findings}
    both = tuple(dict.fromkeys((*after, *before)))
    return tuple(
        Changed(id=name, was=before.get(name), now=after.get(name))
        for name in both
        if _telling(before.get(name)) != _telling(after.get(name))
    )


def _telling(finding: Finding | None) -> tuple[object, ...] | None:
    """What of a finding makes a difference to a mark."""
    if finding is None:
        return None
    points: tuple[Fraction, Fraction] = (finding.points, finding.most)
    return (finding.verdict, finding.credit, *points)

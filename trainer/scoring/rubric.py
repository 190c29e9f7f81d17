"""What a verdict earns, and findings added up by domain. No pass mark is built in."""

from __future__ import annotations

from fractions import Fraction

from trainer.scoring.findings import Finding, Mark
from trainer.terms import Domain, Verdict

CREDIT: dict[Verdict, Fraction] = {
    Verdict.RIGHT: Fraction(1),
    Verdict.CORRECTED: Fraction(1),
    Verdict.ROUNDED_EARLY: Fraction(1, 2),
    Verdict.LATE: Fraction(1, 2),
    Verdict.OUT_OF_ORDER: Fraction(1, 2),
    Verdict.WRONG: Fraction(0),
    Verdict.MISSED: Fraction(0),
    Verdict.NEVER_DONE: Fraction(0),
    Verdict.NOT_NEEDED: Fraction(0),
}
"""Share of a finding's points that each verdict earns. Chosen by us: all, half or nothing,
because the published checklists score items whole and name the order apart."""


def marks(found: tuple[Finding, ...]) -> tuple[Mark, ...]:
    """Points by domain. A domain in which nothing was done was not seen."""
    return tuple(_mark(domain, found) for domain in Domain)


def _mark(domain: Domain, found: tuple[Finding, ...]) -> Mark:
    mine = [one for one in found if one.domain is domain]
    return Mark(
        domain=domain,
        points=sum((one.points for one in mine), Fraction(0)),
        most=sum((one.most for one in mine), Fraction(0)),
        seen=any(one.at_ms is not None for one in mine),
    )


def is_missed_critical(finding: Finding) -> bool:
    """Whether something critical was needed and not fully done; points never make up for it."""
    needed = finding.verdict is not Verdict.NOT_NEEDED
    return finding.critical and needed and finding.points < finding.most

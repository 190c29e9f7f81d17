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


def marks(found: tuple[Finding, ...], least_items: int = 1) -> tuple[Mark, ...]:
    """Points by domain.

    Args:
        found: the findings.
        least_items: with fewer scored items in a domain there is not enough evidence.
    """
    return tuple(_mark(domain, found, least_items) for domain in Domain)


def _mark(domain: Domain, found: tuple[Finding, ...], least_items: int) -> Mark:
    mine = tuple(one for one in found if one.domain is domain)
    return Mark(
        domain=domain,
        points=sum((one.points for one in mine), Fraction(0)),
        most=sum((one.most for one in mine), Fraction(0)),
        seen=is_seen(mine, least_items),
    )


def is_seen(found: tuple[Finding, ...], least_items: int) -> bool:
    """Whether findings are evidence: something was done, and enough of them count.

    What there was no occasion for does not count. Where nothing at all was done, that is
    told as such: it is no evidence of how it would have been done.
    """
    could_show = sum(1 for one in found if one.most > 0)
    return could_show >= least_items and any(one.at_ms is not None for one in found)


def is_missed_critical(finding: Finding) -> bool:
    """Whether something critical was needed and not fully done; points never make up for it.

    What was done after a cue was done; how much of its points that leaves is told apart.
    """
    needed = finding.verdict is not Verdict.NOT_NEEDED and finding.most > 0
    return finding.critical and needed and CREDIT[finding.verdict] < 1

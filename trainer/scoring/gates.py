"""Gates: conditions that no points elsewhere make up for.

What is must-pass stands alone and is never averaged. The gate for all points and the gate of
each part of the work hold a share against the policy's bar for the attempt's purpose; where
the policy sets none, that is the outcome. Why so: *Setting Mastery Learning Standards* (an
abstract): safety items and each part of a skill have a bar of their own, without trade.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from trainer.scenario.model import Bar, Scenario
from trainer.scoring import explain
from trainer.scoring.findings import Finding, Gate, Mark
from trainer.scoring.rubric import is_missed_critical, is_seen
from trainer.terms import Credit, Domain, Outcome, Purpose

MUST_PASS, ALL = "must-pass", "all"
AFTER_A_CUE = frozenset({Credit.AFTER_CONCEPTUAL_CUE, Credit.AFTER_REALITY_CUE})


def gates(
    scenario: Scenario, found: tuple[Finding, ...], marks: tuple[Mark, ...], purpose: Purpose
) -> tuple[Gate, ...]:
    """The must-pass gate, the gate for all points, and one for each part of the work.

    Args:
        scenario: with its policy's bars.
        found: findings with their points as credited.
        marks: the same, added up by domain.
        purpose: what the attempt was for.
    """
    bars = scenario.policy.marking.bars
    least = scenario.policy.marking.least_items

    def bar(domain: Domain | None) -> Fraction | None:
        return _bar(bars, purpose, domain)

    return (_must_pass(found), _all(found, bar, least), *(_domain(found, m, bar) for m in marks))


def _bar(bars: tuple[Bar, ...], purpose: Purpose, domain: Domain | None) -> Fraction | None:
    fitting = (one.least for one in bars if (one.purpose, one.domain) == (purpose, domain))
    return next(fitting, None)


# --- must-pass ------------------------------------------------------------------------


def _must_pass(found: tuple[Finding, ...]) -> Gate:
    critical = [one for one in found if one.critical]
    due = [one for one in critical if one.most > 0]
    short = tuple(one.id for one in due if is_missed_critical(one))
    if not critical:
        return Gate(name=MUST_PASS, outcome=Outcome.NO_BAR, words="No step here is must-pass.")
    if not due:
        words = "Nothing that is must-pass was called for in this attempt."
        return Gate(name=MUST_PASS, outcome=Outcome.NOT_ENOUGH_EVIDENCE, words=words)
    return Gate(
        name=MUST_PASS,
        outcome=Outcome.NOT_PASSED if short else Outcome.PASSED,
        words=explain.joined(_due_words(due, short), _beside(due, len(critical) - len(due))),
        short=short,
    )


def _due_words(due: list[Finding], short: tuple[str, ...]) -> str:
    if not short:
        return f"All {len(due)} must-pass items were met." if len(due) > 1 else "It was met."
    return f"{len(short)} of {len(due)} must-pass items fell short; no points make up for that."


def _beside(due: list[Finding], without_occasion: int) -> str:
    """What a reader of the outcome should know: help, and what could not show."""
    helped = sum(1 for one in due if one.credit in AFTER_A_CUE)
    return explain.joined(
        f"{helped} of them after a cue." if helped else "",
        f"For {without_occasion} there was no occasion." if without_occasion else "",
    )


# --- bars -----------------------------------------------------------------------------


def _all(
    found: tuple[Finding, ...], bar: Callable[[Domain | None], Fraction | None], least_items: int
) -> Gate:
    points = sum((one.points for one in found), Fraction(0))
    most = sum((one.most for one in found), Fraction(0))
    missing = tuple(one.id for one in found if one.points < one.most)
    seen = is_seen(found, least_items)
    return _held(ALL, points, most, seen=seen, least=bar(None), missing=missing)


def _domain(
    found: tuple[Finding, ...], mark: Mark, bar: Callable[[Domain | None], Fraction | None]
) -> Gate:
    mine = tuple(one for one in found if one.domain is mark.domain and one.points < one.most)
    missing = tuple(one.id for one in mine)
    least = bar(mark.domain)
    return _held(
        str(mark.domain), mark.points, mark.most, seen=mark.seen, least=least, missing=missing
    )


def _held(
    name: str,
    points: Fraction,
    most: Fraction,
    *,
    seen: bool,
    least: Fraction | None,
    missing: tuple[str, ...],
) -> Gate:
    """Points held against a bar."""
    share = points / most if most else None
    outcome = _outcome(share, least, seen=seen)
    return Gate(
        name=name,
        outcome=outcome,
        words=_words(outcome, share, least, seen=seen),
        least=least,
        share=share,
        short=missing if outcome is Outcome.NOT_PASSED else (),
    )


def _outcome(share: Fraction | None, least: Fraction | None, *, seen: bool) -> Outcome:
    if least is None:
        return Outcome.NO_BAR
    if share is None or not seen:
        return Outcome.NOT_ENOUGH_EVIDENCE
    return Outcome.PASSED if share >= least else Outcome.NOT_PASSED


def _words(outcome: Outcome, share: Fraction | None, least: Fraction | None, *, seen: bool) -> str:
    bar = "the policy sets no bar" if least is None else f"the bar is {shown_share(least)}"
    if share is None or not seen:
        return f"Too little could be seen; {bar}."
    reached = f"{shown_share(share)} of the points"
    if outcome is Outcome.NOT_PASSED:
        return f"{reached}; {bar}, and is not reached."
    return f"{reached}; {bar}."


def shown_share(share: Fraction) -> str:
    """A share to a tenth of a percent, cut and not rounded: 79.98 % is not yet 80 %.

    >>> shown_share(Fraction(2, 3))
    '66.6 %'
    """
    return f"{explain.number(share * 1000 // 1 / Fraction(10))} %"

"""A report as plain lines of text: for a terminal, a print and the golden files of the tests."""

from __future__ import annotations

from fractions import Fraction

from trainer.clinical.timebase import format_sim
from trainer.scoring import explain
from trainer.scoring.findings import (
    Delivered,
    Finding,
    Link,
    Mark,
    ObjectiveMark,
    Report,
    Trace,
)
from trainer.terms import Credit, Reach, Verdict


def report_lines(report: Report) -> tuple[str, ...]:
    """Findings in time order, what was given, each value's way, then marks and gates."""
    lines = [line for finding in report.findings for line in finding_lines(finding)]
    lines += ["", *(_delivered_line(one) for one in report.delivered), *report.also]
    lines += ["", *(line for one in report.traces for line in trace_lines(one))]
    lines += ["", *(_mark_line(one) for one in report.marks)]
    lines += [f"all: {_points(report.points, report.most)}"]
    lines += [f"critical and not done: {name}" for name in report.missed_critical]
    lines += ["", *(_objective_line(one) for one in report.objectives)] if report.objectives else []
    lines += ["", *(f"gate {one.name}: {one.outcome}. {one.words}" for one in report.gates)]
    return tuple(lines)


def finding_lines(finding: Finding) -> tuple[str, ...]:
    """One finding: when, what, how it went and why; the slips behind a wrong value."""
    when = "--:--:--" if finding.at_ms is None else format_sim(finding.at_ms)
    critical = ", critical" if finding.critical else ""
    points = _points(finding.points, finding.most)
    return (
        f"{when}  {finding.title}",
        f"          {finding.id}: {finding.verdict}, {points}{critical}{_graded(finding)}",
        *((f"          {finding.reason}",) if finding.reason else ()),
        *(f"          {line}" for line in _behind(finding)),
        *(f"              {line}" for line in _worked(finding)),
    )


SAYS_NO_MORE = frozenset({Credit.UNAIDED, Credit.NOT_DONE, Credit.NOT_SEEN})
"""Credit that the verdict tells already."""

MOST_SLIPS = 2
"""More slips are not told of one value: the likeliest, and the one to ask about."""


def _graded(finding: Finding) -> str:
    """How far it was done alone, and how far an error came; nothing where that is plain."""
    credit = "" if finding.credit in SAYS_NO_MORE else f", {finding.credit}"
    return credit if finding.reach is Reach.NONE else f"{credit}, reach: {finding.reach}"


def _behind(finding: Finding) -> tuple[str, ...]:
    """The cue that came before, and what lies behind a wrong value."""
    why = finding.why
    return (
        *((f"after the cue: {finding.cue}",) if finding.cue else ()),
        *(f"slip {one.slip}: {one.explanation}" for one in why.slips[:MOST_SLIPS]),
        *((f"first wrong factor: {why.wrong_factor}",) if why.wrong_factor else ()),
        *((f"to ask: {why.question}",) if why.question else ()),
    )


def trace_lines(trace: Trace) -> tuple[str, ...]:
    """One value's way from the order to the vein, and what became of an error."""
    name = explain.QUANTITY_WORDS[trace.quantity]
    links = "; ".join(_link(one) for one in trace.links)
    return (
        f"{trace.title}, {name}: {links}",
        f"          {trace.sentence}",
        *((f"          {_error(trace)}",) if trace.entered else ()),
        *((f"          {trace.praise}",) if trace.praise else ()),
    )


def _link(link: Link) -> str:
    slip = f", {link.slip}" if link.slip else ""
    return f"{link.stage} {link.text}{f' (wrong{slip})' if link.right is False else ''}"


def _error(trace: Trace) -> str:
    """Where it entered, who caught it and when, how far it came and by how much."""
    by_hand = ", a slip of the hand" if trace.is_slip_of_hand else ""
    at = "" if trace.caught_ms is None else f" at {format_sim(trace.caught_ms)}"
    off = ""
    if trace.deviation is not None:
        how = "too much" if trace.deviation > 0 else "too little"
        off = f"; {explain.percent(abs(trace.deviation))} {how}"
    return (
        f"error entered: {trace.entered}{by_hand}; "
        f"caught by: {trace.caught_by}{at}; reach: {trace.reach}{off}"
    )


def _worked(finding: Finding) -> tuple[str, ...]:
    """The worked solution, where it teaches something: at a value that was not right."""
    return finding.worked if finding.verdict in {Verdict.WRONG, Verdict.ROUNDED_EARLY} else ()


def _points(points: Fraction, most: Fraction) -> str:
    return f"{explain.number(points)} of {explain.number(most)}"


def _delivered_line(one: Delivered) -> str:
    return f"{one.title}: {one.text}"


def _mark_line(mark: Mark) -> str:
    unseen = "" if mark.seen else " (nothing seen)"
    return f"{mark.domain}: {_points(mark.points, mark.most)}{unseen}"


def _objective_line(one: ObjectiveMark) -> str:
    unseen = "" if one.seen else " (nothing seen)"
    short = f"; short in: {', '.join(one.missing)}" if one.missing else ""
    points = _points(one.points, one.most)
    return f"objective {one.objective or one.text}: {points}{unseen}{short}"

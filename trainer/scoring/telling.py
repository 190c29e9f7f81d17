"""A report as plain lines of text: for a terminal, a print and the golden files of the tests."""

from __future__ import annotations

from fractions import Fraction

from trainer.clinical.timebase import format_sim
from trainer.scoring import explain
from trainer.scoring.findings import Delivered, Finding, Mark, Report
from trainer.terms import Verdict


def report_lines(report: Report) -> tuple[str, ...]:
    """Findings in time order, what was given, then the marks."""
    lines = [line for finding in report.findings for line in finding_lines(finding)]
    lines += ["", *(_delivered_line(one) for one in report.delivered), *report.also]
    lines += ["", *(_mark_line(one) for one in report.marks)]
    lines += [f"all: {_points(report.points, report.most)}"]
    lines += [f"critical and not done: {name}" for name in report.missed_critical]
    return tuple(lines)


def finding_lines(finding: Finding) -> tuple[str, ...]:
    """One finding: when, what, how it went and why."""
    when = "--:--:--" if finding.at_ms is None else format_sim(finding.at_ms)
    critical = ", critical" if finding.critical else ""
    points = _points(finding.points, finding.most)
    return (
        f"{when}  {finding.title}",
        f"          {finding.id}: {finding.verdict}, {points}{critical}",
        f"          {finding.reason}",
        *(f"              {line}" for line in _worked(finding)),
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

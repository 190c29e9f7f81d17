"""The lines of `trainer marks`: gates, domains and objectives, one marking or two side by side."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from fractions import Fraction
from pathlib import Path

from trainer.cli.folders import database_address
from trainer.engine.events import Finished
from trainer.errors import TrainerError
from trainer.live.attempt import engine_events, scenario_of
from trainer.live.library import read_plain_file
from trainer.scenario.load import kind_of_file, load_policy
from trainer.scenario.model import Policy, Scenario
from trainer.scenario.source import text_from_bytes
from trainer.scoring import explain
from trainer.scoring.findings import Finding, Report
from trainer.scoring.marked_again import Beside, marked_again, rules_beside
from trainer.scoring.remark import by_policy
from trainer.scoring.report import report
from trainer.store.log import Log
from trainer.store.records import Entry, Opened
from trainer.terms import TRAINING_NOTICE, Purpose


def lines_of(attempt: str, policy: Path | None, data: Path | None) -> Iterator[str]:
    """What to print of an attempt's mark; the database is only read.

    Args:
        attempt: its id.
        policy: another policy file to mark by, beside its own.
        data: the folder of the database.

    Raises:
        TrainerError: if the attempt or the policy cannot be found or read, or if no key can
            be computed by the other policy's rules.
    """
    other = None if policy is None else policy_in(policy)
    with closing(Log(database_address(data), only_read=True)) as log:
        entries = log.read(attempt)
    opened = entries[0].record
    assert isinstance(opened, Opened)
    scenario = scenario_of(opened.source, opened.seed, opened.variation)
    yield f"{opened.title}, attempt {attempt}, {opened.purpose}"
    if not _has_ended(entries):
        yield "It has not ended; this is its mark so far."
    events = engine_events(tuple(entry.record for entry in entries))
    purpose = Purpose(opened.purpose)
    was = report(scenario, events, purpose)
    if other is None:
        yield from marks_alone(scenario.policy, was)
    else:
        now = report(by_policy(scenario, other), events, purpose)
        yield from marks_beside(scenario, other, was, now)
    yield TRAINING_NOTICE


def policy_in(file: Path) -> Policy:
    """The policy of a file.

    Raises:
        TrainerError: if it cannot be read, or is no policy, or has faults.
    """
    try:
        text = text_from_bytes(read_plain_file(file), str(file))
    except OSError as error:
        raise TrainerError(
            f"{file} cannot be read ({error.strerror}); name a policy file"
        ) from error
    kind = kind_of_file(text, str(file))
    if kind != "policy":
        raise TrainerError(f"{file} is a {kind}, not a policy; name a file with `kind: policy`")
    return load_policy(text, str(file))


def _has_ended(entries: tuple[Entry, ...]) -> bool:
    return any(isinstance(entry.record, Finished) for entry in entries)


# --- one marking ----------------------------------------------------------------------


def marks_alone(policy: Policy, told: Report) -> Iterator[str]:
    """Gates, domains and objectives of one marking."""
    yield from ("", f"By policy {policy.id}, {policy.title}")
    for gate in told.gates:
        yield f"  gate {gate.name}: {gate.outcome}. {gate.words}"
        yield from (f"    short: {name}" for name in gate.short)
    yield ""
    for mark in told.marks:
        yield f"  {mark.domain}: {_points(mark.points, mark.most, seen=mark.seen)}"
    yield f"  all: {_points(told.points, told.most, seen=True)}"
    if told.objectives:
        yield ""
    for one in told.objectives:
        yield f"  {one.text} {_points(one.points, one.most, seen=one.seen)}"
    yield ""


def _points(points: Fraction, most: Fraction, *, seen: bool) -> str:
    evidence = "" if seen else " (not enough evidence)"
    return f"{explain.number(points)} of {explain.number(most)}{evidence}"


# --- two, side by side ----------------------------------------------------------------


def marks_beside(scenario: Scenario, other: Policy, was: Report, now: Report) -> Iterator[str]:
    """Both markings, what changed between them, and by which rules."""
    both = marked_again(was, now)
    yield from ("", f"By policy {scenario.policy.id} | by policy {other.id}, {other.title}", "")
    outcomes = {gate.name: gate.outcome for gate in was.gates}
    for gate in now.gates:
        yield f"  gate {gate.name}: {outcomes.get(gate.name, 'none')} | {gate.outcome}"
    yield from ("", *(_beside(one) for one in (*both.domains, both.total)))
    yield from ("", *(_beside(one) for one in both.objectives)) if both.objectives else ()
    rules = rules_beside(scenario.policy, other)
    yield from ("", "What the rules say otherwise:" if rules else "The rules of marking agree.")
    yield from (_beside(one) for one in rules)
    yield ""
    yield "What is marked otherwise:" if both.findings else "Nothing is marked otherwise."
    for changed in both.findings:
        yield f"  {changed.id}: {_told(changed.was)} | {_told(changed.now)}"
        yield f"    {changed.why}"
    yield ""


def _beside(one: Beside) -> str:
    return f"  {one.name}: {one.was} | {one.now}"


def _told(finding: Finding | None) -> str:
    if finding is None:
        return "no finding"
    points = f"{explain.number(finding.points)} of {explain.number(finding.most)}"
    return f"{finding.verdict}, {finding.credit}, {points}"

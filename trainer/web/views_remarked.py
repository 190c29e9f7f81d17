"""Marks by a policy that changed later, beside the mark of the day, as a panel prints them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from trainer.scoring.marked_again import Beside, MarkedAgain
from trainer.scoring.remark import Changed
from trainer.web.views_findings import WORDS

GATE_NAMES = {"must-pass": "to be right every time", "all": "all parts together"}


@dataclass(frozen=True, slots=True, kw_only=True)
class RowView:
    """One thing by the rules of the day, and by the later ones."""

    name: str
    was: str
    now: str
    moved: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedView:
    """One finding that the later rules see otherwise."""

    title: str
    was: str
    now: str
    because: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AgainView:
    """One later mark beside the first."""

    title: str
    rules: tuple[RowView, ...]
    domains: tuple[RowView, ...]
    objectives: tuple[RowView, ...]
    gates: tuple[RowView, ...]
    findings: tuple[MovedView, ...]
    moved: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RemarkedView:
    """The panel: what changed since, the mark by it, and every later mark that was kept.

    `rules` are those that differ now from the last mark's, `today` is the mark by them, which
    the button keeps with the record; with none, nothing is offered. `policy` names the text
    that the button means.
    """

    address: str
    policy: str
    rules: tuple[RowView, ...]
    today: AgainView | None
    marks: tuple[AgainView, ...]


def again_view(
    marked: MarkedAgain, rules: tuple[Beside, ...], recorded_at: datetime | None
) -> AgainView:
    """One later mark; one without a moment has not been kept."""
    return AgainView(
        title=_title(recorded_at),
        rules=rows(rules),
        domains=rows((*marked.domains, marked.total)),
        objectives=rows(marked.objectives),
        gates=rows(marked.gates, GATE_NAMES),
        findings=tuple(_moved(one) for one in marked.findings),
        moved=marked.moved,
    )


def _title(recorded_at: datetime | None) -> str:
    if recorded_at is None:
        return "The mark by the rules as they are today"
    moment = recorded_at.astimezone()
    return f"Marked again at {moment:%H:%M}, {moment.day} {moment:%B %Y}"


def rows(beside: tuple[Beside, ...], names: dict[str, str] | None = None) -> tuple[RowView, ...]:
    """Things beside each other, by the names that a reader knows."""
    return tuple(
        RowView(
            name=(names or {}).get(one.name, one.name), was=one.was, now=one.now, moved=one.moved
        )
        for one in beside
    )


def _moved(one: Changed) -> MovedView:
    told = one.now or one.was
    assert told is not None, "a finding is in one of the two"
    return MovedView(
        title=told.title,
        was=WORDS[one.was.verdict] if one.was else "not found",
        now=WORDS[one.now.verdict] if one.now else "not found",
        because=one.why,
    )

"""What a learner keeps with an ended attempt: the reflection as a form that keeps its words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from trainer.store.records import Entry, Reflected

QUESTIONS = {
    "went-well": "What went as you meant it to?",
    "have-back": "Which moment would you like to have back?",
    "next-time": "What will you do next time?",
}
"""What the learner is asked, in this order. Reactions come before facts, plans last (PEARLS)."""

PARTS = {"first": ("went-well", "have-back"), "closing": ("next-time",)}
"""The two places of the form: before the facts, and at the end."""

TITLES = {"first": "Before you read on", "closing": "And next time"}

LONGEST_REFLECTION = 3_000
"""Most characters of one answer. Chosen by us: a page of handwriting."""


@dataclass(frozen=True, slots=True, kw_only=True)
class QuestionView:
    """One question with what was written; `seen` is the row of the log that it shows."""

    name: str
    label: str
    text: str
    seen: int
    fault: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReflectionView:
    """One of the two places in which a learner reflects.

    `kept` says when something was last kept here; `fault` why nothing was just now.
    """

    ident: str
    part: str
    title: str
    address: str
    token: str
    questions: tuple[QuestionView, ...]
    kept: str = ""
    fault: str = ""


def latest(after: Iterable[Entry]) -> dict[str, Entry]:
    """The last row of each question; earlier ones stay in the log."""
    found: dict[str, Entry] = {}
    for entry in after:
        if isinstance(entry.record, Reflected):
            found[entry.record.question] = entry
    return found


def text_of(entry: Entry | None) -> str:
    """What a row holds; empty if there is none."""
    return entry.record.text if entry and isinstance(entry.record, Reflected) else ""


def reflection(
    attempt_id: str,
    part: str,
    after: Iterable[Entry],
    token: str,
    *,
    typed: Mapping[str, str] | None = None,
    seen: Mapping[str, int] | None = None,
    fault: str = "",
) -> ReflectionView:
    """One place of the form, with what was kept last, or with what was just typed.

    Args:
        attempt_id: whose form it is.
        part: `first` or `closing`.
        after: what was kept with the attempt.
        token: makes a second press of the same button known.
        typed: what stands in an open page's fields, which are left as they are.
        seen: which rows those fields were drawn from.
        fault: why nothing was kept.
    """
    known = latest(after)
    questions = tuple(
        _question(name, known.get(name), (typed or {}).get(name), (seen or {}).get(name, 0))
        for name in PARTS[part]
    )
    return ReflectionView(
        ident=f"reflection-{part}",
        part=part,
        title=TITLES[part],
        address=f"/attempts/{attempt_id}/reflection",
        token=token,
        questions=questions,
        kept="" if fault else _kept(known.get(name) for name in PARTS[part]),
        fault=fault,
    )


def _question(name: str, known: Entry | None, typed: str | None, seen: int) -> QuestionView:
    """A question; a field that shows something else than the last row keeps its own row."""
    last = text_of(known)
    is_current = typed is None or typed == last
    text = last if typed is None else typed
    return QuestionView(
        name=name,
        label=QUESTIONS[name],
        text=text,
        seen=(known.sequence if known else 0) if is_current else seen,
        fault=too_long(text),
    )


def too_long(text: str) -> str:
    """What is wrong with an answer's length; empty if nothing is."""
    if len(text) <= LONGEST_REFLECTION:
        return ""
    return f"This has {len(text)} characters; at most {LONGEST_REFLECTION} are kept."


def _kept(entries: Iterable[Entry | None]) -> str:
    """`Kept at 14:02, 24 November 2026`, of the latest of these rows."""
    moments = [entry.recorded_at for entry in entries if entry is not None]
    if not moments:
        return ""
    moment = max(moments).astimezone()
    return f"Kept at {moment:%H:%M}, {moment.day} {moment:%B %Y}."

"""Marks as the debrief prints them: what must be passed, a bar for each part, objectives, help.

Nothing is judged here: outcomes, shares and sentences come from `scoring`. Where the ward's
policy sets no bar, that is said and none is drawn.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical.rounding import format_number, round_half_up
from trainer.scoring.findings import Finding, Gate, ObjectiveMark, Report
from trainer.terms import Credit, Outcome
from trainer.web.views_findings import anchor

MUST_PASS, ALL = "must-pass", "all"
ALL_WORDS = "all parts"

OUTCOMES: dict[Outcome, str] = {
    Outcome.PASSED: "reached",
    Outcome.NOT_PASSED: "not reached",
    Outcome.NOT_ENOUGH_EVIDENCE: "not enough evidence",
    Outcome.NO_BAR: "no bar set",
}
SIGNS: dict[Outcome, str] = {
    Outcome.PASSED: "tick",
    Outcome.NOT_PASSED: "cross",
    Outcome.NOT_ENOUGH_EVIDENCE: "gap",
    Outcome.NO_BAR: "",
}

CREDITS: dict[Credit, str] = {
    Credit.UNAIDED: "done alone",
    Credit.SELF_CORRECTED: "noticed and mended alone",
    Credit.AFTER_REALITY_CUE: "after a cue about how it really looked",
    Credit.AFTER_CONCEPTUAL_CUE: "after a cue that led towards it",
    Credit.NOT_DONE: "not done",
    Credit.NOT_SEEN: "no occasion, or nothing could show it",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ShortView:
    """A finding that keeps something from being reached, with the way to it."""

    title: str
    href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MustView:
    """The must-pass gate."""

    outcome: str
    sign: str
    words: str
    short: tuple[ShortView, ...]
    is_open: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BarView:
    """One part of the work: points, share and bar as percent of the width.

    `least` is empty where the policy sets no bar, `verdict` where nothing is to be said.
    """

    name: str
    points: str
    share: str
    seen: bool
    least: str
    verdict: str
    sign: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AimView:
    """One objective: what was earned for it and what fell short."""

    text: str
    points: str
    share: str
    seen: bool
    missing: tuple[ShortView, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MarksView:
    """All marks."""

    must: MustView | None
    parts: tuple[BarView, ...]
    whole: BarView
    has_bars: bool
    aims: tuple[AimView, ...]
    credits: tuple[tuple[str, str], ...]  # how it was done, how often
    unseen: tuple[str, ...]  # parts of the work without enough evidence


def marks_view(report: Report) -> MarksView:
    """The marks of a report."""
    gates = {gate.name: gate for gate in report.gates}
    titles = {one.id: one.title for one in report.findings}
    parts = tuple(
        _bar(str(one.domain), one.points, one.most, gates.get(str(one.domain)), seen=one.seen)
        for one in report.marks
    )
    whole = _bar(ALL_WORDS, report.points, report.most, gates.get(ALL), seen=bool(report.most))
    must = gates.get(MUST_PASS)
    return MarksView(
        must=_must(must, titles) if must else _missed(report, titles),
        parts=parts,
        whole=whole,
        has_bars=any(one.least for one in (*parts, whole)),
        aims=tuple(_aim(one, titles) for one in report.objectives),
        credits=_credits(report.findings),
        unseen=tuple(one.name for one in parts if not one.seen),
    )


def _must(gate: Gate, titles: dict[str, str]) -> MustView:
    return MustView(
        outcome=OUTCOMES[gate.outcome],
        sign=SIGNS[gate.outcome],
        words=gate.words,
        short=_short(gate.short, titles),
        is_open=gate.outcome is not Outcome.NOT_PASSED,
    )


def _missed(report: Report, titles: dict[str, str]) -> MustView | None:
    """The same from the missed critical steps, for a report without gates."""
    if not report.missed_critical:
        return None
    return MustView(
        outcome=OUTCOMES[Outcome.NOT_PASSED],
        sign=SIGNS[Outcome.NOT_PASSED],
        words="Points elsewhere do not make up for it.",
        short=_short(report.missed_critical, titles),
        is_open=False,
    )


def _short(ids: tuple[str, ...], titles: dict[str, str]) -> tuple[ShortView, ...]:
    return tuple(
        ShortView(title=titles[one], href=f"#{anchor(one)}") for one in ids if one in titles
    )


def _bar(name: str, points: Fraction, most: Fraction, gate: Gate | None, *, seen: bool) -> BarView:
    least = gate.least if gate else None
    has_verdict = gate is not None and (least is not None or not seen)
    return BarView(
        name=name,
        points=_points_text(points, most, seen=seen),
        share=_percent(points, most) if seen else "0",
        seen=seen,
        least="" if least is None else _number(100 * least),
        verdict=OUTCOMES[gate.outcome] if gate and has_verdict else "",
        sign=SIGNS[gate.outcome] if gate and has_verdict else "",
        words=gate.words if gate and has_verdict else "",
    )


def _points_text(points: Fraction, most: Fraction, *, seen: bool) -> str:
    if not seen:
        return "not enough evidence"
    if not most:
        return "told, not counted"
    return f"{_number(points)} of {_number(most)}"


def _aim(one: ObjectiveMark, titles: dict[str, str]) -> AimView:
    return AimView(
        text=one.text,
        points=_points_text(one.points, one.most, seen=one.seen),
        share=_percent(one.points, one.most) if one.seen else "0",
        seen=one.seen,
        missing=_short(one.missing, titles),
    )


def _credits(found: tuple[Finding, ...]) -> tuple[tuple[str, str], ...]:
    """How often each credit was given; nothing if all was done alone."""
    counts = {credit: sum(one.credit is credit for one in found) for credit in CREDITS}
    if counts[Credit.UNAIDED] == len(found):
        return ()
    return tuple((CREDITS[credit], str(count)) for credit, count in counts.items() if count)


def _percent(points: Fraction, most: Fraction) -> str:
    share = round_half_up(100 * points / most, Fraction(1)) if most else Fraction(0)
    return format_number(share, plain=True)


def _number(value: Fraction) -> str:
    return format_number(round_half_up(value, Fraction(1, 10)))

"""Findings, worked solutions, keys and marks as the debrief prints them.

Views only: strings ready to print, in the order they are read. What they say was decided
in `scoring`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby

from trainer.clinical.chain import Chain, UnitMark
from trainer.clinical.rounding import format_number, round_half_up
from trainer.scenario.model import Scenario
from trainer.scoring.findings import Finding, Key, Mark, Report
from trainer.terms import Domain, Verdict

GOOD = frozenset({Verdict.RIGHT})
NEAR = frozenset({Verdict.CORRECTED, Verdict.ROUNDED_EARLY, Verdict.LATE, Verdict.OUT_OF_ORDER})
ASIDE = frozenset({Verdict.NOT_NEEDED})

WORDS: dict[Verdict, str] = {
    Verdict.RIGHT: "Right",
    Verdict.ROUNDED_EARLY: "Rounded too early",
    Verdict.WRONG: "Wrong",
    Verdict.LATE: "Late",
    Verdict.OUT_OF_ORDER: "Out of order",
    Verdict.MISSED: "Missed",
    Verdict.NEVER_DONE: "Should not be done here",
    Verdict.CORRECTED: "Near miss, caught",
    Verdict.NOT_NEEDED: "Not needed",
}
"""Verdicts as a heading. The sign beside each has the verdict's own name as its class."""

SIGNS: dict[Verdict, str] = {
    Verdict.RIGHT: "tick",
    Verdict.ROUNDED_EARLY: "nearly",
    Verdict.WRONG: "cross",
    Verdict.LATE: "late",
    Verdict.OUT_OF_ORDER: "order",
    Verdict.MISSED: "gap",
    Verdict.NEVER_DONE: "bar",
    Verdict.CORRECTED: "caught",
    Verdict.NOT_NEEDED: "gap",
}
"""Name of the drawn sign in `panels/_signs.html`."""

PRAISE = (
    "You caught this before it reached the patient. Noticing and mending is the skill that "
    "checks are for; it counts in full."
)

NEXT: dict[Domain, str] = {
    Domain.CALCULATING: "Do this one sum again with other numbers, units written at every step, "
    "before you look at the worked solution.",
    Domain.ENTERING: "Next time read the give sentence aloud against your own result before you "
    "start: volume, time, rate.",
    Domain.VERIFYING: "Say what you would compare with what, and where on the chart it stands. "
    "Then do it first next time.",
    Domain.SETTING_UP: "Trace the line from the container to the vein with a finger and name each "
    "part and its state.",
    Domain.WATCHING: "Stand at this moment on the strip: what could be seen, and what was not "
    "looked at yet? Say the order in which you would do things now.",
    Domain.COMMUNICATING: "Say it aloud in four sentences: situation, background, assessment, "
    "recommendation. Then write the line for the chart.",
}
"""Something to do about a finding, by its domain. Chosen by us, from what the learner can
do alone in a minute."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitView:
    """One unit in a drawn fraction; struck through if it cancels."""

    symbol: str
    struck: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TermView:
    """One drawn fraction. `below` empty and no units below: a plain number."""

    name: str
    above: str
    above_units: tuple[UnitView, ...]
    below: str
    below_units: tuple[UnitView, ...]

    @property
    def is_fraction(self) -> bool:
        """Whether anything stands under the bar."""
        return bool(self.below or self.below_units)


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedView:
    """A worked solution: the formula, the drawn product, then lines of text."""

    formula: str
    terms: tuple[TermView, ...]
    answer: str
    lines: tuple[str, ...]
    spoken: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingView:
    """One finding as printed."""

    anchor: str
    number: str  # empty: done well, or aside
    tone: str  # miss, near, well, aside
    verdict: str
    sign: str
    domain: str
    title: str
    clock: str  # empty: it never happened
    at_ms: int | None
    reason: str
    expected: str
    entered: str
    critical: bool
    praise: str
    todo: str
    worked: WorkedView | None
    see_href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyView:
    """One computed right answer with its solution."""

    quantity: str
    answer: str
    worked: WorkedView
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderKeysView:
    """One order as written and its keys."""

    order: str
    title: str
    written: str
    keys: tuple[KeyView, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkView:
    """The mark of one domain; `share` is a width in percent for its bar."""

    domain: str
    text: str
    share: str
    seen: bool


def tone(verdict: Verdict) -> str:
    """How a finding is toned: miss, near, well or aside."""
    if verdict in GOOD:
        return "well"
    if verdict in ASIDE:
        return "aside"
    return "near" if verdict in NEAR else "miss"


def findings(
    report: Report, *, clock: Callable[[int], str], see: Callable[[int, str], str]
) -> tuple[FindingView, ...]:
    """Every finding in order of time, those to talk about numbered from 1.

    Args:
        report: the debrief's findings.
        clock: writes a moment as ward clock.
        see: the address that shows a moment on the strip.
    """
    in_time = sorted(report.findings, key=lambda one: (one.at_ms is None, one.at_ms or 0, one.id))
    views = []
    count = 0
    for finding in in_time:
        to_talk = tone(finding.verdict) in ("miss", "near")
        count += to_talk
        views.append(_finding(finding, str(count) if to_talk else "", clock, see))
    return tuple(views)


def _finding(
    finding: Finding, number: str, clock: Callable[[int], str], see: Callable[[int, str], str]
) -> FindingView:
    anchor = f"finding-{_anchor(finding.id)}"
    shown = tone(finding.verdict)
    to_talk = shown in ("miss", "near")
    caught = finding.verdict is Verdict.CORRECTED
    return FindingView(
        anchor=anchor,
        number=number,
        tone=shown,
        verdict=WORDS[finding.verdict],
        sign=SIGNS[finding.verdict],
        domain=str(finding.domain),
        title=finding.title,
        clock="" if finding.at_ms is None else clock(finding.at_ms),
        at_ms=finding.at_ms,
        reason=finding.reason,
        expected=finding.expected,
        entered=finding.actual,
        critical=finding.critical and not caught and shown != "well",
        praise=PRAISE if caught else "",
        todo=NEXT[finding.domain] if to_talk and not caught else "",
        worked=worked(finding.chain, finding.worked) if to_talk else None,
        see_href="" if finding.at_ms is None else see(finding.at_ms, anchor),
    )


def _anchor(text: str) -> str:
    return "".join(letter if letter.isalnum() else "-" for letter in text)


def worked(chain: Chain | None, lines: tuple[str, ...]) -> WorkedView | None:
    """A worked solution: drawn where it is a product, in lines where it is a sum.

    The drawn product replaces the chain's own lines; what is left of `lines` (the
    rounding, a caution) follows it.
    """
    if chain is None and not lines:
        return None
    if chain is None:
        return WorkedView(formula="", terms=(), answer="", lines=lines, spoken="")
    drawn = chain.lines()
    if len(chain.factors) == 1:
        return WorkedView(formula="", terms=(), answer="", lines=lines, spoken="")
    return WorkedView(
        formula=chain.formula,
        terms=tuple(
            TermView(
                name=term.name,
                above=term.above_number,
                above_units=_units(term.above_units),
                below=term.below_number,
                below_units=_units(term.below_units),
            )
            for term in chain.terms()
        ),
        answer=chain.exact_words(),
        lines=tuple(line for line in lines if line not in drawn),
        spoken="; ".join(drawn),
    )


def _units(marks: tuple[UnitMark, ...]) -> tuple[UnitView, ...]:
    return tuple(UnitView(symbol=mark.symbol, struck=mark.struck) for mark in marks)


def order_keys(scenario: Scenario, keys: tuple[Key, ...]) -> tuple[OrderKeysView, ...]:
    """The key of every order, in the order of the chart."""
    views = []
    for order_id, group in groupby(keys, key=lambda one: one.order):
        order = scenario.order(order_id)
        views.append(
            OrderKeysView(
                order=order_id,
                title=order.title,
                written=order.written,
                keys=tuple(_key(one) for one in group),
            )
        )
    return tuple(views)


def _key(key: Key) -> KeyView:
    solution = worked(key.chain, key.worked)
    assert solution is not None, "a key always has its worked lines"
    return KeyView(
        quantity=key.quantity,
        answer=_amount(key.value, key.unit),
        worked=solution,
        cautions=key.cautions,
    )


def marks(report: Report) -> tuple[MarkView, ...]:
    """The mark of every domain; without evidence it says so."""
    return tuple(
        MarkView(
            domain=str(mark.domain),
            text=_mark_text(mark),
            share=format_number(_share(mark.points, mark.most), plain=True) if mark.seen else "0",
            seen=mark.seen,
        )
        for mark in report.marks
    )


def _mark_text(mark: Mark) -> str:
    if not mark.seen:
        return "not enough evidence"
    if not mark.most:
        return "told, not counted"
    return f"{_points(mark.points)} of {_points(mark.most)}"


def _share(points: Fraction, most: Fraction) -> Fraction:
    return round_half_up(100 * points / most, Fraction(1)) if most else Fraction(0)


def _points(points: Fraction) -> str:
    return format_number(round_half_up(points, Fraction(1, 10)))


def _amount(value: Fraction, unit: str) -> str:
    """A value with its unit; minutes as `1 h 30 min`."""
    if unit == "min" and value.denominator == 1 and value >= 60:
        hours, minutes = divmod(value.numerator, 60)
        return f"{hours} h {minutes} min" if minutes else f"{hours} h"
    return f"{format_number(value)} {unit}"

"""The debrief on paper: two pages, a record to sign and keep.

Nothing that was wrong is left out; what was done well is folded into counts. How small the
print must be follows from how much there is to say, so that two pages always hold it.
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.web.strip import Strip
from trainer.web.views_facts import DeliveredView
from trainer.web.views_findings import FindingView
from trainer.web.views_gates import MarksView
from trainer.web.views_traces import TraceView


@dataclass(frozen=True, slots=True, kw_only=True)
class Print:
    """A size of print: letters on a line of a column, lines on the page, letters across it."""

    name: str
    letters: int
    lines: int
    across: int


PRINTS = (
    Print(name="roomy", letters=50, lines=44, across=112),
    Print(name="usual", letters=60, lines=84, across=130),
    Print(name="close", letters=68, lines=116, across=148),
    Print(name="closest", letters=52, lines=205, across=168),
)
"""From the largest. Tried out on every shipped scenario and conduct."""

MOST_FACTS = 16
"""Facts told on paper. Chosen by us: more than any shipped conduct has."""

LONGEST_REFLECTED = 560
"""Longer answers of the reflection are cut on paper. Chosen by us: five lines each."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineView:
    """One finding in a few lines; `next` empty: nothing was worked out there."""

    number: str
    sign: str
    verdict: str
    critical: bool
    clock: str
    title: str
    why: str
    answer: str
    reach: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReflectedView:
    """A question of the reflection, and what was kept; empty: lines to write on."""

    question: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperView:
    """The two pages."""

    title: str
    who: tuple[tuple[str, str], ...]
    facts: tuple[str, ...]
    delivered: tuple[DeliveredView, ...]
    strip: Strip
    traces: tuple[TraceView, ...]
    marks: MarksView
    lines: tuple[LineView, ...]
    well: tuple[tuple[str, str], ...]  # part of the work, how many things were done well
    never: str  # how many never came up
    reflected: tuple[ReflectedView, ...]
    record: tuple[tuple[str, str], ...]
    print: str  # a class: how small


def paper_lines(found: tuple[FindingView, ...]) -> tuple[LineView, ...]:
    """What there is to talk about, each in a few lines, in its order."""
    return tuple(_line(one) for one in found if one.number)


def _line(one: FindingView) -> LineView:
    slip = one.slips[0].sentence if one.slips else ""
    return LineView(
        number=one.number,
        sign=one.sign,
        verdict=one.verdict,
        critical=one.critical,
        clock=one.clock or "never came",
        title=one.title,
        why=slip or one.reason,
        answer=_answer(one),
        reach=one.reach,
    )


def _answer(one: FindingView) -> str:
    """The worked answer in one line, where there is one."""
    return one.worked.short if one.worked is not None else ""


def shortened(facts: tuple[str, ...]) -> tuple[str, ...]:
    """The facts as far as there is room for them, and how many more the record holds."""
    if len(facts) <= MOST_FACTS:
        return facts
    more = len(facts) - MOST_FACTS
    return (*facts[:MOST_FACTS], f"And {more} more, in the attempt's record.")


def counted(found: tuple[FindingView, ...]) -> tuple[tuple[str, str], ...]:
    """How many things were done well in each part of the work."""
    well = [one.domain for one in found if one.tone == "well"]
    return tuple((domain, str(well.count(domain))) for domain in dict.fromkeys(well))


def reflected_view(question: str, text: str) -> ReflectedView:
    """A question of the reflection with its answer, cut where it grows long."""
    if len(text) > LONGEST_REFLECTED:
        text = f"{text[:LONGEST_REFLECTED].rstrip()} … (it goes on in the attempt's record)"
    return ReflectedView(question=question, text=text)


def print_size(lines: tuple[LineView, ...], reflected: tuple[ReflectedView, ...]) -> str:
    """How small the second page must be printed, by the lines that it would take."""
    fitting = (one.name for one in PRINTS if _lines_in(one, lines, reflected) <= one.lines)
    return next(fitting, PRINTS[-1].name)


def _lines_in(
    size: Print, lines: tuple[LineView, ...], reflected: tuple[ReflectedView, ...]
) -> int:
    """Lines of both columns that the findings take, and what the reflection takes from them."""
    told = sum(
        2 + sum(_rows(text, size.letters) for text in (one.title, one.why, one.answer))
        for one in lines
    )
    kept = sum(
        _rows(part, size.across) for one in reflected for part in one.text.splitlines() if part
    )
    return told + 2 * kept


def _rows(text: str, letters: int) -> int:
    return -(-len(text) // letters)

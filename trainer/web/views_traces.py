"""Each order's value from the chart to the vein, as a row of stations with words and signs."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical.rounding import format_number, round_half_up
from trainer.clinical.slips.names import Slip
from trainer.scoring.findings import Link, Trace
from trainer.terms import CaughtBy, Reach, Stage
from trainer.web import phrases
from trainer.web.ended import Attempt, Looking, moment_href
from trainer.web.views_findings import SLIPS, anchor

STAGES: dict[Stage, str] = {
    Stage.ORDERED: "Ordered",
    Stage.CALCULATED: "Worked out",
    Stage.KEYED: "Keyed",
    Stage.DELIVERED: "Delivered",
}

REACHES: dict[Reach, str] = {
    Reach.NONE: "",
    Reach.CAUGHT: "It did not reach the patient.",
    Reach.NO_HARM: "It reached the patient and did no harm.",
    Reach.WATCH: "It reached the patient, who must be watched.",
    Reach.HARM: "By this ward's rules it counts as harm.",
}

HAND, THOUGHT, ORDER = "a slip of the hand", "a slip in the thinking", "the order itself"
KINDS = {Stage.ORDERED: ORDER, Stage.DELIVERED: "on its way into the vein"}


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkView:
    """One station: what stood there, whether it was right, and what became of it on the way on.

    `sign` is `tick`, `cross` or `gap`; `onward` is how the value went to the next station:
    `plain`, `wrong` or `caught`; empty at the last.
    """

    stage: str
    text: str
    sign: str
    spoken: str
    entered_here: bool
    slip: str
    clock: str
    href: str
    at_ms: int | None
    onward: str
    caught: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TraceView:
    """One order's chain."""

    anchor: str
    title: str
    quantity: str
    links: tuple[LinkView, ...]
    sentence: str
    kind: str  # which sort of slip; empty without one
    caught: str
    reach: str
    deviation: str
    praise: str
    is_right: bool


SPOKEN = {True: "right", False: "not right", None: "nothing was seen of it"}
SIGNS = {True: "tick", False: "cross", None: "gap"}


def traces(attempt: Attempt, looking: Looking) -> tuple[TraceView, ...]:
    """The chain of each order, those in which an error entered first."""
    views = tuple(
        _trace(attempt, looking, trace, place) for place, trace in enumerate(attempt.report.traces)
    )
    return tuple(sorted(views, key=lambda one: one.is_right))


def _trace(attempt: Attempt, looking: Looking, trace: Trace, place: int) -> TraceView:
    caught = _caught(attempt, trace)
    barrier = _barrier(trace)
    kind = ""
    if trace.entered is not None:
        kind = HAND if trace.is_slip_of_hand else KINDS.get(trace.entered, THOUGHT)
    return TraceView(
        anchor=f"chain-{place + 1}",
        title=trace.title,
        quantity=phrases.QUANTITIES.get(trace.quantity, trace.quantity.capitalize()),
        links=tuple(
            _link(attempt, looking, trace, number, barrier) for number in range(len(trace.links))
        ),
        sentence=trace.sentence,
        kind=kind,
        caught=caught,
        reach="" if trace.reach is Reach.CAUGHT and caught else REACHES[trace.reach],
        deviation=deviation(trace.deviation),
        praise=trace.praise,
        is_right=trace.entered is None and all(one.right is not False for one in trace.links),
    )


def _barrier(trace: Trace) -> int | None:
    """After which station the error was caught; None if it was not."""
    if trace.caught_by is CaughtBy.NOBODY:
        return None
    wrong = [place for place, one in enumerate(trace.links) if one.right is False]
    return wrong[-1] if wrong else None


def _link(
    attempt: Attempt, looking: Looking, trace: Trace, number: int, barrier: int | None
) -> LinkView:
    link: Link = trace.links[number]
    is_last = number == len(trace.links) - 1
    onward = "" if is_last else "wrong" if link.right is False else "plain"
    is_caught = number == barrier and not is_last
    stage = STAGES[link.stage]
    entered = trace.entered is link.stage
    href = f"#{anchor(link.finding)}" if link.finding else ""
    if not href and link.at_ms is not None:
        href = moment_href(attempt, looking.at(link.at_ms))
    return LinkView(
        stage=stage,
        text=link.text,
        sign=SIGNS[link.right],
        spoken=SPOKEN[link.right],
        entered_here=entered,
        slip=_plain(link.slip),
        clock="" if link.at_ms is None else attempt.clock(link.at_ms),
        href=href,
        at_ms=link.at_ms,
        onward="caught" if is_caught else onward,
        caught=_by(attempt, trace) if is_caught else "",
    )


def _plain(slip: str) -> str:
    """A slip's name in plain words; words stay as they are."""
    return SLIPS[Slip(slip)] if slip in set(Slip) else slip


def _by(attempt: Attempt, trace: Trace) -> str:
    """By whom and when it was caught: `caught by the learner, 09:02`."""
    when = "" if trace.caught_ms is None else f", {attempt.clock(trace.caught_ms)}"
    return f"caught by {trace.caught_by}{when}"


def _caught(attempt: Attempt, trace: Trace) -> str:
    """Whether an error was caught, in a sentence; empty where none was made."""
    if trace.entered is None:
        return ""
    if trace.caught_by is CaughtBy.NOBODY:
        return "Nobody caught it."
    said = _by(attempt, trace)
    before = ", before it reached the patient" if trace.reach is Reach.CAUGHT else ""
    return f"{said[:1].upper()}{said[1:]}{before}."


def deviation(share: Fraction | None) -> str:
    """By how much too much or too little came: `38 % too much`.

    >>> deviation(Fraction(9)), deviation(Fraction(-1, 4)), deviation(None)
    ('10 times what was due', '25 % too little', '')
    """
    if share is None or share == 0:
        return ""
    if share >= 1:
        times = round_half_up(1 + share, Fraction(1, 10))
        return f"{format_number(times)} times what was due"
    percent = format_number(round_half_up(abs(share) * 100, Fraction(1)))
    return f"{percent} % too {'much' if share > 0 else 'little'}"

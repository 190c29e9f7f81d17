"""The page "What if I had ...?": the act, the question as a form, and the answer.

Views only: strings and addresses ready to print. What would have happened was computed in
`scoring.what_if`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from trainer.scenario.model import Scenario
from trainer.scoring.explain import first_small
from trainer.scoring.marks import ActMark
from trainer.scoring.record import Deed, deeds
from trainer.scoring.what_if import CHANGED, LEFT_OUT, MOVED, Otherwise, is_askable
from trainer.terms import Param
from trainer.web import phrases, strip_both, words
from trainer.web.ended import Attempt
from trainer.web.sheet import NARROW, WIDE
from trainer.web.strip_both import Both, Turn
from trainer.web.strip_pairs import Pair, pairs
from trainer.web.strip_table import Table
from trainer.web.views_question import (
    FoundView,
    QuestionView,
    about,
    found_view,
    question,
    to_talk,
    what_if_address,
    what_if_href,
)
from trainer.web.what_if_asked import Asked, clock

OF_FINDINGS = frozenset({"finding", "critical finding"})
"""Differences that the page tells as findings, with their verdicts."""

BETTER = {True: ("better", "tick"), False: ("worse", "cross"), None: ("neither", "same")}


@dataclass(frozen=True, slots=True, kw_only=True)
class ActView:
    """One act of the attempt, to choose from."""

    clock: str
    what: str
    href: str
    refused: bool
    talked_of: str  # the finding to talk about that belongs to it, or empty
    is_here: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DifferenceView:
    """One difference as a row: `verdict` says in a word whether it is for the better."""

    name: str
    was: str
    then: str
    verdict: str
    sign: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerView:
    """What would have happened."""

    question: str
    words: str
    strips: tuple[Both, ...]
    asked_for: bool  # whether an order's rate is drawn
    limit: bool  # whether a pressure limit is drawn
    same: str
    differences: tuple[DifferenceView, ...]
    gone: tuple[FoundView, ...]
    new: tuple[FoundView, ...]
    other: tuple[FoundView, ...]
    impossible: tuple[str, ...]
    possible: tuple[str, ...]
    table: Table


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIfView:
    """The whole page. Without a question there is only the list to choose from."""

    title: str
    address: str
    debrief_href: str
    question: QuestionView | None
    answer: AnswerView | None
    fault: str
    find: str
    acts: tuple[ActView, ...]
    talked_of: tuple[ActView, ...]
    count: int


def what_if(
    attempt: Attempt, asked: Asked, otherwise: Otherwise | None, *, find: str = "", fault: str = ""
) -> WhatIfView:
    """The page about one act of an ended attempt, or the list of all acts.

    Args:
        attempt: the attempt, ended.
        asked: the question as far as it could be read.
        otherwise: what would have happened; None if nothing was asked.
        find: only acts whose words or time hold this are listed.
        fault: why the act cannot take the values that were typed.
    """
    here = asked.deed.index if asked.deed else None
    every = _acts(attempt, here)
    return WhatIfView(
        title=attempt.scenario.title,
        address=what_if_address(attempt),
        debrief_href=attempt.address,
        question=question(attempt, asked, asked.deed, fault) if asked.deed else None,
        answer=_answer(attempt, asked.deed, otherwise) if asked.deed and otherwise else None,
        fault=asked.fault if asked.deed is None else "",
        find=find,
        acts=tuple(one for one in every if _holds(one, find)),
        talked_of=tuple(one for one in every if one.talked_of),
        count=len(every),
    )


def _holds(one: ActView, find: str) -> bool:
    return find.casefold() in f"{one.clock} {one.what}".casefold()


# --- the acts to choose from -----------------------------------------------------------------


def _acts(attempt: Attempt, here: int | None) -> tuple[ActView, ...]:
    return tuple(
        ActView(
            clock=words.ward_time(attempt.scenario, done.at_ms),
            what=phrases.did(attempt.scenario, done.action),
            href=what_if_href(attempt, {"deed": str(done.index)}, "act"),
            refused=bool(done.refused),
            talked_of=next((one.title for one in about(attempt.report, done) if to_talk(one)), ""),
            is_here=done.index == here,
        )
        for done in deeds(attempt.events)
        if is_askable(done.action)
    )


# --- the answer ------------------------------------------------------------------------------


def _answer(attempt: Attempt, done: Deed, otherwise: Otherwise) -> AnswerView:
    scenario = attempt.scenario
    line = done.action.get(Param.LINE).strip()
    every = pairs(attempt.course, otherwise.course)
    shown = strip_both.worth_drawing(every, int(line) if line.isdecimal() else None)
    gone, new, other = _findings_apart(attempt, otherwise)
    sentence = _in_words(scenario, done, otherwise)
    same = [one.name for one in every if one not in shown]
    return AnswerView(
        question=sentence,
        words=otherwise.words,
        strips=_strips(attempt, done, otherwise, shown, sentence),
        asked_for=any(one.asked for one in shown),
        limit=any(one.limit is not None for one in shown),
        same=f"The same in both: {'; '.join(same)}." if same else "",
        differences=tuple(
            DifferenceView(
                name=one.name,
                was=one.was,
                then=one.then,
                verdict=BETTER[one.is_better][0],
                sign=BETTER[one.is_better][1],
            )
            for one in otherwise.differences
            if one.name not in OF_FINDINGS
        ),
        gone=gone,
        new=new,
        other=other,
        impossible=tuple(_act_in_words(scenario, one) for one in otherwise.refused),
        possible=tuple(_act_in_words(scenario, one) for one in otherwise.possible),
        table=strip_both.table(
            shown,
            max(attempt.course.ends_ms, otherwise.course.ends_ms),
            lambda at_ms: words.ward_time(scenario, at_ms),
        ),
    )


def _in_words(scenario: Scenario, done: Deed, otherwise: Otherwise) -> str:
    """The question in a sentence."""
    change = otherwise.change
    if change.how == MOVED and change.at_ms is not None:
        then = clock(scenario, change.at_ms)
        return f"What if I had done it at {then} instead of {clock(scenario, done.at_ms)}?"
    if change.how == CHANGED:
        action = replace(done.action, params=change.params)
        return f"What if it had been: {first_small(phrases.did(scenario, action))}?"
    return "What if I had not done it?"


def _turn(scenario: Scenario, done: Deed, otherwise: Otherwise) -> Turn:
    """Where the two courses part, in words."""
    change = otherwise.change
    then_ms, then_words = done.at_ms, "then with other values"
    was = f"done {clock(scenario, done.at_ms)}"
    if change.how == LEFT_OUT:
        return Turn(was_ms=done.at_ms, then_ms=None, was_words=was, then_words="then not done")
    if change.how == MOVED and change.at_ms is not None:
        then_ms, then_words = change.at_ms, f"then {clock(scenario, change.at_ms)}"
    return Turn(was_ms=done.at_ms, then_ms=then_ms, was_words=was, then_words=then_words)


def _strips(
    attempt: Attempt,
    done: Deed,
    otherwise: Otherwise,
    shown: tuple[Pair, ...],
    sentence: str,
) -> tuple[Both, ...]:
    """Both courses, once for a wide page and once for a phone."""
    names = "; ".join(one.name for one in shown)
    return tuple(
        strip_both.draw(
            shown,
            (attempt.course, otherwise.course),
            _turn(attempt.scenario, done, otherwise),
            sheet_format=form,
            clock=lambda at_ms: words.ward_time(attempt.scenario, at_ms),
            title=f"Both courses together. {sentence}",
            desc=f"Time runs from left to right on the ward clock. Lanes: {names}. "
            f"{otherwise.words} The same stands as a table below.",
        )
        for form in (WIDE, NARROW)
    )


def _findings_apart(
    attempt: Attempt, otherwise: Otherwise
) -> tuple[tuple[FoundView, ...], tuple[FoundView, ...], tuple[FoundView, ...]]:
    """Findings to talk about that would be gone, be new, or be told otherwise."""
    was = {one.id: one for one in attempt.report.findings if to_talk(one)}
    then = {one.id: one for one in otherwise.report.findings if to_talk(one)}
    gone = [found_view(attempt, was[one], linked=True) for one in was if one not in then]
    new = [found_view(attempt, then[one], linked=False) for one in then if one not in was]
    other = [
        found_view(attempt, one, linked=False)
        for name, one in then.items()
        if name in was and (was[name].title, was[name].verdict) != (one.title, one.verdict)
    ]
    return tuple(gone), tuple(new), tuple(other)


def _act_in_words(scenario: Scenario, act: ActMark) -> str:
    """An act with its ward time, and why it would have been impossible if it would."""
    when = words.ward_time(scenario, act.at_ms)
    return f"{when} {phrases.did(scenario, act.action)}. {act.refused}".strip()

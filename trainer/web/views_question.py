"""The question "What if I had ...?": the act, its findings, and the three ways to ask.

Views only: strings and addresses ready to print.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from trainer.engine.reading import ACCESS, PORT
from trainer.scenario.model import Scenario
from trainer.scoring.findings import Finding, Report
from trainer.scoring.record import Deed
from trainer.scoring.what_if import CHANGED, MOVED
from trainer.terms import SHAPES, Clamp, Param, Role, Verb
from trainer.web import phrases, views_chart, views_findings, words
from trainer.web.deeds import Ask, Choice, choices
from trainer.web.ended import Attempt
from trainer.web.what_if_asked import Asked, clock, field_name
from trainer.web.what_if_right import right_values

MINUTES = (-5, -1, 1, 5)
"""The ready choices for an earlier or a later moment. Chosen by us."""

LABELS: dict[str, tuple[str, str]] = {
    Param.ENTERED: ("value", ""),
    Param.VOLUME: ("volume", "mL"),
    Param.DURATION: ("over", ""),
    Param.RATE: ("rate", "mL/h"),
    Param.SECONDS: ("for", "s"),
    Param.TEXT: ("words", ""),
    Param.SURE: ("how sure", ""),
    Param.HEIGHT: ("height", "cm"),
    Param.OPENING: ("opening", "%"),
    Param.REASON: ("reason, if outside a limit", ""),
    Param.WHO: ("whom", ""),
    Param.FLUID: ("what runs", ""),
}
"""A parameter's label and the unit of a bare number; others go by their own name."""

WHICH = frozenset(
    {Param.LINE, Param.ROLE, Param.CLAMP, Param.SUPPLY, Param.ORDER, Param.ACCESS, Param.AT}
)
"""Parameters that say which thing an act was about; they are asked after its values."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundView:
    """A finding in one line, with the way to it in the debrief if it stands there."""

    title: str
    verdict: str
    sign: str
    href: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadyView:
    """A ready choice: its words and its address."""

    text: str
    href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class QuestionView:
    """The act, and the three ways to ask about it."""

    deed: str
    clock: str
    what: str
    refused: str  # why it was impossible then, or empty
    found: tuple[FoundView, ...]
    how: str
    at: str
    moves: tuple[ReadyView, ...]
    fields: tuple[Ask, ...]
    fixed: tuple[tuple[str, str], ...]  # fields with nothing to choose from: name, value
    right: ReadyView | None
    fault: str
    back_href: str


def what_if_address(attempt: Attempt) -> str:
    """The page's own address."""
    return f"/attempts/{attempt.id}/what-if"


def what_if_href(attempt: Attempt, fields: Mapping[str, str], place: str = "answer") -> str:
    """The address that asks something; `place` is where on the page it leads."""
    return f"{what_if_address(attempt)}?{urlencode(fields)}#{place}"


# --- the question ----------------------------------------------------------------------------


def question(attempt: Attempt, asked: Asked, done: Deed, fault: str) -> QuestionView:
    """The act and the ways to ask about it, filled in as typed; `fault` is the act's own."""
    scenario = attempt.scenario
    asks = [
        _ask(scenario, done, name, text)
        for name, text in sorted(asked.typed, key=lambda one: one[0] in WHICH)
    ]
    return QuestionView(
        deed=str(done.index),
        clock=clock(scenario, done.at_ms),
        what=phrases.did(scenario, done.action),
        refused=done.refused,
        found=tuple(found_view(attempt, one, linked=True) for one in about(attempt.report, done)),
        how=asked.how,
        at=asked.at,
        moves=_moves(attempt, done),
        fields=tuple(one for one in asks if len(one.choices) != 1),
        fixed=tuple((one.name, one.value) for one in asks if len(one.choices) == 1),
        right=_right(attempt, done),
        fault=asked.fault or fault,
        back_href=f"{attempt.address}?at={done.at_ms}#moment",
    )


def _moves(attempt: Attempt, done: Deed) -> tuple[ReadyView, ...]:
    """A little earlier and a little later, as far as the attempt reaches."""
    found = []
    for minutes in MINUTES:
        at_ms = done.at_ms + minutes * words.MINUTE_MS
        if 0 <= at_ms <= attempt.course.ends_ms:
            text = f"{abs(minutes)} min {'later' if minutes > 0 else 'earlier'}"
            at = clock(attempt.scenario, at_ms)
            fields = {"deed": str(done.index), "how": MOVED, "at": at}
            found.append(ReadyView(text=text, href=what_if_href(attempt, fields)))
    return tuple(found)


def _right(attempt: Attempt, done: Deed) -> ReadyView | None:
    """The act with the right values; None if it has none, or had them."""
    right = right_values(attempt.scenario, attempt.events, attempt.report, done)
    if all(done.action.get(Param(name)).strip() == text for name, text in right):
        return None
    values = {**dict(done.action.params), **dict(right)}
    fields = {field_name(Param(name)): text for name, text in values.items()}
    told = " and ".join(
        f"{text} {LABELS.get(name, ('', ''))[1]}".strip() for name, text in right if text
    )
    href = what_if_href(attempt, {"deed": str(done.index), "how": CHANGED, **fields})
    return ReadyView(text=f"with the right value: {told}", href=href)


def _ask(scenario: Scenario, done: Deed, name: str, text: str) -> Ask:
    """One value of the act as a field, filled in as typed."""
    param = Param(name)
    label, unit = LABELS.get(name, (name, ""))
    offered = _choices(scenario, done.action.verb, param)
    optional = param in SHAPES[done.action.verb].may
    if offered and optional:
        offered = (Choice(value="", text="not said"), *offered)
    if offered and text not in {one.value for one in offered}:
        offered = (Choice(value=text, text=text or "not said"), *offered)
    return Ask(
        name=field_name(param),
        label=label,
        unit=unit,
        value=text,
        choices=offered,
        numeric=bool(unit),
        wide=param in (Param.TEXT, Param.REASON),
    )


def _choices(scenario: Scenario, verb: Verb, param: Param) -> tuple[Choice, ...]:
    """What a parameter is chosen from; empty if it is written freely."""
    if param is Param.WHAT:
        return _what(scenario, verb)
    offered = OFFERED.get(param)
    return offered(scenario) if offered else ()


OFFERED: dict[Param, Callable[[Scenario], tuple[Choice, ...]]] = {
    Param.LINE: lambda scenario: choices(*(str(one.number) for one in scenario.lines)),
    Param.ROLE: lambda _: choices(*Role),
    Param.CLAMP: lambda _: choices(*Clamp),
    Param.AT: lambda _: choices(PORT, ACCESS),
    Param.SURE: lambda _: choices("guess", "fairly", "certain"),
    Param.WHO: views_chart.who_choices,
    Param.SUPPLY: lambda scenario: tuple(
        Choice(value=one.id, text=one.label) for one in scenario.supplies
    ),
    Param.ORDER: lambda scenario: tuple(
        Choice(value=one.id, text=one.title) for one in scenario.orders
    ),
    Param.ACCESS: lambda scenario: tuple(
        Choice(value=one.id, text=one.name) for one in scenario.patient.access
    ),
    Param.FLUID: lambda scenario: tuple(
        Choice(value=one.id, text=one.name) for one in scenario.formulary.fluids
    ),
}
"""What is chosen from a list, and what stands in it."""


def _what(scenario: Scenario, verb: Verb) -> tuple[Choice, ...]:
    if verb is Verb.CHART:
        return views_chart.chart_choices(scenario)
    return views_chart.teach_choices(scenario) if verb is Verb.TEACH else ()


# --- findings -------------------------------------------------------------------------------


def about(report: Report, done: Deed) -> tuple[Finding, ...]:
    """The findings that this act decided, or that stand at its moment and name no act."""
    return tuple(
        one
        for one in report.findings
        if one.deed == done.index or (one.deed is None and one.at_ms == done.at_ms)
    )


def to_talk(one: Finding) -> bool:
    """Whether a finding is one to talk about."""
    return views_findings.tone(one.verdict) in ("miss", "near")


def found_view(attempt: Attempt, one: Finding, *, linked: bool) -> FoundView:
    """A finding in one line; what stands in no debrief has no link."""
    where = "" if one.at_ms is None else f"?at={one.at_ms}"
    return FoundView(
        title=one.title,
        verdict=views_findings.WORDS[one.verdict],
        sign=views_findings.SIGNS[one.verdict],
        href=f"{attempt.address}{where}#{views_findings.anchor(one.id)}" if linked else "",
    )

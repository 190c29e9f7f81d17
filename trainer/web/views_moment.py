"""One moment of an attempt as the debrief shows it: the whole bedside, looked at in two ways.

*As it truly was* shows everything, and marks what the learner did not know. *As the learner
saw it* is the bedside that stood on the screen: what nobody had looked at is unknown there.
Views only; the state comes kept from `ended`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trainer.clinical.timebase import format_duration
from trainer.engine.events import Event
from trainer.engine.state import State
from trainer.scenario.model import Scenario
from trainer.scoring.marks import ActMark
from trainer.web import phrases, views_findings, views_seen, views_told
from trainer.web.ended import AS_IT_WAS, AS_SEEN, Attempt, Looking, moment_href
from trainer.web.line_then import LineThen, line_as_it_was, line_seen
from trainer.web.views_seen import Known, Unknown
from trainer.web.views_told import Told

TOLD_BEFORE = 7
"""How many lines of the record before the moment are shown. Chosen by us: what one still has
in mind."""

UNKNOWN = "?"


@dataclass(frozen=True, slots=True, kw_only=True)
class TileView:
    """A sign or a site as it stands on the card; `note` says when it was seen."""

    name: str
    value: str
    unit: str
    note: str
    differs: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class MomentAlarmView:
    """An alarm that was on."""

    priority: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WayView:
    """One of the two ways to look, as a link."""

    name: str
    text: str
    href: str
    is_on: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class MomentView:
    """The card "At 09:38 the bedside looked like this"."""

    at_ms: int
    clock: str
    exact: str  # to the second
    since: str  # "48 min after the beginning"
    headline: str  # a finding or event at this very moment, if there is one
    headline_href: str  # where it is told; empty: nowhere
    earlier_href: str
    later_href: str
    earlier_ms: int
    later_ms: int
    ways: tuple[WayView, ...]
    is_seen: bool
    alarms: tuple[MomentAlarmView, ...]
    lines: tuple[LineThen, ...]
    signs: tuple[TileView, ...]
    sites: tuple[TileView, ...]
    unknown: tuple[Unknown, ...]
    hidden: str  # what the bedside did not draw at all; empty: it drew everything
    orders: tuple[str, ...]
    told: tuple[Told, ...]  # the record before, newest first


def moment(attempt: Attempt, looking: Looking) -> MomentView:
    """The card of one moment, with the ways to the moments before and after it."""
    at_ms, state = looking.at_ms, attempt.state_at(looking.at_ms)
    events = attempt.events_until(at_ms)
    is_seen = looking.way == AS_SEEN
    gaps = views_seen.unknown(state, events, attempt.state_at)
    earlier, later = neighbours(attempt, at_ms)
    headline, anchor = _headline(attempt, at_ms)
    return MomentView(
        at_ms=at_ms,
        clock=attempt.clock(at_ms),
        exact=attempt.clock_to_the_second(at_ms),
        since=f"{format_duration(at_ms)} after the beginning" if at_ms else "the beginning",
        headline=headline,
        headline_href=f"#{anchor}" if anchor else "",
        earlier_href="" if earlier == at_ms else moment_href(attempt, looking.at(earlier)),
        later_href="" if later == at_ms else moment_href(attempt, looking.at(later)),
        earlier_ms=earlier,
        later_ms=later,
        ways=_ways(attempt, looking),
        is_seen=is_seen,
        alarms=alarm_views(state),
        lines=_lines(looking, state, events, gaps),
        signs=tuple(_tile(one, is_seen=is_seen) for one in views_seen.sign_views(state)),
        sites=tuple(
            _tile(one, is_seen=is_seen) for one in views_seen.site_views(state, attempt.state_at)
        ),
        unknown=() if is_seen else _once(gaps),
        hidden="" if looking.contents_visible else _HIDDEN,
        orders=orders_standing(state),
        told=views_told.record_view(state, events, TOLD_BEFORE).lines,
    )


_HIDDEN = "What lies in the tubing, and how much is left in a container, was not drawn."


def _once(gaps: tuple[Unknown, ...]) -> tuple[Unknown, ...]:
    """Each thing once, though several lines may end at one site."""
    return tuple({(one.name, one.text): one for one in gaps}.values())


def _ways(attempt: Attempt, looking: Looking) -> tuple[WayView, ...]:
    texts = ((AS_IT_WAS, "As it truly was"), (AS_SEEN, "As the learner saw it"))
    return tuple(
        WayView(
            name=way,
            text=text,
            href=moment_href(attempt, looking.by(way)),
            is_on=way == looking.way,
        )
        for way, text in texts
    )


def _lines(
    looking: Looking, state: State, events: Sequence[Event], gaps: tuple[Unknown, ...]
) -> tuple[LineThen, ...]:
    numbers = tuple(line.number for line in state.lines)
    if looking.way == AS_SEEN:
        visible = looking.contents_visible
        return tuple(line_seen(state, one, events, contents_visible=visible) for one in numbers)
    return tuple(
        line_as_it_was(
            state,
            number,
            events,
            unknown=frozenset(one.station for one in gaps if one.line == number),
        )
        for number in numbers
    )


def _tile(known: Known, *, is_seen: bool) -> TileView:
    """A sign or site: the truth with what was known beside it, or only what was known."""
    if is_seen:
        value, note = known.seen or UNKNOWN, f"seen {known.when}" if known.when else known.not_since
        return TileView(
            name=known.name,
            value=value,
            unit=known.unit if known.seen else "",
            note=note,
            differs=False,
        )
    if not known.differs:
        note = f"as seen at {known.when}" if known.when else known.not_since
    elif known.seen and known.unit:
        note = f"last seen {known.seen} at {known.when}"
    else:
        note = known.not_since
    return TileView(
        name=known.name, value=known.true, unit=known.unit, note=note, differs=known.differs
    )


def alarm_views(state: State) -> tuple[MomentAlarmView, ...]:
    """The alarms that were on, most urgent first."""
    rank = {"high": 0, "medium": 1, "low": 2}
    return tuple(
        MomentAlarmView(
            priority=str(one.priority),
            text=f"{phrases.PRIORITY_WORDS[one.priority]}: "
            f"{phrases.alarm_title(one.kind, one.line).lower()}"
            + ("" if one.cause_present else " (cause gone, not reset)"),
        )
        for one in sorted(state.alarms, key=lambda one: (rank[one.priority], one.raised_ms))
    )


def orders_standing(state: State) -> tuple[str, ...]:
    """The orders that stood, by title."""
    return tuple(
        state.scenario.order(one.id).title
        for one in state.orders
        if one.from_ms is not None and one.until_ms is None
    )


def told(scenario: Scenario, act: ActMark) -> str:
    """One act in words, with why it was impossible if it was."""
    done = phrases.did(scenario, act.action)
    return f"{done}. Not possible: {act.refused}" if act.refused else done


# --- from moment to moment --------------------------------------------------------------


def stops(attempt: Attempt) -> tuple[int, ...]:
    """The moments that Earlier and Later stop at: findings, events, alarms, both ends."""
    course = attempt.course
    return tuple(
        sorted(
            {
                0,
                course.ends_ms,
                *(one.at_ms for one in attempt.report.findings if one.at_ms is not None),
                *(one.at_ms for one in course.events),
                *(edge for one in course.alarms for edge in (one.from_ms, one.until_ms)),
            }
        )
    )


def neighbours(attempt: Attempt, at_ms: int) -> tuple[int, int]:
    """The stops before and after a moment; the moment itself where there is none."""
    every = stops(attempt)
    earlier = max((one for one in every if one < at_ms), default=at_ms)
    later = min((one for one in every if one > at_ms), default=at_ms)
    return earlier, later


def _headline(attempt: Attempt, at_ms: int) -> tuple[str, str]:
    """What this moment is known for, and the anchor of its finding if it is one."""
    here = [one for one in attempt.report.findings if one.at_ms == at_ms]
    for finding in here:
        if views_findings.tone(finding.verdict) in ("miss", "near"):
            return finding.title, views_findings.anchor(finding.id)
    for event in attempt.course.events:
        if event.at_ms == at_ms:
            return event.title, ""
    for alarm in attempt.course.alarms:
        if alarm.from_ms == at_ms:
            return f"Alarm: {phrases.alarm_title(alarm.kind, alarm.line).lower()}", ""
    return next(((one.title, views_findings.anchor(one.id)) for one in here), ("", ""))

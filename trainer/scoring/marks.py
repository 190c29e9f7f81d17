"""What the strip marks on its time axis: alarms, paused sound, acts, the scenario's events."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.engine.actions import Action
from trainer.engine.events import (
    Acted,
    AlarmCauseGone,
    AlarmEnded,
    AlarmRaised,
    Event,
    EventCame,
    SoundPaused,
    SoundResumed,
)
from trainer.scenario.model import Scenario
from trainer.scoring import record
from trainer.terms import AlarmKind, Priority


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmSpan:
    """One alarm from its beginning to its end; `cause_until_ms` is when its cause went."""

    kind: AlarmKind
    line: int
    priority: Priority
    from_ms: int
    cause_until_ms: int
    until_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Pause:
    """A stretch in which the alarm sound was paused."""

    from_ms: int
    until_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ActMark:
    """Something a learner did; `refused` says why it was impossible, if it was."""

    at_ms: int
    action: Action
    actor: str
    refused: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class EventMark:
    """An event of the scenario, with the author's title."""

    at_ms: int
    event: str
    title: str


def alarm_spans(events: tuple[Event, ...], ends_ms: int) -> tuple[AlarmSpan, ...]:
    """Every alarm from its beginning to its end, or to the end of the attempt."""
    return tuple(
        AlarmSpan(
            kind=event.kind,
            line=event.line,
            priority=event.priority,
            from_ms=event.at_ms,
            cause_until_ms=_until(events[place:], AlarmCauseGone, event, ends_ms),
            until_ms=_until(events[place:], AlarmEnded, event, ends_ms),
        )
        for place, event in enumerate(events)
        if isinstance(event, AlarmRaised)
    )


def _until(
    events: tuple[Event, ...],
    kind: type[AlarmCauseGone] | type[AlarmEnded],
    alarm: AlarmRaised,
    ends_ms: int,
) -> int:
    return next(
        (
            event.at_ms
            for event in events
            if isinstance(event, kind | AlarmEnded)
            and (event.kind, event.line) == (alarm.kind, alarm.line)
        ),
        ends_ms,
    )


def pauses(events: tuple[Event, ...], ends_ms: int) -> tuple[Pause, ...]:
    """Stretches without alarm sound."""
    found = []
    for place, event in enumerate(events):
        if isinstance(event, SoundPaused):
            resumed = (e.at_ms for e in events[place:] if isinstance(e, SoundResumed))
            until_ms = min(event.until_ms, next(resumed, ends_ms), ends_ms)
            found.append(Pause(from_ms=event.at_ms, until_ms=until_ms))
    return tuple(found)


def act_mark(deed: record.Deed, events: tuple[Event, ...]) -> ActMark:
    """A deed of the log, with who did it."""
    acted = events[deed.index]
    actor = acted.actor if isinstance(acted, Acted) else ""
    return ActMark(at_ms=deed.at_ms, action=deed.action, actor=actor, refused=deed.refused)


def event_marks(scenario: Scenario, events: tuple[Event, ...]) -> tuple[EventMark, ...]:
    """The scenario's events that came, each once however many things it did."""
    marks = [
        EventMark(at_ms=event.at_ms, event=event.event, title=scenario.event(event.event).title)
        for event in events
        if isinstance(event, EventCame)
    ]
    return tuple(dict.fromkeys(marks))

"""What the learner did and what came back: the newest as a slip, the rest as a record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import islice

from trainer.engine.events import (
    Acted,
    AlarmEnded,
    AlarmRaised,
    Cued,
    Event,
    Finished,
    OrderEnded,
    OrderGiven,
    Perceived,
    Refused,
    ResultCame,
    Said,
    SampleTaken,
    VolumeComplete,
)
from trainer.engine.state import State
from trainer.scenario.known_signs import UNITS
from trainer.scenario.model import Scenario
from trainer.web import words
from trainer.web.phrases import PRIORITY_WORDS, alarm_title, did

MOST_SHOWN = 10
"""Lines of the record on the bedside; the whole of it has its own page. Chosen by us."""
MOST_ON_SLIP = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One line of the record. `kind` is did, refused, seen, said, alarm or order."""

    time: str
    kind: str
    who: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SlipView:
    """The newest: what the last act brought, and what was said since.

    `meanwhile` is what had happened before the act without being on the page yet.
    """

    lines: tuple[Told, ...]
    meanwhile: tuple[Told, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordView:
    """The newest lines, newest first; `more` says that there are older ones."""

    lines: tuple[Told, ...]
    more: bool


def told(scenario: Scenario, event: Event) -> Told | None:
    """One event as a line, or None if the learner neither did nor perceived it."""
    found = _line(scenario, event)
    if found is None:
        return None
    kind, who, text = found
    return Told(time=words.ward_time(scenario, event.at_ms), kind=kind, who=who, text=text)


def _line(scenario: Scenario, event: Event) -> tuple[str, str, str] | None:
    """Kind, speaker and text."""
    match event:
        case Acted():
            return "did", "", did(scenario, event.action)
        case Refused():
            return "refused", "Not possible", event.text
        case Perceived():
            return "seen", "You see", event.text
        case Said():
            return "said", event.who[:1].upper() + event.who[1:], event.text
        case SampleTaken():
            due = words.ward_time(scenario, event.due_ms)
            return "seen", "Measuring", f"{event.sign}; the result comes about {due}."
        case ResultCame():
            taken = words.ward_time(scenario, event.taken_ms)
            return "seen", "Result", f"{_measured(scenario, event)}, taken at {taken}."
        case Finished():
            return "did", "", "The attempt ended."
        case OrderGiven():
            return "order", "New order", scenario.order(event.order).title
        case OrderEnded():
            return "order", "Order ended", scenario.order(event.order).title
        case _:
            return _signal(event)


def _measured(scenario: Scenario, event: ResultCame) -> str:
    units = {sign.name: sign.unit for sign in scenario.patient.signs}
    unit = units.get(event.sign, UNITS.get(event.sign, ""))
    return f"{event.sign} {event.value} {unit}".strip()


def _signal(event: Event) -> tuple[str, str, str] | None:
    """What the pump tells, and what a cue does."""
    match event:
        case AlarmRaised():
            return "alarm", PRIORITY_WORDS[event.priority], alarm_title(event.kind, event.line)
        case AlarmEnded():
            return "alarm", "Alarm over", alarm_title(event.kind, event.line)
        case VolumeComplete():
            return "alarm", "Complete", f"Line {event.line}: the {event.role} volume is given."
        case Cued():
            return "said", "Cue", event.text
        case _:
            return None


def record_view(state: State, events: Sequence[Event], most: int = MOST_SHOWN) -> RecordView:
    """The newest lines of the record."""
    lines = (_told_at(state.scenario, events, place) for place in reversed(range(len(events))))
    found = tuple(islice((line for line in lines if line), most + 1))
    return RecordView(lines=found[:most], more=len(found) > most)


def _told_at(scenario: Scenario, events: Sequence[Event], place: int) -> Told | None:
    """One event as a line; an act that was refused right away was only tried."""
    line = told(scenario, events[place])
    is_tried = place + 1 < len(events) and isinstance(events[place + 1], Refused)
    if line and line.kind == "did" and is_tried:
        return replace(line, text=f"Tried: {line.text}")
    return line


def slip_view(state: State, events: Sequence[Event], seen: int | None = None) -> SlipView:
    """The last act with what it brought, and anything that happened after it.

    With `seen`, also what came between the event that the page showed last and that act.
    """
    first = _last_act(events)
    shown = _lines(state.scenario, events[first:])[-MOST_ON_SLIP:]
    missed = events[seen:first] if seen is not None else ()
    return SlipView(lines=shown, meanwhile=_lines(state.scenario, missed)[-MOST_ON_SLIP:])


def _last_act(events: Sequence[Event]) -> int:
    """Where the last act stands, or a few events from the end if there was none."""
    for place in range(len(events) - 1, -1, -1):
        if isinstance(events[place], Acted):
            return place
    return max(len(events) - MOST_ON_SLIP, 0)


def _lines(scenario: Scenario, events: Sequence[Event]) -> tuple[Told, ...]:
    lines = (_told_at(scenario, events, place) for place in range(len(events)))
    return tuple(line for line in lines if line)

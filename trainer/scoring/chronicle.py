"""The log as plain lines of text: what was done and what happened, each at its moment."""

from __future__ import annotations

from trainer.clinical.timebase import format_sim
from trainer.engine.events import (
    Acted,
    AlarmEnded,
    AlarmRaised,
    Cued,
    Event,
    EventCame,
    Finished,
    Injected,
    OrderEnded,
    OrderGiven,
    Perceived,
    PressureReleased,
    Refused,
    Said,
    Started,
    Stopped,
    VolumeComplete,
)
from trainer.scenario.model import Scenario
from trainer.scoring import explain
from trainer.terms import Site

INTO = {Site.INFILTRATED: "into the tissue", Site.DISLODGED: "under the dressing"}
"""Where fluid goes at a site that does not let it into the vein."""


def event_lines(scenario: Scenario, events: tuple[Event, ...]) -> tuple[str, ...]:
    """What a reader wants to know of the log; a line each, in its order."""
    told = ((event, _words(scenario, event)) for event in events)
    return tuple(f"{format_sim(event.at_ms)}  {words}" for event, words in told if words)


def _words(scenario: Scenario, event: Event) -> str:
    """An event in words; empty for those that only carry amounts."""
    match event:
        case Acted(action=action):
            return explain.action_words(scenario, action)
        case Refused(text=text):
            return f"  refused: {text}"
        case Perceived(text=text) | Said(text=text):
            return f"  {text}"
        case Cued(kind=kind, step=step, text=text):
            helps = f" for {step}" if step else ""
            return f"? {kind} cue{helps}: {text}"
        case EventCame(event=name, happening=happening):
            return f"* {name}: {happening}"
        case Injected(event=name):
            return f"* {name}, by the instructor"
        case _:
            return _pump_words(event)


def _pump_words(event: Event) -> str:
    match event:
        case Started(line=line, source=source):
            return f"  line {line} runs, {source}"
        case Stopped(line=line, by=by):
            return f"  line {line} stopped by {by}"
        case VolumeComplete(line=line, role=role):
            return f"  line {line}, {role}: volume complete"
        case AlarmRaised(line=line, kind=kind, priority=priority):
            return f"! line {line}: {kind}, {priority} priority"
        case AlarmEnded(line=line, kind=kind):
            return f"  line {line}: {kind} over"
        case PressureReleased(line=line, volume=volume, into_vein=into_vein, site=site):
            where = INTO.get(site, "into the vein") if into_vein else "to waste"
            return f"  line {line}: {explain.volume(volume)} released {where}"
        case _:
            return _order_words(event)


def _order_words(event: Event) -> str:
    match event:
        case OrderGiven(order=order):
            return f"* order given: {order}"
        case OrderEnded(order=order):
            return f"* order ended: {order}"
        case Finished(by=by):
            return f"ended by {by}"
        case _:
            return ""

"""What will happen next if nobody does anything: each crossing with its moment.

Between events everything is a straight line, so each crossing is one division, rounded
up to the first whole millisecond. A crossing that lies at or before the state's moment
is never offered, except an authored event that is due, which comes only once; that is
why `advance` always ends.
"""

from __future__ import annotations

from enum import IntEnum
from math import ceil
from typing import NamedTuple

from trainer.engine.amounts import MOTES_PER_ML
from trainer.engine.path import (
    bubble_from,
    flowing_role,
    inlet_of,
    is_open_above,
    is_open_below,
    left_in_container,
    source_plugs,
)
from trainer.engine.state import Inlet, Line, Programme, Pump, State
from trainer.engine.tubing import leading_run, volume_of
from trainer.scenario.model import Trigger
from trainer.terms import AlarmKind, Role, Running


class Kind(IntEnum):
    """What can happen, in the order in which happenings of one moment are taken."""

    FRONT_AT_VEIN = 1
    CONTAINER_EMPTY = 2
    CHAMBER_DRAINED = 3
    NEAR_COMPLETE = 4
    VOLUME_COMPLETE = 5
    PRESSURE_LIMIT = 6
    SUCTION_LIMIT = 7
    AIR_AT_DETECTOR = 8
    REMINDER = 9
    SOUND_RESUMES = 10
    TRIGGER_MET = 11
    EVENT_DUE = 12
    TIME_UP = 13


class Upcoming(NamedTuple):
    """One happening to come; sorts by moment, then kind, then line, then event."""

    at_ms: int
    kind: Kind
    line: int = 0
    event: str = ""
    role: Role = Role.PRIMARY


class Earliest:
    """Gathers what is offered and keeps only the happenings of the earliest moment."""

    def __init__(self, at_ms: int, kind: Kind) -> None:
        self.at_ms = at_ms
        self.found = [Upcoming(at_ms, kind)]

    def offer(
        self, at_ms: int, kind: Kind, line: int = 0, event: str = "", role: Role = Role.PRIMARY
    ) -> None:
        """A happening that may be the next."""
        if at_ms > self.at_ms:
            return
        if at_ms < self.at_ms:
            self.at_ms = at_ms
            self.found.clear()
        self.found.append(Upcoming(at_ms, kind, line, event, role))


def next_of(state: State) -> list[Upcoming]:
    """The earliest happenings, all of one moment, in the order in which they are taken."""
    if state.ended:
        return []
    earliest = Earliest(max(state.scenario.ends_ms, state.as_of_ms), Kind.TIME_UP)
    if state.sound_paused_until_ms is not None:
        earliest.offer(state.sound_paused_until_ms, Kind.SOUND_RESUMES)
    for line in state.lines:
        if line.pump.rate_ul_h:
            _offer_of_flow(earliest, state, line)
        if line.pump.entered_at_ms is not None and state.figures.reminder_ms:
            _offer_reminder(earliest, state, line.number, line.pump.entered_at_ms)
    _offer_authored(earliest, state)
    return sorted(earliest.found)


def _later(state: State, volume: int, rate_ul_h: int) -> int:
    """The first whole millisecond by which so much has moved; at least one from now."""
    wait_ms = -(-volume // rate_ul_h)
    return state.as_of_ms + (wait_ms if wait_ms > 0 else 1)


def _offer_of_flow(earliest: Earliest, state: State, line: Line) -> None:
    """What a turning pump brings about on its line."""
    containers, number, rate = state.containers, line.number, line.pump.rate_ul_h
    reach = rate * (earliest.at_ms - state.as_of_ms)  # more than this comes too late
    role = flowing_role(containers, line)
    inlet = inlet_of(line, role) or line.primary
    left = left_in_container(containers, inlet)
    open_above = is_open_above(line, inlet)
    if not open_above:
        room = min(state.figures.drawn_limit - line.drawn, _within_reach(line, inlet))
        earliest.offer(_later(state, room, rate), Kind.SUCTION_LIMIT, number)
    elif left <= reach:
        if left:
            earliest.offer(_later(state, left, rate), Kind.CONTAINER_EMPTY, number, "", role)
        if left or inlet.chamber:
            drained_ms = _later(state, left + inlet.chamber, rate)
            earliest.offer(drained_ms, Kind.CHAMBER_DRAINED, number, "", role)
    if is_open_below(line):
        source = source_plugs(containers, inlet) if open_above else ()
        _, run, changes = leading_run(line.below, line.above, inlet.contents, source)
        if changes and run <= reach:
            earliest.offer(_later(state, run, rate), Kind.FRONT_AT_VEIN, number)
    else:
        room = state.figures.stored_limit - line.stored
        earliest.offer(_later(state, room, rate), Kind.PRESSURE_LIMIT, number)
    bubble = bubble_from(containers, line, inlet, state.figures.air_limit)
    if bubble is not None and bubble[0] <= reach:
        earliest.offer(_later(state, bubble[0], rate), Kind.AIR_AT_DETECTOR, number)
    _offer_end(earliest, state, line, reach)


def _within_reach(line: Line, inlet: Inlet) -> int:
    """What a pump can still draw from tubing that nothing flows into."""
    return volume_of(line.above) + volume_of(inlet.contents)


def programme_of(pump: Pump) -> tuple[Programme | None, int]:
    """The programme of the source now running, and how much of it has been given."""
    if pump.source is Role.PRIMARY:
        return pump.primary, pump.given_primary
    return pump.secondary, pump.given_secondary


def _offer_end(earliest: Earliest, state: State, line: Line, reach: int) -> None:
    """Volume complete, and the ward's warning before it."""
    programme, given = programme_of(line.pump)
    if programme is None or line.pump.running is not Running.INFUSING:
        return
    left, rate = programme.volume - given, line.pump.rate_ul_h
    if left <= reach:
        earliest.offer(_later(state, left, rate), Kind.VOLUME_COMPLETE, line.number)
    warned_with = rate * state.figures.near_end_ms
    if warned_with and not line.near_end_told and left > warned_with:
        earliest.offer(_later(state, left - warned_with, rate), Kind.NEAR_COMPLETE, line.number)


def _offer_reminder(earliest: Earliest, state: State, number: int, entered_at_ms: int) -> None:
    """Values that were entered and wait for their start."""
    due = entered_at_ms + state.figures.reminder_ms
    told = any(
        alarm.kind is AlarmKind.ATTENTION_REMINDER and alarm.line == number
        for alarm in state.alarms
    )
    if due > state.as_of_ms and not told:
        earliest.offer(due, Kind.REMINDER, number)


def _offer_authored(earliest: Earliest, state: State) -> None:
    """The author's events that wait for a moment or for a volume."""
    now_ms = state.as_of_ms
    for waiting, event in zip(state.events, state.scenario.events, strict=True):
        if waiting.came_ms is not None:
            continue
        moment, kind, when = waiting.due_ms, Kind.EVENT_DUE, event.when
        if moment is None:
            kind = Kind.TRIGGER_MET
            moment = when.at_ms if when.given_ml is None else _when_given(state, when)
        if moment is not None and moment <= earliest.at_ms:
            earliest.offer(moment if moment > now_ms else now_ms, kind, when.line or 0, event.id)


def _when_given(state: State, when: Trigger) -> int | None:
    """When so much will have been infused from the trigger's line; None if it stands."""
    pump = next((line.pump for line in state.lines if line.number == when.line), Pump())
    missing = ceil((when.given_ml or 0) * MOTES_PER_ML) - infused(pump, when.role)
    if missing <= 0:
        return state.as_of_ms
    running = pump.rate_ul_h and (when.role is None or when.role is pump.source)
    return _later(state, missing, pump.rate_ul_h) if running else None


def infused(pump: Pump, role: Role | None) -> int:
    """What this pump has moved since the attempt began, under one programme or both."""
    if role is None:
        return pump.total
    return pump.total_secondary if role is Role.SECONDARY else pump.total - pump.total_secondary

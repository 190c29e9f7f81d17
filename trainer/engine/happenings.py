"""What will happen next if nobody does anything: each crossing with its moment.

Every subject offers its own from a module of its own. A crossing that lies at or before
the state's moment is never offered, except an authored event or a mark that is due, which
comes only once; that is why `advance` always ends.
"""

from __future__ import annotations

from math import ceil

from trainer.engine import crossings, happenings_flow, running_down
from trainer.engine.amounts import MOTES_PER_ML
from trainer.engine.carry import moves_by_itself
from trainer.engine.counting import infused
from trainer.engine.drive import through_law
from trainer.engine.state import State
from trainer.engine.upcoming import Earliest, Kind, Upcoming
from trainer.scenario.model import Trigger
from trainer.terms import AlarmKind


def next_of(state: State, until_ms: int | None = None) -> list[Upcoming]:
    """The earliest happenings, all of one moment, in the order in which they are taken.

    Who asks only for what comes up to `until_ms` says so: what comes later may be left out.
    """
    if state.ended:
        return []
    earliest = Earliest(max(state.scenario.ends_ms, state.as_of_ms), Kind.TIME_UP)
    if state.sound_paused_until_ms is not None:
        earliest.offer(state.sound_paused_until_ms, Kind.SOUND_RESUMES)
    running_down.offer(earliest, state)
    for line in state.lines:
        if line.pump.rate_ul_h or moves_by_itself(state, line):
            happenings_flow.offer(earliest, state, line)
        if line.pump.entered_at_ms is not None and state.figures.reminder_ms:
            _offer_reminder(earliest, state, line.number, line.pump.entered_at_ms)
    for sample in state.samples:
        earliest.offer(max(sample.due_ms, state.as_of_ms), Kind.RESULT_DUE, event=sample.sign)
    _offer_authored(earliest, state)
    crossings.offer(earliest, state, until_ms)
    return sorted(earliest.found)


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
    line = next((one for one in state.lines if one.number == when.line), None)
    if line is None:
        return None
    missing = ceil((when.given_ml or 0) * MOTES_PER_ML) - infused(line.pump, when.role)
    if missing <= 0:
        return state.as_of_ms
    if when.role is not None and when.role is not line.pump.source:
        return None
    if line.pump.rate_ul_h:
        return state.as_of_ms + max(1, -(-missing // line.pump.rate_ul_h))
    wait_ms = through_law(state, line).first_ms(missing, state.scenario.ends_ms)
    return None if wait_ms is None else state.as_of_ms + wait_ms

"""Who or what caught an error, and when.

An error counts as caught when it was put right: another value entered, or the pump stopped
for it. What spoke last before that gets the credit: a limit that refused the entry, the
second check, an alarm, the prescriber's answer; if nothing did, the learner saw it alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from trainer.engine.events import AlarmRaised, Event, LineFreed, Resited, Started, Stopped
from trainer.scenario.model import Order
from trainer.scoring import delivered, ran
from trainer.scoring.evidence import Evidence
from trainer.scoring.record import Deed, Standing
from trainer.scoring.tries import Tried
from trainer.terms import AlarmKind, CaughtBy, Param, Verb

SAY_NOTHING = frozenset(
    {
        AlarmKind.ATTENTION_REMINDER,
        AlarmKind.LOW_BATTERY,
        AlarmKind.POWER_LOST,
        AlarmKind.BATTERY_DEPLETED,
    }
)
"""Alarms that tell nothing about what runs into the vein."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Catch:
    """By whom an error was caught, and when; by nobody, at no moment."""

    by: CaughtBy = CaughtBy.NOBODY
    at_ms: int | None = None


NOT_CAUGHT = Catch()


def of_worked_out(worked: tuple[Tried, ...], put: tuple[Tried, ...]) -> Catch:
    """A wrong value worked out: caught by the right one after it, worked out or entered."""
    wrong = [one for one in worked if not one.is_right]
    if not wrong:
        return NOT_CAUGHT
    if any(not one.is_right for one in put):
        return NOT_CAUGHT
    later = [one for one in (*worked, *put) if one.is_right and one.index > wrong[-1].index]
    if not later:
        return NOT_CAUGHT
    return Catch(by=CaughtBy.LEARNER, at_ms=min(one.at_ms for one in later))


def of_put(seen: Evidence, order: Order, put: tuple[Tried, ...]) -> Catch:
    """A wrong value put to the line: caught if a right one came after the last wrong one."""
    wrong = [one for one in put if not one.is_right]
    later = [one for one in put if one.is_right and wrong and one.index > wrong[-1].index]
    if not later:
        return NOT_CAUGHT
    last, right = wrong[-1], later[0]
    stop = _stopped_for_it(seen, order, last, right)
    index, at_ms = stop or (right.index, right.at_ms)
    return Catch(by=_who(seen, order, last, index), at_ms=at_ms)


def _stopped_for_it(
    seen: Evidence, order: Order, wrong: Tried, right: Tried
) -> tuple[int, int] | None:
    """Where the learner stopped the wrong value, if it did not run again before the right one."""
    if wrong.started is None:
        return None
    found = None
    for index in range(wrong.started + 1, right.index):
        event = seen.events[index]
        if isinstance(event, Stopped) and event.line == order.line and event.by != "alarm":
            found = found or (index, event.at_ms)
        elif isinstance(event, Started) and event.line == order.line:
            found = None
    return found


def _who(seen: Evidence, order: Order, wrong: Tried, until: int) -> CaughtBy:
    """What spoke last between an error and the act that put it right.

    A check after which the wrong value was started all the same has not caught it.
    """
    spoke = CaughtBy.LIMIT if wrong.limit else CaughtBy.LEARNER
    acts = {one.index: one for one in seen.deeds}
    began = wrong.index if wrong.started is None else wrong.started
    for index in range(began + 1, until):
        spoke = _speaks(seen.events[index], order) or spoke
        spoke = (_speaks_as_deed(acts[index], order) if index in acts else None) or spoke
    return spoke


def _speaks(event: Event, order: Order) -> CaughtBy | None:
    if isinstance(event, AlarmRaised) and event.line == order.line:
        return None if event.kind in SAY_NOTHING else CaughtBy.ALARM
    return None


def _speaks_as_deed(deed: Deed, order: Order) -> CaughtBy | None:
    if deed.refused:
        return None
    verb, get = deed.action.verb, deed.action.get
    if verb is Verb.SECOND_CHECK and get(Param.LINE).strip() == str(order.line):
        return CaughtBy.SECOND_CHECK
    return CaughtBy.PRESCRIBER if _asks(deed, order) else None


def _asks(deed: Deed, order: Order) -> bool:
    """Whether an act asks the prescriber, about this order if it names one."""
    verb, get = deed.action.verb, deed.action.get
    if verb is Verb.QUESTION_ORDER:
        return get(Param.ORDER).strip() == order.id
    return verb is Verb.NOTIFY and get(Param.WHO).strip() == "prescriber"


def of_order(seen: Evidence, standing: Standing, put: tuple[Tried, ...]) -> Catch:
    """An order to be questioned: caught by asking the prescriber, or by a limit at entry."""
    for deed in _while_it_stood(seen, standing):
        is_question = deed.action.verb is Verb.QUESTION_ORDER and not deed.refused
        if is_question and _asks(deed, standing.order):
            return Catch(by=CaughtBy.PRESCRIBER, at_ms=deed.at_ms)
    stopped = [one for one in put if one.limit and one.is_right]
    ran = any(one.started is not None for one in put)
    return NOT_CAUGHT if ran or not stopped else Catch(by=CaughtBy.LIMIT, at_ms=stopped[0].at_ms)


def _while_it_stood(seen: Evidence, standing: Standing) -> Iterator[Deed]:
    return (d for d in seen.deeds if standing.from_index < d.index <= standing.until_index)


def of_flow(seen: Evidence, order: Order, start: int, until: int) -> Catch:
    """A flow that went wrong though the values were right: caught if it runs rightly again."""
    mends = [n for n in range(start + 1, until) if _is_mend(seen.events[n], order)]
    if not mends or not _runs_rightly(seen, order, mends[-1], until):
        return NOT_CAUGHT
    before = seen.events[start + 1 : mends[-1]]
    alarms = [event.at_ms for event in before if _speaks(event, order) is CaughtBy.ALARM]
    if alarms:
        return Catch(by=CaughtBy.ALARM, at_ms=alarms[-1])
    return Catch(by=CaughtBy.LEARNER, at_ms=seen.events[mends[-1]].at_ms)


def _runs_rightly(seen: Evidence, order: Order, start: int, until: int) -> bool:
    """Whether from here on it came as ordered, within what the marking lets pass."""
    line = seen.states[until].line(order.line)
    if (
        line.blocked_below
        or line.blocked_above
        or not delivered.runs(seen.states[until], order.line)
    ):
        return False
    came = ran.since_start(seen, order, start, until)
    return abs(came.off_ml) <= came.due_ml * seen.scenario.policy.marking.watch_from


def _is_mend(event: Event, order: Order) -> bool:
    """What lets a line run again."""
    if isinstance(event, Resited):
        return True
    return isinstance(event, Started | LineFreed) and event.line == order.line

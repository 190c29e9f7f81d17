"""When a sign of the patient passes the number that an author's event waits for.

Signs bend, so there is no formula for the moment. The stretch up to the next other
happening is looked at in a few places, close together at first (an answer begins fast),
wide apart later, but not where the sign cannot have got so far; between the last place before the crossing and the first behind it, halving
finds the millisecond. The sign is taken as it would be charted: rounded to its step.
"""

from __future__ import annotations

from typing import NamedTuple

from trainer.engine import signs
from trainer.engine.carry import carry
from trainer.engine.evenly import runs_evenly
from trainer.engine.state import State
from trainer.engine.upcoming import Earliest, Kind
from trainer.scenario.model import AuthoredEvent, Trigger

PLACES = 64
"""Looks into a stretch at most. Chosen by us: in a day, a few seconds apart at first and half
an hour at last."""


def offer(earliest: Earliest, state: State, until_ms: int | None = None) -> None:
    """The next moment at which a sign passes what an event waits for. Offered last of all.

    What comes after `until_ms` may be left out.
    """
    waiting = [
        event
        for one, event in zip(state.events, state.scenario.events, strict=True)
        if event.when.sign and one.came_ms is None and one.due_ms is None
    ]
    if not waiting:
        return
    met = [event for event in waiting if _is_met(state, event.when)]
    may_come = [event for event in waiting if signs.may_move(state, event.when.sign)]
    if not met and may_come:
        listed = places(state.as_of_ms, earliest.at_ms, until_ms)
        met_at_ms, met = _first(state, may_come, listed)
    else:
        met_at_ms = state.as_of_ms
    for event in met:
        earliest.offer(met_at_ms, Kind.TRIGGER_MET, 0, event.id)


def _is_met(state: State, when: Trigger) -> bool:
    """Whether the sign lies beyond the number at the state's moment."""
    number = signs.number_now(state, when.sign)
    if number is None:
        return False
    is_above = when.above is not None and number > when.above
    return is_above or (when.below is not None and number < when.below)


def _met_at(state: State, events: list[AuthoredEvent], at_ms: int) -> list[AuthoredEvent]:
    later = carry(state, at_ms)
    return [event for event in events if _is_met(later, event.when)]


def places(from_ms: int, to_ms: int, until_ms: int | None) -> list[int]:
    """The moments at which a stretch is looked at, its beginning first.

    None but the first of those that lie at `until_ms` or later.
    """
    span, found = to_ms - from_ms, [from_ms]
    for place in range(1, PLACES + 1):
        if until_ms is not None and found[-1] >= until_ms:
            break
        at_ms = from_ms + span * place**3 // PLACES**3
        if at_ms > found[-1]:
            found.append(at_ms)
    return found


def _first(
    state: State, events: list[AuthoredEvent], places: list[int]
) -> tuple[int, list[AuthoredEvent]]:
    """The first moment up to the last place at which any of these is met, and which are then."""
    search = Search(state, events, places, runs_evenly(state))
    found = search.first(0, state, len(places) - 1, carry(state, places[-1]))
    if found is None:
        return places[-1], []
    return _narrowed(state, events, places[found - 1], places[found])


class Search(NamedTuple):
    """A stretch that is looked through at its places, from the first to the last."""

    state: State
    events: list[AuthoredEvent]
    places: list[int]
    is_even: bool

    def first(self, early: int, before: State, late: int, after: State) -> int | None:
        """The first place after `early`, `late` included, at which an event is met.

        Where a sign cannot get so far in between, no place is looked at.
        """
        if early == late or (self.is_even and not self._may_meet(before, after)):
            return None
        if late - early == 1:
            return late if any(_is_met(after, event.when) for event in self.events) else None
        middle = (early + late) // 2
        state = carry(self.state, self.places[middle])
        found = self.first(early, before, middle, state)
        return self.first(middle, state, late, after) if found is None else found

    def _may_meet(self, before: State, after: State) -> bool:
        return any(_may_meet(before, after, event.when) for event in self.events)


def _may_meet(before: State, after: State, when: Trigger) -> bool:
    """Whether the sign might lie beyond the number somewhere between two states."""
    ends = signs.number_between(before, after, when.sign)
    if ends is None:
        return True
    is_above = when.above is not None and ends[1] > when.above
    return is_above or (when.below is not None and ends[0] < when.below)


def _narrowed(
    state: State, events: list[AuthoredEvent], early: int, late: int
) -> tuple[int, list[AuthoredEvent]]:
    """The first whole millisecond after `early`, by halving, at which one is met."""
    while late - early > 1:
        middle = (early + late) // 2
        if _met_at(state, events, middle):
            late = middle
        else:
            early = middle
    return late, _met_at(state, events, late)

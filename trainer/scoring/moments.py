"""The moments of an attempt at which something happened, and values told at moments.

Between two moments everything runs along straight lines, so these are enough.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.engine import carry
from trainer.engine.events import Event
from trainer.engine.state import State


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """A value at a moment; to the next point runs a straight line."""

    at_ms: int
    value: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """The bedside just before the events of one millisecond and just after them.

    `earlier` is the bedside after what happened before that, from which it comes.
    """

    at_ms: int
    earlier: State
    after: State

    @property
    def before(self) -> State:
        """The bedside at this moment, before its events."""
        return carry.carry(self.earlier, self.at_ms)


def moments_of(events: tuple[Event, ...], states: tuple[State, ...]) -> tuple[Moment, ...]:
    """The bedside at every moment at which something happened, and at the beginning.

    `states` are at the beginning and after each event.
    """
    found = [Moment(at_ms=0, earlier=states[0], after=states[0])]
    for place, event in enumerate(events):
        if place + 1 < len(events) and events[place + 1].at_ms == event.at_ms:
            continue
        earlier = found[-1].after
        found.append(Moment(at_ms=event.at_ms, earlier=earlier, after=states[place + 1]))
    return tuple(found)

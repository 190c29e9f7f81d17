"""The moments of an attempt at which something happened, and values told at moments.

Between two moments everything runs along straight lines, so these are enough.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.engine import carry, evenly
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

    `earlier` is the bedside after what happened before that, from which it comes. From here
    to the next moment nothing bends if it `runs_evenly`, and if it `holds` no pressure rises
    either (`engine.evenly`).
    """

    at_ms: int
    earlier: State
    after: State
    runs_evenly: bool
    holds: bool

    @property
    def before(self) -> State:
        """The bedside at this moment, before its events."""
        return carry.carry(self.earlier, self.at_ms)


def moments_of(events: tuple[Event, ...], states: tuple[State, ...]) -> tuple[Moment, ...]:
    """The bedside at every moment at which something happened, and at the beginning.

    `states` are at the beginning and after each event.
    """
    found = [_moment(0, states[0], states[0])]
    for place, event in enumerate(events):
        if place + 1 < len(events) and events[place + 1].at_ms == event.at_ms:
            continue
        found.append(_moment(event.at_ms, found[-1].after, states[place + 1]))
    return tuple(found)


def _moment(at_ms: int, earlier: State, after: State) -> Moment:
    is_even = evenly.runs_evenly(after)
    return Moment(
        at_ms=at_ms,
        earlier=earlier,
        after=after,
        runs_evenly=is_even,
        holds=is_even and evenly.holds(after),
    )

"""The moments of an attempt at which something happened, and values told at moments.

Between two moments everything runs along straight lines, so these are enough.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby

from trainer.engine import begin, carry, evolve
from trainer.engine.events import Event
from trainer.engine.state import State
from trainer.scenario.model import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """A value at a moment; to the next point runs a straight line."""

    at_ms: int
    value: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """The bedside just before the events of one millisecond and just after them."""

    at_ms: int
    before: State
    after: State


def moments_of(scenario: Scenario, events: tuple[Event, ...]) -> tuple[Moment, ...]:
    """The bedside at every moment at which something happened, and at the beginning."""
    state = begin.initial_state(scenario)
    found = [Moment(at_ms=0, before=state, after=state)]
    for at_ms, group in groupby(events, key=lambda event: event.at_ms):
        before = carry.carry(found[-1].after, at_ms)
        found.append(Moment(at_ms=at_ms, before=before, after=evolve.fold(before, tuple(group))))
    return tuple(found)

"""Values over time that bend between two happenings, told at as many moments as it takes.

Most values run along straight lines; pressure behind a narrowing, the flow out of it and
a drip from a closed bottle do not. A stretch is halved until its middle lies on the line
between its ends, as nearly as a pen draws.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise

from trainer.engine import carry
from trainer.engine.state import State
from trainer.scoring.moments import Moment, Point

HALVINGS = 11
"""At most so often is a stretch halved. Chosen by us: of an hour, less than two seconds are
left, so that a bend that lasts seconds is drawn in the closer look too."""

Value = Callable[[State], Fraction]


def told_where_it_bends(
    moments: tuple[Moment, ...], value: Value, near: Fraction
) -> tuple[Point, ...]:
    """A value at every happening, before and after it, and in between where it bends.

    Args:
        moments: the happenings.
        value: what is told, read off a state.
        near: how far the middle of a stretch may lie off the straight line.
    """
    found = [Point(at_ms=moments[0].at_ms, value=value(moments[0].after))]
    for now, following in pairwise(moments):
        first = found[-1]
        after = Point(at_ms=following.at_ms, value=_again(first.value, value(following.after)))
        if now.holds:
            found += [first, Point(at_ms=following.at_ms, value=first.value), after]
            continue
        last = Point(at_ms=following.at_ms, value=value(following.before))
        between = []
        if not now.runs_evenly:
            between = _between(now.after, first, last, value, near, HALVINGS)
        found += [first, *between, last, after]
    return tuple(found)


def _again(known: Fraction, value: Fraction) -> Fraction:
    """The known number itself where the value is equal: one thing is quickly seen to be itself."""
    return known if value == known else value


def _between(
    state: State, first: Point, last: Point, value: Value, near: Fraction, halvings: int
) -> list[Point]:
    """The points between two others that a straight line would miss."""
    if not halvings or last.at_ms - first.at_ms < 2:
        return []
    at_ms = (first.at_ms + last.at_ms) // 2
    middle = Point(at_ms=at_ms, value=value(carry.carry(state, at_ms)))
    share = Fraction(at_ms - first.at_ms, last.at_ms - first.at_ms)
    if abs(first.value + share * (last.value - first.value) - middle.value) <= near:
        return []
    left = _between(state, first, middle, value, near, halvings - 1)
    right = _between(state, middle, last, value, near, halvings - 1)
    return [*left, middle, *right]

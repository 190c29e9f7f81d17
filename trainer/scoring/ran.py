"""What ran over one stretch of an attempt, against what an order asked in that time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from trainer.engine.amounts import MS_PER_H, ml_from_motes
from trainer.engine.state import State
from trainer.scenario.model import Order
from trainer.scoring import delivered
from trainer.scoring.delivered import Moment
from trainer.scoring.evidence import Evidence

CONTINUOUS = "continuous"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ran:
    """What reached the vein of an order's fluid in the time that it ran, in mL.

    `due_ml` is what the order asked in that time, `base_ml` what an error is measured by: the
    whole dose, or for a fluid that runs on an hour of it, or more where it ran for longer.
    """

    from_ms: int
    until_ms: int
    ran_ms: int
    got_ml: Fraction
    due_ml: Fraction
    base_ml: Fraction
    is_cut: bool = False  # told up to the moment when a dose that ends should have ended

    @property
    def off_ml(self) -> Fraction:
        """Too much (above 0) or too little (below 0)."""
        return self.got_ml - self.due_ml

    @property
    def deviation(self) -> Fraction | None:
        """By what share of what was due; None where nothing was due."""
        return self.off_ml / self.due_ml if self.due_ml else None

    @property
    def share(self) -> Fraction:
        """How large the error is beside the dose, without its sign."""
        return abs(self.off_ml) / self.base_ml if self.base_ml else Fraction(0)


def under_programme(seen: Evidence, order: Order, start: int, until: int) -> Ran:
    """What ran for an order from one event to another, in the time that it truly ran."""
    ran_ms, got = 0, 0
    for before, after in _pairs(seen, start, until):
        if before.serves.get(order.line) != order.id:
            continue
        got += _gain(before, after, order.fluid)
        if delivered.runs(before.state, order.line):
            ran_ms += after.state.as_of_ms - before.state.as_of_ms
    return _against(seen, order, start, until, ran_ms=ran_ms, got_ml=ml_from_motes(got))


def came_since(seen: Evidence, order: Order, start: int) -> Fraction:
    """All of an order's fluid that came since an event, in mL, under whatever programme."""
    return ml_from_motes(_gain(seen.course[start + 1], seen.course[-1], order.fluid))


def by_pump(seen: Evidence, order: Order, start: int, until: int) -> Ran:
    """What a line's pump moved for an order from one event to another, wherever it went."""
    ran_ms, moved = 0, 0
    for before, after in _pairs(seen, start, until):
        if before.serves.get(order.line) != order.id:
            continue
        pumps = [moment.state.line(order.line).pump.total for moment in (before, after)]
        moved += pumps[1] - pumps[0]
        if delivered.runs(before.state, order.line):
            ran_ms += after.state.as_of_ms - before.state.as_of_ms
    return _against(seen, order, start, until, ran_ms=ran_ms, got_ml=ml_from_motes(moved))


def while_it_stood(seen: Evidence, order: Order, start: int, until: int) -> Ran:
    """What came of an order's fluid from one event to another, whether it was meant or not.

    The time in which an order that goes before ran on the line does not count.
    """
    waits = delivered.waits_for(seen.scenario, order)
    had_ms, got = 0, 0
    for before, after in _pairs(seen, start, until):
        if before.serves.get(order.line) in waits and delivered.runs(before.state, order.line):
            continue
        got += _gain(before, after, order.fluid)
        had_ms += after.state.as_of_ms - before.state.as_of_ms
    return _against(seen, order, start, until, ran_ms=had_ms, got_ml=ml_from_motes(got))


def since_start(seen: Evidence, order: Order, start: int, until: int) -> Ran:
    """What came of a running order in all the time it had, what lies in the tubing included.

    What still lies there has left its container and is on its way; what lay there before
    does not count. The time in which the line served another order does not count, and for
    a dose that ends none in which it stood still.
    """
    is_shared = any(one.fluid == order.fluid and one.id != order.id for one in seen.scenario.orders)
    had_ms, got = 0, 0
    for before, after in _pairs(seen, start, until):
        serves = before.serves.get(order.line)
        if serves == order.id or not is_shared:
            got += _gain(before, after, order.fluid)
            got += in_tubing(after.state, order) - in_tubing(before.state, order)
        is_running = delivered.runs(before.state, order.line)
        stands_still = order.kind == CONTINUOUS and not is_running
        if (is_running and serves == order.id) or stands_still:
            had_ms += after.state.as_of_ms - before.state.as_of_ms
    return _against(seen, order, start, until, ran_ms=had_ms, got_ml=ml_from_motes(got))


def _pairs(seen: Evidence, start: int, until: int) -> Iterator[tuple[Moment, Moment]]:
    return pairwise(seen.course[start + 1 : until + 2])


def _gain(before: Moment, after: Moment, fluid: str) -> int:
    return delivered.in_vein(after.state, fluid) - delivered.in_vein(before.state, fluid)


def in_tubing(state: State, order: Order) -> int:
    """Motes of the order's fluid on their way in the line's tubing."""
    line = state.line(order.line)
    return sum(plug.volume for plug in (*line.above, *line.below) if plug.fluid == order.fluid)


def _against(
    seen: Evidence, order: Order, start: int, until: int, *, ran_ms: int, got_ml: Fraction
) -> Ran:
    """Held against the order. What ends is compared at the worst moment: when it should end.

    The flow is taken as even over the stretch for that.
    """
    rate, volume = seen.key(order, "rate"), seen.key(order, "volume")
    rate_ml_h = rate.value if rate else Fraction(0)
    due_ml = rate_ml_h * ran_ms / MS_PER_H
    base_ml = rate_ml_h * max(ran_ms, MS_PER_H) / MS_PER_H
    is_cut = False
    if order.kind != CONTINUOUS and volume is not None:
        base_ml = volume.value
        if due_ml > base_ml:
            got_ml, ran_ms = got_ml * base_ml / due_ml, round(ran_ms * base_ml / due_ml)
            due_ml, is_cut = base_ml, True
    return Ran(
        from_ms=seen.course[start + 1].state.as_of_ms,
        until_ms=seen.course[until + 1].state.as_of_ms,
        ran_ms=ran_ms,
        got_ml=got_ml,
        due_ml=due_ml,
        base_ml=base_ml,
        is_cut=is_cut,
    )

"""Findings about a drip rate set by hand, for orders on a line that runs by gravity.

Nothing is entered anywhere, so what counts is what truly dripped after each turn of the
clamp, once it was left alone. Turning and counting until it fits is how it is done and
costs nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.engine import drive
from trainer.engine.amounts import UL_H_PER_ML_H
from trainer.engine.events import ClampMoved, ClampTurned, Connected, Event
from trainer.engine.state import State
from trainer.scenario.model import Order, Scenario
from trainer.scoring import explain
from trainer.scoring.expect import DRIP_RATE
from trainer.scoring.expect import key as key_of
from trainer.scoring.findings import Finding, Key
from trainer.scoring.not_done import PLAN, not_done
from trainer.scoring.record import Standing, deed_before
from trainer.scoring.rubric import CREDIT
from trainer.terms import Domain, Drive, Verdict

SETTLED_MS = 150_000
"""A setting left alone for so long was meant. Chosen by us: two counts of a minute, and
the time between them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What dripped after a turn of the clamp that was left alone, in drops per minute."""

    at_ms: int
    until_ms: int
    drops_per_min: Fraction
    deed: int | None = None  # where in the log the turn was asked for


def findings(
    scenario: Scenario,
    events: tuple[Event, ...],
    states: tuple[State, ...],
    stood: tuple[Standing, ...],
    all_keys: tuple[Key, ...],
) -> tuple[Finding, ...]:
    """One finding for each order on a gravity line: whether its drip rate was set.

    Args:
        scenario: the scenario.
        events: the log.
        states: the bedside after each event of the log.
        stood: which orders stood when.
        all_keys: the computed key.
    """
    found = []
    for order in scenario.orders:
        key = key_of(all_keys, order.id, DRIP_RATE)
        if key is None or scenario.line(order.line).drive is not Drive.GRAVITY:
            continue
        standing = next((one for one in stood if one.order == order), None)
        settings = settings_of(scenario, events, states, standing) if standing else ()
        found.append(_finding(scenario, order, key, standing, settings))
    return tuple(found)


def settings_of(
    scenario: Scenario,
    events: tuple[Event, ...],
    states: tuple[State, ...],
    standing: Standing,
) -> tuple[Setting, ...]:
    """Every drip rate that the learner set and left alone while the order stood."""
    number = standing.order.line
    turns = [
        index
        for index, event in enumerate(events)
        if isinstance(event, ClampTurned | ClampMoved | Connected) and event.line == number
    ]
    if not turns:
        return ()
    last = len(events) - 1
    found = []
    for index, following in zip(turns, [*turns[1:], last], strict=True):
        from_ms = max(events[index].at_ms, standing.from_ms)
        until_ms = min(events[following].at_ms, standing.until_ms)
        drops = drops_per_min(scenario, states[index], number)
        if drops and until_ms - from_ms >= SETTLED_MS:
            found.append(
                Setting(
                    at_ms=from_ms,
                    until_ms=until_ms,
                    drops_per_min=drops,
                    deed=deed_before(events, index),
                )
            )
    return tuple(found)


def drops_per_min(scenario: Scenario, state: State, number: int) -> Fraction:
    """Drops per minute that fall now: flow x drop factor / 60. Open RN, dosage by drip rate."""
    flow_ml_h = Fraction(drive.flow_ul_h(state, state.line(number)), UL_H_PER_ML_H)
    return flow_ml_h * scenario.line(number).drop_factor / 60


def _finding(
    scenario: Scenario,
    order: Order,
    key: Key,
    standing: Standing | None,
    settings: tuple[Setting, ...],
) -> Finding:
    """The first wrong setting that was left alone decides; without any, none was made."""
    share = scenario.policy.drip_tolerance
    wrong = [one for one in settings if not is_near(one.drops_per_min, key, share)]
    if not settings:
        return _none_set(order, key, standing)
    one = wrong[0] if wrong else settings[0]
    verdict = Verdict.WRONG if wrong else Verdict.RIGHT
    actual = _told(one.drops_per_min)
    expected = explain.amount(key.value, key.unit)
    return Finding(
        id=f"{PLAN}.{order.id}.set-drip-rate",
        verdict=verdict,
        domain=Domain.ENTERING,
        title=f"{order.title}, drip rate set: {actual}" + (f"; right: {expected}" if wrong else ""),
        reason=_reason(order, one, share, verdict),
        at_ms=one.at_ms,
        plan=PLAN,
        expected=expected,
        actual=actual,
        worked=key.worked,
        chain=key.chain,
        critical=verdict is Verdict.WRONG,
        points=CREDIT[verdict],
        order=order.id,
        quantity=DRIP_RATE,
        deed=one.deed,
    )


def is_near(drops: Fraction, key: Key, share: Fraction) -> bool:
    """Within the ward's tolerance, or within a drop, which nobody can count nearer."""
    return abs(drops - key.exact) <= max(key.exact * share, Fraction(1))


def _reason(order: Order, one: Setting, share: Fraction, verdict: Verdict) -> str:
    span = explain.span(one.until_ms - one.at_ms)
    if verdict is Verdict.RIGHT:
        return f"It agrees with the order within {explain.percent(share)}: {order.written}"
    return (
        f"It was left so for {span}, and lies further from the order than the "
        f"{explain.percent(share)} that this ward allows for a clamp turned by hand."
    )


def _told(drops: Fraction) -> str:
    return explain.amount(Fraction(round(drops)), "gtt/min")


def _none_set(order: Order, key: Key, standing: Standing | None) -> Finding:
    due = standing is not None and standing.to_the_end
    reason = (
        "The order stood, and no drip rate was set and left to run."
        if due
        else "The order never came, or was replaced before its drip rate was set."
    )
    return not_done(order, key, "set-drip-rate", title="drip rate: not set", reason=reason, due=due)

"""What an authored event does to the bedside, as events of the engine."""

from __future__ import annotations

from math import ceil

from trainer.engine.amounts import MOTES_PER_ML
from trainer.engine.events import (
    AirEntered,
    Event,
    EventCame,
    LineBlocked,
    LineFreed,
    OrderEnded,
    OrderGiven,
    Said,
    SignChanged,
    SiteChanged,
)
from trainer.engine.path import flowing_inlet_of
from trainer.engine.state import Line, State
from trainer.engine.tubing import volume_of
from trainer.scenario.model import AuthoredEvent, Effect
from trainer.terms import Happening, Site, Where


def came(state: State, event: AuthoredEvent, at_ms: int) -> tuple[Event, ...]:
    """The authored event, and what it does, at this moment."""
    first = event.effects[0].happening if event.effects else Happening.CALL
    done: list[Event] = [EventCame(at_ms=at_ms, event=event.id, happening=first)]
    for effect in event.effects:
        done.extend(_of(state, effect, at_ms))
    return tuple(done)


def _of(state: State, effect: Effect, at_ms: int) -> tuple[Event, ...]:
    match effect.happening:
        case Happening.LINE_BLOCKED | Happening.LINE_FREED | Happening.AIR_ENTERS:
            line = next((one for one in state.lines if one.number == effect.line), None)
            return _on_line(state, line, effect, at_ms) if line else ()
        case Happening.CALL:
            return (Said(at_ms=at_ms, who=effect.who, text=effect.text),)
        case Happening.ORDER_GIVEN:
            return _order_given(state, effect.order, at_ms)
        case Happening.ORDER_ENDED:
            return (OrderEnded(at_ms=at_ms, order=effect.order),)
        case Happening.SIGN_CHANGES:
            return (SignChanged(at_ms=at_ms, sign=effect.sign, value=effect.value),)
        case Happening.SITE_CHANGES:
            site = effect.site or Site.PATENT
            return (SiteChanged(at_ms=at_ms, access=effect.access, site=site),)


def _on_line(state: State, line: Line, effect: Effect, at_ms: int) -> tuple[Event, ...]:
    if effect.happening is Happening.AIR_ENTERS:
        return _air(state, line, effect, at_ms)
    if effect.happening is Happening.LINE_FREED:
        sides = (effect.where,) if effect.where else tuple(Where)
        return tuple(
            LineFreed(at_ms=at_ms, line=line.number, where=side)
            for side in sides
            if (line.blocked_below if side is Where.DOWNSTREAM else line.blocked_above)
        )
    return (
        LineBlocked(
            at_ms=at_ms,
            line=line.number,
            where=effect.where or Where.DOWNSTREAM,
            reason=effect.reason or "something holds the fluid back",
            mend=effect.mend,
        ),
    )


def _air(state: State, line: Line, effect: Effect, at_ms: int) -> tuple[Event, ...]:
    """Air at the join, as far from the detector as the tubing above the pump allows.

    As much fluid goes back toward the container, so the bubble ends where the tubing
    between join and pump begins. Without such tubing it lies in the flowing inlet.
    """
    inlet = flowing_inlet_of(state.containers, line)
    room = volume_of(line.above) or volume_of(inlet.contents)
    volume = min(ceil((effect.volume_ml or 0) * MOTES_PER_ML), room)
    if volume <= 0:
        return ()
    return (AirEntered(at_ms=at_ms, line=line.number, volume=volume, ahead=room - volume),)


def _order_given(state: State, order_id: str, at_ms: int) -> tuple[Event, ...]:
    given = OrderGiven(at_ms=at_ms, order=order_id)
    replaced = next((one.supersedes for one in state.scenario.orders if one.id == order_id), "")
    stands = any(
        one.id == replaced and one.from_ms is not None and one.until_ms is None
        for one in state.orders
    )
    if replaced and stands:
        return OrderEnded(at_ms=at_ms, order=replaced), given
    return (given,)

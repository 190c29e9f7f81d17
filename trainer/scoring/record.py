"""What the log says was done, and which orders stood when: the ground for every finding.

Only reading; nothing is judged here. Positions in the log (`index`) order things that
happened in the same millisecond.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from trainer.engine.actions import Action
from trainer.engine.events import (
    Acted,
    Event,
    EventCame,
    Finished,
    Injected,
    OrderEnded,
    OrderGiven,
    Refused,
)
from trainer.scenario.model import Order, Scenario
from trainer.terms import Role


@dataclass(frozen=True, slots=True, kw_only=True)
class Deed:
    """One act of the learner, and why it was impossible if it was (empty: it was done)."""

    index: int
    at_ms: int
    action: Action
    refused: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """An order and the stretch of the log in which it stood; the end is not included."""

    order: Order
    from_index: int
    from_ms: int
    until_index: int
    until_ms: int
    to_the_end: bool  # False: it was ended or superseded before the attempt was over


def deeds(events: tuple[Event, ...]) -> tuple[Deed, ...]:
    """Every act in the order done. A refusal belongs to the act before it."""
    found: list[Deed] = []
    is_answered = True
    for index, event in enumerate(events):
        if isinstance(event, Acted):
            found.append(Deed(index=index, at_ms=event.at_ms, action=event.action))
            is_answered = False
        elif isinstance(event, (Injected, Finished)):
            is_answered = True
        elif isinstance(event, Refused) and not is_answered:
            found[-1] = replace(found[-1], refused=event.text or str(event.reason))
            is_answered = True
    return tuple(found)


def deed_before(events: tuple[Event, ...], index: int) -> int | None:
    """The position of the act that brought an event; None if nobody's did.

    What an act brings follows it in the log at the same moment.
    """
    at_ms = events[index].at_ms
    for earlier in range(index, -1, -1):
        event = events[earlier]
        if event.at_ms != at_ms:
            return None
        if isinstance(event, Acted):
            return earlier
    return None


def end_ms(events: tuple[Event, ...]) -> int:
    """The last moment the log knows of."""
    return events[-1].at_ms if events else 0


def came(events: tuple[Event, ...], event_id: str) -> tuple[int, int] | None:
    """Position and moment at which an authored event came; None if it never did."""
    for index, event in enumerate(events):
        if isinstance(event, EventCame) and event.event == event_id:
            return index, event.at_ms
    return None


def standings(scenario: Scenario, events: tuple[Event, ...]) -> tuple[Standing, ...]:
    """When each order stood; one that never came is absent.

    An order that supersedes another ends it. One given twice counts from the first time.
    """
    return tuple(
        standing
        for order in scenario.orders
        if (standing := _standing(scenario, order, events)) is not None
    )


def _standing(scenario: Scenario, order: Order, events: tuple[Event, ...]) -> Standing | None:
    begin = (-1, 0) if order.active else _first(events, {order.id}, OrderGiven)
    if begin is None:
        return None
    successors = {other.id for other in scenario.orders if other.supersedes == order.id}
    ends = (_first(events, {order.id}, OrderEnded), _first(events, successors, OrderGiven))
    last = (len(events), end_ms(events))
    until = min((end for end in ends if end is not None), default=last)
    return Standing(
        order=order,
        from_index=begin[0],
        from_ms=begin[1],
        until_index=until[0],
        until_ms=until[1],
        to_the_end=until == last,
    )


def _first(
    events: Iterable[Event], orders: set[str], kind: type[OrderGiven] | type[OrderEnded]
) -> tuple[int, int] | None:
    """Position and moment of the first such event for one of these orders."""
    for index, event in enumerate(events):
        if isinstance(event, kind) and event.order in orders:
            return index, event.at_ms
    return None


def standing_at(
    standings: tuple[Standing, ...], index: int, line: int, role: Role
) -> tuple[Order, ...]:
    """The orders for that inlet of that line that stand at a position in the log."""
    return tuple(
        one.order
        for one in standings
        if one.from_index < index <= one.until_index
        and one.order.line == line
        and one.order.role is role
    )

"""What stands at a give sentence after a soft limit: the limit's words, and a reason to give."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trainer.engine.events import Acted, Event, Refused
from trainer.terms import Param, Refusal, Verb

LIMITS = (Refusal.NEEDS_REASON, Refusal.OUTSIDE_LIMIT)


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitView:
    """The words of the limit that the last entry left; empty if it left none.

    `asks` says that the entry can be made again with a reason.
    """

    line: str
    text: str
    asks: bool


def limit_view(events: Sequence[Event], number: int) -> LimitView:
    """What the last entry at line `number` brought."""
    for place in range(len(events) - 1, -1, -1):
        event = events[place]
        if isinstance(event, Acted) and _is_entry(event, number):
            then = events[place + 1] if place + 1 < len(events) else None
            if isinstance(then, Refused) and then.reason in LIMITS:
                asks = then.reason is Refusal.NEEDS_REASON
                return LimitView(line=str(number), text=then.text, asks=asks)
            break
    return LimitView(line=str(number), text="", asks=False)


def _is_entry(acted: Acted, number: int) -> bool:
    action = acted.action
    return action.verb is Verb.ENTER and action.get(Param.LINE).strip() == str(number)

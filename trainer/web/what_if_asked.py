"""Reading the question "what if I had ...?" from an address: which act, and what of it otherwise.

Whatever cannot be read is no fault of the program: the page comes back with what was typed
and a sentence that says how to write it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from trainer.engine.actions import act
from trainer.engine.events import Acted, Event, Refused
from trainer.scenario.model import Scenario
from trainer.scoring.record import Deed, deeds, end_ms
from trainer.scoring.what_if import CHANGED, LEFT_OUT, MOVED, WAYS, Change
from trainer.terms import SHAPES, Param, Refusal
from trainer.web import words

DAY_MS = words.DAY_MIN * words.MINUTE_MS
WRITE_MOMENT = "Write the ward clock's time as hours and minutes, 09:38, or with seconds, 09:38:20."
LONGEST_TYPED = 2_000
"""Longer values are refused, as at the bedside."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """The question as far as it could be read.

    `change` is None if nothing was asked yet or `fault` says why it cannot be read; `at` and
    `typed` hold what was typed, or else what was done.
    """

    deed: Deed | None
    how: str = ""
    at: str = ""
    typed: tuple[tuple[str, str], ...] = ()  # each parameter that the act may carry
    change: Change | None = None
    fault: str = ""


def asked(scenario: Scenario, events: tuple[Event, ...], query: Mapping[str, str]) -> Asked:
    """What an address asks about an attempt."""
    text = query.get("deed", "").strip()
    done = _deed(events, text)
    if done is None:
        fault = "" if not text else _no_such_act(text)
        return Asked(deed=None, fault=fault)
    how = " ".join(query.get("how", "").split())
    at = query.get("at", "").strip() or clock(scenario, done.at_ms)
    typed = _typed(done, query)
    plain = Asked(deed=done, how=how, at=at, typed=typed)
    if not how:
        return plain
    change, fault = _change(scenario, events, plain)
    return Asked(deed=done, how=how, at=at, typed=typed, change=change, fault=fault)


def _deed(events: tuple[Event, ...], text: str) -> Deed | None:
    if not (text.isascii() and text.isdigit() and len(text) < 9):
        return None
    return next((one for one in deeds(events) if one.index == int(text)), None)


def _no_such_act(text: str) -> str:
    return f"There is no act `{text[:20]}` in this attempt. Choose one from the list."


def _typed(done: Deed, query: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    """Every parameter that the act may carry, as typed in the address or as it was done."""
    shape = SHAPES[done.action.verb]
    return tuple(
        (str(param), query.get(field_name(param), done.action.get(param)).strip())
        for param in (*shape.needs, *shape.may)
    )


def field_name(param: Param) -> str:
    """The name of a parameter's field; two would be taken for the question's own fields.

    >>> field_name(Param.RATE), field_name(Param.AT)
    ('rate', 'act-at')
    """
    return f"act-{param}" if param in (Param.AT, Param.HOW) else str(param)


# --- the change ------------------------------------------------------------------------------


def _change(
    scenario: Scenario, events: tuple[Event, ...], plain: Asked
) -> tuple[Change | None, str]:
    """The change that is asked for, or why it cannot be read."""
    assert plain.deed is not None
    if plain.how == LEFT_OUT:
        return Change(deed=plain.deed.index, how=LEFT_OUT), ""
    if plain.how == MOVED:
        return _moved(scenario, events, plain.deed, plain.at)
    if plain.how == CHANGED:
        return _changed(plain.deed, plain.typed)
    ways = ", ".join(f"`{way}`" for way in WAYS)
    return None, f"`{plain.how[:20]}` is no way to change an act; choose one of: {ways}."


def _moved(
    scenario: Scenario, events: tuple[Event, ...], done: Deed, text: str
) -> tuple[Change | None, str]:
    second = second_of_day(text)
    if second is None:
        return None, f"`{text[:20]}` is no time on the ward clock. {WRITE_MOMENT}"
    if text == clock(scenario, done.at_ms):
        return None, f"That is when you did it. Write another time than {text}."
    ends_ms = end_ms(events)
    start_ms = words.start_minute(scenario) * words.MINUTE_MS
    first = (second * 1_000 - start_ms) % DAY_MS
    moments = range(first, ends_ms + 1, DAY_MS)
    if not moments:
        begun, ended = clock(scenario, 0), clock(scenario, ends_ms)
        return None, f"The attempt ran from {begun} to {ended}. Choose a time between these two."
    at_ms = min(moments, key=lambda one: abs(one - done.at_ms))
    return Change(deed=done.index, how=MOVED, at_ms=at_ms), ""


def second_of_day(text: str) -> int | None:
    """The second of the day of a time on the ward clock; None if it cannot be read.

    >>> second_of_day("9:38"), second_of_day("09:38:20"), second_of_day("25:00")
    (34680, 34700, None)
    """
    match = re.fullmatch(r"([0-9]{1,2}):([0-9]{2})(?::([0-9]{2}))?", text.strip())
    if match is None:
        return None
    hours, minutes, seconds = (int(part or 0) for part in match.groups())
    if hours > 23 or minutes > 59 or seconds > 59:
        return None
    return (hours * 60 + minutes) * 60 + seconds


def clock(scenario: Scenario, at_ms: int) -> str:
    """The ward clock at a moment, with its seconds where they are not nought."""
    seconds = at_ms // 1_000 % 60
    return words.ward_time(scenario, at_ms) + (f":{seconds:02d}" if seconds else "")


def _changed(done: Deed, typed: tuple[tuple[str, str], ...]) -> tuple[Change | None, str]:
    for name, text in typed:
        if len(text) > LONGEST_TYPED or "\0" in text:
            return None, f"The {name} cannot be kept; write at most {LONGEST_TYPED} characters."
    action = act(done.action.verb, **dict(typed))
    if action == done.action:
        return None, "That is what you did. Write at least one other value."
    return Change(deed=done.index, how=CHANGED, params=action.params), ""


UNREAD = frozenset({Refusal.NOT_UNDERSTOOD, Refusal.OUT_OF_RANGE})
"""Why an act is refused whose values are at fault, and not what stood at the bedside."""


def unfit(read: Asked, then: tuple[Event, ...]) -> str:
    """Why the act cannot take the values that were typed; empty if it can.

    Args:
        read: the question.
        then: the log as it would have been.
    """
    if read.deed is None or read.change is None or read.change.how != CHANGED:
        return ""
    for place, event in enumerate(then):
        if _is_the_changed(event, read):
            following = then[place + 1] if place + 1 < len(then) else None
            if isinstance(following, Refused) and following.reason in UNREAD:
                return following.text
    return ""


def _is_the_changed(event: Event, read: Asked) -> bool:
    assert read.deed is not None
    assert read.change is not None
    return (
        isinstance(event, Acted)
        and event.at_ms == read.deed.at_ms
        and event.action.verb is read.deed.action.verb
        and event.action.params == read.change.params
    )

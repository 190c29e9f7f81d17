"""Each value of an order, as it was worked out and as it was put to the line.

At a pump it is put there by an entry (one that a limit refused counts as a try), on a gravity
line by the roller clamp. Nothing is graded here; `trace` makes one chain of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.engine.amounts import ml_from_motes, ml_h_from_ul_h
from trainer.engine.events import Event, Refused, Started
from trainer.engine.programme import give
from trainer.engine.state import Programme
from trainer.scenario.model import Order
from trainer.scoring import by_drops, entries, explain
from trainer.scoring.evidence import Evidence
from trainer.scoring.expect import DRIP_RATE
from trainer.scoring.findings import Key
from trainer.scoring.programmes import Keyed, first_starts, parts
from trainer.scoring.reading import read
from trainer.scoring.record import Deed, Standing
from trainer.terms import Param, Refusal, Role, Verb


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """One value, worked out or put to the line, and whether it was right.

    `started` and `until` are positions in the log between which it was in force; None if it
    never was. `limit` says that a limit refused it.
    """

    index: int
    at_ms: int
    text: str
    value: Fraction | None
    is_right: bool
    started: int | None = None
    until: int | None = None
    limit: bool = False


def worked_out(seen: Evidence, order: Order, key: Key) -> tuple[Tried, ...]:
    """The values worked out for a key before its order was first started, or else ever."""
    found = []
    for deed in seen.deeds:
        action = deed.action
        if action.verb is not Verb.CALCULATE or deed.refused:
            continue
        if action.get(Param.ORDER).strip() != order.id:
            continue
        if explain.quantity_named(action.get(Param.WHAT)) == key.quantity:
            found.append(_worked_out(seen, key, deed))
    start = first_starts(seen.entered).get(order.id)
    before = tuple(one for one in found if start is None or one.index < start)
    return before or tuple(found)


def _worked_out(seen: Evidence, key: Key, deed: Deed) -> Tried:
    reading = read(deed.action.get(Param.ENTERED), key)
    value = reading.value
    is_right = value is not None and entries.is_right(seen.scenario, key, value, reading.step)
    typed = reading.typed.strip() or "nothing"
    return Tried(
        index=deed.index,
        at_ms=deed.at_ms,
        text=typed[: entries.LONGEST_SHOWN],
        value=value,
        is_right=is_right,
    )


def put_to_line(seen: Evidence, standing: Standing, key: Key) -> tuple[Tried, ...]:
    """The values put to the line for an order: at its pump, or by the roller clamp."""
    if key.quantity == DRIP_RATE:
        return _by_clamp(seen, standing, key)
    order = standing.order
    found = [
        tried
        for one in seen.entered
        if one.order == order and (tried := _entered(seen, standing, key, one)) is not None
    ]
    found += _refused(seen, standing, key)
    return tuple(sorted(found, key=lambda one: one.index))


def _entered(seen: Evidence, standing: Standing, key: Key, one: Keyed) -> Tried | None:
    tried = _of_programme(seen, standing.order, key, one.programme, one.given)
    if tried is None:
        return None
    value, text, is_right = tried
    until = _until(seen, standing, one) if one.started is not None else None
    return Tried(
        index=one.index,
        at_ms=one.at_ms,
        text=text,
        value=value,
        is_right=is_right,
        started=one.started,
        until=until,
    )


def _of_programme(
    seen: Evidence, order: Order, key: Key, programme: Programme, given: int
) -> tuple[Fraction, str, bool] | None:
    """The part of a programme that a key judges: value, text, and whether it is right."""
    judged = parts(seen.scenario, order, programme, seen.keys, given=given)
    part = next((one for one in judged if one.name == key.quantity), None)
    if part is None:
        return None
    is_rate = key.quantity == "rate"
    value = ml_h_from_ul_h(programme.rate_ul_h) if is_rate else ml_from_motes(programme.volume)
    return value, part.actual, not part.fault


def _until(seen: Evidence, standing: Standing, one: Keyed) -> int:
    """Where a started programme ceased to be in force, or to belong to its order."""
    last = min(seen.last, standing.until_index)
    later = range((one.started or 0) + 1, last)
    return next((n for n in later if _replaces(seen.events[n], one)), last)


def _replaces(event: Event, one: Keyed) -> bool:
    if not isinstance(event, Started) or event.line != one.line:
        return False
    in_force = event.primary if one.role is Role.PRIMARY else event.secondary
    return in_force != one.programme


# --- refused by a limit -----------------------------------------------------------------

BY_LIMIT = frozenset({Refusal.OUTSIDE_LIMIT, Refusal.NEEDS_REASON})


def _refused(seen: Evidence, standing: Standing, key: Key) -> list[Tried]:
    """Entries for the order's inlet that a limit refused while the order stood.

    Where several orders stand for that inlet, it is the one whose entry came next there.
    """
    order, found = standing.order, []
    for deed in seen.deeds:
        if deed.action.verb is not Verb.ENTER or not _is_by_limit(seen, deed):
            continue
        if not standing.from_index < deed.index <= standing.until_index:
            continue
        if _inlet(deed) != (str(order.line), str(order.role)) or not _is_meant(seen, order, deed):
            continue
        programme = _programme(seen, deed)
        tried = _of_programme(seen, order, key, programme, 0) if programme else None
        if tried is not None:
            value, text, is_right = tried
            found.append(
                Tried(
                    index=deed.index,
                    at_ms=deed.at_ms,
                    text=text,
                    value=value,
                    is_right=is_right,
                    limit=True,
                )
            )
    return found


def _is_by_limit(seen: Evidence, deed: Deed) -> bool:
    after = seen.events[deed.index + 1] if deed.index < seen.last else None
    return isinstance(after, Refused) and after.reason in BY_LIMIT


def _inlet(deed: Deed) -> tuple[str, str]:
    return deed.action.get(Param.LINE).strip(), deed.action.get(Param.ROLE).strip()


def _is_meant(seen: Evidence, order: Order, deed: Deed) -> bool:
    following = (
        one.order
        for one in seen.entered
        if one.index > deed.index and (one.line, one.role) == (order.line, order.role)
    )
    return next(following, order) in (order, None)


def _programme(seen: Evidence, deed: Deed) -> Programme | None:
    """The programme that was typed; a limit refuses only what could be read."""
    get = deed.action.get
    rules = seen.scenario.policy.pump
    typed = give(get(Param.VOLUME), get(Param.DURATION), get(Param.RATE), rules)
    return typed if isinstance(typed, Programme) else None


# --- by the roller clamp ----------------------------------------------------------------


def _by_clamp(seen: Evidence, standing: Standing, key: Key) -> tuple[Tried, ...]:
    """Every drip rate that was set and left alone while the order stood."""
    settings = by_drops.settings_of(seen.scenario, seen.events, seen.states[1:], standing)
    share = seen.scenario.policy.drip_tolerance
    return tuple(
        Tried(
            index=(start := _last_by(seen, one.at_ms)),
            at_ms=one.at_ms,
            text=explain.amount(Fraction(round(one.drops_per_min)), key.unit),
            value=one.drops_per_min,
            is_right=by_drops.is_near(one.drops_per_min, key, share),
            started=start,
            until=_last_by(seen, one.until_ms),
        )
        for one in settings
    )


def _last_by(seen: Evidence, at_ms: int) -> int:
    """The position of the last event up to a moment."""
    return max((n for n, event in enumerate(seen.events) if event.at_ms <= at_ms), default=0)

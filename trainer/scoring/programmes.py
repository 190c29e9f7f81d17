"""Programmes keyed at the pump: which order each one serves, and each part against the key.

A programme serves an order that stands at that moment for that inlet of that line. Rate
and volume are judged apart, and the duration where the order sets one. What the pump does
by itself (keeping the vein open, handing back) is no entry. Findings are `keyed`'s.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical.rounding import round_half_up
from trainer.clinical.timebase import MS_PER_MIN
from trainer.engine.amounts import ml_from_motes, ml_h_from_ul_h
from trainer.engine.events import Acted, Entered, Event, Started
from trainer.engine.state import Programme, State
from trainer.scenario.model import Order, Scenario
from trainer.scoring import explain
from trainer.scoring.expect import key as key_of
from trainer.scoring.findings import Key
from trainer.scoring.record import Standing, deed_before, standing_at
from trainer.terms import Param, Role

DUE_FIRST = ("bolus", "intermittent", "continuous")
"""Where several orders stand for one inlet, the one that runs for a time comes first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Keyed:
    """One programme keyed: for which order, and where in the log it was started, if ever."""

    index: int
    at_ms: int
    line: int
    role: Role
    programme: Programme
    order: Order | None
    started: int | None
    given: int  # motes of it already given for that order when it was keyed
    deed: int | None = None  # where in the log the entry was asked for
    typed: tuple[tuple[str, str], ...] = ()  # what was typed, by volume, duration and rate


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One part of a programme held against the key."""

    name: str  # rate, volume, duration
    actual: str
    expected: str
    fault: str  # empty: right
    key: Key


def keyed(
    scenario: Scenario,
    events: tuple[Event, ...],
    states: tuple[State, ...],
    stood: tuple[Standing, ...],
    all_keys: tuple[Key, ...],
) -> tuple[Keyed, ...]:
    """Every programme keyed, with the order it serves.

    Args:
        scenario: the scenario.
        events: the log.
        states: the bedside after each event of the log.
        stood: which orders stood when.
        all_keys: the computed key.
    """
    found: list[Keyed] = []
    for index, event in enumerate(events):
        if isinstance(event, Entered):
            orders = standing_at(stood, index, event.line, event.role)
            before = tuple(found)
            order = _served(scenario, states[index], event, orders, all_keys, before)
            if order is not None and _is_for_elsewhere(
                scenario, index, event, order, stood, all_keys
            ):
                order = None
            deed = deed_before(events, index)
            one = Keyed(
                index=index,
                at_ms=event.at_ms,
                line=event.line,
                role=event.role,
                programme=event.programme,
                order=order,
                started=_start_of(events, index, event),
                given=_given_before(states[index], event, order, before),
                deed=deed,
                typed=_typed(events, deed),
            )
            found.append(one)
    return tuple(found)


def _typed(events: tuple[Event, ...], deed: int | None) -> tuple[tuple[str, str], ...]:
    """What was typed for volume, duration and rate, as typed; what was left empty followed."""
    act = events[deed] if deed is not None else None
    if not isinstance(act, Acted):
        return ()
    fields = (Param.VOLUME, Param.DURATION, Param.RATE)
    return tuple((str(field), act.action.get(field)) for field in fields)


def _served(
    scenario: Scenario,
    state: State,
    entered: Entered,
    orders: tuple[Order, ...],
    all_keys: tuple[Key, ...],
    before: tuple[Keyed, ...],
) -> Order | None:
    """The order meant: the one whose values these are, or whose rate; else the next due."""
    held = []
    for order in orders:
        given = _given_before(state, entered, order, before)
        held.append((order, parts(scenario, order, entered.programme, all_keys, given=given)))
    for fits in (_all_right, _rate_right):
        for order, judged in held:
            if fits(judged):
                return order
    started = {one.order.id for one in before if one.order and one.started is not None}
    due = sorted(orders, key=lambda order: (order.id in started, DUE_FIRST.index(order.kind)))
    return due[0] if due else None


def _is_for_elsewhere(
    scenario: Scenario,
    index: int,
    entered: Entered,
    order: Order,
    stood: tuple[Standing, ...],
    all_keys: tuple[Key, ...],
) -> bool:
    """Whether these are wholly another standing order's values, keyed at the wrong inlet."""
    if agrees(scenario, order, entered.programme, all_keys):
        return False
    return any(
        one.from_index < index <= one.until_index
        and one.order != order
        and (one.order.line, one.order.role) != (entered.line, entered.role)
        and agrees(scenario, one.order, entered.programme, all_keys)
        for one in stood
    )


def agrees(
    scenario: Scenario, order: Order, programme: Programme, all_keys: tuple[Key, ...]
) -> bool:
    """Whether a programme is right for an order of which nothing was given yet."""
    return _all_right(parts(scenario, order, programme, all_keys, given=0))


def _all_right(judged: tuple[Part, ...]) -> bool:
    return bool(judged) and not any(part.fault for part in judged)


def _rate_right(judged: tuple[Part, ...]) -> bool:
    return bool(judged) and not judged[0].fault


def _start_of(events: tuple[Event, ...], index: int, entered: Entered) -> int | None:
    """Where this programme was put in force; None if it was replaced or left standing."""
    for later, event in enumerate(events[index + 1 :], start=index + 1):
        if isinstance(event, Started) and event.line == entered.line:
            in_force = event.primary if entered.role is Role.PRIMARY else event.secondary
            if in_force == entered.programme:
                return later
        if isinstance(event, Entered) and (event.line, event.role) == (entered.line, entered.role):
            return None
    return None


def _given_before(
    state: State, entered: Entered, order: Order | None, before: tuple[Keyed, ...]
) -> int:
    """Motes that this inlet has given for the order before a programme was keyed.

    Counted as long as the order is what the inlet serves; a programme for another order
    ends the count.
    """
    mine = [one for one in before if (one.line, one.role) == (entered.line, entered.role)]
    running = [one for one in mine if one.started is not None]
    if order is None or not running or running[-1].order != order:
        return 0
    pump = state.line(entered.line).pump
    given = pump.given_primary if entered.role is Role.PRIMARY else pump.given_secondary
    return running[-1].given + given


# --- one programme ------------------------------------------------------------------


def parts(
    scenario: Scenario,
    order: Order,
    programme: Programme,
    all_keys: tuple[Key, ...],
    *,
    given: int,
) -> tuple[Part, ...]:
    """Rate, volume and (where the order sets one) duration of a programme, each judged."""
    rate = key_of(all_keys, order.id, "rate")
    volume = key_of(all_keys, order.id, "volume")
    duration = key_of(all_keys, order.id, "duration")
    if rate is None or volume is None or duration is None:
        return ()
    judged = [
        _rate_part(scenario, rate, programme),
        _volume_part(scenario, order, volume, programme, given),
    ]
    if order.kind != "continuous":
        follows = not any(part.fault for part in judged)
        judged.append(_duration_part(duration, programme, follows=follows))
    return tuple(judged)


def _rate_part(scenario: Scenario, key: Key, programme: Programme) -> Part:
    value = ml_h_from_ul_h(programme.rate_ul_h)
    step = scenario.policy.pump.rate_step_ml_per_h
    right = {key.value, key.exact, *key.also, round_half_up(key.exact, step)}
    expected = explain.amount(key.value, key.unit)
    fault = "" if value in right else _off(value, key)
    return Part(name="rate", actual=_ml_h(value), expected=expected, fault=fault, key=key)


def _off(value: Fraction, key: Key) -> str:
    """By how much a value is off: `2.2 times the right rate`."""
    times = value / key.value
    if times > 1:
        shown = round_half_up(times, Fraction(1, 10 if times < 10 else 1))
        if shown > 1:
            return f"This is {explain.number(shown)} times the right {key.quantity}."
        return f"This is more than the right {key.quantity}."
    return f"This is {explain.percent(times)} of the right {key.quantity}."


def _ml_h(value: Fraction) -> str:
    return explain.amount(value, "mL/h")


def _volume_part(
    scenario: Scenario, order: Order, key: Key, programme: Programme, given: int
) -> Part:
    value = ml_from_motes(programme.volume)
    fault = _volume_fault(scenario, order, key, value, ml_from_motes(given))
    most = "at most " if order.kind == "continuous" else ""
    return Part(
        name="volume",
        actual=explain.amount(value, "mL"),
        expected=most + explain.amount(key.value, key.unit),
        fault=fault,
        key=key,
    )


def _volume_fault(
    scenario: Scenario, order: Order, key: Key, value: Fraction, given_ml: Fraction
) -> str:
    """What is wrong with a volume keyed; empty if nothing is."""
    step = scenario.policy.pump.volume_step_ml
    right = {key.value, key.exact, *key.also, round_half_up(key.exact, step)}
    if order.kind == "continuous":
        return _fault_at_once(scenario, key, value, max(right))
    if given_ml <= scenario.policy.rounding.largest_share * key.value:
        return "" if value in right else _off(value, key)
    left_ml = key.value - given_ml
    if abs(value - left_ml) <= step:
        return ""
    given, left = explain.rounded_ml(given_ml), explain.rounded_ml(max(left_ml, Fraction(0)))
    return f"Of this order {given} had been given; {left} were left to give."


def _fault_at_once(scenario: Scenario, key: Key, value: Fraction, most: Fraction) -> str:
    """What is wrong with the volume of an order that runs on: anything up to the key is right."""
    if value <= most:
        return ""
    if scenario.is_child:
        hours = explain.number(scenario.policy.hours_at_once)
        return f"For a child no more than {hours} h of volume is entered at once here."
    return _off(value, key)


def _duration_part(key: Key, programme: Programme, *, follows: bool) -> Part:
    minutes = Fraction(programme.duration_ms, MS_PER_MIN)
    right = follows or round_half_up(minutes, Fraction(1)) == round_half_up(key.value, Fraction(1))
    return Part(
        name="duration",
        actual=explain.span(programme.duration_ms),
        expected=explain.amount(key.value, key.unit),
        fault="" if right else _off(minutes, key),
        key=key,
    )


def first_starts(entered: tuple[Keyed, ...]) -> dict[str, int]:
    """For each order that was started, where in the log it first was."""
    starts: dict[str, int] = {}
    for one in entered:
        if one.order is not None and one.started is not None:
            starts.setdefault(one.order.id, one.started)
    return starts

"""Each programme keyed at the pump against the order that it serves.

A programme serves an order that stands at that moment for that inlet of that line. Rate
and volume are judged apart, and the duration where the order sets one. Wrong and put
right before the start is a near miss and praised; wrong and started reached the patient,
and the finding says how much ran meanwhile. What the pump does by itself (keeping the vein
open, handing back) is no entry.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from trainer.clinical.rounding import round_half_up
from trainer.clinical.timebase import MS_PER_MIN
from trainer.engine.amounts import ml_from_motes, ml_h_from_ul_h
from trainer.engine.events import Entered, Event, Started
from trainer.engine.state import Programme, State
from trainer.scenario.model import Order, Scenario
from trainer.scoring import explain
from trainer.scoring.expect import key as key_of
from trainer.scoring.findings import Finding, Key
from trainer.scoring.record import Standing, standing_at
from trainer.scoring.rubric import CREDIT
from trainer.terms import Domain, Role, Verdict

PLAN = "entry"
ONCE_ORDER = ("bolus", "intermittent", "continuous")
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
            one = Keyed(
                index=index,
                at_ms=event.at_ms,
                line=event.line,
                role=event.role,
                programme=event.programme,
                order=order,
                started=_start_of(events, index, event),
                given=_given_before(states[index], event, order, before),
            )
            found.append(one)
    return tuple(found)


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
    due = sorted(orders, key=lambda order: (order.id in started, ONCE_ORDER.index(order.kind)))
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
    if _agrees(scenario, order, entered.programme, all_keys):
        return False
    return any(
        one.from_index < index <= one.until_index
        and one.order != order
        and (one.order.line, one.order.role) != (entered.line, entered.role)
        and _agrees(scenario, one.order, entered.programme, all_keys)
        for one in stood
    )


def _agrees(
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


# --- findings -----------------------------------------------------------------------


def findings(
    scenario: Scenario,
    events: tuple[Event, ...],
    states: tuple[State, ...],
    stood: tuple[Standing, ...],
    all_keys: tuple[Key, ...],
    entered: tuple[Keyed, ...],
) -> tuple[Finding, ...]:
    """What the keyed programmes found: for each order by its parts, and what served none."""
    found: list[Finding] = []
    for order in scenario.orders:
        mine = tuple(one for one in entered if one.order == order)
        if mine:
            found += _for_order(scenario, events, states, all_keys, order, mine)
        elif not _runs_already(scenario, order, all_keys):
            standing = next((one for one in stood if one.order == order), None)
            found += _not_keyed(scenario, order, standing, all_keys)
    found += [_serves_none(scenario, one, stood, all_keys) for one in entered if one.order is None]
    return tuple(found)


def _for_order(
    scenario: Scenario,
    events: tuple[Event, ...],
    states: tuple[State, ...],
    all_keys: tuple[Key, ...],
    order: Order,
    mine: tuple[Keyed, ...],
) -> list[Finding]:
    judged = [
        (one, parts(scenario, order, one.programme, all_keys, given=one.given)) for one in mine
    ]
    names = [part.name for part in judged[0][1]]

    def meanwhile(one: Keyed) -> str:
        return _meanwhile(events, states, one)

    return [
        _part_finding(
            order,
            [(one, next(p for p in own if p.name == name)) for one, own in judged],
            meanwhile,
        )
        for name in names
    ]


def _part_finding(
    order: Order, tries: list[tuple[Keyed, Part]], meanwhile: Callable[[Keyed], str]
) -> Finding:
    """One finding for all programmes of an order: the worst that was started decides."""
    wrong = [(one, part) for one, part in tries if part.fault]
    reached = [(one, part) for one, part in wrong if one.started is not None]
    if reached:
        one, part = reached[0]
        reason = explain.joined(part.fault, "It was started and reached the patient.")
        ran = meanwhile(one) if part.name == "rate" or order.kind != "continuous" else ""
        told = explain.joined(reason, ran)
        return _finding(order, one, part, Verdict.WRONG, told, critical=True)
    if wrong and tries[-1][1].fault:
        one, part = wrong[-1]
        reason = explain.joined(part.fault, "It was not started.")
        return _finding(order, one, part, Verdict.WRONG, reason)
    if wrong:
        one, part = wrong[0]
        reason = explain.joined(
            part.fault,
            "It was put right before the start and did not reach the patient. Well seen.",
        )
        return _finding(order, one, part, Verdict.CORRECTED, reason)
    one, part = tries[0]
    return _finding(order, one, part, Verdict.RIGHT, f"It agrees with the order: {order.written}")


def _finding(
    order: Order, one: Keyed, part: Part, verdict: Verdict, reason: str, *, critical: bool = False
) -> Finding:
    right = "" if verdict is Verdict.RIGHT else f"; right: {part.expected}"
    return Finding(
        id=f"{PLAN}.{order.id}.keyed-{part.name}",
        verdict=verdict,
        domain=Domain.ENTERING,
        title=f"{order.title}, {part.name} entered: {part.actual}{right}",
        reason=explain.sentence(reason),
        at_ms=one.at_ms,
        plan=PLAN,
        expected=part.expected,
        actual=part.actual,
        worked=part.key.worked,
        chain=part.key.chain,
        critical=critical,
        points=CREDIT[verdict],
    )


def _meanwhile(events: tuple[Event, ...], states: tuple[State, ...], one: Keyed) -> str:
    """How much ran with a wrong programme, and in how much running time."""
    if one.started is None:
        return ""
    until = one.started + 1
    while until < len(events) - 1 and not _replaced(events[until], one):
        until += 1
    ran, took_ms = 0, 0
    for before, after in pairwise(states[one.started : until + 1]):
        moved = after.line(one.line).pump.total - before.line(one.line).pump.total
        ran += moved
        took_ms += after.as_of_ms - before.as_of_ms if moved else 0
    return f"So {explain.volume(ran)} ran in {explain.span(took_ms)}." if ran else ""


def _replaced(event: Event, one: Keyed) -> bool:
    """Whether this start puts another programme in force for the same inlet."""
    if not isinstance(event, Started) or event.line != one.line:
        return False
    in_force = event.primary if one.role is Role.PRIMARY else event.secondary
    return in_force != one.programme


def _runs_already(scenario: Scenario, order: Order, all_keys: tuple[Key, ...]) -> bool:
    """Whether the line was found running at this order's rate."""
    rate = key_of(all_keys, order.id, "rate")
    running = scenario.line(order.line).running_rate_ml_per_h
    if rate is None or running is None or order.role is not Role.PRIMARY:
        return False
    return order.active and running in {rate.value, rate.exact, *rate.also}


def _not_keyed(
    scenario: Scenario, order: Order, standing: Standing | None, all_keys: tuple[Key, ...]
) -> list[Finding]:
    """Findings for an order that was never keyed, a point each, as if it had been."""
    due = standing is not None and standing.to_the_end
    names = ("rate", "volume") if order.kind == "continuous" else ("rate", "volume", "duration")
    found = []
    for name in names:
        key = key_of(all_keys, order.id, name)
        if key is not None:
            found.append(_not_keyed_part(order, key, due=due))
    return found


def _not_keyed_part(order: Order, key: Key, *, due: bool) -> Finding:
    reason = (
        "The order stood and was never entered at the pump."
        if due
        else "The order never came, or was replaced before it was entered."
    )
    return Finding(
        id=f"{PLAN}.{order.id}.keyed-{key.quantity}",
        verdict=Verdict.MISSED if due else Verdict.NOT_NEEDED,
        domain=Domain.ENTERING,
        title=f"{order.title}, {key.quantity}: not entered",
        reason=reason,
        at_ms=None,
        plan=PLAN,
        expected=explain.amount(key.value, key.unit),
        worked=key.worked,
        chain=key.chain,
        most=Fraction(int(due)),
    )


def _serves_none(
    scenario: Scenario, one: Keyed, stood: tuple[Standing, ...], all_keys: tuple[Key, ...]
) -> Finding:
    """A programme for which no order stands: ended orders and wrong inlets are named."""
    place = f"line {one.line}, {one.role}"
    started = one.started is not None
    actual = (
        f"{explain.volume_text(one.programme.volume)} at {explain.rate(one.programme.rate_ul_h)}"
    )
    return Finding(
        id=f"{PLAN}.none.{one.index}",
        verdict=Verdict.WRONG,
        domain=Domain.ENTERING,
        title=f"Entered at {place} without a standing order: {actual}",
        reason=explain.joined(
            _meant(scenario, one, stood, all_keys),
            "It was started and reached the patient." if started else "It was not started.",
        ),
        at_ms=one.at_ms,
        plan=PLAN,
        expected="nothing",
        actual=actual,
        critical=started,
    )


def _meant(
    scenario: Scenario, one: Keyed, stood: tuple[Standing, ...], all_keys: tuple[Key, ...]
) -> str:
    """Which order these values would be right for."""
    for standing in stood:
        order = standing.order
        if not _agrees(scenario, order, one.programme, all_keys):
            continue
        if (order.line, order.role) == (one.line, one.role):
            return f"These are the values of `{order.title}`, which does not stand now."
        return (
            f"These are the values of `{order.title}`, "
            f"which belongs to line {order.line}, {order.role}."
        )
    return "No order stands for this inlet at this moment."


def first_starts(entered: tuple[Keyed, ...]) -> dict[str, int]:
    """For each order that was started, where in the log it first was."""
    starts: dict[str, int] = {}
    for one in entered:
        if one.order is not None and one.started is not None:
            starts.setdefault(one.order.id, one.started)
    return starts

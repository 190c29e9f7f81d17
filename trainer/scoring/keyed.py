"""Findings about the programmes keyed at the pump, for each order by its parts.

Wrong and put right before the start is a near miss and praised; wrong and started reached
the patient, and the finding says how much ran meanwhile. An order never entered loses
what a right entry would have earned.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

from trainer.engine.events import Event, Started
from trainer.engine.state import State
from trainer.scenario.model import Order, Scenario
from trainer.scoring import explain
from trainer.scoring.expect import key as key_of
from trainer.scoring.findings import Finding, Key
from trainer.scoring.not_done import PLAN, not_done
from trainer.scoring.programmes import Keyed, Part, agrees, parts
from trainer.scoring.record import Standing
from trainer.scoring.rubric import CREDIT
from trainer.terms import Domain, Drive, Role, Verdict


def findings(
    scenario: Scenario,
    events: tuple[Event, ...],
    states: tuple[State, ...],
    stood: tuple[Standing, ...],
    all_keys: tuple[Key, ...],
    entered: tuple[Keyed, ...],
) -> tuple[Finding, ...]:
    """What the keyed programmes found: for each order by its parts, and what served none.

    An order on a gravity line is entered nowhere, so nothing is found about it here.
    """
    found: list[Finding] = []
    for order in scenario.orders:
        if scenario.line(order.line).drive is Drive.GRAVITY:
            continue
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
        order=order.id,
        quantity=part.name,
        typed=dict(one.typed).get(part.name, ""),
        deed=one.deed,
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
    title = f"{key.quantity}: not entered"
    return not_done(order, key, f"keyed-{key.quantity}", title=title, reason=reason, due=due)


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
        if not agrees(scenario, order, one.programme, all_keys):
            continue
        if (order.line, order.role) == (one.line, one.role):
            return f"These are the values of `{order.title}`, which does not stand now."
        return (
            f"These are the values of `{order.title}`, "
            f"which belongs to line {order.line}, {order.role}."
        )
    return "No order stands for this inlet at this moment."

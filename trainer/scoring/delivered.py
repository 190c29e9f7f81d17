"""What reached the vein of each order's fluid against what was ordered while it stood.

Read from the folded bedside, so it counts what ran and not what was keyed. Too little is
told with the interruptions that explain it; the findings about those carry the marks, so
nothing is punished twice. What nothing explains is for `astray`.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from trainer.engine import drive
from trainer.engine.amounts import MS_PER_H, ml_from_motes
from trainer.engine.events import Event, OrderEnded, OrderGiven, Started, VolumeComplete
from trainer.engine.state import State
from trainer.scenario.model import Order, Scenario
from trainer.scoring import explain
from trainer.scoring.expect import key as key_of
from trainer.scoring.findings import Delivered, Key
from trainer.scoring.programmes import Keyed
from trainer.scoring.record import Standing
from trainer.terms import Drive, Role, Running


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """The bedside right after one event (the first: at the beginning), and what ran then.

    `serves` names, for each line, the order that its pump serves from here on.
    """

    state: State
    serves: dict[int, str]


BRIEF_MS = 60_000
"""In less than a minute a few drops are the whole; a share of them would mislead."""
TWICE = 2
WORTH_A_WORD_MS = 10_000
"""A shorter wait is the handling itself and explains nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Times:
    """How long an order stood, in ms, and what it waited for."""

    stood: int
    other: int  # a bolus or an intermittent dose ran on its line
    before_start: int
    idle: int  # after its first start, nothing ran on its line


def moments(
    scenario: Scenario,
    events: tuple[Event, ...],
    states: tuple[State, ...],
    stood: tuple[Standing, ...],
    entered: tuple[Keyed, ...],
) -> tuple[Moment, ...]:
    """The beginning and the moment after each event.

    Args:
        scenario: the scenario.
        events: the log.
        states: the bedside at the beginning and after each event: one more than events.
        stood: which orders stood when.
        entered: the programmes keyed, each with its order.
    """
    found_running = _found_running(scenario, stood)
    serves = {**found_running, **_by_gravity(scenario, stood, -1)}
    listed = [Moment(state=states[0], serves=serves)]
    for index, event in enumerate(events):
        if isinstance(event, Started):
            serves = {**serves, **_served(event.line, event.source, index, entered)}
        elif isinstance(event, VolumeComplete) and event.hand_back:
            again = _served(event.line, Role.PRIMARY, index, entered)
            first = {k: v for k, v in found_running.items() if k == event.line}
            serves = {**serves, **(again or first)}
        elif isinstance(event, OrderGiven | OrderEnded):
            serves = {**serves, **_by_gravity(scenario, stood, index)}
        listed.append(Moment(state=states[index + 1], serves=serves))
    return tuple(listed)


def _found_running(scenario: Scenario, stood: tuple[Standing, ...]) -> dict[int, str]:
    """The orders of lines that the learner finds running."""
    return {
        spec.number: one.order.id
        for spec in scenario.lines
        if spec.running_rate_ml_per_h is not None
        for one in stood
        if one.from_index < 0
        and (one.order.line, one.order.role) == (spec.number, Role.PRIMARY)
        and one.order.kind == "continuous"
    }


def _by_gravity(scenario: Scenario, stood: tuple[Standing, ...], index: int) -> dict[int, str]:
    """The orders that lines without a pump serve: those that stand from here on."""
    return {
        one.order.line: one.order.id
        for one in stood
        if scenario.line(one.order.line).drive is Drive.GRAVITY
        and one.from_index <= index < one.until_index
    }


def _served(line: int, role: Role, index: int, entered: tuple[Keyed, ...]) -> dict[int, str]:
    """The order of the last programme put in force for that inlet by then."""
    mine = [
        one.order.id
        for one in entered
        if (one.line, one.role) == (line, role)
        and one.started is not None
        and one.started <= index
        and one.order is not None
    ]
    return {line: mine[-1]} if mine else {}


def delivered(
    scenario: Scenario,
    course: tuple[Moment, ...],
    stood: tuple[Standing, ...],
    all_keys: tuple[Key, ...],
) -> tuple[Delivered, ...]:
    """Ordered and given for each order that ever stood."""
    return tuple(_for_order(scenario, one, course, stood, all_keys) for one in stood)


def _for_order(
    scenario: Scenario,
    standing: Standing,
    course: tuple[Moment, ...],
    stood: tuple[Standing, ...],
    all_keys: tuple[Key, ...],
) -> Delivered:
    times = _times(standing, course, waits_for(scenario, standing.order))
    ordered_ml = _ordered(standing, times, all_keys)
    given_ml = ml_from_motes(_given(standing.order, course, stood))
    share = None if _is_brief(standing, times) or not ordered_ml else given_ml / ordered_ml
    return Delivered(
        order=standing.order.id,
        title=standing.order.title,
        ordered_ml=ordered_ml,
        given_ml=given_ml,
        text=_sentences(scenario, standing, times, course, (ordered_ml, given_ml, share), all_keys),
        share=share,
    )


def _is_brief(standing: Standing, times: Times) -> bool:
    """Whether a continuous order had so little time that a share of it says nothing."""
    return standing.order.kind == "continuous" and times.stood - times.other < BRIEF_MS


def _ordered(standing: Standing, times: Times, all_keys: tuple[Key, ...]) -> Fraction:
    """What the order asked for by its end: its volume, or its rate over the time it had."""
    order = standing.order
    rate, volume = key_of(all_keys, order.id, "rate"), key_of(all_keys, order.id, "volume")
    if rate is None or volume is None:
        return Fraction(0)
    if order.kind != "continuous":
        return volume.value
    had_ms = times.stood - times.other
    return rate.value * (min(had_ms, order.over_ms) if order.over_ms else had_ms) / MS_PER_H


def _given(order: Order, course: tuple[Moment, ...], stood: tuple[Standing, ...]) -> int:
    """Motes of the order's fluid that reached the vein on its behalf.

    Where several orders ask for one fluid, what arrives counts for the one last served.
    """
    rivals = {one.order.id for one in stood if one.order.fluid == order.fluid}
    if rivals == {order.id}:
        return in_vein(course[-1].state, order.fluid)
    given, last = 0, ""
    for before, after in pairwise(course):
        last = next((name for name in before.serves.values() if name in rivals), last)
        if last == order.id:
            given += in_vein(after.state, order.fluid) - in_vein(before.state, order.fluid)
    return given


def in_vein(state: State, fluid: str) -> int:
    """Motes of a fluid that have reached the vein so far."""
    return next((volume for name, volume in state.ledger.vein if name == fluid), 0)


def waits_for(scenario: Scenario, order: Order) -> frozenset[str]:
    """The orders for which a continuous one on the same line has to wait."""
    return frozenset(
        other.id
        for other in scenario.orders
        if other.line == order.line and other.id != order.id and other.kind != "continuous"
    )


def _times(standing: Standing, course: tuple[Moment, ...], takes_turns: frozenset[str]) -> Times:
    """How long an order stood and what it waited for."""
    order, started = standing.order, False
    other = before_start = idle = 0
    for before, after in pairwise(course):
        until = min(after.state.as_of_ms, standing.until_ms)
        stretch = max(0, until - max(before.state.as_of_ms, standing.from_ms))
        is_running = runs(before.state, order.line)
        mine = before.serves.get(order.line) == order.id
        started = started or (is_running and mine)
        if is_running and before.serves.get(order.line) in takes_turns:
            other += stretch
        elif not is_running or not mine:
            before_start += 0 if started else stretch
            idle += stretch if started else 0
    stood_ms = standing.until_ms - standing.from_ms
    return Times(stood=stood_ms, other=other, before_start=before_start, idle=idle)


def runs(state: State, number: int) -> bool:
    """Whether the line gives: by a programme, or by gravity."""
    line = state.line(number)
    if line.drive is Drive.GRAVITY:
        return drive.is_running(state, line)
    return line.pump.running is Running.INFUSING


# --- in words -----------------------------------------------------------------------


def _sentences(
    scenario: Scenario,
    standing: Standing,
    times: Times,
    course: tuple[Moment, ...],
    amounts: tuple[Fraction, Fraction, Fraction | None],
    all_keys: tuple[Key, ...],
) -> str:
    """What was ordered, what came of it, and what explains the rest.

    `amounts` are what was ordered and given in mL, and the share.
    """
    ordered_ml, given_ml, share = amounts
    if not standing.to_the_end and times.before_start == times.stood:
        return f"It stood for {explain.span(times.stood)} and was replaced before it ran."
    part = "" if share is None else f", {_share_words(share)}"
    return explain.joined(
        _ordered_words(scenario, standing, times, ordered_ml, all_keys),
        f"{explain.rounded_ml(given_ml)} reached the vein{part}.",
        _waits(times) if standing.order.kind == "continuous" else "",
        _tissue(standing.order, course[-1].state),
    )


def _share_words(share: Fraction) -> str:
    """A share of what was ordered: `82 %`; from twice as much on, `3.7 times as much`."""
    if share < TWICE:
        return explain.percent(share)
    return f"{explain.number((share * 10 + Fraction(1, 2)) // 1 * Fraction(1, 10))} times as much"


def _ordered_words(
    scenario: Scenario,
    standing: Standing,
    times: Times,
    ordered_ml: Fraction,
    all_keys: tuple[Key, ...],
) -> str:
    asked = explain.rounded_ml(ordered_ml)
    rate = key_of(all_keys, standing.order.id, "rate")
    if standing.order.kind != "continuous" or rate is None:
        return f"Ordered: {asked}."
    until = explain.ward_clock(scenario.starts_at, standing.until_ms)
    had = explain.span(times.stood - times.other)
    less = f", without {explain.span(times.other)} of another order" if times.other else ""
    return f"Ordered by {until}: {asked}, {explain.amount(rate.value, rate.unit)} for {had}{less}."


def _waits(times: Times) -> str:
    """The interruptions, which explain what is missing."""
    parts = []
    if times.before_start >= WORTH_A_WORD_MS:
        parts.append(f"{explain.span(times.before_start)} passed before it first ran.")
    if times.idle >= WORTH_A_WORD_MS:
        parts.append(f"It did not run for {explain.span(times.idle)} after that.")
    return " ".join(parts)


def _tissue(order: Order, state: State) -> str:
    lost = next((volume for name, volume in state.ledger.tissue if name == order.fluid), 0)
    return f"{explain.volume(lost)} went into the tissue." if lost else ""

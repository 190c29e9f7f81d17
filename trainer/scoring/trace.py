"""Each order's value from the order to the vein: ordered, calculated, keyed, delivered.

For every order that ever stood, the value that drives it: the rate; for a dose that ends also
its volume; on a gravity line the drip rate. Each trace says where an error entered, whether a
finger slipped or a thought, who caught it, and how far it came (`severity`).
"""

from __future__ import annotations

from fractions import Fraction

from trainer.clinical.quantity import format_quantity
from trainer.engine.amounts import ml_h_from_ul_h
from trainer.scenario.model import Order
from trainer.scoring import arrival, caught, delivered, explain, severity, tale, tries, why
from trainer.scoring.arrival import Arrival, How
from trainer.scoring.caught import NOT_CAUGHT, Catch
from trainer.scoring.evidence import Evidence
from trainer.scoring.expect import DRIP_RATE
from trainer.scoring.findings import Finding, Key, Link, Trace
from trainer.scoring.questionable import asked_by, fault_of
from trainer.scoring.ran import CONTINUOUS, under_programme
from trainer.scoring.record import Standing
from trainer.scoring.tale import Way
from trainer.scoring.tries import Tried
from trainer.terms import CaughtBy, Drive, Reach, Stage, Verdict

MOST_SHOWN = 3
"""More values in a row are not shown in one link."""


def traces(seen: Evidence) -> tuple[Trace, ...]:
    """One trace for each driving value of each order that ever stood, in the orders' order."""
    return tuple(
        _trace(seen, standing, key)
        for standing in seen.stood
        for key in _driving(seen, standing.order)
    )


def _driving(seen: Evidence, order: Order) -> tuple[Key, ...]:
    """The keys of the values that drive an order."""
    names: tuple[str, ...] = ("rate",) if order.kind == CONTINUOUS else ("rate", "volume")
    if seen.scenario.line(order.line).drive is Drive.GRAVITY and seen.key(order, DRIP_RATE):
        names = (DRIP_RATE,)
    found = (seen.key(order, name) for name in names)
    return tuple(one for one in found if one is not None)


def _trace(seen: Evidence, standing: Standing, key: Key) -> Trace:
    way, links = _way(seen, standing, key)
    reach = _reach(seen, way)
    is_caught = reach is Reach.CAUGHT and way.catch.by is not CaughtBy.NOBODY
    return Trace(
        order=way.order.id,
        title=way.order.title,
        quantity=key.quantity,
        links=links,
        sentence=tale.sentence(way),
        entered=way.entered,
        is_slip_of_hand=_is_slip_of_hand(way),
        caught_by=way.catch.by,
        caught_ms=way.catch.at_ms,
        reach=reach,
        deviation=_deviation(way.came),
        praise=tale.praise(way) if is_caught else "",
    )


def _way(seen: Evidence, standing: Standing, key: Key) -> tuple[Way, tuple[Link, ...]]:
    """All that is known of a value on its way, and the links that show it."""
    order = standing.order
    fault = fault_of(seen.scenario, order)
    is_due = standing.to_the_end and not fault
    worked = tries.worked_out(seen, order, key)
    put = tries.put_to_line(seen, standing, key)
    came = arrival.arrival(seen, standing, key, put, is_due=is_due)
    found_running = arrival.is_found_running(seen, standing)
    instead = _runs_instead(seen, standing) if is_due and not put and not found_running else ""
    links = (
        _ordered(seen, standing, key, fault),
        _calculated(seen, order, key, worked),
        _put_link(seen, key, put, is_due=is_due, found_running=found_running, instead=instead),
        _delivered(seen, order, came),
    )
    wrong = next((one for one in links if one.right is False), None)
    entered = wrong.stage if wrong else None
    way = Way(
        order=order,
        key=key,
        worked=worked,
        put=put,
        came=came,
        catch=_catch(seen, standing, worked, put, came, entered),
        entered=entered,
        fault=fault,
        is_due=is_due,
        is_found_running=found_running,
        runs_instead=instead,
        slip=next((one.slip for one in links if one.slip), ""),
    )
    return way, links


def _runs_instead(seen: Evidence, standing: Standing) -> str:
    """What rate the line's pump runs at when the order ends, or else first ran at before.

    Empty if it did not run while the order stood.
    """
    number = standing.order.line
    if seen.scenario.line(number).drive is Drive.GRAVITY:
        return ""
    until = min(seen.last, standing.until_index)
    while_it_stood = seen.states[standing.from_index + 1 : until + 1]
    for state in (seen.states[until], *while_it_stood):
        if delivered.runs(state, number):
            return explain.amount(ml_h_from_ul_h(state.line(number).pump.rate_ul_h), "mL/h")
    return ""


# --- the four links ---------------------------------------------------------------------


def _ordered(seen: Evidence, standing: Standing, key: Key, fault: str) -> Link:
    step = asked_by(seen.scenario, standing.order)
    return Link(
        stage=Stage.ORDERED,
        text=_asked(standing.order, key, fault),
        right=not fault,
        at_ms=standing.from_ms,
        finding=step[0] if fault and step and seen.finding(step[0]) else "",
    )


def _asked(order: Order, key: Key, fault: str) -> str:
    """What the order asks, and what follows from it: `5 mcg/kg/min: 15 mL/h`.

    The right value is worked out with the patient's weight: it does not follow from an order
    at fault that names another.
    """
    right = explain.amount(key.value, key.unit)
    asked = order.dose or order.rate
    words = format_quantity(asked) if asked else order.rule
    if order.weight is not None:
        words = f"{words} for {format_quantity(order.weight)}"
        return words if fault else f"{words}: {right}"
    words = words if asked else f"{words} by weight"
    return right if words == right else f"{words}: {right}"


def _calculated(seen: Evidence, order: Order, key: Key, worked: tuple[Tried, ...]) -> Link:
    if not worked:
        return Link(stage=Stage.CALCULATED, text="not worked out", right=None)
    telling = next((one for one in worked if not one.is_right), worked[-1])
    finding = _finding_of(seen, f"entry.{order.id}.{key.quantity}", telling)
    return Link(
        stage=Stage.CALCULATED,
        text=_in_a_row(worked),
        right=telling.is_right,
        at_ms=telling.at_ms,
        finding=finding.id if finding else "",
        slip="" if telling.is_right else _slip_of(finding),
    )


def _finding_of(seen: Evidence, name: str, one: Tried) -> Finding | None:
    """The finding about one try of a value."""
    for finding in seen.findings:
        is_mine = finding.id == name or finding.id.startswith(f"{name}.try-")
        is_value = not finding.id.endswith(".unit")
        if is_mine and is_value and finding.at_ms == one.at_ms:
            return finding
    return seen.finding(name)


def _slip_of(finding: Finding | None) -> str:
    """The likeliest slip that a finding names; empty if it names none, or takes two together."""
    first = next(iter(finding.why.slips), None) if finding else None
    return "" if first is None or first.takes_two else str(first.slip)


def _slip_at_limit(seen: Evidence, key: Key, one: Tried) -> str:
    """The likeliest slip behind a value that a limit refused, which no finding tells."""
    if not one.limit or one.value is None:
        return ""
    found = why.why_value(seen.scenario, key, one.value, seen.keys).slips
    return "" if not found or found[0].takes_two else str(found[0].slip)


def _in_a_row(tried: tuple[Tried, ...]) -> str:
    """Values in the order in which they stood: `564 mL/h, then 56.4 mL/h`."""
    texts: list[str] = []
    for one in tried:
        text = f"{one.text} (refused)" if one.limit else one.text
        if not texts or texts[-1] != text:
            texts.append(text)
    shown = texts if len(texts) <= MOST_SHOWN else [texts[0], "…", texts[-1]]
    return ", then ".join(shown)


def _put_link(
    seen: Evidence,
    key: Key,
    put: tuple[Tried, ...],
    *,
    is_due: bool,
    found_running: bool,
    instead: str,
) -> Link:
    part = "set-drip-rate" if key.quantity == DRIP_RATE else f"keyed-{key.quantity}"
    finding = seen.finding(f"entry.{key.order}.{part}")
    finding_id = finding.id if finding else ""
    if put:
        telling = next((one for one in put if not one.is_right), put[0])
        return Link(
            stage=Stage.KEYED,
            text=_in_a_row(put),
            right=telling.is_right,
            at_ms=telling.at_ms,
            finding=finding_id,
            slip=""
            if telling.is_right
            else _slip_of(finding) or _slip_at_limit(seen, key, telling),
        )
    if found_running:
        running = explain.amount(key.value, key.unit)
        return Link(stage=Stage.KEYED, text=f"found running at {running}", right=True)
    not_put = "not set" if key.quantity == DRIP_RATE else "not keyed"
    text = f"{not_put}; {instead} ran on" if instead else not_put
    is_missed = is_due and (finding is None or finding.verdict is not Verdict.NOT_NEEDED)
    right = False if is_missed else None
    return Link(stage=Stage.KEYED, text=text, right=right, finding=finding_id)


def _delivered(seen: Evidence, order: Order, came: Arrival) -> Link:
    finding = seen.finding(f"delivered.{order.id}")
    return Link(
        stage=Stage.DELIVERED,
        text=came.text,
        right=came.is_right,
        at_ms=came.ran.from_ms if came.ran else None,
        finding=finding.id if finding else "",
    )


# --- what became of the error -----------------------------------------------------------


def _catch(
    seen: Evidence,
    standing: Standing,
    worked: tuple[Tried, ...],
    put: tuple[Tried, ...],
    came: Arrival,
    entered: Stage | None,
) -> Catch:
    """Who caught the error that came furthest."""
    order = standing.order
    if came.how is How.NOT_DONE or entered is None:
        return NOT_CAUGHT
    if came.how in {How.LINE, How.OTHER_FLUID}:
        return caught.of_flow(seen, order, came.start, came.until)
    if came.how is How.WRONG_VALUE:
        return caught.of_put(seen, order, put)
    if entered is Stage.ORDERED:
        return caught.of_order(seen, standing, put)
    if any(not one.is_right for one in put):
        return caught.of_put(seen, order, put)
    return caught.of_worked_out(worked, put)


def _reach(seen: Evidence, way: Way) -> Reach:
    """How far the error came. A line that failed and was put right wants watching at most."""
    if way.entered is None:
        return Reach.NONE
    if way.came.is_right is False:
        reach = severity.worst(way.came.reach, Reach.NO_HARM)
        is_mended = way.came.how is How.LINE and way.catch.by is not CaughtBy.NOBODY
        return severity.at_most(reach, Reach.WATCH) if is_mended else reach
    started = [one for one in way.put if one.started is not None]
    if way.entered is not Stage.ORDERED or not started:
        return Reach.CAUGHT
    is_first = way.catch.at_ms is not None and all(way.catch.at_ms < o.at_ms for o in started)
    return Reach.CAUGHT if is_first else _of_bad_order(seen, way.order, started)


def _of_bad_order(seen: Evidence, order: Order, started: list[Tried]) -> Reach:
    """An order that was to be questioned and ran as ordered: a hard limit makes it harm."""
    fluid = seen.scenario.fluid(order.fluid)
    for one in started:
        came = under_programme(seen, order, one.started or 0, one.until or seen.last)
        if severity.is_beyond_hard_limit(seen.scenario, order.line, fluid, came):
            return Reach.HARM
    return Reach.NO_HARM


def _is_slip_of_hand(way: Way) -> bool:
    """Worked out right, and a wrong value keyed. A clamp is turned and counted, not keyed."""
    worked = bool(way.worked) and way.worked[-1].is_right and way.key.quantity != DRIP_RATE
    return way.entered is Stage.KEYED and worked and way.wrong_put is not None


def _deviation(came: Arrival) -> Fraction | None:
    """By what share too much or too little came; None if nothing wrong reached the vein."""
    if came.is_right is not False or came.ran is None:
        return None
    return came.ran.deviation or None

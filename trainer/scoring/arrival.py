"""What came of an order's value at the vein: right, too much, too little, or not at all.

Four ways to go wrong: a wrong value ran, the order was not carried out, another container
ran in its place, or the line failed though the values were right.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction

from trainer.engine.amounts import ml_from_motes
from trainer.engine.events import Hung, LineBlocked, LineNarrowed, SiteChanged
from trainer.scenario.model import Order
from trainer.scoring import delivered, explain, ran, severity
from trainer.scoring.evidence import Evidence
from trainer.scoring.findings import Key
from trainer.scoring.ran import CONTINUOUS, Ran
from trainer.scoring.record import Standing
from trainer.scoring.tries import Tried
from trainer.terms import Drive, Reach, Role, Running, Site


class How(StrEnum):
    """What came of the value at the vein."""

    AS_ORDERED = "as ordered"
    UNDER_WAY = "under way"
    NOTHING_DUE = "nothing was due"
    WRONG_VALUE = "a wrong value ran"
    NOT_DONE = "the order was not carried out"
    OTHER_FLUID = "another container ran"
    LINE = "the line failed"


RIGHT_AS: dict[How, bool | None] = {
    How.AS_ORDERED: True,
    How.UNDER_WAY: None,
    How.NOTHING_DUE: None,
}
"""Whether what came was right; None: it cannot be told; every other way is wrong."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrival:
    """What came: how, in words, and against what was due (`ran`, where it was measured).

    `start` and `until` are the positions in the log between which it went so, `cause` is what
    is known of a failing line. `vein_ml` is what reached the vein where `ran` tells what left
    the pump, because the line held much of it back or gave more.
    """

    how: How
    text: str
    start: int
    until: int
    ran: Ran | None = None
    reach: Reach = Reach.NONE
    cause: str = ""
    vein_ml: Fraction | None = None

    @property
    def is_right(self) -> bool | None:
        """Whether what came was right; None: it cannot be told."""
        return RIGHT_AS.get(self.how, False)


def arrival(
    seen: Evidence, standing: Standing, key: Key, put: tuple[Tried, ...], *, is_due: bool
) -> Arrival:
    """What came of one value of an order.

    Args:
        seen: the attempt as read.
        standing: the order, and when it stood.
        key: the right value.
        put: the values put to the line for it.
        is_due: whether the order stood to the end and was to be followed.
    """
    until = min(seen.last, standing.until_index)
    first = _first_start(seen, standing, put)
    wrong = [one for one in put if not one.is_right and one.started is not None]
    if wrong and (found := _wrong_value(seen, standing.order, key, wrong)):
        return found
    if first is None:
        return _not_started(seen, standing, until, is_due=is_due)
    other = _other_fluid(seen, standing.order, first, until)
    return other or _by_line(seen, standing, key, first, until)


def _first_start(seen: Evidence, standing: Standing, put: tuple[Tried, ...]) -> int | None:
    """Where the order first began to run; -1 where it was found running."""
    if is_found_running(seen, standing):
        return -1
    return min((one.started for one in put if one.started is not None), default=None)


def is_found_running(seen: Evidence, standing: Standing) -> bool:
    """Whether the line was found running at this order's own rate."""
    order = standing.order
    running = seen.scenario.line(order.line).running_rate_ml_per_h
    rate = seen.key(order, "rate")
    if rate is None or running is None or order.role is not Role.PRIMARY:
        return False
    return standing.from_index < 0 and running in {rate.value, rate.exact, *rate.also}


# --- a wrong value, or none -------------------------------------------------------------


def _wrong_value(seen: Evidence, order: Order, key: Key, wrong: list[Tried]) -> Arrival | None:
    """The worst stretch in which a wrong value ran; None if nothing came by any."""
    found = [_stretch(seen, order, key, one) for one in wrong]
    ran_ = [one for one in found if one.ran is not None and one.ran.ran_ms]
    return max(ran_, key=_badness, default=None)


NOTHING_ML = Fraction("0.005")
"""Less than this is told as 0 mL: the fluid still lay in the tubing."""


def _badness(one: Arrival) -> tuple[int, Fraction]:
    return severity.IN_ORDER.index(one.reach), one.ran.share if one.ran else Fraction(0)


def _stretch(seen: Evidence, order: Order, key: Key, one: Tried) -> Arrival:
    start = one.started if one.started is not None else one.index
    until = one.until if one.until is not None else seen.last
    came = ran.under_programme(seen, order, start, until)
    vein_ml = None
    if key.quantity == "volume":
        came = _of_volume(seen, order, key, came)
    else:
        came, vein_ml = _by_the_value(seen, order, came, start, until)
    text = _in_time(came) if vein_ml is None else _by_the_pump(came, vein_ml)
    if came.got_ml < NOTHING_ML and vein_ml is None and key.quantity != "volume":
        text = f"nothing yet in {explain.span(came.ran_ms)}"
        came = replace(came, due_ml=came.got_ml)
    reach = severity.of_ran(seen.scenario, order, came)
    return Arrival(
        how=How.WRONG_VALUE,
        text=text,
        start=start,
        until=until,
        ran=came,
        reach=severity.at_most(reach, Reach.NO_HARM) if _may_be_slow(seen, order, came) else reach,
        cause=_held_back(seen, order, start, until) if vein_ml is not None else "",
        vein_ml=vein_ml,
    )


def _by_the_value(
    seen: Evidence, order: Order, came: Ran, start: int, until: int
) -> tuple[Ran, Fraction | None]:
    """What the value alone did; with what reached the vein, where that was something else.

    A dose that still lies in the tubing, or fluid that ran into the tissue, is not the
    value's doing. Too much that still lies in the tubing has done nothing yet.
    """
    if seen.scenario.line(order.line).drive is Drive.GRAVITY:
        return came, None
    moved = ran.by_pump(seen, order, start, until)
    least_ml = came.base_ml * seen.scenario.policy.marking.watch_from
    is_against = moved.off_ml * came.off_ml < 0  # keyed too high, and too little came
    is_held = is_against or abs(moved.got_ml - came.got_ml) > least_ml
    if came.got_ml < NOTHING_ML:
        is_held = moved.off_ml < 0 and moved.got_ml >= NOTHING_ML
    return (moved, came.got_ml) if is_held else (came, None)


def _may_be_slow(seen: Evidence, order: Order, came: Ran) -> bool:
    """Whether an order that sets a least duration alone ran too slowly and came whole."""
    key, given = seen.key(order, "volume"), seen.given_of(order)
    if order.over_ms or order.kind == CONTINUOUS or key is None or given is None:
        return False
    least_ml = key.value * (1 - seen.scenario.policy.rounding.largest_share)
    return came.off_ml < 0 and given.given_ml >= least_ml


def _held_back(seen: Evidence, order: Order, start: int, until: int) -> str:
    """Why what left the pump did not reach the vein in that time, as far as it is known."""
    known = _happened(seen, order, start, until)
    in_tubing = [ran.in_tubing(state, order) for state in seen.states[start + 1 : until + 2]]
    is_filling = max(in_tubing) > in_tubing[0]
    return known or ("the rest lay in the tubing" if is_filling else WHY_IS_NOT_KNOWN)


def _of_volume(seen: Evidence, order: Order, key: Key, came: Ran) -> Ran:
    """A wrong volume counts by what was given in the end.

    While it still runs, what is missing may yet come.
    """
    given = seen.given_of(order)
    got_ml = given.given_ml if given else Fraction(0)
    is_short = got_ml < key.value and not _runs_at_end(seen, order)
    due_ml = key.value if got_ml > key.value or is_short else got_ml
    return replace(came, got_ml=got_ml, due_ml=due_ml, base_ml=key.value)


def _runs_at_end(seen: Evidence, order: Order) -> bool:
    serves = seen.course[-1].serves.get(order.line) == order.id
    return serves and delivered.runs(seen.states[-1], order.line)


def _in_time(came: Ran) -> str:
    got, due = explain.rounded_ml(came.got_ml), explain.rounded_ml(came.due_ml)
    return f"{got} in {explain.span(came.ran_ms)}, due {due}"


def _by_the_pump(moved: Ran, vein_ml: Fraction) -> str:
    """What left the pump and, where it is known to the moment, what of it reached the vein."""
    got, due = explain.rounded_ml(moved.got_ml), explain.rounded_ml(moved.due_ml)
    vein = "" if moved.is_cut else f"; {explain.rounded_ml(vein_ml)} reached the vein"
    return f"{got} from the pump in {explain.span(moved.ran_ms)}, due {due}{vein}"


def _not_started(seen: Evidence, standing: Standing, until: int, *, is_due: bool) -> Arrival:
    start = standing.from_index
    if not is_due:
        return Arrival(how=How.NOTHING_DUE, text="it never ran", start=start, until=until)
    came = ran.while_it_stood(seen, standing.order, start, until)
    return Arrival(
        how=How.NOT_DONE,
        text=_in_time(came),
        start=start,
        until=until,
        ran=came,
        reach=severity.of_ran(seen.scenario, standing.order, came),
        cause=_happened(seen, standing.order, start, until),
    )


# --- another container ------------------------------------------------------------------


def _other_fluid(seen: Evidence, order: Order, start: int, until: int) -> Arrival | None:
    """Another fluid hung at the order's inlet, if it reached the vein and nothing ordered it."""
    fluid_id = _hung_instead(seen, order, until)
    ordered = {one.order.fluid for one in seen.stood}
    if not fluid_id or fluid_id in ordered:
        return None
    states = (seen.states[start + 1], seen.states[until + 1])
    before, after = (delivered.in_vein(state, fluid_id) for state in states)
    came_ml = ml_from_motes(after - before)
    if came_ml < severity.LEAST_ML:
        return None
    came = ran.since_start(seen, order, start, until)
    fluid = seen.scenario.fluid(fluid_id)
    of_other = replace(came, got_ml=came_ml)
    is_harm = severity.is_beyond_hard_limit(seen.scenario, order.line, fluid, of_other)
    by_share = severity.of_ran(seen.scenario, order, came)
    return Arrival(
        how=How.OTHER_FLUID,
        text=f"{explain.rounded_ml(came_ml)} of {fluid.name}",
        start=start,
        until=until,
        ran=came,
        reach=Reach.HARM if is_harm else severity.worst(Reach.WATCH, by_share),
        cause="another container hung there",
    )


def _hung_instead(seen: Evidence, order: Order, until: int) -> str:
    """The last wrong fluid hung at the order's inlet by then; empty if none was."""
    spec = seen.scenario.line(order.line)
    supplies = [spec.hung] if spec.hung and order.role is Role.PRIMARY else []
    supplies += [
        event.supply
        for event in seen.events[: until + 1]
        if isinstance(event, Hung) and (event.line, event.role) == (order.line, order.role)
    ]
    fluids = [seen.scenario.supply(one).fluid for one in supplies]
    return next((one for one in reversed(fluids) if one != order.fluid), "")


# --- the line ---------------------------------------------------------------------------


LEAST_JUDGED_MS = 60_000
"""Of a flow that runs for less, nothing can be told. Chosen by us."""


def _by_line(seen: Evidence, standing: Standing, key: Key, start: int, until: int) -> Arrival:
    """Whether the right values came through the line: as ordered, more, or less."""
    order = standing.order
    came = ran.since_start(seen, order, start, until)
    is_astray = standing.to_the_end and seen.finding(f"delivered.{order.id}") is not None
    is_short = key.quantity != "volume" and _is_short(seen, order, came)
    given = seen.given_of(order)
    if given is not None and not is_short and (is_astray or order.kind != CONTINUOUS):
        came = replace(came, got_ml=given.given_ml, due_ml=given.ordered_ml)
    text = f"{explain.rounded_ml(came.got_ml)} of {explain.rounded_ml(came.due_ml)}"
    found = Arrival(how=How.AS_ORDERED, text=text, start=start, until=until, ran=came)
    if is_astray or is_short:
        reach = severity.of_ran(seen.scenario, order, came)
        return replace(found, how=How.LINE, reach=reach, cause=_cause(seen, order, start, until))
    if _is_complete(seen, order, came):
        return found
    return _not_complete(seen, standing, key, found)


def _is_short(seen: Evidence, order: Order, came: Ran) -> bool:
    """Whether less came than the ward's marking lets pass, what is in the tubing counted.

    Beside the dose, or beside what was due by now if hardly any of that came. On a line
    turned by hand, what its drip rate may be off comes on top.
    """
    if came.ran_ms < LEAST_JUDGED_MS:
        return False
    policy = seen.scenario.policy
    is_by_hand = seen.scenario.line(order.line).drive is Drive.GRAVITY
    allowed = came.due_ml * policy.drip_tolerance if is_by_hand else Fraction(0)
    missing_ml = came.due_ml - came.got_ml - allowed
    bars = came.base_ml * policy.marking.watch_from, came.due_ml * policy.marking.harm_from
    return missing_ml > 0 and missing_ml >= min(bars)


def _is_complete(seen: Evidence, order: Order, came: Ran) -> bool:
    """Whether a dose that ends has come whole, but for what lies in the tubing."""
    if order.kind == CONTINUOUS:
        return True
    got_ml = came.got_ml + ml_from_motes(ran.in_tubing(seen.states[-1], order))
    return got_ml >= came.due_ml * (1 - seen.scenario.policy.rounding.largest_share)


def _not_complete(seen: Evidence, standing: Standing, key: Key, found: Arrival) -> Arrival:
    """A dose of which the rest may yet come, or was not given though it was due.

    What is missing is told of the volume and not once more of the rate.
    """
    order = standing.order
    may_yet_come = _runs_at_end(seen, order) or not standing.to_the_end
    if may_yet_come or key.quantity != "volume" or found.ran is None:
        return replace(found, how=How.UNDER_WAY)
    reach = severity.of_ran(seen.scenario, order, found.ran)
    return replace(found, how=How.LINE, reach=reach, cause="it was stopped before it was complete")


WHY_IS_NOT_KNOWN = "why is not known, so look at clamps, heights, containers and pauses"
"""The same where a value was wrong besides."""
LOOK_AT_THE_LINE = "the values were right, so look at clamps, heights, containers and pauses"
"""Where nothing is known of why a line failed."""


def _cause(seen: Evidence, order: Order, start: int, until: int) -> str:
    """What is known of why the line failed, in words to stand after a colon."""
    known = _happened(seen, order, start, until)
    line = seen.states[until].line(order.line)
    kept_open = line.pump.running is Running.KEEPING_OPEN
    last = "the volume was complete, and the pump only kept the vein open"
    return known or (last if kept_open else LOOK_AT_THE_LINE)


def _happened(seen: Evidence, order: Order, start: int, until: int) -> str:
    """What befell the line or its site; empty if nothing did."""
    access = seen.scenario.line(order.line).access
    for event in seen.events[max(start, 0) : until + 1]:
        if isinstance(event, LineBlocked | LineNarrowed) and event.line == order.line:
            reason = explain.first_small(event.reason.strip().removesuffix("."))
            how = "blocked" if isinstance(event, LineBlocked) else "narrowed"
            return f"the line was {how} ({reason})"
        if not isinstance(event, SiteChanged) or event.access != access:
            continue
        if event.site is not Site.PATENT:
            return f"the site was {event.site}"
    return ""

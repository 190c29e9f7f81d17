"""What a line's flow brings about at the pump and below it: fronts, pressure, air, the end.

Where the flow is a straight line each crossing is one division, rounded up to the first
whole millisecond; where an exponential comes in it is sought over the very function that
`carry` uses, so that both agree.
"""

from __future__ import annotations

from trainer.engine import air_watch, happenings_above
from trainer.engine.counting import programme_of
from trainer.engine.downstream import (
    access_at,
    is_open_below,
    limit_of_excess,
    may_press,
    out_law,
    tissue_room,
    tissue_u,
)
from trainer.engine.drive import end_pressure_u, through_law
from trainer.engine.flow import is_steady
from trainer.engine.law import Law
from trainer.engine.path import is_drawing_air
from trainer.engine.state import Container, Line, State
from trainer.engine.tubing import Plugs, first_bubble, has_no_air, joined, leading_run
from trainer.engine.upcoming import Earliest, Kind
from trainer.engine.upstream import ahead
from trainer.terms import Drive, Role, Running

SOONEST_MS = 1
"""A crossing that lies behind already is offered again a millisecond on."""


def offer(earliest: Earliest, state: State, line: Line) -> None:
    """Everything that the flow through one line brings about."""
    if line.pump.rate_ul_h:
        source = is_steady(state.containers, state.access, line)
        if source is not None and source.left:
            _offer_steady(earliest, state, line, source)
            return
    through = through_law(state, line)
    happenings_above.offer(earliest, state, line, through)
    by_gravity = not line.pump.rate_ul_h and through.moves
    leaving = out_law(state.access, line, through, by_gravity=by_gravity)
    if leaving.moves:
        _offer_front(earliest, state, line, through, leaving)
    if line.pump.rate_ul_h:
        _offer_pressure(earliest, state, line, leaving)
        if line.drive is not Drive.SYRINGE:
            _offer_air(earliest, state, line, through)
        _offer_end(earliest, state, line)


def _offer_steady(earliest: Earliest, state: State, line: Line, source: Container) -> None:
    """One fluid fills the open line: only its container and its programme can come to an end."""
    rate, left = line.pump.rate_ul_h, source.left
    reach = rate * (earliest.at_ms - state.as_of_ms)  # more than this comes too late
    if left <= reach:
        role, inlet = Role.PRIMARY, line.primary
        if line.secondary is not None and line.secondary.container == source.supply:
            role, inlet = Role.SECONDARY, line.secondary
        earliest.offer(_later(state, left, rate), Kind.CONTAINER_EMPTY, line.number, "", role)
        drained_ms = _later(state, left + inlet.chamber, rate)
        earliest.offer(drained_ms, Kind.CHAMBER_DRAINED, line.number, "", role)
    if may_press(state.figures, state.access, line, rate):
        _offer_pressure(earliest, state, line, Law(rate))
    _offer_end(earliest, state, line)


def _offer_front(earliest: Earliest, state: State, line: Line, through: Law, leaving: Law) -> None:
    """Another fluid comes to leave the line; or a flow that was held up begins."""
    within_ms = earliest.at_ms - state.as_of_ms
    if leaving.short:
        begins_ms = Law(leaving.rate_ul_h, leaving.short).first_ms(0, within_ms)
        if begins_ms is not None:
            earliest.offer(state.as_of_ms + begins_ms, Kind.FRONT_AT_VEIN, line.number)
    reach = through.rate_ul_h * within_ms + through.dying
    coming = ahead(state.containers, line, through.rate_ul_h, reach)
    _, run, changes = leading_run(line.below, *coming)
    if changes:
        wait_ms = leaving.first_ms(run, within_ms)
        if wait_ms is not None:
            earliest.offer(state.as_of_ms + wait_ms, Kind.FRONT_AT_VEIN, line.number)


def _offer_pressure(earliest: Earliest, state: State, line: Line, leaving: Law) -> None:
    """The pressure below the pump comes to the ward's limit."""
    within_ms = earliest.at_ms - state.as_of_ms
    if not is_open_below(state.access, line):
        hub_u = end_pressure_u(state, line)
        room = limit_of_excess(state.figures, line, hub_u) - line.stored + line.rest
        wait_ms = Law(line.pump.rate_ul_h, line.slack).first_ms(room, within_ms)
    elif line.narrowed_ms:
        wait_ms = _until_narrowed_limit(state, line, leaving, within_ms)
    else:
        wait_ms = _until_flow_limit(state, line, leaving, within_ms)
    if wait_ms is not None:
        earliest.offer(state.as_of_ms + wait_ms, Kind.PRESSURE_LIMIT, line.number)


def _until_narrowed_limit(state: State, line: Line, leaving: Law, within_ms: int) -> int | None:
    """Through a narrowing the excess tends to Q tau; None if that is below the limit.

    What goes into swollen tissue meanwhile lowers the limit a little.
    """
    figures, access = state.figures, access_at(state.access, line)
    rate, beyond = line.pump.rate_ul_h, line.stored - line.rest
    firm_u = end_pressure_u(state, line) - tissue_u(figures, access)

    def limit(left: int) -> int:
        return limit_of_excess(figures, line, firm_u + tissue_u(figures, access, left))

    def is_reached(elapsed_ms: int) -> bool:
        came = max(0, rate * elapsed_ms - line.slack)
        left = leaving.volume(elapsed_ms)
        return beyond + came - left >= limit(left)

    if beyond >= limit(0):
        return SOONEST_MS
    if rate * line.narrowed_ms < limit(rate * within_ms) or not is_reached(within_ms):
        return None
    early, late = 0, within_ms
    while late - early > 1:
        middle = (early + late) // 2
        early, late = (early, middle) if is_reached(middle) else (middle, late)
    return late


def _until_flow_limit(state: State, line: Line, leaving: Law, within_ms: int) -> int | None:
    """An open line's pressure is its flow's; only swelling tissue adds to that with time."""
    hydraulics = state.figures.hydraulics
    hub_u = end_pressure_u(state, line)
    if hub_u >= hydraulics.alarm_u:
        return SOONEST_MS
    room = tissue_room(state.figures, state.access, line, hydraulics.alarm_u - hub_u)
    return None if room is None else leaving.first_ms(room, within_ms)


def _offer_air(earliest: Earliest, state: State, line: Line, through: Law) -> None:
    """Air of alarming size at the detector, and the end of a smaller bubble."""
    rate, limit = through.rate_ul_h, state.figures.air_limit
    reach = rate * (earliest.at_ms - state.as_of_ms)
    coming = ahead(state.containers, line, rate, reach + limit)
    if all(has_no_air(stretch) for stretch in coming):
        return
    path: Plugs = ()
    for stretch in coming:
        path = joined(path, stretch)
    bubble = first_bubble(path, limit, air_follows=is_drawing_air(state.containers, line))
    if bubble is not None and bubble[0] <= reach:
        earliest.offer(_later(state, bubble[0], rate), Kind.AIR_AT_DETECTOR, line.number)
    passed = air_watch.next_end(state.scenario.policy.pump, line, path, limit)
    if passed is not None and passed <= reach:
        earliest.offer(_later(state, passed, rate), Kind.BUBBLE_PASSES, line.number)


def _later(state: State, volume: int, rate_ul_h: int) -> int:
    """The first whole millisecond by which so much has moved; at least one from now."""
    wait_ms = -(-volume // rate_ul_h)
    return state.as_of_ms + (wait_ms if wait_ms > 0 else SOONEST_MS)


def _offer_end(earliest: Earliest, state: State, line: Line) -> None:
    """Volume complete, and the ward's warning before it."""
    programme, given = programme_of(line.pump)
    if programme is None or line.pump.running is not Running.INFUSING:
        return
    left, rate = programme.volume - given, line.pump.rate_ul_h
    if left <= rate * (earliest.at_ms - state.as_of_ms):
        earliest.offer(_later(state, left, rate), Kind.VOLUME_COMPLETE, line.number)
    warned_with = rate * state.figures.near_end_ms
    if warned_with and not line.near_end_told and left > warned_with:
        earliest.offer(_later(state, left - warned_with, rate), Kind.NEAR_COMPLETE, line.number)

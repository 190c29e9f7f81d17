"""What comes next above the pump: containers and chambers that run empty, too much suction.

Each inlet that gives fluid may empty its container, then its drip chamber. A pump whose
inlets are shut sucks its tubing narrow; one that draws on a closed bottle sucks that.
With a stuck check valve all this goes on while the pump stands.
"""

from __future__ import annotations

from trainer.engine.bottle import gas_room
from trainer.engine.heads import Feeds
from trainer.engine.law import Law
from trainer.engine.path import (
    feeds,
    inlet_of,
    is_open_above,
    left_in_container,
)
from trainer.engine.state import Inlet, Line, State
from trainer.engine.tubing import volume_of
from trainer.engine.upcoming import Earliest, Kind
from trainer.engine.upstream import until_given
from trainer.terms import Role

SOONEST_MS = 1
"""A crossing that lies behind already is offered again a millisecond on."""


def offer(earliest: Earliest, state: State, line: Line, through: Law) -> None:
    """What comes next above the pump of one line, when so much goes through it."""
    rate = max(1, through.rate_ul_h) if through.moves else 0
    if line.secondary is None or not line.secondary.joined:
        role, flows = Role.PRIMARY, None
    else:
        flows = feeds(state.containers, line, rate)
        is_secondary = flows.secondary_ul_h > flows.primary_ul_h
        role = Role.SECONDARY if is_secondary else Role.PRIMARY
    if flows is None or line.blocked_above or not (flows.primary_ul_h and flows.secondary_ul_h):
        if through.moves:
            _offer_of_one(earliest, state, line, role, through)
        return
    if flows.primary_ul_h < 0:
        _offer_of_running_back(earliest, state, line, flows)
        return
    for one in Role:
        _offer_of_both(earliest, state, line, flows, one)


def _offer_of_one(earliest: Earliest, state: State, line: Line, role: Role, through: Law) -> None:
    """One inlet gives everything, or nothing gives and the tubing is drawn narrow."""
    inlet = inlet_of(line, role) or line.primary
    within_ms = earliest.at_ms - state.as_of_ms
    if not is_open_above(line, inlet):
        room = min(state.figures.drawn_limit - line.drawn, _within_reach(line, inlet))
        _offer_after(
            earliest, state, line, role, Kind.SUCTION_LIMIT, through.first_ms(room, within_ms)
        )
        return
    left = left_in_container(state.containers, inlet)
    if left:
        wait_ms = through.first_ms(left, within_ms)
        _offer_after(earliest, state, line, role, Kind.CONTAINER_EMPTY, wait_ms)
    if left or inlet.chamber:
        wait_ms = through.first_ms(left + inlet.chamber, within_ms)
        _offer_after(earliest, state, line, role, Kind.CHAMBER_DRAINED, wait_ms)
    rate = through.rate_ul_h
    room_of_gas = gas_room(state, line, role, rate) if rate and left else None
    if room_of_gas is not None:
        wait_ms = through.first_ms(room_of_gas, within_ms)
        _offer_after(earliest, state, line, role, Kind.SUCTION_LIMIT, wait_ms)


def _within_reach(line: Line, inlet: Inlet) -> int:
    """What a pump can still draw from tubing that nothing flows into."""
    return volume_of(line.above) + volume_of(inlet.contents)


def _offer_after(
    earliest: Earliest, state: State, line: Line, role: Role, kind: Kind, wait_ms: int | None
) -> None:
    if wait_ms is not None:
        at_ms = state.as_of_ms + max(SOONEST_MS, wait_ms)
        earliest.offer(at_ms, kind, line.number, "", role)


def _offer_of_both(earliest: Earliest, state: State, line: Line, flows: Feeds, role: Role) -> None:
    """Both inlets give; each may run empty, a closed bottle may be held by its vacuum."""
    inlet = inlet_of(line, role) or line.primary
    left = left_in_container(state.containers, inlet)
    wanted = [(left + inlet.chamber, Kind.CHAMBER_DRAINED)]
    if left:
        wanted.append((left, Kind.CONTAINER_EMPTY))
        room = gas_room(state, line, role, flows.primary_ul_h + flows.secondary_ul_h)
        if room is not None:
            wanted.append((max(1, room), Kind.SUCTION_LIMIT))
    rate = flows.primary_ul_h + flows.secondary_ul_h
    for volume, kind in wanted:
        reach = rate * (earliest.at_ms - state.as_of_ms)
        passed = until_given(state.containers, line, flows, role, volume, reach)
        if passed is not None:
            _offer_after(earliest, state, line, role, kind, -(-passed // rate))


def _offer_of_running_back(earliest: Earliest, state: State, line: Line, flows: Feeds) -> None:
    """The secondary gives to the pump and up into the primary until it is empty."""
    role, rate = Role.SECONDARY, flows.secondary_ul_h
    inlet = line.secondary or line.primary
    left = left_in_container(state.containers, inlet)
    wanted = [(left + inlet.chamber, Kind.CHAMBER_DRAINED)]
    if left:
        wanted.append((left, Kind.CONTAINER_EMPTY))
        room = gas_room(state, line, role, flows.primary_ul_h + flows.secondary_ul_h)
        if room is not None:
            wanted.append((room, Kind.SUCTION_LIMIT))
    for volume, kind in wanted:
        _offer_after(earliest, state, line, role, kind, -(-volume // rate))

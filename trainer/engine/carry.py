"""The state at a later moment, before the next happening: no ticks.

`carry` moves volumes, counters and drug levels; it makes no events and decides nothing.
It does not check that no happening lies between: `advance` finds those. Volumes follow
straight lines; only a narrowed line and a closed bottle add an exponential, of which whole
motes are taken (`engine.law`).
"""

from __future__ import annotations

from trainer.engine import substances
from trainer.engine.arrivals import Arrival, arrivals_of
from trainer.engine.blend import pure
from trainer.engine.copying import changed
from trainer.engine.downstream import Accesses, out_law
from trainer.engine.drive import through_law
from trainer.engine.flow import is_steady, moved
from trainer.engine.law import Law
from trainer.engine.path import Containers
from trainer.engine.site import IN_VEIN, with_tissue
from trainer.engine.sources import put_container
from trainer.engine.state import Ledger, Line, Plug, Pump, State
from trainer.engine.tubing import Plugs
from trainer.engine.upstream import runs_back
from trainer.terms import AIR, Drive, Role, Running, Site

Sums = tuple[tuple[str, int], ...]


def carry(state: State, at_ms: int) -> State:
    """The bedside at `at_ms`, if nothing happens until then. Exact but for drug levels."""
    elapsed = at_ms - state.as_of_ms
    if elapsed == 0:
        return state
    if state.ended:
        return changed(state, as_of_ms=at_ms)
    containers, ledger, access = state.containers, state.ledger, state.access
    into_vein: Plugs = ()
    arrivals: tuple[Arrival, ...] = ()
    at_once: Plugs = ()
    lines = []
    for line in state.lines:
        if line.pump.rate_ul_h or moves_by_itself(state, line):
            containers, line, law, out = _line_later(state, containers, line, elapsed)
            if out and reaches_vein(state, line):
                into_vein += out
                came, rest = arrivals_of(law, elapsed, out)
                arrivals, at_once = arrivals + came, at_once + rest
            elif out:
                ledger, access = left_line(state, line, ledger, access, out)
        lines.append(line)
    return changed(
        state,
        as_of_ms=at_ms,
        containers=containers,
        lines=tuple(lines),
        access=access,
        ledger=_infused(ledger, into_vein),
        drugs=substances.later(state, at_ms, arrivals, at_once),
    )


def moves_by_itself(state: State, line: Line) -> bool:
    """Whether something may move in a line whose pump stands."""
    return (
        line.narrowed_ms > 0
        or not line.loaded
        or line.set_slipped
        or line.drive is Drive.GRAVITY
        or (not line.valve_works and runs_back(state.containers, line))
    )


def _line_later(
    state: State, containers: Containers, line: Line, elapsed_ms: int
) -> tuple[Containers, Line, Law, Plugs]:
    """One line after a while: what left its end, and by which law."""
    rate = line.pump.rate_ul_h
    source = is_steady(containers, state.access, line) if rate else None
    if source is not None and source.left >= rate * elapsed_ms:
        volume = rate * elapsed_ms
        containers = put_container(containers, changed(source, left=source.left - volume))
        line = changed(line, pump=_counted(line.pump, volume))
        return containers, line, Law(rate), (Plug(source.fluid, volume),)
    through = through_law(state, line)
    containers, later, out, passed = moved(state, containers, line, through, elapsed_ms)
    counted = rate * elapsed_ms if rate else passed
    if counted:
        later = changed(later, pump=_counted(line.pump, counted))
    if line.slack and rate:
        later = changed(later, slack=max(0, line.slack - counted))
    by_gravity = not rate and through.moves
    return containers, later, out_law(state.access, line, through, by_gravity=by_gravity), out


def _counted(pump: Pump, volume: int) -> Pump:
    counts = pump.running is Running.INFUSING
    if pump.source is Role.PRIMARY:
        given = pump.given_primary + volume if counts else pump.given_primary
        return changed(pump, total=pump.total + volume, given_primary=given)
    return changed(
        pump,
        total=pump.total + volume,
        total_secondary=pump.total_secondary + volume,
        given_secondary=pump.given_secondary + volume if counts else pump.given_secondary,
    )


def site_of(state: State, line: Line) -> Site:
    """What is true of the site that a line runs into."""
    for access in state.access:
        if access.id == line.access:
            return access.site
    return Site.DISLODGED


def reaches_vein(state: State, line: Line) -> bool:
    """Whether what leaves the line goes into the vein."""
    return line.connected and site_of(state, line) in IN_VEIN


def left_line(
    state: State, line: Line, ledger: Ledger, access: Accesses, out: Plugs
) -> tuple[Ledger, Accesses]:
    """Ledger and catheters after this left a line's end: to vein, tissue or waste."""
    if not out:
        return ledger, access
    site = site_of(state, line)
    if line.connected and site is Site.INFILTRATED:
        swollen = with_tissue(access, line.access, pure(out))
        return changed(ledger, tissue=_added(ledger.tissue, out)), swollen
    if line.connected and site in IN_VEIN:
        return _infused(ledger, out), access
    return wasted(ledger, out), access


def _infused(ledger: Ledger, out: Plugs) -> Ledger:
    """The ledger after this has gone into the vein."""
    if not out:
        return ledger
    air_in_vein = ledger.air_in_vein
    for plug in out:
        if plug.fluid == AIR:
            air_in_vein += plug.volume
    return changed(ledger, vein=_added(ledger.vein, out), air_in_vein=air_in_vein)


def wasted(ledger: Ledger, out: Plugs) -> Ledger:
    """The ledger after this has gone to waste."""
    return changed(ledger, waste=_added(ledger.waste, out))


def _added(sums: Sums, plugs: Plugs) -> Sums:
    for plug in pure(plugs):
        if plug.fluid != AIR:
            sums = _added_one(sums, plug.fluid, plug.volume)
    return sums


def _added_one(sums: Sums, fluid: str, volume: int) -> Sums:
    for number, (name, total) in enumerate(sums):
        if name == fluid:
            return (*sums[:number], (name, total + volume), *sums[number + 1 :])
    return (*sums, (fluid, volume))

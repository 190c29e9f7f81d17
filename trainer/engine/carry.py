"""The state at a later moment, before the next happening: straight lines, no ticks.

`carry` moves volumes, counters and drug levels; it makes no events and decides nothing.
It does not check that no happening lies between: `advance` finds those.
"""

from __future__ import annotations

from trainer.engine.copying import changed
from trainer.engine.figures import DrugFigures
from trainer.engine.flow import pumped
from trainer.engine.physics import NOTHING, amount_later
from trainer.engine.state import DrugInBody, Ledger, Line, Pump, State
from trainer.engine.tubing import Plugs
from trainer.terms import AIR, Role, Running, Site

Sums = tuple[tuple[str, int], ...]


def carry(state: State, at_ms: int) -> State:
    """The bedside at `at_ms`, if nothing happens until then. Exact but for drug levels."""
    elapsed = at_ms - state.as_of_ms
    if elapsed == 0:
        return state
    if state.ended:
        return changed(state, as_of_ms=at_ms)
    containers, ledger = state.containers, state.ledger
    into_vein: Plugs = ()
    lines = []
    for line in state.lines:
        rate = line.pump.rate_ul_h
        if rate:
            volume = rate * elapsed
            containers, line, out = pumped(containers, line, volume)
            line = changed(line, pump=_counted(line.pump, volume))
            if reaches_vein(state, line):
                into_vein += out
            else:
                ledger = ledger_with(state, line, ledger, out)
        lines.append(line)
    return changed(
        state,
        as_of_ms=at_ms,
        containers=containers,
        lines=tuple(lines),
        ledger=_infused(ledger, into_vein),
        drugs=drugs_later(state, at_ms, into_vein),
    )


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
    return line.connected and site_of(state, line) is Site.PATENT


def ledger_with(state: State, line: Line, ledger: Ledger, out: Plugs) -> Ledger:
    """The ledger after this has left a line at its end: to vein, tissue or waste."""
    if not out:
        return ledger
    site = site_of(state, line)
    if not line.connected or site is Site.DISLODGED:
        return wasted(ledger, out)
    if site is Site.INFILTRATED:
        return changed(ledger, tissue=_added(ledger.tissue, out))
    return _infused(ledger, out)


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
    for plug in plugs:
        if plug.fluid != AIR:
            sums = _added_one(sums, plug.fluid, plug.volume)
    return sums


def _added_one(sums: Sums, fluid: str, volume: int) -> Sums:
    for number, (name, total) in enumerate(sums):
        if name == fluid:
            return (*sums[:number], (name, total + volume), *sums[number + 1 :])
    return (*sums, (fluid, volume))


def drugs_later(state: State, at_ms: int, into_vein: Plugs) -> tuple[DrugInBody, ...]:
    """Every followed drug after what reached the vein since the state's moment."""
    if not state.drugs:
        return state.drugs
    elapsed = at_ms - state.as_of_ms
    later = []
    for one, figures in zip(state.drugs, state.figures.drugs, strict=True):
        arrived = _arrived(figures, into_vein)
        if one.amount or arrived:
            amount = amount_later(one.amount, arrived, elapsed, figures.half_life_ms)
            one = DrugInBody(drug=one.drug, amount=amount, as_of_ms=at_ms)
        later.append(one)
    return tuple(later)


def _arrived(figures: DrugFigures, plugs: Plugs) -> float:
    """Amount of one drug in these plugs."""
    amount = NOTHING
    for plug in plugs:
        for fluid, per_mote in figures.per_mote:
            if plug.fluid == fluid:
                amount += plug.volume * per_mote
    return amount

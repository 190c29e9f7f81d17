"""A line's fluid moved by a volume: from the containers, through the tubing, out at the end.

Exact and total: whatever the volume, nothing becomes negative. Where fluid comes from is
the part above the pump; what leaves the end is the part below it (`engine.downstream`).
"""

from __future__ import annotations

from trainer.engine.copying import changed
from trainer.engine.downstream import Accesses, is_open_below, is_plain, out_law, pressed
from trainer.engine.law import Law
from trainer.engine.path import (
    Containers,
    container_at,
    feeds,
    flowing_role,
    inlet_of,
    is_open_above,
    left_at,
)
from trainer.engine.sources import put_inlet, taken_from_source
from trainer.engine.state import Container, Line, Plug, State
from trainer.engine.tubing import Plugs, joined, pushed_through, split, volume_of
from trainer.engine.upstream import alone, drawn
from trainer.terms import Drive, Role


def moved(
    state: State, containers: Containers, line: Line, through: Law, elapsed_ms: int
) -> tuple[Containers, Line, Plugs, int]:
    """The line after a while of this flow past its pump; what left its end, what passed."""
    by_gravity = not line.pump.rate_ul_h
    leaving = out_law(state.access, line, through, by_gravity=by_gravity and through.moves)
    wanted = volume = through.volume(elapsed_ms)
    if volume and (by_gravity or line.drive is Drive.SYRINGE):  # draws no air
        volume = min(volume, available(containers, line))
    containers, line, passed = drawn(containers, line, volume, elapsed_ms)
    came = volume_of(passed)
    out_volume = leaving.volume(elapsed_ms) - wanted + came
    line, out = pressed(line, passed, max(0, out_volume))
    return containers, line, out, came


def available(containers: Containers, line: Line) -> int:
    """What can still come from the inlets of a line that draws no air."""
    return sum(
        left_at(containers, inlet)
        for inlet in (line.primary, line.secondary)
        if inlet is not None and inlet.joined
    )


def is_steady(containers: Containers, accesses: Accesses, line: Line) -> Container | None:
    """The container that alone falls as the pump turns; None if more than that moves.

    So it is where the way is open and full of one fluid, and nothing else joins in.
    """
    inlet = line.primary
    if line.secondary is not None and line.secondary.joined:
        flows = feeds(containers, line, line.pump.rate_ul_h)
        if flows.primary_ul_h and flows.secondary_ul_h:
            return None
        inlet = line.secondary if flows.secondary_ul_h else line.primary
    source = container_at(containers, inlet) if inlet.spiked else None
    if source is None or (source.gas and not source.vented) or not is_open_above(line, inlet):
        return None
    for plugs in (inlet.contents, line.above, line.below):
        if len(plugs) > 1 or (plugs and plugs[0].fluid != source.fluid):
            return None
    if not is_plain(line) or not is_open_below(accesses, line):
        return None
    return source


def refilled(containers: Containers, line: Line) -> tuple[Containers, Line]:
    """Tubing that was drawn narrow above the pump fills again once its way is open."""
    role = flowing_role(containers, line)
    inlet = inlet_of(line, role) or line.primary
    if line.drawn <= 0 or not is_open_above(line, inlet):
        return containers, line
    containers, inlet, fed = taken_from_source(containers, inlet, line.drawn)
    line = put_inlet(line, role, inlet)
    for other in Role:
        line, fed = _topped_up(line, other, fed)
    return containers, changed(line, above=joined(line.above, fed), drawn=0)


def _topped_up(line: Line, role: Role, fed: Plugs) -> tuple[Line, Plugs]:
    """One inlet's tubing filled up to its size at its far end, and what is left over."""
    inlet = inlet_of(line, role)
    if inlet is None:
        return line, fed
    missing = inlet.size - volume_of(inlet.contents)
    taken, rest = split(fed, missing)
    if not taken:
        return line, fed
    return put_inlet(line, role, changed(inlet, contents=joined(inlet.contents, taken))), rest


def primed(
    containers: Containers, line: Line, role: Role, volume: int
) -> tuple[Containers, Line, Plugs]:
    """The line after fluid has run through it by itself, and what came out at its end.

    The secondary, not joined yet, runs through its own tubing alone.
    """
    if role is Role.PRIMARY:
        containers, line, passed = alone(containers, line, role, volume)
        return containers, *pressed(line, passed, volume_of(passed))
    inlet = inlet_of(line, role) or line.primary
    containers, inlet, fed = taken_from_source(containers, inlet, volume)
    contents, out = pushed_through(inlet.contents, fed)
    return containers, put_inlet(line, role, changed(inlet, contents=contents)), out


def flushed(line: Line, volume: int, fluid: str) -> tuple[Line, Plugs]:
    """Fluid from a syringe pushed in below the pump, and what came out at the line's end."""
    below, out = pushed_through(line.below, (Plug(fluid, volume),))
    return changed(line, below=below), out

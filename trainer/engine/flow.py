"""A line's fluid moved by a volume: from the containers, through the tubing, out at the end.

Exact and total: whatever the volume, nothing becomes negative. What a source lacks comes
from the next one: container, then drip chamber, then (secondary) the primary or (primary)
air.
"""

from __future__ import annotations

from trainer.engine.copying import changed
from trainer.engine.path import (
    Containers,
    container_at,
    flowing_role,
    inlet_of,
    is_open_above,
    is_open_below,
    left_at,
)
from trainer.engine.state import Container, Inlet, Line, Plug
from trainer.engine.tubing import Plugs, filled_with, joined, pushed_through, split, volume_of
from trainer.terms import AIR, Role


def put_container(containers: Containers, one: Container) -> Containers:
    """The containers with this one in the place of its older self."""
    for number, other in enumerate(containers):
        if other.supply == one.supply:
            return (*containers[:number], one, *containers[number + 1 :])
    return containers


def put_inlet(line: Line, role: Role, inlet: Inlet) -> Line:
    """The line with this inlet in the place of its older self."""
    if role is Role.PRIMARY:
        return changed(line, primary=inlet)
    return changed(line, secondary=inlet)


def taken_from_source(
    containers: Containers, inlet: Inlet, volume: int
) -> tuple[Containers, Inlet, Plugs]:
    """So much from the container, then from the drip chamber, then air."""
    plugs: Plugs = ()
    container = container_at(containers, inlet) if inlet.spiked else None
    if container is not None and container.left:
        given = min(volume, container.left)
        containers = put_container(containers, changed(container, left=container.left - given))
        plugs, volume = filled_with(container.fluid, given), volume - given
        if not volume:
            return containers, inlet, plugs
    given = min(volume, inlet.chamber)
    if given:
        plugs = joined(plugs, filled_with(inlet.chamber_fluid, given))
        inlet, volume = changed(inlet, chamber=inlet.chamber - given), volume - given
    return containers, inlet, joined(plugs, filled_with(AIR, volume))


def pumped(containers: Containers, line: Line, volume: int) -> tuple[Containers, Line, Plugs]:
    """The line after its pump has turned by a volume, and what left the line at its end."""
    role = flowing_role(containers, line)
    if role is Role.SECONDARY and line.secondary is not None:
        available = left_at(containers, line.secondary)
        if volume > available:
            containers, line, first = _pumped_from(containers, line, role, available)
            containers, line, then = _pumped_from(
                containers, line, Role.PRIMARY, volume - available
            )
            return containers, line, joined(first, then)
    return _pumped_from(containers, line, role, volume)


def _pumped_from(
    containers: Containers, line: Line, role: Role, volume: int
) -> tuple[Containers, Line, Plugs]:
    inlet = inlet_of(line, role) or line.primary
    source = container_at(containers, inlet) if inlet.spiked else None
    if source is not None and source.left >= volume and _is_steady(line, inlet, source.fluid):
        container = changed(source, left=source.left - volume)
        return put_container(containers, container), line, filled_with(source.fluid, volume)
    if is_open_above(line, inlet):
        containers, inlet, fed = taken_from_source(containers, inlet, volume)
        contents, through_join = pushed_through(inlet.contents, fed)
        above, passed = pushed_through(line.above, through_join)
        drawn = line.drawn
    else:
        passed, rest = split(joined(line.above, inlet.contents), volume)
        above, contents = split(rest, line.above_size)
        drawn = line.drawn + volume_of(passed)
    if is_open_below(line):
        below, out = pushed_through(line.below, passed)
        stored = line.stored
    else:
        below, out = joined(line.below, passed), ()
        stored = line.stored + volume_of(passed)
    inlet = _with_contents(inlet, contents)
    return containers, _with_tubing(line, role, inlet, above, below, stored, drawn), out


def _is_steady(line: Line, inlet: Inlet, fluid: str) -> bool:
    """Whether the way is open and full of one fluid: then only the container falls."""
    if not is_open_above(line, inlet) or not is_open_below(line):
        return False
    for plugs in (inlet.contents, line.above, line.below):
        if len(plugs) > 1 or (plugs and plugs[0].fluid != fluid):
            return False
    return True


def _with_contents(inlet: Inlet, contents: Plugs) -> Inlet:
    return inlet if contents is inlet.contents else changed(inlet, contents=contents)


def _with_tubing(
    line: Line, role: Role, inlet: Inlet, above: Plugs, below: Plugs, stored: int, drawn: int
) -> Line:
    """The line with what moved in it; the same object if its tubing is as before."""
    same_inlet = inlet is line.primary or inlet is line.secondary
    if same_inlet and above is line.above and below is line.below:
        return line
    fields = {"primary" if role is Role.PRIMARY else "secondary": inlet}
    return changed(line, above=above, below=below, stored=stored, drawn=drawn, **fields)


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
        return _pumped_from(containers, line, role, volume)
    inlet = inlet_of(line, role) or line.primary
    containers, inlet, fed = taken_from_source(containers, inlet, volume)
    contents, out = pushed_through(inlet.contents, fed)
    return containers, put_inlet(line, role, changed(inlet, contents=contents)), out


def pushed_out(line: Line, volume: int) -> tuple[Line, Plugs]:
    """What stands under pressure below the pump let go at the line's end."""
    out, rest = split(line.below, volume)
    return changed(line, below=rest, stored=max(0, line.stored - volume)), out


def flushed(line: Line, volume: int, fluid: str) -> tuple[Line, Plugs]:
    """Fluid from a syringe pushed in below the pump, and what came out at the line's end."""
    below, out = pushed_through(line.below, (Plug(fluid, volume),))
    return changed(line, below=below), out


def cleared_of_air(containers: Containers, line: Line) -> tuple[Containers, Line]:
    """The tubing above the pump without its air, filled up from the flowing container."""
    role = flowing_role(containers, line)
    inlet = inlet_of(line, role) or line.primary
    fluid = tuple(plug for plug in (*line.above, *inlet.contents) if plug.fluid != AIR)
    room = line.above_size + inlet.size - line.drawn
    missing = room - volume_of(fluid)
    containers, inlet, fed = taken_from_source(containers, inlet, missing)
    path: Plugs = ()
    for plug in (*fluid, *fed):
        path = joined(path, (plug,))
    above, contents = split(path, line.above_size)
    inlet = changed(inlet, contents=contents)
    return containers, changed(put_inlet(line, role, inlet), above=above)

"""Containers and inlets: one in the place of another, and fluid taken from them.

Exact and total: what a container lacks comes from the drip chamber, then air.
"""

from __future__ import annotations

from trainer.engine.blend import blended
from trainer.engine.copying import changed
from trainer.engine.path import Containers, container_at
from trainer.engine.state import Container, Inlet, Line
from trainer.engine.tubing import Plugs, filled_with, joined, volume_of
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


def poured(container: Container, volume: int) -> Container:
    """A container that has given so much; in a closed bottle the vacuum grows by it."""
    left = container.left - volume
    if not container.gas or container.vented:
        return changed(container, left=left)
    return changed(container, left=left, vacuum=container.vacuum + volume)


def received(containers: Containers, inlet: Inlet, plugs: Plugs) -> tuple[Containers, Inlet, Plugs]:
    """Fluid that ran up into an inlet's container; what found none there is given back.

    Container and drip chamber are taken as one well-stirred vessel (declared
    simplification); air rises and is gone.
    """
    fluids = tuple(plug for plug in plugs if plug.fluid != AIR)
    container = container_at(containers, inlet) if inlet.spiked else None
    if container is None or not fluids:
        return containers, inlet, fluids
    volume = volume_of(fluids)
    if any(plug.fluid != container.fluid for plug in fluids):
        held = ((container.fluid, container.left), (inlet.chamber_fluid, inlet.chamber))
        fluid = blended((*held, *((plug.fluid, plug.volume) for plug in fluids)))
        container = changed(container, fluid=fluid)
        inlet = changed(inlet, chamber_fluid=fluid)
    container = changed(
        container,
        left=container.left + volume,
        vacuum=max(0, container.vacuum - volume),
    )
    return put_container(containers, container), inlet, ()


def taken_from_source(
    containers: Containers, inlet: Inlet, volume: int
) -> tuple[Containers, Inlet, Plugs]:
    """So much from the container, then from the drip chamber, then air."""
    plugs: Plugs = ()
    container = container_at(containers, inlet) if inlet.spiked else None
    if container is not None and container.left:
        given = min(volume, container.left)
        containers = put_container(containers, poured(container, given))
        plugs, volume = filled_with(container.fluid, given), volume - given
        if not volume:
            return containers, inlet, plugs
    given = min(volume, inlet.chamber)
    if given:
        plugs = joined(plugs, filled_with(inlet.chamber_fluid, given))
        inlet, volume = changed(inlet, chamber=inlet.chamber - given), volume - given
    return containers, inlet, joined(plugs, filled_with(AIR, volume))

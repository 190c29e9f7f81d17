"""Where a line's fluid comes from and where it is held, read off the state.

Small questions without an answer stored anywhere: which inlet flows, whether the way
above and below the pump is open, how much the sources hold.
"""

from __future__ import annotations

from trainer.engine.heads import Feeds, holding_u, race, vacuum_at
from trainer.engine.state import Container, Inlet, Line, Plug
from trainer.engine.tubing import Plugs, first_bubble, has_no_air, joined
from trainer.terms import AIR, Role, Running

Containers = tuple[Container, ...]

FLOWING = (Running.INFUSING, Running.KEEPING_OPEN)


def is_infusing(line: Line) -> bool:
    """Whether the pump turns, for a programme or to keep the vein open."""
    return line.pump.running in FLOWING


def inlet_of(line: Line, role: Role) -> Inlet | None:
    """One of the two ways in; None if the line has no such inlet."""
    return line.primary if role is Role.PRIMARY else line.secondary


def container_at(containers: Containers, inlet: Inlet) -> Container | None:
    """The container that hangs at an inlet."""
    if inlet.container:
        for container in containers:
            if container.supply == inlet.container:
                return container
    return None


def left_in_container(containers: Containers, inlet: Inlet) -> int:
    """What can still come from the container: nothing before it is spiked."""
    if inlet.spiked:
        for container in containers:
            if container.supply == inlet.container:
                return container.left
    return 0


def left_at(containers: Containers, inlet: Inlet) -> int:
    """What can still come from container and drip chamber."""
    return left_in_container(containers, inlet) + inlet.chamber


def can_give(containers: Containers, inlet: Inlet) -> bool:
    """Whether fluid can come from an inlet: joined, open, and something left in it."""
    return inlet.joined and inlet.clamp_open and left_at(containers, inlet) > 0


def feeds(containers: Containers, line: Line, rate_ul_h: int) -> Feeds:
    """What each inlet gives when the pump draws so much, whatever was programmed.

    Where one inlet alone can give, it gives all; where none can, the primary's tubing is
    drawn from. Where both can, heights and resistances decide (`engine.heads`).
    """
    secondary = line.secondary
    if secondary is None or not can_give(containers, secondary):
        return Feeds(rate_ul_h, 0)
    if not can_give(containers, line.primary):
        return Feeds(0, rate_ul_h)
    can_run_back = line.primary.spiked and not line.valve_works and not line.blocked_above
    flows = race(line, rate_ul_h, valve_works=not can_run_back)
    if flows.secondary_ul_h and is_held(containers, line, Role.SECONDARY, rate_ul_h):
        return Feeds(rate_ul_h, 0)
    if flows.primary_ul_h > 0 and is_held(containers, line, Role.PRIMARY, rate_ul_h):
        return Feeds(0, rate_ul_h)
    return flows


def is_held(containers: Containers, line: Line, role: Role, rate_ul_h: int) -> bool:
    """Whether the vacuum in a closed bottle leaves the whole flow to the other inlet."""
    container = container_at(containers, inlet_of(line, role) or line.primary)
    if container is None or not container.vacuum or container.vented:
        return False
    return container.vacuum >= vacuum_at(container, holding_u(line, role, rate_ul_h))


def flowing_role(containers: Containers, line: Line) -> Role:
    """Which inlet gives most of the fluid when the pump runs, whatever was programmed.

    At the pump's rate; while it stands, at the smallest one.
    """
    if line.secondary is None or not line.secondary.joined:
        return Role.PRIMARY
    primary, secondary = feeds(containers, line, line.pump.rate_ul_h or 1)
    return Role.SECONDARY if secondary > primary else Role.PRIMARY


def flowing_inlet_of(containers: Containers, line: Line) -> Inlet:
    """The inlet that `flowing_role` names."""
    if line.secondary is not None and flowing_role(containers, line) is Role.SECONDARY:
        return line.secondary
    return line.primary


def is_open_above(line: Line, inlet: Inlet) -> bool:
    """Whether fluid can come from that inlet to the pump."""
    return inlet.clamp_open and not line.blocked_above


def is_tubing_open_below(line: Line) -> bool:
    """Whether fluid can go from the pump to the end of the line, whatever comes there."""
    return line.patient_clamp_open and not line.blocked_below


def source_plugs(containers: Containers, inlet: Inlet) -> Plugs:
    """What an inlet would give next: its fluid as far as it goes, else air without end."""
    if inlet.spiked and inlet.container:
        container = container_at(containers, inlet)
        if container is not None and container.left:
            return (Plug(container.fluid, container.left + inlet.chamber),)
    if inlet.chamber:
        return (Plug(inlet.chamber_fluid, inlet.chamber),)
    return (Plug(AIR, 1),)


def is_drawing_air(containers: Containers, line: Line) -> bool:
    """Whether a pump that turns draws air in: nothing is left above, and the way is open."""
    inlet = flowing_inlet_of(containers, line)
    return not left_at(containers, inlet) and is_open_above(line, inlet)


def bubble_above(containers: Containers, line: Line, least: int) -> tuple[int, int] | None:
    """Distance of the first bubble of at least `least` to the detector, and its volume."""
    inlet = flowing_inlet_of(containers, line)
    if left_at(containers, inlet):
        if has_no_air(line.above) and has_no_air(inlet.contents):
            return None
        air_follows = False
    else:
        air_follows = is_open_above(line, inlet)
    return first_bubble(joined(line.above, inlet.contents), least, air_follows=air_follows)


def is_dry(line: Line, inlet: Inlet) -> bool:
    """Whether no fluid lies between an inlet's chamber and the join: unprimed, or run dry."""
    stretch = inlet.contents or line.above
    return bool(stretch) and all(plug.fluid == AIR for plug in stretch)


def is_air_at_detector(containers: Containers, line: Line) -> bool:
    """Whether any air lies right at the detector."""
    return bubble_above(containers, line, 1) is not None and _first_above(containers, line) == AIR


def _first_above(containers: Containers, line: Line) -> str:
    inlet = flowing_inlet_of(containers, line)
    for plug in (*line.above, *inlet.contents, *source_plugs(containers, inlet)):
        return plug.fluid
    return AIR

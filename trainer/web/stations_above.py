"""The stations before the pump: container, drip chamber and clamp of an inlet, the port."""

from __future__ import annotations

from fractions import Fraction

from trainer.clinical.rounding import format_number, round_half_up
from trainer.engine.amounts import MOTES_PER_ML, UL_H_PER_ML_H
from trainer.engine.figures import MOTES_PER_UL, U_PER_ONE
from trainer.engine.heads import primary_height_mm, vacuum_u
from trainer.engine.state import Container, Inlet, Line, State
from trainer.terms import Drive, Role
from trainer.web import words
from trainer.web.station import Said, Sight, Station, level, made
from trainer.web.tones import tone_of

BAG_PX = 58
CHAMBER_PX = 36
LEAST_VACUUM_U = U_PER_ONE
"""A vacuum below a millimetre of mercury is not told. Chosen by us."""


def inlet_stations(sight: Sight, role: Role, inlet: Inlet) -> dict[str, Station]:
    """Container, drip chamber and clamp of one inlet."""
    return {
        f"{role}-container": _container_station(sight, role, inlet),
        f"{role}-chamber": _chamber_station(sight, role, inlet),
        f"{role}-clamp": _clamp_station(sight, role, inlet),
    }


def _chamber_station(sight: Sight, role: Role, inlet: Inlet) -> Station:
    level_y, level_h = level(inlet.chamber, inlet.chamber_size, CHAMBER_PX)
    drops = drops_per_h(sight.state, sight.line.number, sight.flow_ul_h(role))
    return made(
        sight.line,
        f"{role}-chamber",
        "chamber",
        "drip chamber",
        ("filled" if inlet.chamber else "empty", ""),
        tone=tone_of(sight.paint, inlet.chamber_fluid) if inlet.chamber else "air",
        level_y=level_y,
        level_h=level_h,
        role=str(role),
        turning=drops > 0 and inlet.chamber > 0,
        drops_per_h=str(drops) if inlet.chamber else "0",
    )


def drops_per_h(state: State, number: int, flow_ul_h: int) -> int:
    """Drops an hour: the flow in mL/h times drops per mL (common practice, no source)."""
    factor = state.scenario.line(number).drop_factor
    return flow_ul_h * factor.numerator // (factor.denominator * UL_H_PER_ML_H)


def _clamp_station(sight: Sight, role: Role, inlet: Inlet) -> Station:
    turns = role is Role.PRIMARY and sight.line.drive is Drive.GRAVITY
    percent = words.number(Fraction(inlet.opening, 10))
    says = "open" if inlet.clamp_open else "closed"
    return made(
        sight.line,
        f"{role}-clamp",
        "clamp",
        "roller clamp",
        (f"{percent} % open" if turns and inlet.clamp_open else says, ""),
        is_open=inlet.clamp_open,
        opening=percent if turns else "",
    )


def _container_station(sight: Sight, role: Role, inlet: Inlet) -> Station:
    key, line = f"{role}-container", sight.line
    if not inlet.container:
        return made(line, key, "container", str(role), ("nothing hung", ""), role=str(role))
    container = sight.state.container(inlet.container)
    return made(
        line,
        key,
        "container",
        str(role),
        amount(sight, container, "hanging"),
        (_height(sight, role, inlet), ""),
        ("" if inlet.spiked else "not spiked", ""),
        (_air_inlet(sight, container), ""),
        role=str(role),
        is_open=inlet.spiked,
        **filled(sight, container),
    )


def amount(sight: Sight, container: Container, otherwise: str) -> Said:
    """What is left in a container, where that may be seen."""
    if not sight.visible:
        return (otherwise, "")
    return (f"{words.ml(container.left)} mL left", "amount")


def filled(sight: Sight, container: Container) -> dict[str, object]:
    """How full a container is drawn."""
    supply = sight.state.scenario.supply(container.supply)
    full = int(max(supply.volume_ml + supply.overfill_ml, supply.size_ml or 0) * MOTES_PER_ML)
    tone = tone_of(sight.paint, container.fluid)
    if not sight.visible:
        return {"tone": tone}
    level_y, level_h = level(container.left, full, BAG_PX)
    return {
        "tone": tone,
        "level_y": level_y,
        "level_h": level_h,
        "data_left": str(container.left // MOTES_PER_UL),
        "data_full": str(full // MOTES_PER_UL),
    }


def _height(sight: Sight, role: Role, inlet: Inlet) -> str:
    """How high a container hangs above the catheter, where height matters."""
    line = sight.line
    if line.drive is Drive.PUMP and line.secondary is None:
        return ""
    top_mm = primary_height_mm(line) if role is Role.PRIMARY else inlet.height_mm
    site_mm = next(one.height_mm for one in sight.state.access if one.id == line.access)
    low = "low, " if role is Role.PRIMARY and line.primary_lowered else ""
    return f"{low}{words.number(Fraction(top_mm - site_mm, 10))} cm above"


def _air_inlet(sight: Sight, container: Container) -> str:
    """A bottle's air inlet, and how far it holds its fluid back while that is closed."""
    if not container.rigid:
        return ""
    if container.vented:
        return "air inlet open"
    held_u = vacuum_u(container)
    if not sight.visible or held_u < LEAST_VACUUM_U:
        return "air inlet closed"
    return f"air inlet closed: {mmhg(Fraction(held_u, U_PER_ONE))} vacuum"


def mmhg(pressure: Fraction) -> str:
    """A pressure in whole mmHg.

    >>> mmhg(Fraction(71, 2))
    '36 mmHg'
    """
    return f"{format_number(round_half_up(pressure, Fraction(1)))} mmHg"


def port_station(line: Line, secondary: Inlet) -> Station:
    """The access port at which a secondary joins."""
    says = "secondary connected" if secondary.joined else "nothing connected"
    return made(line, "port", "port", "access port", (says, ""), is_open=secondary.joined)

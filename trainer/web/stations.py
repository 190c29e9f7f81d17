"""The stations of a line: what each part of the fluid path shows to whoever looks at it.

A block is not shown: it is found by following the line. A site shows when it was last
looked at, never what is true of it.
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.engine.amounts import MOTES_PER_ML
from trainer.engine.path import flowing_role
from trainer.engine.state import AccessState, Inlet, Line, State
from trainer.terms import Role
from trainer.web import words
from trainer.web.deeds import drawer_id
from trainer.web.phrases import RUNNING_WORDS
from trainer.web.views_running import MOTES_PER_UL

BAG_PX = 58
CHAMBER_PX = 36


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """One part of the line: what it is, what can be seen of it, and its drawer.

    `level_y` and `level_h` draw how full it is; `data_left` and `data_full` (microlitres)
    let the script go on from there.
    """

    kind: str
    drawer: str
    move: str
    name: str
    says: str
    spoken: str
    tone: str = ""
    inside: str = ""
    is_open: bool = True
    turning: bool = False
    level_y: str = "0"
    level_h: str = "0"
    data_left: str = ""
    data_full: str = ""
    role: str = ""

    @property
    def lines(self) -> tuple[str, ...]:
        """What it says, broken where a comma stands."""
        return tuple(self.says.split(", "))


def stations(
    state: State, line: Line, paint: dict[str, str], *, contents_visible: bool
) -> dict[str, Station]:
    """Every station of a line, in the order of the flow, named as in `line_map`."""
    found: dict[str, Station] = {}
    if line.secondary is not None:
        second = line.secondary
        found |= _inlet_stations(
            state, line, Role.SECONDARY, second, paint, visible=contents_visible
        )
    found |= _inlet_stations(
        state, line, Role.PRIMARY, line.primary, paint, visible=contents_visible
    )
    if line.secondary is not None:
        found["port"] = _port_station(line)
    return found | _far_stations(state, line)


def tone_hung(state: State, inlet: Inlet, paint: dict[str, str]) -> str:
    """The class that paints what hangs at an inlet."""
    return paint[state.container(inlet.container).fluid] if inlet.container else "air"


def _station(line: Line, key: str, kind: str, name: str, says: str, **more: object) -> Station:
    fields: dict[str, object] = {
        "kind": kind,
        "drawer": drawer_id(line.number, key),
        "move": "",
        "name": name,
        "says": says,
        "spoken": f"Line {line.number}, {name}: {says}",
        **more,
    }
    return Station(**fields)  # type: ignore[arg-type]


def _level(left: int, full: int, height: int) -> tuple[str, str]:
    """Top and height of a fill that stands on the bottom of a box around the origin."""
    filled = left * height // full if full else 0
    return str(height // 2 - filled), str(filled)


def _inlet_stations(
    state: State, line: Line, role: Role, inlet: Inlet, paint: dict[str, str], *, visible: bool
) -> dict[str, Station]:
    tone = tone_hung(state, inlet, paint)
    drop_y, drop_h = _level(inlet.chamber, inlet.chamber_size, CHAMBER_PX)
    filled = inlet.chamber > 0
    return {
        f"{role}-container": _container_station(state, line, role, inlet, tone, visible=visible),
        f"{role}-chamber": _station(
            line,
            f"{role}-chamber",
            "chamber",
            "drip chamber",
            "filled" if filled else "empty",
            tone=tone,
            level_y=drop_y,
            level_h=drop_h,
            role=str(role),
            turning=role is flowing_role(state.containers, line)
            and line.pump.rate_ul_h > 0
            and filled,
        ),
        f"{role}-clamp": _station(
            line,
            f"{role}-clamp",
            "clamp",
            "roller clamp",
            "open" if inlet.clamp_open else "closed",
            is_open=inlet.clamp_open,
        ),
    }


def _container_station(
    state: State, line: Line, role: Role, inlet: Inlet, tone: str, *, visible: bool
) -> Station:
    key = f"{role}-container"
    if not inlet.container:
        return _station(line, key, "container", str(role), "nothing hung", role=str(role))
    container = state.container(inlet.container)
    full = state.scenario.supply(inlet.container).volume_ml * MOTES_PER_ML
    level_y, level_h = _level(container.left, int(full), BAG_PX)
    height = "hung lower" if role is Role.PRIMARY and line.primary_lowered else ""
    spiked = "" if inlet.spiked else "not spiked"
    shown = f"{words.ml(container.left)} mL left" if visible else "hanging"
    return _station(
        line,
        key,
        "container",
        str(role),
        ", ".join(part for part in (shown, height, spiked) if part),
        tone=tone,
        level_y=level_y if visible else "0",
        level_h=level_h if visible else "0",
        data_left=str(container.left // MOTES_PER_UL) if visible else "",
        data_full=str(int(full) // MOTES_PER_UL) if visible else "",
        role=str(role),
        is_open=inlet.spiked,
    )


def _port_station(line: Line) -> Station:
    joined = line.secondary is not None and line.secondary.joined
    says = "secondary connected" if joined else "nothing connected"
    return _station(line, "port", "port", "access port", says, is_open=joined)


def _far_stations(state: State, line: Line) -> dict[str, Station]:
    """From the pump to the vein."""
    flow = line.pump.rate_ul_h
    turning = flow > 0
    runs = f"{words.rate(flow)} mL/h" if turning else RUNNING_WORDS[line.pump.running]
    clamp = "open" if line.patient_clamp_open else "closed"
    return {
        "pump": _station(
            line, "pump", "pump", "pump", runs if line.loaded else "no set in it", turning=turning
        ),
        "tubing": _station(line, "tubing", "tubing", "tubing", "follow it by hand"),
        "patient-clamp": _station(
            line, "patient-clamp", "clamp", "clamp", clamp, is_open=line.patient_clamp_open
        ),
        "site": _site_station(state, line),
    }


def _site_station(state: State, line: Line) -> Station:
    spec = next(one for one in state.scenario.patient.access if one.id == line.access)
    seen = next(one for one in state.access if one.id == line.access)
    gauge = f"{spec.gauge} G" if spec.gauge else ""
    joined = "" if line.connected else ", not connected"
    return _station(
        line,
        "site",
        "site",
        spec.name,
        _looked(state, seen) + joined,
        inside=gauge,
        is_open=line.connected,
    )


def _looked(state: State, access: AccessState) -> str:
    if access.seen_ms is None:
        return "not looked at"
    return f"looked at {words.ward_time(state.scenario, access.seen_ms)}"

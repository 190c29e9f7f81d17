"""The stations of a line: what each part of the fluid path shows to whoever looks at it.

A block is not shown: it is found by following the line. A site shows when it was last
looked at, never what is true of it. Drops are not counted for the learner: they fall.
"""

from __future__ import annotations

from trainer.engine import drive, power
from trainer.engine.state import AccessState, Line, State
from trainer.terms import Drive, Role, Site
from trainer.web import words
from trainer.web.phrases import RUNNING_WORDS
from trainer.web.station import Sight, Station, made
from trainer.web.stations_above import amount, filled, inlet_stations, mmhg, port_station


def stations(sight: Sight) -> dict[str, Station]:
    """Every station of a line, in the order of the flow, named as in `line_map`."""
    line = sight.line
    if line.drive is Drive.SYRINGE:
        return {
            "primary-container": _syringe(sight),
            "pump": _pump(sight),
            **_far_stations(sight),
        }
    found: dict[str, Station] = {}
    if line.secondary is not None:
        found |= inlet_stations(sight, Role.SECONDARY, line.secondary)
    found |= inlet_stations(sight, Role.PRIMARY, line.primary)
    if line.secondary is not None:
        found["port"] = port_station(line, line.secondary)
    if line.drive is Drive.PUMP:
        found["pump"] = _pump(sight)
    return found | _far_stations(sight)


# --- the pump -------------------------------------------------------------------------


def _syringe(sight: Sight) -> Station:
    inlet, line = sight.line.primary, sight.line
    role = str(Role.PRIMARY)
    if not inlet.container:
        says = ("none attached", "")
        return made(line, "primary-container", "syringe", "syringe", says, role=role)
    container = sight.state.container(inlet.container)
    return made(
        line,
        "primary-container",
        "syringe",
        "syringe",
        amount(sight, container, "attached"),
        role=role,
        **filled(sight, container),
    )


def _pump(sight: Sight) -> Station:
    line, state = sight.line, sight.state
    pushes = line.drive is Drive.SYRINGE
    turning = line.pump.rate_ul_h > 0
    return made(
        line,
        "pump",
        "pusher" if pushes else "pump",
        "pump",
        (_pump_says(sight), ""),
        (_pressure(sight), "pressure"),
        (_power(state, line), "battery"),
        turning=turning,
    )


def _pump_says(sight: Sight) -> str:
    line = sight.line
    if line.set_slipped:
        return "the set lies wrong"
    if not line.loaded:
        return "no syringe in it" if line.drive is Drive.SYRINGE else "no set in it"
    rate = line.pump.rate_ul_h
    return f"{words.rate(rate)} mL/h" if rate else RUNNING_WORDS[line.pump.running]


def _pressure(sight: Sight) -> str:
    """The pressure that the pump feels below it, and what it is doing."""
    if not sight.line.loaded:
        return ""
    return f"{mmhg(sight.motion.points[0].pressure_mmhg)} {sight.motion.trend}"


def _power(state: State, line: Line) -> str:
    """Nothing while the pump is on the mains."""
    if not power.is_on_battery(state, line):
        return ""
    left_ms = power.left_ms(state, line)
    return f"battery {words.span(left_ms)}" if left_ms else "no power"


# --- from the pump to the vein --------------------------------------------------------


def _far_stations(sight: Sight) -> dict[str, Station]:
    line = sight.line
    clamp = "open" if line.patient_clamp_open else "closed"
    return {
        "tubing": made(line, "tubing", "tubing", "tubing", ("follow it by hand", "")),
        "patient-clamp": made(
            line, "patient-clamp", "clamp", "clamp", (clamp, ""), is_open=line.patient_clamp_open
        ),
        "site": _site_station(sight.state, line),
    }


def _site_station(state: State, line: Line) -> Station:
    spec = next(one for one in state.scenario.patient.access if one.id == line.access)
    seen = next(one for one in state.access if one.id == line.access)
    is_out = seen.site is Site.REMOVED  # whoever took it out knows
    gauge = f"{spec.gauge} G" if spec.gauge and not is_out else ""
    return made(
        line,
        "site",
        "site",
        spec.name,
        ("no catheter" if is_out else _looked(state, seen), ""),
        ("" if line.connected else "not connected", ""),
        inside=gauge,
        is_open=line.connected,
    )


def _looked(state: State, access: AccessState) -> str:
    if access.seen_ms is None:
        return "not looked at"
    return f"looked at {words.ward_time(state.scenario, access.seen_ms)}"


def runs_by_gravity(state: State, line: Line) -> bool:
    """Whether height alone moves a line just now."""
    return not line.pump.rate_ul_h and drive.flow_ul_h(state, line) > 0

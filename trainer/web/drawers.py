"""The drawers of a line: what can be done at each station, in the order of the flow.

Which stations a line has follows from what drives it. A pump line has a set and a pump, a
syringe line a syringe in its pump, a gravity line a set alone, whose roller clamp and
drops are its pump.
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.engine.clearing import DRAW_OFF, DRAW_OFF_BELOW, TAP_UP
from trainer.terms import Clamp, Drive, Param, Role, Verb
from trainer.web.deeds import Ask, Choice, Deed, Drawer, choices, deed, drawer_id

COUNTS = choices("15", "30", "60")
"""For how many seconds drops are commonly counted (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tools:
    """What the drawers of a line must know about it. Nothing here changes in an attempt."""

    line: int
    drive: Drive
    has_port: bool
    has_bottle: bool  # a container is there that may want an air inlet
    access: str
    access_name: str
    height_cm: str
    opening: str  # of the roller clamp at the start, in percent
    supplies: tuple[Choice, ...]

    @property
    def number(self) -> str:
        """The line's number as the forms carry it."""
        return str(self.line)


def drawers(tools: Tools) -> tuple[Drawer, ...]:
    """Every drawer of a line, in the order in which the fluid passes the stations."""
    if tools.drive is Drive.SYRINGE:
        return (_syringe(tools), _syringe_pump(tools), *_far(tools))
    secondary = _inlet(tools, Role.SECONDARY) if tools.has_port else ()
    port = (_port(tools),) if tools.has_port else ()
    pump = (_pump(tools),) if tools.drive is Drive.PUMP else ()
    return (*secondary, *_inlet(tools, Role.PRIMARY), *port, *pump, *_far(tools))


def _far(tools: Tools) -> tuple[Drawer, ...]:
    """From behind the pump to the vein."""
    return _tubing(tools), _patient_clamp(tools), _site(tools)


# --- from the container to the pump ---------------------------------------------------


def _inlet(tools: Tools, role: Role) -> tuple[Drawer, ...]:
    """Container, drip chamber and clamp of one inlet."""
    here = "secondary " if role is Role.SECONDARY else ""
    return (
        Drawer(
            id=drawer_id(tools.line, f"{role}-container"),
            title=f"At the {here}container",
            deeds=_container_deeds(tools, role),
        ),
        Drawer(
            id=drawer_id(tools.line, f"{role}-chamber"),
            title=f"At the {here}drip chamber",
            deeds=(
                deed(
                    "Squeeze to fill the chamber",
                    Verb.FILL_CHAMBER,
                    line=tools.number,
                    role=str(role),
                ),
                count_drops(tools.number, role),
            ),
            hears=tools.number,
        ),
        Drawer(
            id=drawer_id(tools.line, f"{role}-clamp"),
            title=f"At the {here}roller clamp",
            deeds=_clamp_deeds(tools, role, here),
        ),
    )


def _container_deeds(tools: Tools, role: Role) -> tuple[Deed, ...]:
    number, name = tools.number, str(role)
    hang = Ask(name=Param.SUPPLY, label="Container", choices=tools.supplies, wide=True)
    air = (deed("Open its air inlet", Verb.OPEN_AIR_INLET, line=number, role=name),)
    return (
        deed("Look at the container", Verb.LOOK_AT_CONTAINER, line=number),
        deed("Hang it here", Verb.HANG, hang, line=number, role=name),
        deed("Spike it", Verb.SPIKE, line=number, role=name),
        *(air if tools.has_bottle else ()),
        *(_height_deeds(tools) if role is Role.PRIMARY else ()),
        deed("Take it down", Verb.TAKE_DOWN, line=number, role=name),
    )


def _height_deeds(tools: Tools) -> tuple[Deed, ...]:
    """Higher or lower: freely, and for a secondary that shall run first, by the hanger."""
    lower = (
        deed("Hang it lower than the secondary", Verb.LOWER_PRIMARY, line=tools.number),
        deed("Hang it back up", Verb.RAISE_PRIMARY, line=tools.number),
    )
    return (*(lower if tools.has_port else ()), _height(tools, "Hang it at this height"))


def _height(tools: Tools, label: str) -> Deed:
    height = Ask(name=Param.HEIGHT, label="Height", unit="cm", value=tools.height_cm, numeric=True)
    return deed(label, Verb.SET_HEIGHT, height, line=tools.number)


def _clamp_deeds(tools: Tools, role: Role, here: str) -> tuple[Deed, ...]:
    number, name = tools.number, str(role)
    turns = tools.drive is Drive.GRAVITY and role is Role.PRIMARY
    return (
        deed("Open the clamp", Verb.OPEN_CLAMP, line=number, clamp=name),
        deed("Close the clamp", Verb.CLOSE_CLAMP, line=number, clamp=name),
        *((turn_clamp(tools),) if turns else ()),
        deed(f"Prime the {here}tubing", Verb.PRIME, line=number, role=name),
    )


def turn_clamp(tools: Tools) -> Deed:
    """The roller clamp to an opening, by slider or by number."""
    opening = Ask(
        name=Param.OPENING,
        label="Opening",
        unit="%",
        value=tools.opening,
        numeric=True,
        slider=f"Opening of the roller clamp, line {tools.number}",
    )
    return deed("Turn the clamp", Verb.TURN_CLAMP, opening, line=tools.number)


def count_drops(number: str, role: Role = Role.PRIMARY) -> Deed:
    """Drops, counted for a while."""
    seconds = Ask(name=Param.SECONDS, label="For", unit="s", choices=COUNTS)
    if role is Role.PRIMARY:
        return deed("Count drops", Verb.COUNT_DROPS, seconds, line=number)
    return deed("Count drops", Verb.COUNT_DROPS, seconds, line=number, role=str(role))


def _scrub(tools: Tools, at: str) -> Deed:
    seconds = Ask(name=Param.SECONDS, label="For", unit="s", numeric=True)
    return deed("Scrub the hub", Verb.SCRUB_HUB, seconds, line=tools.number, at=at)


def _port(tools: Tools) -> Drawer:
    number = tools.number
    return Drawer(
        id=drawer_id(tools.line, "port"),
        title="At the access port",
        deeds=(
            _scrub(tools, "port"),
            deed("Connect the secondary", Verb.CONNECT, line=number, at="port"),
            deed("Disconnect the secondary", Verb.DISCONNECT, line=number, at="port"),
            deed("Draw a bubble off here", Verb.CLEAR_AIR, line=number, how=DRAW_OFF),
        ),
    )


# --- the pump -------------------------------------------------------------------------


def _syringe(tools: Tools) -> Drawer:
    """A syringe stands for container, chamber and clamp in one."""
    number, name = tools.number, str(Role.PRIMARY)
    which = Ask(name=Param.SUPPLY, label="Syringe", choices=tools.supplies, wide=True)
    return Drawer(
        id=drawer_id(tools.line, "primary-container"),
        title="At the syringe",
        deeds=(
            deed("Look at the syringe", Verb.LOOK_AT_CONTAINER, line=number),
            deed("Attach it here", Verb.ATTACH_SYRINGE, which, line=number),
            deed("Prime the tubing", Verb.PRIME, line=number, role=name),
            deed("Take it off", Verb.TAKE_DOWN, line=number, role=name),
        ),
    )


def _syringe_pump(tools: Tools) -> Drawer:
    lay = deed("Lay the syringe into the pump", Verb.LOAD, line=tools.number)
    take = deed("Take the syringe out of the pump", Verb.UNLOAD, line=tools.number)
    height = _height(tools, "Set the pump at this height")
    return _pump_drawer(tools, (lay, take, height))


def _pump(tools: Tools) -> Drawer:
    number = tools.number
    return _pump_drawer(
        tools,
        (
            deed("Lay the set into the pump", Verb.LOAD, line=number),
            deed("Take the set out of the pump", Verb.UNLOAD, line=number),
            deed("Tap a bubble up to the chamber", Verb.CLEAR_AIR, line=number, how=TAP_UP),
        ),
    )


def _pump_drawer(tools: Tools, own: tuple[Deed, ...]) -> Drawer:
    number = tools.number
    return Drawer(
        id=drawer_id(tools.line, "pump"),
        title="At the pump",
        deeds=(
            own[0],
            deed("Start", Verb.START, line=number),
            deed("Stop", Verb.STOP, line=number),
            deed("Reset the alarm", Verb.RESET_ALARM, line=number),
            *own[1:],
            deed("Plug it into the mains", Verb.PLUG_IN, line=number),
        ),
    )


# --- from the pump to the vein --------------------------------------------------------


def _tubing(tools: Tools) -> Drawer:
    number = tools.number
    volume = Ask(name=Param.VOLUME, label="With", unit="mL", numeric=True)
    tap = deed("Tap a bubble up to the chamber", Verb.CLEAR_AIR, line=number, how=TAP_UP)
    release = deed("Release pressure away from the patient", Verb.RELEASE_PRESSURE, line=number)
    by_gravity = tools.drive is Drive.GRAVITY
    below = "Draw air off below the " + ("chamber" if by_gravity else "pump")
    return Drawer(
        id=drawer_id(tools.line, "tubing"),
        title="At the tubing",
        deeds=(
            deed("Follow the line by hand", Verb.FOLLOW_LINE, line=number),
            deed("Straighten the tubing", Verb.STRAIGHTEN, line=number),
            tap if by_gravity else release,
            deed(below, Verb.CLEAR_AIR, line=number, how=DRAW_OFF_BELOW),
            deed("Flush", Verb.FLUSH, volume, line=number),
        ),
    )


def _patient_clamp(tools: Tools) -> Drawer:
    number, clamp = tools.number, str(Clamp.PATIENT)
    return Drawer(
        id=drawer_id(tools.line, "patient-clamp"),
        title="At the clamp next to the patient",
        deeds=(
            deed("Open the clamp", Verb.OPEN_CLAMP, line=number, clamp=clamp),
            deed("Close the clamp", Verb.CLOSE_CLAMP, line=number, clamp=clamp),
        ),
    )


def _site(tools: Tools) -> Drawer:
    number, access = tools.number, tools.access
    return Drawer(
        id=drawer_id(tools.line, "site"),
        title=f"At the site: {tools.access_name}",
        deeds=(
            deed("Look at the site", Verb.LOOK_AT_SITE, access=access),
            deed("Reposition limb or body", Verb.REPOSITION, access=access),
            _scrub(tools, "access"),
            deed("Connect the line", Verb.CONNECT, line=number, at="access"),
            deed("Disconnect the line", Verb.DISCONNECT, line=number, at="access"),
            deed("Take the catheter out", Verb.REMOVE_CATHETER, access=access),
            deed("Place a new one in another vein", Verb.RESITE, access=access),
        ),
    )

"""What can be done, as buttons and short forms: frozen values for the `deed` macro.

A deed is one verb with its parameters. Deeds are offered whether or not they are possible
just now: knowing which is possible is what the learner practises, and the engine says why
not. That also keeps the forms still: nothing a push brings can wipe what was typed.
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.terms import Clamp, Param, Role, Verb


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One entry of a list to choose from."""

    value: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """One thing to fill in. With `choices` it is a list, else a short line of text."""

    name: str
    label: str
    unit: str = ""
    value: str = ""
    choices: tuple[Choice, ...] = ()
    numeric: bool = False
    wide: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Deed:
    """One act offered: its button's words, the verb, and what goes with it."""

    label: str
    verb: Verb
    params: tuple[tuple[str, str], ...] = ()
    asks: tuple[Ask, ...] = ()
    main: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawer:
    """What can be done at one station of a line."""

    id: str
    title: str
    deeds: tuple[Deed, ...]


def deed(label: str, verb: Verb, *asks: Ask, main: bool = False, **params: str) -> Deed:
    """A deed in one line."""
    return Deed(label=label, verb=verb, params=tuple(params.items()), asks=asks, main=main)


def choices(*texts: str) -> tuple[Choice, ...]:
    """Choices whose value is what is shown."""
    return tuple(Choice(value=text, text=text) for text in texts)


TAP = "tap up to the chamber"
DRAW = "draw off at the port"


def drawer_id(line: int, station: str) -> str:
    """The id of a station's drawer, and the target of its link: `at-1-pump`."""
    return f"at-{line}-{station}"


def drawers(
    line: int, access: str, access_name: str, *, has_port: bool, supplies: tuple[Choice, ...]
) -> tuple[Drawer, ...]:
    """Every drawer of a line, in the order in which the fluid passes the stations."""
    both = (*_secondary(line, supplies), *_primary(line, supplies, has_port=has_port))
    lone = _primary(line, supplies, has_port=has_port)
    return (
        *(both if has_port else lone),
        *((_port(line),) if has_port else ()),
        _pump(line),
        _tubing(line),
        _patient_clamp(line),
        _site(line, access, access_name),
    )


def _inlet(line: int, role: Role, supplies: tuple[Choice, ...]) -> tuple[Drawer, ...]:
    """Container, drip chamber and clamp of one inlet."""
    number, name = str(line), str(role)
    here = f"{name} " if role is Role.SECONDARY else ""
    hang = Ask(name=Param.SUPPLY, label="Container", choices=supplies, wide=True)
    return (
        Drawer(
            id=drawer_id(line, f"{role}-container"),
            title=f"At the {here}container",
            deeds=(
                deed("Look at the container", Verb.LOOK_AT_CONTAINER, line=number),
                deed("Hang it here", Verb.HANG, hang, line=number, role=name),
                deed("Spike it", Verb.SPIKE, line=number, role=name),
                deed("Take it down", Verb.TAKE_DOWN, line=number, role=name),
            ),
        ),
        Drawer(
            id=drawer_id(line, f"{role}-chamber"),
            title=f"At the {here}drip chamber",
            deeds=(deed("Squeeze to fill the chamber", Verb.FILL_CHAMBER, line=number, role=name),),
        ),
        Drawer(
            id=drawer_id(line, f"{role}-clamp"),
            title=f"At the {here}roller clamp",
            deeds=(
                deed("Open the clamp", Verb.OPEN_CLAMP, line=number, clamp=name),
                deed("Close the clamp", Verb.CLOSE_CLAMP, line=number, clamp=name),
                deed(f"Prime the {here}tubing", Verb.PRIME, line=number, role=name),
            ),
        ),
    )


def _primary(line: int, supplies: tuple[Choice, ...], *, has_port: bool) -> tuple[Drawer, ...]:
    container, *rest = _inlet(line, Role.PRIMARY, supplies)
    if not has_port:
        return (container, *rest)
    number = str(line)
    height = (
        deed("Hang it lower than the secondary", Verb.LOWER_PRIMARY, line=number),
        deed("Hang it back up", Verb.RAISE_PRIMARY, line=number),
    )
    taller = Drawer(id=container.id, title=container.title, deeds=(*container.deeds, *height))
    return (taller, *rest)


def _secondary(line: int, supplies: tuple[Choice, ...]) -> tuple[Drawer, ...]:
    return _inlet(line, Role.SECONDARY, supplies)


def _scrub(line: int, at: str) -> Deed:
    seconds = Ask(name=Param.SECONDS, label="For", unit="s", numeric=True)
    return deed("Scrub the hub", Verb.SCRUB_HUB, seconds, line=str(line), at=at)


def _port(line: int) -> Drawer:
    number = str(line)
    return Drawer(
        id=drawer_id(line, "port"),
        title="At the access port",
        deeds=(
            _scrub(line, "port"),
            deed("Connect the secondary", Verb.CONNECT, line=number, at="port"),
            deed("Disconnect the secondary", Verb.DISCONNECT, line=number, at="port"),
            deed("Draw a bubble off here", Verb.CLEAR_AIR, line=number, how=DRAW),
        ),
    )


def _pump(line: int) -> Drawer:
    number = str(line)
    return Drawer(
        id=drawer_id(line, "pump"),
        title="At the pump",
        deeds=(
            deed("Lay the set into the pump", Verb.LOAD, line=number),
            deed("Start", Verb.START, line=number),
            deed("Stop", Verb.STOP, line=number),
            deed("Reset the alarm", Verb.RESET_ALARM, line=number),
            deed("Tap a bubble up to the chamber", Verb.CLEAR_AIR, line=number, how=TAP),
        ),
    )


def _tubing(line: int) -> Drawer:
    number = str(line)
    volume = Ask(name=Param.VOLUME, label="With", unit="mL", numeric=True)
    return Drawer(
        id=drawer_id(line, "tubing"),
        title="At the tubing",
        deeds=(
            deed("Follow the line by hand", Verb.FOLLOW_LINE, line=number),
            deed("Straighten the tubing", Verb.STRAIGHTEN, line=number),
            deed("Release pressure away from the patient", Verb.RELEASE_PRESSURE, line=number),
            deed("Flush", Verb.FLUSH, volume, line=number),
        ),
    )


def _patient_clamp(line: int) -> Drawer:
    number, clamp = str(line), str(Clamp.PATIENT)
    return Drawer(
        id=drawer_id(line, "patient-clamp"),
        title="At the clamp next to the patient",
        deeds=(
            deed("Open the clamp", Verb.OPEN_CLAMP, line=number, clamp=clamp),
            deed("Close the clamp", Verb.CLOSE_CLAMP, line=number, clamp=clamp),
        ),
    )


def _site(line: int, access: str, access_name: str) -> Drawer:
    number = str(line)
    return Drawer(
        id=drawer_id(line, "site"),
        title=f"At the site: {access_name}",
        deeds=(
            deed("Look at the site", Verb.LOOK_AT_SITE, access=access),
            deed("Reposition the limb", Verb.REPOSITION, access=access),
            _scrub(line, "access"),
            deed("Connect the line", Verb.CONNECT, line=number, at="access"),
            deed("Disconnect the line", Verb.DISCONNECT, line=number, at="access"),
        ),
    )

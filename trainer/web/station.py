"""One station of a line as drawn, and what it is drawn from."""

from __future__ import annotations

from dataclasses import dataclass
from textwrap import wrap

from trainer.engine.state import Line, State
from trainer.terms import Role
from trainer.web.deeds import drawer_id
from trainer.web.motion import Motion

Said = tuple[str, str]
"""A line of what a station says, and the class by which the script goes on from it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """One part of the line: what it is, what can be seen of it, and its drawer.

    `level_y` and `level_h` draw how full it is; `data_left` and `data_full` (microlitres)
    let the script go on from there; `drops_per_h` how fast drops fall here.
    """

    kind: str
    drawer: str
    move: str
    name: str
    lines: tuple[Said, ...]
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
    drops_per_h: str = ""
    opening: str = ""  # of a roller clamp that can be turned, in percent
    rows: tuple[Said, ...] = ()  # name and words as the drawing sets them, each with its classes

    @property
    def says(self) -> str:
        """What it says, in one line."""
        return ", ".join(text for text, _ in self.lines)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """What the stations are drawn from: a line in its state, and what may be seen."""

    state: State
    line: Line
    motion: Motion
    paint: dict[str, str]
    visible: bool  # what is in the tubing and how much, as in practice

    def flow_ul_h(self, role: Role) -> int:
        """What one inlet gives now; nothing if fluid runs up into it."""
        given = self.motion.primary_ul_h, self.motion.secondary_ul_h
        return max(0, given[0] if role is Role.PRIMARY else given[1])


def made(line: Line, key: str, kind: str, name: str, *says: Said, **more: object) -> Station:
    """A station with what it says; empty words are left out."""
    told = tuple(one for one in says if one[0])
    spoken = ", ".join(text for text, _ in told)
    fields: dict[str, object] = {
        "kind": kind,
        "drawer": drawer_id(line.number, key),
        "move": "",
        "name": name,
        "lines": told,
        "spoken": f"Line {line.number}, {name}: {spoken}",
        **more,
    }
    return Station(**fields)  # type: ignore[arg-type]


def rows(station: Station, letters: int) -> tuple[Said, ...]:
    """The name, broken where it grows longer than so many letters, and what is said below."""
    name = wrap(station.name, letters)
    first = tuple((text, "nm" if not at else f"nm sy-{at}") for at, text in enumerate(name))
    below = tuple(
        (text, f"sy sy-{at} {moves}".strip())
        for at, (text, moves) in enumerate(station.lines, start=len(name))
    )
    return first + below


def level(left: int, full: int, height: int) -> tuple[str, str]:
    """Top and height of a fill that stands on the bottom of a box around the origin."""
    filled = min(height, left * height // full) if full else 0
    return str(height // 2 - filled), str(filled)

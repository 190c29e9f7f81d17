"""The line map: where each station of a fluid path stands, wide or upright.

A map is drawn twice, lying for a wide screen and upright for a phone; the style sheet
shows one. Places are table rows here; what a station says comes from `stations`.
Nothing here looks like a device: the pump is a ring with a turning rotor.
"""

from __future__ import annotations

from dataclasses import dataclass

Spot = tuple[int, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """One way to lay out a line: its frame, its stations and its stretches of tubing.

    `tubes` are named after the state's parts: primary, secondary, above, below. `spikes`
    join a container with its drip chamber.
    """

    name: str
    box: str
    spots: dict[str, Spot]
    tubes: dict[str, str]
    spikes: dict[str, str]


_ORDER = (
    "primary-container",
    "primary-chamber",
    "primary-clamp",
    "pump",
    "tubing",
    "patient-clamp",
    "site",
)


def _along(level: int, places: tuple[int, ...]) -> dict[str, Spot]:
    """The primary's stations from left to right at one height."""
    return {name: (x, level) for name, x in zip(_ORDER, places, strict=True)}


WIDE_ALONE = Layout(
    name="wide",
    box="0 0 1000 162",
    spots=_along(50, (62, 205, 335, 500, 655, 795, 925)),
    tubes={
        "primary": "M205 50 H472",
        "above": "M472 50 H500",
        "below": "M500 50 H925",
    },
    spikes={"primary": "M62 50 H205"},
)

WIDE_JOINED = Layout(
    name="wide",
    box="0 0 1000 302",
    spots={
        "secondary-container": (66, 62),
        "secondary-chamber": (190, 62),
        "secondary-clamp": (300, 62),
        **_along(202, (66, 190, 300, 590, 715, 825, 930)),
        "port": (460, 202),
    },
    tubes={
        "primary": "M190 202 H460",
        "secondary": "M190 62 H350 C430 62 400 202 460 202",
        "above": "M460 202 H590",
        "below": "M590 202 H930",
    },
    spikes={"primary": "M66 202 H190", "secondary": "M66 62 H190"},
)

_UPRIGHT_TAIL: tuple[str, ...] = ("pump", "tubing", "patient-clamp", "site")


def _upright_spots(*, port: bool) -> dict[str, Spot]:
    """The primary's stations from top to bottom in one column."""
    found = {
        "primary-container": (46, 56),
        "primary-chamber": (46, 158),
        "primary-clamp": (46, 240),
    }
    if port:
        found["port"] = (46, 336)
    first = 420 if port else 330
    return {**found, **{name: (46, first + 84 * step) for step, name in enumerate(_UPRIGHT_TAIL)}}


UPRIGHT_ALONE = Layout(
    name="upright",
    box="0 0 340 640",
    spots=_upright_spots(port=False),
    tubes={
        "primary": "M46 158 V302",
        "above": "M46 302 V330",
        "below": "M46 330 V582",
    },
    spikes={"primary": "M46 56 V158"},
)

UPRIGHT_JOINED = Layout(
    name="upright",
    box="0 0 340 730",
    spots={
        **_upright_spots(port=True),
        "secondary-container": (212, 56),
        "secondary-chamber": (212, 158),
        "secondary-clamp": (212, 240),
    },
    tubes={
        "primary": "M46 158 V336",
        "secondary": "M212 158 V262 C212 302 46 292 46 336",
        "above": "M46 336 V420",
        "below": "M46 420 V672",
    },
    spikes={"primary": "M46 56 V158", "secondary": "M212 56 V158"},
)


def layouts(*, joined: bool) -> tuple[Layout, Layout]:
    """The lying and the upright layout of a line, with or without a secondary."""
    return (WIDE_JOINED, UPRIGHT_JOINED) if joined else (WIDE_ALONE, UPRIGHT_ALONE)

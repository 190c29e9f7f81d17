"""The line map: where each station of a fluid path stands, wide or upright.

A map is drawn twice, lying for a wide screen and upright for a phone; the style sheet
shows one. Places are table rows here; what a station says comes from `stations`.
Nothing here looks like a device: the pump is a ring with a turning rotor, or, where it
pushes a syringe, with an arrow.
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.terms import Drive

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


def _along(level: int, places: dict[str, int]) -> dict[str, Spot]:
    """Stations from left to right at one height."""
    return {name: (x, level) for name, x in places.items()}


def _down(places: dict[str, int]) -> dict[str, Spot]:
    """Stations from top to bottom in one column."""
    return {name: (46, y) for name, y in places.items()}


_SECONDARY_WIDE: dict[str, Spot] = {
    "secondary-container": (66, 62),
    "secondary-chamber": (190, 62),
    "secondary-clamp": (300, 62),
}
_SECONDARY_UPRIGHT: dict[str, Spot] = {
    "secondary-container": (212, 56),
    "secondary-chamber": (212, 158),
    "secondary-clamp": (212, 240),
}
_HEAD = {"primary-container": 56, "primary-chamber": 158, "primary-clamp": 240}
_SPIKES_JOINED_WIDE = {"primary": "M66 236 H190", "secondary": "M66 62 H190"}
_SPIKES_JOINED_UPRIGHT = {"primary": "M46 56 V158", "secondary": "M212 56 V158"}
_JOIN_WIDE = {"primary": "M190 236 H460", "secondary": "M190 62 H350 C440 62 390 236 460 236"}
_JOIN_UPRIGHT = {"primary": "M46 158 V336", "secondary": "M212 158 V262 C212 302 46 292 46 336"}

# --- a set in a pump ------------------------------------------------------------------

PUMP_WIDE = Layout(
    name="wide",
    box="0 0 1000 182",
    spots=_along(
        50,
        {
            "primary-container": 62,
            "primary-chamber": 205,
            "primary-clamp": 335,
            "pump": 500,
            "tubing": 655,
            "patient-clamp": 795,
            "site": 925,
        },
    ),
    tubes={"primary": "M205 50 H472", "above": "M472 50 H500", "below": "M500 50 H925"},
    spikes={"primary": "M62 50 H205"},
)

PUMP_WIDE_JOINED = Layout(
    name="wide",
    box="0 0 1000 358",
    spots={
        **_SECONDARY_WIDE,
        **_along(
            236,
            {
                "primary-container": 66,
                "primary-chamber": 190,
                "primary-clamp": 300,
                "port": 460,
                "pump": 590,
                "tubing": 715,
                "patient-clamp": 825,
                "site": 930,
            },
        ),
    },
    tubes={**_JOIN_WIDE, "above": "M460 236 H590", "below": "M590 236 H930"},
    spikes=_SPIKES_JOINED_WIDE,
)

PUMP_UPRIGHT = Layout(
    name="upright",
    box="0 0 340 640",
    spots=_down({**_HEAD, "pump": 330, "tubing": 414, "patient-clamp": 498, "site": 582}),
    tubes={"primary": "M46 158 V302", "above": "M46 302 V330", "below": "M46 330 V582"},
    spikes={"primary": "M46 56 V158"},
)

PUMP_UPRIGHT_JOINED = Layout(
    name="upright",
    box="0 0 340 730",
    spots={
        **_down(
            {**_HEAD, "port": 336, "pump": 420, "tubing": 504, "patient-clamp": 588, "site": 672}
        ),
        **_SECONDARY_UPRIGHT,
    },
    tubes={**_JOIN_UPRIGHT, "above": "M46 336 V420", "below": "M46 420 V672"},
    spikes=_SPIKES_JOINED_UPRIGHT,
)

# --- a set that runs by gravity -------------------------------------------------------

GRAVITY_WIDE = Layout(
    name="wide",
    box="0 0 1000 182",
    spots=_along(
        50,
        {
            "primary-container": 62,
            "primary-chamber": 215,
            "primary-clamp": 385,
            "tubing": 575,
            "patient-clamp": 755,
            "site": 925,
        },
    ),
    tubes={"primary": "M215 50 H495", "above": "M475 50 H495", "below": "M495 50 H925"},
    spikes={"primary": "M62 50 H215"},
)

GRAVITY_WIDE_JOINED = Layout(
    name="wide",
    box="0 0 1000 358",
    spots={
        **_SECONDARY_WIDE,
        **_along(
            236,
            {
                "primary-container": 66,
                "primary-chamber": 190,
                "primary-clamp": 300,
                "port": 460,
                "tubing": 630,
                "patient-clamp": 785,
                "site": 930,
            },
        ),
    },
    tubes={**_JOIN_WIDE, "above": "M460 236 H560", "below": "M560 236 H930"},
    spikes=_SPIKES_JOINED_WIDE,
)

GRAVITY_UPRIGHT = Layout(
    name="upright",
    box="0 0 340 556",
    spots=_down({**_HEAD, "tubing": 330, "patient-clamp": 414, "site": 498}),
    tubes={"primary": "M46 158 V296", "above": "M46 282 V296", "below": "M46 296 V498"},
    spikes={"primary": "M46 56 V158"},
)

GRAVITY_UPRIGHT_JOINED = Layout(
    name="upright",
    box="0 0 340 646",
    spots={
        **_down({**_HEAD, "port": 336, "tubing": 420, "patient-clamp": 504, "site": 588}),
        **_SECONDARY_UPRIGHT,
    },
    tubes={**_JOIN_UPRIGHT, "above": "M46 336 V390", "below": "M46 390 V588"},
    spikes=_SPIKES_JOINED_UPRIGHT,
)

# --- a syringe, pushed by its pump ----------------------------------------------------

SYRINGE_WIDE = Layout(
    name="wide",
    box="0 0 1000 182",
    spots=_along(
        50, {"pump": 70, "primary-container": 235, "tubing": 500, "patient-clamp": 715, "site": 925}
    ),
    tubes={"below": "M280 50 H925"},
    spikes={"primary": "M70 50 H190"},
)

SYRINGE_UPRIGHT = Layout(
    name="upright",
    box="0 0 340 500",
    spots=_down(
        {"pump": 46, "primary-container": 160, "tubing": 274, "patient-clamp": 358, "site": 442}
    ),
    tubes={"below": "M46 204 V442"},
    spikes={"primary": "M46 46 V114"},
)

_LAYOUTS: dict[tuple[Drive, bool], tuple[Layout, Layout]] = {
    (Drive.PUMP, False): (PUMP_WIDE, PUMP_UPRIGHT),
    (Drive.PUMP, True): (PUMP_WIDE_JOINED, PUMP_UPRIGHT_JOINED),
    (Drive.GRAVITY, False): (GRAVITY_WIDE, GRAVITY_UPRIGHT),
    (Drive.GRAVITY, True): (GRAVITY_WIDE_JOINED, GRAVITY_UPRIGHT_JOINED),
    (Drive.SYRINGE, False): (SYRINGE_WIDE, SYRINGE_UPRIGHT),
}


def layouts(drive: Drive, *, joined: bool) -> tuple[Layout, Layout]:
    """The lying and the upright layout of a line, with or without a secondary."""
    return _LAYOUTS[drive, joined]

"""Plugs in tubing: first in, first out, exact. The first plug of a stretch leaves first."""

from __future__ import annotations

from trainer.engine.state import Plug
from trainer.terms import AIR

Plugs = tuple[Plug, ...]


def filled_with(fluid: str, volume: int) -> Plugs:
    """A stretch full of one thing; empty tubing if the volume is nothing."""
    return (Plug(fluid, volume),) if volume > 0 else ()


def volume_of(plugs: Plugs) -> int:
    """How much there is, in motes."""
    if len(plugs) == 1:
        return plugs[0].volume
    return sum(plug.volume for plug in plugs)


def volume_of_air(plugs: Plugs) -> int:
    """How much of it is air, in motes."""
    return sum(plug.volume for plug in plugs if plug.fluid == AIR)


def joined(first: Plugs, then: Plugs) -> Plugs:
    """Two stretches as one; plugs of the same thing that meet become one plug.

    >>> joined((Plug("water", 2),), (Plug("water", 1), Plug("air", 1)))
    (Plug(fluid='water', volume=3), Plug(fluid='air', volume=1))
    """
    if first and then and first[-1].fluid == then[0].fluid:
        meeting = Plug(then[0].fluid, first[-1].volume + then[0].volume)
        return (*first[:-1], meeting, *then[1:])
    return first + then


def split(plugs: Plugs, volume: int) -> tuple[Plugs, Plugs]:
    """The first `volume` of a stretch, and the rest. Takes what there is if it is less.

    >>> split((Plug("water", 3),), 1)
    ((Plug(fluid='water', volume=1),), (Plug(fluid='water', volume=2),))
    """
    wanted = volume
    for number, plug in enumerate(plugs):
        if wanted <= 0:
            return plugs[:number], plugs[number:]
        if plug.volume > wanted:
            taken = (*plugs[:number], Plug(plug.fluid, wanted))
            return taken, (Plug(plug.fluid, plug.volume - wanted), *plugs[number + 1 :])
        wanted -= plug.volume
    return plugs, ()


def pushed_through(plugs: Plugs, incoming: Plugs) -> tuple[Plugs, Plugs]:
    """What lies in the stretch afterwards, and what came out: as much as went in."""
    if len(plugs) == 1 and len(incoming) == 1 and plugs[0].fluid == incoming[0].fluid:
        return plugs, incoming
    came_out, rest = split(joined(plugs, incoming), volume_of(incoming))
    return rest, came_out


def has_no_air(plugs: Plugs) -> bool:
    """Whether there is fluid only."""
    if len(plugs) == 1:
        return plugs[0].fluid != AIR
    return all(plug.fluid != AIR for plug in plugs)


def leading_run(*stretches: Plugs) -> tuple[str, int, bool]:
    """What comes first, how much of it there is, and whether something else follows.

    >>> leading_run((Plug("water", 2),), (Plug("water", 1), Plug("air", 1)))
    ('water', 3, True)
    """
    fluid, run = "", 0
    for stretch in stretches:
        for plug in stretch:
            if plug.fluid != fluid:
                if fluid:
                    return fluid, run, True
                fluid = plug.fluid
            run += plug.volume
    return fluid, run, False


def first_bubble(plugs: Plugs, least: int, *, air_follows: bool) -> tuple[int, int] | None:
    """Distance to the first bubble of at least `least`, and its volume.

    With `air_follows`, the stretch is being fed with air, so a bubble at its far end is
    large enough whatever its volume now.
    """
    distance = bubble = 0
    for plug in plugs:
        if plug.fluid == AIR:
            bubble += plug.volume
        elif bubble >= least:
            return distance, bubble
        else:
            distance += bubble + plug.volume
            bubble = 0
    return (distance, bubble) if bubble >= least or air_follows else None

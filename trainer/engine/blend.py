"""Fluids that ran together: an id that says what a blend is made of.

Where two fluids flow together, at a set's join or in a container that fluid has run up
into, what results is known by an id built from its parts:

    saline:800000000+sedative:200000000

Each number is that fluid's share in thousand-millionths; the shares sum to one. A pure
fluid keeps its own id, so that nothing else need know of blends. Volumes are motes. Air
is never a part of a blend.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache

from trainer.clinical.rounding import format_number, round_half_up
from trainer.engine.state import Plug
from trainer.scenario.model import Scenario
from trainer.terms import AIR

Parts = tuple[tuple[str, int], ...]
"""Fluids, each with its share or its volume."""

WHOLE = 1_000_000_000
"""All shares of a blend together."""

_BETWEEN = "+"
_SHARE = ":"


def is_blend(fluid: str) -> bool:
    """Whether an id stands for more than one fluid."""
    return _BETWEEN in fluid


def parts_of(fluid: str) -> Parts:
    """The pure fluids of an id with their shares; a pure fluid is all of itself.

    >>> parts_of("saline")
    (('saline', 1000000000),)
    >>> parts_of("saline:800000000+sedative:200000000")
    (('saline', 800000000), ('sedative', 200000000))
    """
    if _BETWEEN not in fluid:
        return ((fluid, WHOLE),)
    named = [part.split(_SHARE) for part in fluid.split(_BETWEEN)]
    return tuple((name, int(share)) for name, share in named)


def blended(parts: Iterable[tuple[str, int]]) -> str:
    """The id of what results when these volumes of fluids or blends run together.

    Only the proportion counts. The largest part takes what rounding leaves; a part of less
    than half a thousand-millionth is not named.

    >>> blended((("saline", 4), ("sedative", 1)))
    'saline:800000000+sedative:200000000'
    >>> blended((("saline", 4), ("saline", 3)))
    'saline'
    """
    return _blended(tuple(parts))


@lru_cache(maxsize=256)
def _blended(parts: Parts) -> str:
    """The same, remembered: while two flow together it is asked over and over."""
    sums: dict[str, int] = {}
    for fluid, volume in parts:
        for pure, share in parts_of(fluid):
            sums[pure] = sums.get(pure, 0) + volume * share
    sums = {pure: weight for pure, weight in sums.items() if weight > 0}
    total = sum(sums.values())
    shares = {pure: (2 * weight * WHOLE + total) // (2 * total) for pure, weight in sums.items()}
    largest = max(sorted(shares), key=lambda pure: shares[pure])
    shares[largest] += WHOLE - sum(shares.values())
    named = [(pure, share) for pure, share in sorted(shares.items()) if share]
    if len(named) == 1:
        return named[0][0]
    return _BETWEEN.join(f"{pure}{_SHARE}{share}" for pure, share in named)


def volumes_of(fluid: str, volume: int) -> Parts:
    """How much of each pure fluid is in so much of it; the parts sum to the whole.

    >>> volumes_of("saline:800000000+sedative:200000000", 7)
    (('saline', 6), ('sedative', 1))
    """
    if _BETWEEN not in fluid:
        return ((fluid, volume),)
    parts = parts_of(fluid)
    found = [(pure, volume * share // WHOLE) for pure, share in parts]
    largest = max(range(len(parts)), key=lambda number: parts[number][1])
    missing = volume - sum(part for _, part in found)
    found[largest] = (found[largest][0], found[largest][1] + missing)
    return tuple(found)


def pure(plugs: tuple[Plug, ...]) -> tuple[Plug, ...]:
    """Plugs with every blend taken apart into its pure fluids. Air stays air."""
    for plug in plugs:
        if _BETWEEN in plug.fluid:
            return tuple(
                Plug(fluid, volume)
                for one in plugs
                for fluid, volume in volumes_of(one.fluid, one.volume)
                if volume
            )
    return plugs


def holds(fluid: str, wanted: str) -> bool:
    """Whether a fluid, or a part of a blend, is that pure fluid."""
    return fluid == wanted or any(name == wanted for name, _ in parts_of(fluid))


def largest_part(fluid: str) -> str:
    """The pure fluid that a blend holds most of."""
    return max(parts_of(fluid), key=lambda part: part[1])[0]


def name_of(scenario: Scenario, fluid: str) -> str:
    """A fluid's name for people; of a blend, its parts with their shares in percent."""
    if fluid == AIR:
        return AIR
    if _BETWEEN not in fluid:
        return scenario.fluid(fluid).name
    parts = sorted(parts_of(fluid), key=lambda part: -part[1])
    told = [f"{_percent(share)} {scenario.fluid(name).name}" for name, share in parts]
    return f"a mixture of {' and '.join((', '.join(told[:-1]), told[-1]))}"


def _percent(share: int) -> str:
    whole = round_half_up(Fraction(100 * share, WHOLE), Fraction(1))
    return f"{format_number(whole)} %" if whole else "a trace of"

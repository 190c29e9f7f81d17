"""Two stretches of plugs running together at a join, or one parting in two there.

Both work on the order of plugs alone, in whole motes, and step by step in the same way
however much is asked for: the first part of a longer answer is the shorter answer. So
what is foreseen and what then comes agree.

Air does not mix. While air lies at the join's end of one of the two, that one alone
gives: air-filled tubing holds nothing back (declared simplification).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from trainer.engine.blend import blended
from trainer.engine.heads import Feeds
from trainer.engine.tubing import Plugs, filled_with, joined, split
from trainer.terms import AIR, Role


class Spring(NamedTuple):
    """One of two ways in: its plugs up to its source's end, and how much it can give."""

    plugs: Plugs
    most: int


class Stretch(NamedTuple):
    """A stretch of what runs together: one fluid, with so much from each way in.

    Of its first n motes, floor(n x `secondary_share` / `whole`) are the secondary's.
    """

    fluid: str
    volume: int
    secondary_share: int
    whole: int

    def from_secondary(self, volume: int) -> int:
        """How much of the first so many motes is the secondary's."""
        return volume * self.secondary_share // self.whole

    def given(self, role: Role, volume: int) -> int:
        """How much of the first so many motes that inlet gives."""
        secondary = self.from_secondary(volume)
        return secondary if role is Role.SECONDARY else volume - secondary

    def until(self, role: Role, wanted: int) -> int:
        """The least volume of which that inlet has given so much (it gives some)."""
        if role is Role.SECONDARY:
            return -(-wanted * self.whole // self.secondary_share)
        return (wanted - 1) * self.whole // (self.whole - self.secondary_share) + 1


def run_together(
    primary: Spring, secondary: Spring, flows: Feeds, volume: int
) -> Iterator[Stretch]:
    """What comes through the join, stretch by stretch, up to a volume.

    An inlet that can give no more leaves the flow to the other. When neither can, the
    primary's tubing gives what is in it, and then air.
    """
    first, second = primary, secondary
    while volume > 0:
        share, whole = _shares(first, second, flows)
        stretch = _next_of(first, second, share, whole, volume)
        yield stretch
        from_second = stretch.from_secondary(stretch.volume)
        first = _rest(first, stretch.volume - from_second)
        second = _rest(second, from_second)
        volume -= stretch.volume


def _shares(first: Spring, second: Spring, flows: Feeds) -> tuple[int, int]:
    """The secondary's share of what comes next, and of what."""
    if second.most <= 0:
        return 0, 1
    if first.most <= 0:
        return 1, 1
    if first.plugs[0].fluid == AIR:
        return 0, 1
    if second.plugs[0].fluid == AIR:
        return 1, 1
    return flows.secondary_ul_h, flows.primary_ul_h + flows.secondary_ul_h


def _next_of(first: Spring, second: Spring, share: int, whole: int, volume: int) -> Stretch:
    """The next stretch: until one of the plugs that flow now, or an inlet, is at its end."""
    parts = []
    if share < whole:
        fluid, end = _front(first)
        parts.append((fluid, whole - share))
        volume = min(volume, end * whole // (whole - share)) if end else volume
    if share:
        fluid, end = _front(second)
        parts.append((fluid, share))
        volume = min(volume, -(-end * whole // share)) if end else volume
    if len(parts) == 1:
        return Stretch(parts[0][0], volume, share, whole)
    return Stretch(blended(parts), volume, share, whole)


def _front(spring: Spring) -> tuple[str, int]:
    """What comes next from a way in, and how much of it; 0 is air without end."""
    if not spring.plugs:
        return AIR, 0
    plug = spring.plugs[0]
    return plug.fluid, min(plug.volume, spring.most) if spring.most > 0 else plug.volume


def _rest(spring: Spring, given: int) -> Spring:
    return Spring(split(spring.plugs, given)[1], max(0, spring.most - given)) if given else spring


def parted(plugs: Plugs, down_share: int, whole: int) -> tuple[Plugs, Plugs]:
    """What runs on of a stretch, and what turns off, each plug in the same proportion.

    Of the first n motes, floor(n x `down_share` / `whole`) run on.

    >>> parted(filled_with("water", 10), 3, 4)
    ((Plug(fluid='water', volume=7),), (Plug(fluid='water', volume=3),))
    """
    down: Plugs = ()
    off: Plugs = ()
    passed = ran_on = 0
    for plug in plugs:
        passed += plug.volume
        runs_on = passed * down_share // whole - ran_on
        ran_on += runs_on
        down = joined(down, filled_with(plug.fluid, runs_on))
        off = joined(off, filled_with(plug.fluid, plug.volume - runs_on))
    return down, off

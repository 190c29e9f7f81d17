"""What reached the vein between two moments, in the form that levels are computed from.

Within such a stretch nothing happens, so a line gives one fluid in one way: evenly, and
beside it with a share that dies away (a narrowed line, a bottle without an air inlet).
What came besides, too little to have a course of its own, came at once at the end.
"""

from __future__ import annotations

from typing import NamedTuple

from trainer.engine.blend import is_blend, pure, volumes_of
from trainer.engine.law import Law
from trainer.engine.physics.outflow import died_away
from trainer.engine.state import Plug
from trainer.engine.tubing import Plugs, volume_of
from trainer.terms import AIR


class Arrival(NamedTuple):
    """One pure fluid from one line, from the state's moment to the later one.

    After t milliseconds of the stretch's T it has brought, in motes,

        even t / T + decaying (1 - e^(-t / tau_ms))

    so its rate is even / T + (decaying / tau_ms) e^(-t / tau_ms). `decaying` is what the
    dying part would bring if it went on for ever; it is negative where a flow builds up.
    Without such a part `decaying` is 0 and `tau_ms` is 0.
    """

    fluid: str
    even: int
    decaying: int = 0
    tau_ms: int = 0

    def volume(self, elapsed_ms: int) -> int:
        """All that came in the stretch, in motes."""
        if not self.decaying:
            return self.even
        return self.even + died_away(self.decaying, elapsed_ms, self.tau_ms)


def arrivals_of(law: Law, elapsed_ms: int, out: Plugs) -> tuple[tuple[Arrival, ...], Plugs]:
    """What left a line's end into the vein by a law, and what came besides at once.

    All of it follows the law as if it were the first plug's fluid; a second plug comes only
    within the last millisecond, so it takes the place of as much of the first at the end.
    Air brings nothing. Where the flow itself began within the last millisecond (what was
    missing was made up), all of the even part came at once.
    """
    first = out[0]
    behind = tuple([plug for plug in pure(out[1:]) if plug.fluid != AIR])
    if first.fluid == AIR:
        return (), behind
    if law.short and not (law.builds_up and law.dying):
        return (), (*pure((first,)), *behind)
    instead = volume_of(out) - first.volume
    rest = (*pure((Plug(first.fluid, -instead),)), *behind) if instead else ()
    even, decaying, tau_ms = first.volume + instead, 0, 0
    if law.tau_ms:
        tau_ms = law.tau_ms
        built_up = 0 if law.short or not law.builds_up else law.rate_ul_h * tau_ms
        decaying = law.dying - built_up
        even -= died_away(decaying, elapsed_ms, tau_ms)
    if not is_blend(first.fluid):
        return (Arrival(first.fluid, even, decaying, tau_ms),), rest
    return _taken_apart(first.fluid, even, decaying, tau_ms), rest


def _taken_apart(fluid: str, even: int, decaying: int, tau_ms: int) -> tuple[Arrival, ...]:
    """One arrival for each pure fluid of a blend."""
    dying = dict(volumes_of(fluid, decaying))
    return tuple(
        Arrival(part, volume, dying[part], tau_ms) for part, volume in volumes_of(fluid, even)
    )

"""What lies in a line's tubing, in words: the legend, drugs left in it, stretch by stretch."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.engine.blend import name_of, volumes_of
from trainer.engine.figures import MOTES_PER_UL
from trainer.engine.state import Line, Plug, State
from trainer.scenario.model import Scenario
from trainer.terms import AIR, Drive
from trainer.web import words
from trainer.web.tones import is_drug, short_name, tone_of

LEAST_LYING = MOTES_PER_UL * 50
"""Less of a drug in the tubing would be told as 0 mL. Half of the last place told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tone:
    """One entry of the legend under the map."""

    cls: str
    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LyingView:
    """A drug that lies in the tubing: how much of it, and the tone that the script adds up."""

    name: str
    volume: str
    tone: str


def contents_of(line: Line) -> dict[str, tuple[Plug, ...]]:
    """What lies in each stretch of tubing, first plug first out."""
    found = {"primary": line.primary.contents, "above": line.above, "below": line.below}
    if line.secondary:
        found["secondary"] = line.secondary.contents
    return found


def sizes_of(line: Line) -> dict[str, int]:
    """How much each stretch of tubing holds. A syringe line has only the last."""
    found = {"primary": line.primary.size, "above": line.above_size, "below": line.below_size}
    if line.secondary:
        found["secondary"] = line.secondary.size
    return found


def legend(state: State, line: Line, paint: dict[str, str], *, visible: bool) -> tuple[Tone, ...]:
    """What hangs at the line, and if it may be seen what is in it, each tone with its word."""
    inlets = (line.primary, line.secondary)
    found = dict.fromkeys(
        state.container(one.container).fluid for one in inlets if one and one.container
    )
    if visible:
        contents, sizes = contents_of(line), sizes_of(line)
        found |= dict.fromkeys(plug.fluid for tube in contents.values() for plug in tube)
        if AIR not in found and any(sizes[name] and not contents[name] for name in sizes):
            found[AIR] = None
    named = {short_name(state.scenario, one): tone_of(paint, one) for one in found}
    return tuple(Tone(cls=tone, name=name) for name, tone in named.items())


def lying(scenario: Scenario, line: Line, paint: dict[str, str]) -> tuple[LyingView, ...]:
    """Each drug that lies in the tubing, blends taken apart."""
    sums: dict[str, int] = {}
    for tube in contents_of(line).values():
        for plug in tube:
            for fluid, volume in volumes_of(plug.fluid, plug.volume):
                if is_drug(paint, fluid):
                    sums[fluid] = sums.get(fluid, 0) + volume
    return tuple(
        LyingView(name=scenario.fluid(fluid).name, volume=words.ml(volume), tone=paint[fluid])
        for fluid, volume in sums.items()
        if volume >= LEAST_LYING
    )


_STRETCHES = {
    "secondary": "Secondary tubing",
    "primary": "Tubing from the primary's chamber",
    "above": "Tubing above the pump",
    "below": "Tubing from the pump to the vein",
}
_BY_GRAVITY = {
    "above": "Tubing behind that",
    "below": "Tubing on to the vein",
}
_FROM_SYRINGE = {"below": "Tubing from the syringe to the vein"}
_NAMES = {
    Drive.PUMP: _STRETCHES,
    Drive.GRAVITY: {**_STRETCHES, **_BY_GRAVITY},
    Drive.SYRINGE: _FROM_SYRINGE,
}


def spoken_contents(scenario: Scenario, line: Line) -> tuple[str, ...]:
    """What lies in each stretch of tubing, in words, first out first."""
    names, contents = _NAMES[line.drive], contents_of(line)
    found = []
    for name, size in sizes_of(line).items():
        if not size:
            continue
        parts = [
            f"{name_of(scenario, one.fluid)} {words.ml(one.volume)} mL" for one in contents[name]
        ]
        found.append(f"{names[name]}: {', then '.join(parts) or 'dry'}.")
    return tuple(found)

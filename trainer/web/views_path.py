"""A line's fluid path as the page draws it: tubing with what lies in it, and stations."""

from __future__ import annotations

from dataclasses import dataclass, replace

from trainer.engine.path import flowing_inlet_of, flowing_role, is_open_below, source_plugs
from trainer.engine.state import Line, Plug, State
from trainer.scenario.model import Scenario
from trainer.terms import AIR
from trainer.web import line_map, words
from trainer.web.stations import Station, stations
from trainer.web.views_running import MOTES_PER_UL

WHOLE = 1000
"""Each stretch of tubing counts a thousand parts from its upstream to its downstream end."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A plug as drawn: where it begins on its tubing and how long it is, in thousandths."""

    tone: str
    dash: str
    offset: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Tube:
    """One stretch of tubing. `data_plugs` tells the script the same in microlitres."""

    name: str
    d: str
    plugs: tuple[Stretch, ...]
    size_ul: str
    data_plugs: str
    feeds: str  # the tone that enters upstream while it flows


@dataclass(frozen=True, slots=True, kw_only=True)
class MapView:
    """One drawing of the line, lying or upright."""

    name: str
    box: str
    spikes: tuple[str, ...]
    tubes: tuple[Tube, ...]
    stations: tuple[Station, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tone:
    """One entry of the legend under the map."""

    cls: str
    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PathView:
    """A whole path. Numbers for the script are microlitres an hour and milliseconds."""

    number: str
    maps: tuple[MapView, ...]
    legend: tuple[Tone, ...]
    contents: tuple[str, ...]
    source: str
    anchor_ms: str
    pump_ul_h: str
    vein_ul_h: str
    drops_per_h: str
    drops: str

    @property
    def stations(self) -> tuple[Station, ...]:
        """The stations in the order of the flow, the same in every map."""
        return self.maps[0].stations


def path_view(state: State, number: int, *, contents_visible: bool) -> PathView:
    """The path of line `number`."""
    line, scenario = state.line(number), state.scenario
    flow = line.pump.rate_ul_h
    factor = scenario.line(number).drop_factor
    drops_per_h = flow * factor.numerator // (factor.denominator * 1000)
    paint = tones(scenario)
    return PathView(
        number=str(number),
        maps=_maps(state, line, paint, contents_visible=contents_visible),
        legend=_legend(scenario, line, state, paint),
        contents=_spoken_contents(scenario, line) if contents_visible else (),
        source=str(flowing_role(state.containers, line)),
        anchor_ms=str(state.as_of_ms),
        pump_ul_h=str(flow),
        vein_ul_h=str(0 if _is_held(line) else flow),
        drops_per_h=str(drops_per_h),
        drops=f"{(drops_per_h + 30) // 60} drops/min" if flow else "no drops fall",
    )


def tones(scenario: Scenario) -> dict[str, str]:
    """The class that paints each fluid: plain ones alike, drugs apart, air as air."""
    found = {AIR: "air"}
    drugs: list[str] = []
    for supply in scenario.supplies:
        fluid = scenario.fluid(supply.fluid)
        if fluid.drug and fluid.id not in drugs:
            drugs.append(fluid.id)
        found[fluid.id] = "fluid"
    for place, fluid_id in enumerate(drugs):
        found[fluid_id] = "drug-a" if place % 2 == 0 else "drug-b"
    return found


def _is_held(line: Line) -> bool:
    """Whether nothing leaves the pump for the vein though it turns."""
    return not is_open_below(line) or not line.connected


def _maps(
    state: State, line: Line, paint: dict[str, str], *, contents_visible: bool
) -> tuple[MapView, ...]:
    """The same stations and tubing, laid out lying and upright."""
    tubes = _tubes(state, line, paint, contents_visible=contents_visible)
    parts = stations(state, line, paint, contents_visible=contents_visible)
    return tuple(
        MapView(
            name=layout.name,
            box=layout.box,
            spikes=tuple(layout.spikes.values()),
            tubes=tuple(replace(tube, d=layout.tubes[tube.name]) for tube in tubes),
            stations=tuple(_placed(part, layout.spots[name]) for name, part in parts.items()),
        )
        for layout in line_map.layouts(joined=line.secondary is not None)
    )


def _placed(station: Station, spot: line_map.Spot) -> Station:
    """The station moved to its place in a layout."""
    return replace(station, move=f"translate({spot[0]} {spot[1]})")


def _tubes(
    state: State, line: Line, paint: dict[str, str], *, contents_visible: bool
) -> tuple[Tube, ...]:
    """Every stretch of tubing that has a length, without its place yet."""
    contents, sizes = _contents(line), _sizes(line)
    feeds = paint[source_plugs(state.containers, flowing_inlet_of(state.containers, line))[0].fluid]
    return tuple(
        Tube(
            name=name,
            d="",
            plugs=_stretches(contents[name], size, paint) if contents_visible else (),
            size_ul=str(size // MOTES_PER_UL),
            data_plugs=_data_plugs(contents[name], paint) if contents_visible else "",
            feeds=feeds,
        )
        for name, size in sizes.items()
        if size
    )


def _data_plugs(plugs: tuple[Plug, ...], paint: dict[str, str]) -> str:
    """Plugs for the script, first out first: `fluid:1200,air:80`."""
    return ",".join(f"{paint[plug.fluid]}:{plug.volume // MOTES_PER_UL}" for plug in plugs)


def _stretches(plugs: tuple[Plug, ...], size: int, paint: dict[str, str]) -> tuple[Stretch, ...]:
    """Plugs as dashes on a path of a thousand parts; the first plug ends at its far end."""
    found, end = [], size
    for plug in plugs:
        begin = max(end - plug.volume, 0)
        found.append(
            Stretch(
                tone=paint[plug.fluid],
                dash=f"{(end - begin) * WHOLE // size} {2 * WHOLE}",
                offset=str(-(begin * WHOLE // size)),
            )
        )
        end = begin
    return tuple(found)


def _legend(
    scenario: Scenario, line: Line, state: State, paint: dict[str, str]
) -> tuple[Tone, ...]:
    """What is in the line or hangs at it, each tone with its word."""
    inlets = (line.primary, line.secondary)
    hung = [state.container(one.container).fluid for one in inlets if one and one.container]
    plugs = [plug.fluid for tube in _contents(line).values() for plug in tube]
    found = dict.fromkeys((*hung, *plugs))
    if AIR not in found and any(size and not tube for size, tube in _sized(line)):
        found[AIR] = None
    return tuple(
        Tone(cls=paint[one], name="air" if one == AIR else scenario.fluid(one).name)
        for one in found
    )


def _contents(line: Line) -> dict[str, tuple[Plug, ...]]:
    """What lies in each stretch of tubing, first plug first out."""
    found = {"primary": line.primary.contents, "above": line.above, "below": line.below}
    if line.secondary:
        found["secondary"] = line.secondary.contents
    return found


def _sizes(line: Line) -> dict[str, int]:
    found = {"primary": line.primary.size, "above": line.above_size, "below": line.below_size}
    if line.secondary:
        found["secondary"] = line.secondary.size
    return found


def _sized(line: Line) -> tuple[tuple[int, tuple[Plug, ...]], ...]:
    contents, sizes = _contents(line), _sizes(line)
    return tuple((sizes[name], contents[name]) for name in sizes)


_STRETCHES = {
    "secondary": "Secondary tubing",
    "primary": "Tubing from the primary's chamber",
    "above": "Tubing above the pump",
    "below": "Tubing from the pump to the vein",
}


def _spoken_contents(scenario: Scenario, line: Line) -> tuple[str, ...]:
    """What lies in each stretch of tubing, in words, first out first."""
    found = []
    for name, plugs in _contents(line).items():
        parts = [
            f"{'air' if one.fluid == AIR else scenario.fluid(one.fluid).name} "
            f"{words.ml(one.volume)} mL"
            for one in plugs
        ]
        found.append(f"{_STRETCHES[name]}: {', then '.join(parts) or 'dry'}.")
    return tuple(found)

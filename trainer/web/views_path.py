"""A line's fluid path as the page draws it: tubing with what lies in it, and stations."""

from __future__ import annotations

from dataclasses import dataclass, replace

from trainer.engine import power
from trainer.engine.blend import blended
from trainer.engine.figures import MOTES_PER_UL
from trainer.engine.path import source_plugs
from trainer.engine.state import Inlet, Line, Plug, State
from trainer.terms import AIR, Drive, Role
from trainer.web import line_map, words
from trainer.web.motion import Motion, motion
from trainer.web.station import Sight, Station, rows
from trainer.web.stations import stations
from trainer.web.stations_above import drops_per_h
from trainer.web.tones import drug_share, tone_of, tones
from trainer.web.views_contents import (
    LyingView,
    Tone,
    contents_of,
    legend,
    lying,
    sizes_of,
    spoken_contents,
)

WHOLE = 1000
"""Each stretch of tubing counts a thousand parts from its upstream to its downstream end."""

NAME_LETTERS = {"wide": 16, "upright": 34}
"""How many letters of a station's name fit into one row of each drawing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A plug as drawn: where it begins on its tubing and how long it is, in thousandths."""

    tone: str
    dash: str
    offset: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Tube:
    """One stretch of tubing.

    `data_plugs` tells the script its plugs as `tone:microlitres:thousandths of drug`,
    `feeds` in the same way what follows them.
    """

    name: str
    d: str
    plugs: tuple[Stretch, ...]
    size_ul: str
    data_plugs: str
    feeds: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MapView:
    """One drawing of the line, lying or upright."""

    name: str
    box: str
    spikes: tuple[str, ...]
    tubes: tuple[Tube, ...]
    stations: tuple[Station, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PathView:
    """A whole path. Numbers for the script are microlitres an hour and milliseconds.

    `drops` says how fast drops fall; on a gravity line it is shown only to those for whom
    no drop falls, since counting is the learner's work.
    """

    number: str
    drive: str
    maps: tuple[MapView, ...]
    legend: tuple[Tone, ...]
    contents: tuple[str, ...]
    lying: tuple[LyingView, ...]
    site_seen: str
    source: str
    anchor_ms: str
    course: str
    primary_ul_h: str
    secondary_ul_h: str
    battery_ms: str  # empty on the mains
    drops: str
    opening: str

    @property
    def stations(self) -> tuple[Station, ...]:
        """The stations in the order of the flow, the same in every map."""
        return self.maps[0].stations


def path_view(state: State, number: int, *, contents_visible: bool) -> PathView:
    """The path of line `number`."""
    line, scenario = state.line(number), state.scenario
    paint, course = tones(scenario), motion(state, number)
    sight = Sight(state=state, line=line, motion=course, paint=paint, visible=contents_visible)
    maps = _maps(sight)
    return PathView(
        number=str(number),
        drive=str(line.drive),
        maps=maps,
        legend=legend(state, line, paint, visible=contents_visible),
        contents=spoken_contents(scenario, line) if contents_visible else (),
        lying=lying(scenario, line, paint) if contents_visible else (),
        site_seen=_site_seen(state, line),
        source=course.source,
        anchor_ms=str(state.as_of_ms),
        course=course.as_data,
        primary_ul_h=str(course.primary_ul_h),
        secondary_ul_h=str(course.secondary_ul_h),
        battery_ms=_battery_ms(state, line),
        drops=_drops(state, number, course),
        opening=next((one.opening for one in maps[0].stations if one.opening), ""),
    )


def _battery_ms(state: State, line: Line) -> str:
    return str(power.left_ms(state, line)) if power.is_on_battery(state, line) else ""


def _drops(state: State, number: int, course: Motion) -> str:
    """How fast drops fall in the chambers, in words; empty on a syringe line."""
    if state.line(number).drive is Drive.SYRINGE:
        return ""
    flow = max(0, course.primary_ul_h) + max(0, course.secondary_ul_h)
    per_min = (drops_per_h(state, number, flow) + 30) // 60
    return f"{per_min} drops/min" if flow else "no drops fall"


def _site_seen(state: State, line: Line) -> str:
    """What the last look at the site showed, and when."""
    seen = next(one for one in state.access if one.id == line.access)
    if seen.seen_ms is None:
        return ""
    return f"Site at {words.ward_time(state.scenario, seen.seen_ms)}: {seen.seen}"


def _maps(sight: Sight) -> tuple[MapView, ...]:
    """The same stations and tubing, laid out lying and upright."""
    tubes, parts, line = _tubes(sight), stations(sight), sight.line
    return tuple(
        MapView(
            name=layout.name,
            box=layout.box,
            spikes=tuple(layout.spikes.values()),
            tubes=tuple(replace(tube, d=layout.tubes[tube.name]) for tube in tubes),
            stations=tuple(
                _placed(part, layout.spots[name], NAME_LETTERS[layout.name])
                for name, part in parts.items()
            ),
        )
        for layout in line_map.layouts(line.drive, joined=line.secondary is not None)
    )


def _placed(station: Station, spot: line_map.Spot, letters: int) -> Station:
    """The station moved to its place in a layout, its name in rows that fit there."""
    move = f"translate({spot[0]} {spot[1]})"
    return replace(station, move=move, rows=rows(station, letters))


def _tubes(sight: Sight) -> tuple[Tube, ...]:
    """Every stretch of tubing that has a length, without its place yet."""
    line, paint, visible = sight.line, sight.paint, sight.visible
    contents, sizes = contents_of(line), sizes_of(line)
    return tuple(
        Tube(
            name=name,
            d="",
            plugs=_stretches(contents[name], size, paint) if visible else (),
            size_ul=str(size // MOTES_PER_UL),
            data_plugs=_data_plugs(contents[name], paint) if visible else "",
            feeds=_feeds(sight, name) if visible else "",
        )
        for name, size in sizes.items()
        if size
    )


def _feeds(sight: Sight, name: str) -> str:
    """What follows a stretch's plugs while it flows, as the script reads it.

    Behind an inlet's tubing its container, behind the join what both inlets give: their
    blend if both flow, else nothing of its own, because the inlet's tubing follows.
    """
    line, course = sight.line, sight.motion
    if name in (Role.PRIMARY, Role.SECONDARY):
        return _feed(sight, line.primary if name == Role.PRIMARY else line.secondary)
    if line.drive is Drive.SYRINGE:
        return _feed(sight, line.primary)
    if name != "above" or course.source != "both" or line.secondary is None:
        return ""
    parts = (
        (_next_of(sight, line.primary), course.primary_ul_h),
        (_next_of(sight, line.secondary), course.secondary_ul_h),
    )
    if AIR in (parts[0][0], parts[1][0]):
        return _one_plug(AIR, 0, sight.paint)
    return _one_plug(blended(parts), 0, sight.paint)


def _feed(sight: Sight, inlet: Inlet | None) -> str:
    if inlet is None:
        return ""
    return _one_plug(source_plugs(sight.state.containers, inlet)[0].fluid, 0, sight.paint)


def _next_of(sight: Sight, inlet: Inlet) -> str:
    """The fluid that comes to the join from an inlet."""
    if inlet.contents:
        return inlet.contents[0].fluid
    return source_plugs(sight.state.containers, inlet)[0].fluid


def _one_plug(fluid: str, volume: int, paint: dict[str, str]) -> str:
    return f"{tone_of(paint, fluid)}:{volume // MOTES_PER_UL}:{drug_share(paint, fluid)}"


def _data_plugs(plugs: tuple[Plug, ...], paint: dict[str, str]) -> str:
    """Plugs for the script, first out first: `fluid:1200:0,drug-a:80:1000`."""
    return ",".join(_one_plug(plug.fluid, plug.volume, paint) for plug in plugs)


def _stretches(plugs: tuple[Plug, ...], size: int, paint: dict[str, str]) -> tuple[Stretch, ...]:
    """Plugs as dashes on a path of a thousand parts; the first plug ends at its far end."""
    found, end = [], size
    for plug in plugs:
        begin = max(end - plug.volume, 0)
        found.append(
            Stretch(
                tone=tone_of(paint, plug.fluid),
                dash=f"{(end - begin) * WHOLE // size} {2 * WHOLE}",
                offset=str(-(begin * WHOLE // size)),
            )
        )
        end = begin
    return tuple(found)

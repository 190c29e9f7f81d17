"""A line as it stood at a moment of an ended attempt: the bedside's own drawing, held still.

The map, the running values and their words are the bedside's (`views_path`, `views_running`).
Looked at as it truly was, what nobody could see there is added: what blocks the tubing as a
cross on it, what is true of a site under its name, and a ring round what had not been seen.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.clinical.rounding import format_number, round_half_up
from trainer.engine import drive, view
from trainer.engine.amounts import ml_h_from_ul_h
from trainer.engine.events import Event
from trainer.engine.state import Line, State
from trainer.terms import Drive, Site
from trainer.web import line_map, views_path, views_running, words
from trainer.web.deeds import drawer_id
from trainer.web.station import Station
from trainer.web.stations import runs_by_gravity
from trainer.web.tones import tones
from trainer.web.views_contents import Tone, lying
from trainer.web.views_path import PathView, Tube
from trainer.web.views_running import Counter

LEAST_AIR_ML = Fraction(1, 20)
"""Less air than this would be told as 0 mL. Half of the last place told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """One thing that was true: its name and its words."""

    name: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MapThen:
    """One drawing of the line, lying or upright.

    `rings` are the places of stations about which the learner did not know the truth, `held`
    those at which something held the fluid back.
    """

    name: str
    box: str
    spikes: tuple[str, ...]
    tubes: tuple[Tube, ...]
    stations: tuple[Station, ...]
    rings: tuple[str, ...]
    held: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LineThen:
    """A line at the moment."""

    number: str
    title: str
    running: str
    state_cls: str
    counters: tuple[Counter, ...]
    in_force: tuple[str, ...]
    waiting: tuple[str, ...]
    maps: tuple[MapThen, ...]
    legend: tuple[Tone, ...]
    listed: tuple[tuple[str, str], ...]  # station, what it says
    contents: tuple[str, ...]
    facts: tuple[Fact, ...]
    spoken: str


def line_seen(
    state: State, number: int, events: Sequence[Event], *, contents_visible: bool
) -> LineThen:
    """A line as its bedside showed it to the learner."""
    path = views_path.path_view(state, number, contents_visible=contents_visible)
    running = views_running.running_view(state, number, events, in_practice=contents_visible)
    maps = tuple(_map(one, one.stations, (), ()) for one in path.maps)
    return _line(path, running, running.state, maps, ())


def line_as_it_was(
    state: State, number: int, events: Sequence[Event], *, unknown: frozenset[str]
) -> LineThen:
    """A line with everything that was true of it.

    Args:
        state: the bedside at the moment.
        number: the line.
        events: the log until then.
        unknown: stations, as in `line_map`, about which the learner did not know the truth.
    """
    line = state.line(number)
    path = views_path.path_view(state, number, contents_visible=True)
    running = views_running.running_view(state, number, events, in_practice=True)
    layouts = line_map.layouts(line.drive, joined=line.secondary is not None)
    maps = tuple(
        _map(
            one,
            _with_truth(one.stations, state, line),
            tuple(_move(layout.spots[name]) for name in sorted(unknown) if name in layout.spots),
            _held(layout, line),
        )
        for one, layout in zip(path.maps, layouts, strict=True)
    )
    facts = (*_pressure(state, line), *_in_the_way(line), *_lying_there(state, line))
    return _line(path, running, _running(state, line, running.state), maps, facts)


def _map(
    one: views_path.MapView,
    stations: tuple[Station, ...],
    rings: tuple[str, ...],
    held: tuple[str, ...],
) -> MapThen:
    return MapThen(
        name=one.name,
        box=one.box,
        spikes=one.spikes,
        tubes=one.tubes,
        stations=stations,
        rings=rings,
        held=held,
    )


def _line(
    path: PathView,
    running: views_running.RunningView,
    state: str,
    maps: tuple[MapThen, ...],
    facts: tuple[Fact, ...],
) -> LineThen:
    listed = tuple((one.name, one.says) for one in maps[0].stations)
    return LineThen(
        number=path.number,
        title=running.title,
        running=state,
        state_cls=running.state_cls,
        counters=running.counters,
        in_force=running.in_force,
        waiting=running.waiting,
        maps=maps,
        legend=path.legend,
        listed=listed,
        contents=path.contents,
        facts=facts,
        spoken=f"Line {path.number} as a map. " + "; ".join(f"{a}: {b}" for a, b in listed),
    )


# --- what nobody saw --------------------------------------------------------------------


def _with_truth(stations: tuple[Station, ...], state: State, line: Line) -> tuple[Station, ...]:
    """The stations with what is true of the site under its name."""
    access = next(one for one in state.access if one.id == line.access)
    if access.site in (Site.PATENT, Site.REMOVED):
        return stations
    key, said = drawer_id(line.number, "site"), (str(access.site), "")
    return tuple(
        replace(
            one,
            lines=(*one.lines, said),
            rows=(*one.rows, (said[0], f"sy truth sy-{len(one.rows)}")),
        )
        if one.drawer == key
        else one
        for one in stations
    )


def _held(layout: line_map.Layout, line: Line) -> tuple[str, ...]:
    """Where something holds the fluid back: between the stations around it."""
    names = tuple(layout.spots)
    found = []
    if line.blocked_below or line.narrowed_below:
        found.append((names[names.index("tubing") - 1], "tubing"))
    if line.blocked_above and "primary-chamber" in layout.spots:
        clamp = names.index("primary-clamp")
        found.append(("primary-clamp", names[clamp + 1]))
    return tuple(_move(_between(layout.spots[a], layout.spots[b])) for a, b in found)


def _between(one: line_map.Spot, other: line_map.Spot) -> line_map.Spot:
    return (one[0] + other[0]) // 2, (one[1] + other[1]) // 2


def _move(spot: line_map.Spot) -> str:
    return f"translate({spot[0]} {spot[1]})"


def _running(state: State, line: Line, said: str) -> str:
    """What ran, and how fast; by gravity also in drops."""
    flow = drive.flow_ul_h(state, line)
    if line.drive is not Drive.GRAVITY and not runs_by_gravity(state, line):
        rate = line.pump.rate_ul_h
        return f"{said} at {words.rate(rate)} mL/h" if rate else said
    if not flow:
        return "standing"
    drops = format_number(round_half_up(view.drops_per_min(state, line.number), Fraction(1)))
    how = "dripping" if line.drive is Drive.GRAVITY else "running freely, outside its pump,"
    return f"{how} at {words.number(ml_h_from_ul_h(flow))} mL/h, {drops} drops/min"


def _pressure(state: State, line: Line) -> tuple[Fact, ...]:
    """Pressure below a pump that is loaded, with where it alarms."""
    if line.drive is Drive.GRAVITY or not line.loaded:
        return ()
    value = round_half_up(Fraction(view.pressure_mmhg(state, line.number)), Fraction(1))
    limit = format_number(state.scenario.policy.pump.pressure_alarm_mmhg)
    text = f"{format_number(value)} mmHg, alarm at {limit}"
    return (Fact(name="pressure below the pump", text=text),)


def _in_the_way(line: Line) -> tuple[Fact, ...]:
    """What held the fluid back, or let it astray."""
    found = (
        ("blocked below the pump", line.blocked_below),
        ("blocked above the pump", line.blocked_above),
        ("narrowed below the pump", line.narrowed_below),
        ("the set", "lay wrong in the pump" if line.set_slipped else ""),
        ("check valve", "" if line.valve_works else "let fluid run back"),
    )
    return tuple(Fact(name=name, text=text) for name, text in found if text)


def _lying_there(state: State, line: Line) -> tuple[Fact, ...]:
    """Drugs and air that lay in the tubing."""
    scenario = state.scenario
    drugs = tuple(
        Fact(name=f"{one.name} in the tubing", text=f"{one.volume} mL")
        for one in lying(scenario, line, tones(scenario))
    )
    air = view.air_ml(line)
    told = f"{words.number(air)} mL" if air >= LEAST_AIR_ML else ""
    return (*drugs, Fact(name="air in the tubing", text=told)) if told else drugs

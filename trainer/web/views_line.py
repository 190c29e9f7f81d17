"""A line as the page shows it: the map, the counters, and what the pump was told."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.clinical.timebase import format_duration
from trainer.engine.amounts import MOTES_PER_ML, time_to_move
from trainer.engine.path import flowing_inlet_of, flowing_role, is_open_below, source_plugs
from trainer.engine.state import AccessState, AlarmState, Inlet, Line, Plug, Programme, Pump, State
from trainer.scenario.model import Scenario
from trainer.terms import AIR, Role, Running
from trainer.web import line_map, words
from trainer.web.deeds import drawer_id
from trainer.web.phrases import RUNNING_WORDS

MOTES_PER_UL = MOTES_PER_ML // 1000
WHOLE = 1000
"""Each stretch of tubing counts a thousand parts from its upstream to its downstream end."""
BAG_PX = 58
CHAMBER_PX = 36


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
class Station:
    """One part of the line: what it is, what can be seen of it, and its drawer.

    `level_y` and `level_h` draw how full it is; `data_left` and `data_full` (microlitres)
    let the script go on from there.
    """

    kind: str
    drawer: str
    move: str
    name: str
    says: str
    spoken: str
    tone: str = ""
    inside: str = ""
    is_open: bool = True
    turning: bool = False
    level_y: str = "0"
    level_h: str = "0"
    data_left: str = ""
    data_full: str = ""
    role: str = ""

    @property
    def lines(self) -> tuple[str, ...]:
        """What it says, broken where a comma stands."""
        return tuple(self.says.split(", "))


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
class LineView:
    """A whole line. Numbers for the script are whole microlitres and milliseconds."""

    number: str
    title: str
    state: str
    state_cls: str
    rate: str
    given: str
    to_give: str
    left: str
    maps: tuple[MapView, ...]
    legend: tuple[Tone, ...]
    contents: tuple[str, ...]
    in_force: tuple[str, ...]
    waiting: tuple[str, ...]
    contents_visible: bool
    source: str
    anchor_ms: str
    pump_ul_h: str
    vein_ul_h: str
    given_ul: str
    to_give_ul: str
    drops_per_h: str
    drops: str

    @property
    def stations(self) -> tuple[Station, ...]:
        """The stations in the order of the flow, the same in every map."""
        return self.maps[0].stations


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


def line_view(state: State, number: int, *, contents_visible: bool) -> LineView:
    """Line `number` as it is in `state`."""
    line, scenario = state.line(number), state.scenario
    pump = line.pump
    programme = _in_force(pump)
    given = _given(pump)
    flow = line.pump.rate_ul_h
    left_motes = max(programme.volume - given, 0) if programme else 0
    factor = scenario.line(number).drop_factor
    drops_per_h = flow * factor.numerator // (factor.denominator * 1000)
    paint = tones(scenario)
    return LineView(
        number=str(number),
        title=_title(state, line),
        state=RUNNING_WORDS[pump.running],
        state_cls=_state_cls(state, line),
        rate=words.rate(flow),
        given=words.ml(given),
        to_give=words.ml(programme.volume) if programme else "",
        left=_time_left(left_motes, flow) if pump.running is Running.INFUSING else "",
        maps=_maps(state, line, paint, contents_visible=contents_visible),
        legend=_legend(scenario, line, state, paint),
        contents=_spoken_contents(scenario, line) if contents_visible else (),
        in_force=_sentences(pump.primary, pump.secondary),
        waiting=_sentences(pump.entered_primary, pump.entered_secondary),
        contents_visible=contents_visible,
        source=str(flowing_role(state.containers, line)),
        anchor_ms=str(state.as_of_ms),
        pump_ul_h=str(flow),
        vein_ul_h=str(0 if _is_held(line) else flow),
        given_ul=str(given // MOTES_PER_UL),
        to_give_ul=str(programme.volume // MOTES_PER_UL if programme else 0),
        drops_per_h=str(drops_per_h),
        drops=f"{(drops_per_h + 30) // 60} drops/min" if flow else "no drops fall",
    )


def _in_force(pump: Pump) -> Programme | None:
    return pump.secondary if pump.source is Role.SECONDARY else pump.primary


def _given(pump: Pump) -> int:
    return pump.given_secondary if pump.source is Role.SECONDARY else pump.given_primary


def _is_held(line: Line) -> bool:
    """Whether nothing leaves the pump for the vein though it turns."""
    return not is_open_below(line) or not line.connected


def _time_left(left_motes: int, flow_ul_h: int) -> str:
    return format_duration(time_to_move(left_motes, flow_ul_h)) if flow_ul_h else ""


def _title(state: State, line: Line) -> str:
    """The line's number and what runs in it: `Line 1 · maintenance bag`."""
    if not line.primary.container:
        return f"Line {line.number} · nothing hung yet"
    fluid = state.scenario.fluid(state.container(line.primary.container).fluid)
    return f"Line {line.number} · {fluid.name}"


def alarm_of(state: State, number: int) -> AlarmState | None:
    """The first alarm of a line that stands in the state."""
    return next((alarm for alarm in state.alarms if alarm.line == number), None)


def _state_cls(state: State, line: Line) -> str:
    alarm = alarm_of(state, line.number)
    if alarm:
        return f"is-{alarm.priority}"
    return "is-running" if line.pump.running is Running.INFUSING else "is-still"


def _sentences(primary: Programme | None, secondary: Programme | None) -> tuple[str, ...]:
    pairs = ((Role.PRIMARY, primary), (Role.SECONDARY, secondary))
    return tuple(f"{role.capitalize()}: {words.sentence(one)}" for role, one in pairs if one)


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


# --- the map ------------------------------------------------------------------------


def _maps(
    state: State, line: Line, paint: dict[str, str], *, contents_visible: bool
) -> tuple[MapView, ...]:
    return tuple(
        MapView(
            name=layout.name,
            box=layout.box,
            spikes=tuple(layout.spikes.values()),
            tubes=_tubes(state, line, paint, layout, contents_visible=contents_visible),
            stations=_stations(state, line, paint, layout, contents_visible=contents_visible),
        )
        for layout in line_map.layouts(joined=line.secondary is not None)
    )


def _tubes(
    state: State,
    line: Line,
    paint: dict[str, str],
    layout: line_map.Layout,
    *,
    contents_visible: bool,
) -> tuple[Tube, ...]:
    contents, sizes = _contents(line), _sizes(line)
    feeds = paint[source_plugs(state.containers, flowing_inlet_of(state.containers, line))[0].fluid]
    return tuple(
        Tube(
            name=name,
            d=layout.tubes[name],
            plugs=_stretches(contents[name], sizes[name], paint) if contents_visible else (),
            size_ul=str(sizes[name] // MOTES_PER_UL),
            data_plugs=_data_plugs(contents[name], paint) if contents_visible else "",
            feeds=feeds,
        )
        for name in sizes
        if sizes[name]
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


def _tone_hung(state: State, inlet: Inlet, paint: dict[str, str]) -> str:
    return paint[state.container(inlet.container).fluid] if inlet.container else "air"


def _stations(
    state: State,
    line: Line,
    paint: dict[str, str],
    layout: line_map.Layout,
    *,
    contents_visible: bool,
) -> tuple[Station, ...]:
    found: dict[str, Station] = {}
    inlets = ((Role.SECONDARY, line.secondary), (Role.PRIMARY, line.primary))
    for role, inlet in inlets:
        if inlet is not None:
            found |= _inlet_stations(state, line, role, inlet, paint, visible=contents_visible)
    if line.secondary:
        found["port"] = _port_station(line)
    found |= _far_stations(state, line)
    return tuple(_placed(station, layout.spots[name]) for name, station in found.items())


def _placed(station: Station, spot: line_map.Spot) -> Station:
    """The station moved to its place in a layout."""
    fields = {name: getattr(station, name) for name in station.__dataclass_fields__}
    return Station(**{**fields, "move": f"translate({spot[0]} {spot[1]})"})


def _station(line: Line, key: str, kind: str, name: str, says: str, **more: object) -> Station:
    fields: dict[str, object] = {
        "kind": kind,
        "drawer": drawer_id(line.number, key),
        "move": "",
        "name": name,
        "says": says,
        "spoken": f"Line {line.number}, {name}: {says}",
        **more,
    }
    return Station(**fields)  # type: ignore[arg-type]


def _level(left: int, full: int, height: int) -> tuple[str, str]:
    """Top and height of a fill that stands on the bottom of a box around the origin."""
    filled = left * height // full if full else 0
    return str(height // 2 - filled), str(filled)


def _inlet_stations(
    state: State, line: Line, role: Role, inlet: Inlet, paint: dict[str, str], *, visible: bool
) -> dict[str, Station]:
    tone = _tone_hung(state, inlet, paint)
    drop_y, drop_h = _level(inlet.chamber, inlet.chamber_size, CHAMBER_PX)
    filled = inlet.chamber > 0
    return {
        f"{role}-container": _container_station(state, line, role, inlet, tone, visible=visible),
        f"{role}-chamber": _station(
            line,
            f"{role}-chamber",
            "chamber",
            "drip chamber",
            "filled" if filled else "empty",
            tone=tone,
            level_y=drop_y,
            level_h=drop_h,
            role=str(role),
            turning=role is flowing_role(state.containers, line)
            and line.pump.rate_ul_h > 0
            and filled,
        ),
        f"{role}-clamp": _station(
            line,
            f"{role}-clamp",
            "clamp",
            "roller clamp",
            "open" if inlet.clamp_open else "closed",
            is_open=inlet.clamp_open,
        ),
    }


def _container_station(
    state: State, line: Line, role: Role, inlet: Inlet, tone: str, *, visible: bool
) -> Station:
    key = f"{role}-container"
    if not inlet.container:
        return _station(line, key, "container", str(role), "nothing hung", role=str(role))
    container = state.container(inlet.container)
    full = state.scenario.supply(inlet.container).volume_ml * MOTES_PER_ML
    level_y, level_h = _level(container.left, int(full), BAG_PX)
    height = "hung lower" if role is Role.PRIMARY and line.primary_lowered else ""
    spiked = "" if inlet.spiked else "not spiked"
    shown = f"{words.ml(container.left)} mL left" if visible else "hanging"
    return _station(
        line,
        key,
        "container",
        str(role),
        ", ".join(part for part in (shown, height, spiked) if part),
        tone=tone,
        level_y=level_y if visible else "0",
        level_h=level_h if visible else "0",
        data_left=str(container.left // MOTES_PER_UL) if visible else "",
        data_full=str(int(full) // MOTES_PER_UL) if visible else "",
        role=str(role),
        is_open=inlet.spiked,
    )


def _port_station(line: Line) -> Station:
    joined = line.secondary is not None and line.secondary.joined
    says = "secondary connected" if joined else "nothing connected"
    return _station(line, "port", "port", "access port", says, is_open=joined)


def _far_stations(state: State, line: Line) -> dict[str, Station]:
    """From the pump to the vein."""
    flow = line.pump.rate_ul_h
    turning = flow > 0
    runs = f"{words.rate(flow)} mL/h" if turning else RUNNING_WORDS[line.pump.running]
    clamp = "open" if line.patient_clamp_open else "closed"
    return {
        "pump": _station(
            line, "pump", "pump", "pump", runs if line.loaded else "no set in it", turning=turning
        ),
        "tubing": _station(line, "tubing", "tubing", "tubing", "follow it by hand"),
        "patient-clamp": _station(
            line, "patient-clamp", "clamp", "clamp", clamp, is_open=line.patient_clamp_open
        ),
        "site": _site_station(state, line),
    }


def _site_station(state: State, line: Line) -> Station:
    spec = next(one for one in state.scenario.patient.access if one.id == line.access)
    seen = next(one for one in state.access if one.id == line.access)
    gauge = f"{spec.gauge} G" if spec.gauge else ""
    joined = "" if line.connected else ", not connected"
    return _station(
        line,
        "site",
        "site",
        spec.name,
        _looked(state, seen) + joined,
        inside=gauge,
        is_open=line.connected,
    )


def _looked(state: State, access: AccessState) -> str:
    if access.seen_ms is None:
        return "not looked at"
    return f"looked at {words.ward_time(state.scenario, access.seen_ms)}"

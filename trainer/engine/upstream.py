"""A line above its pump: what its containers give when so much is drawn.

Exact and total: whatever the volume, nothing becomes negative. What a source lacks comes
from the next one: container, then drip chamber, then the other inlet, then air. Volumes
are motes, rates microlitres per hour.
"""

from __future__ import annotations

from trainer.engine.confluence import Spring, Stretch, parted, run_together
from trainer.engine.copying import changed
from trainer.engine.heads import Feeds
from trainer.engine.path import (
    Containers,
    container_at,
    feeds,
    inlet_of,
    is_open_above,
    left_at,
    source_plugs,
)
from trainer.engine.sources import poured, put_container, put_inlet, received, taken_from_source
from trainer.engine.state import Inlet, Line
from trainer.engine.tubing import Plugs, filled_with, joined, pushed_through, split, volume_of
from trainer.terms import AIR, Role

__all__ = ["Feeds", "ahead", "alone", "drawn", "feeds", "runs_back", "until_given"]


def runs_back(containers: Containers, line: Line) -> bool:
    """Whether fluid runs up into the primary with the pump standing: its valve is stuck."""
    if line.valve_works or line.secondary is None or not line.secondary.joined:
        return False
    return feeds(containers, line, 0).secondary_ul_h > 0


def drawn(
    containers: Containers, line: Line, volume: int, elapsed_ms: int
) -> tuple[Containers, Line, Plugs]:
    """The line above after so much has gone down in a time, and what went through the pump.

    With a stuck valve fluid moves above the pump though no volume goes down.
    """
    if line.secondary is None or not line.secondary.joined:
        return alone(containers, line, Role.PRIMARY, volume)
    rate = max(1, volume // elapsed_ms) if volume and elapsed_ms else 0
    flows = feeds(containers, line, rate)
    if line.blocked_above:
        return alone(containers, line, _most(flows), volume)
    if flows.primary_ul_h < 0:
        return _running_back(containers, line, flows, volume, elapsed_ms)
    if flows.secondary_ul_h and flows.primary_ul_h:
        return _together(containers, line, flows, volume)
    if not flows.secondary_ul_h:
        return alone(containers, line, Role.PRIMARY, volume)
    available = left_at(containers, line.secondary)
    if volume <= available:
        return alone(containers, line, Role.SECONDARY, volume)
    containers, line, first = alone(containers, line, Role.SECONDARY, available)
    containers, line, then = alone(containers, line, Role.PRIMARY, volume - available)
    return containers, line, joined(first, then)


def _most(flows: Feeds) -> Role:
    """The inlet that gives most."""
    is_secondary = flows.secondary_ul_h > flows.primary_ul_h
    return Role.SECONDARY if is_secondary else Role.PRIMARY


def alone(
    containers: Containers, line: Line, role: Role, volume: int
) -> tuple[Containers, Line, Plugs]:
    """The same, with one inlet giving all of it, or drawn from if its way is shut."""
    inlet = inlet_of(line, role) or line.primary
    is_open = is_open_above(line, inlet)
    source = container_at(containers, inlet) if inlet.spiked else None
    is_enough = is_open and source is not None and source.left >= volume
    if is_enough and source is not None and _is_full_of(line, inlet, source.fluid):
        containers = put_container(containers, poured(source, volume))
        return containers, line, filled_with(source.fluid, volume)
    if is_open:
        containers, inlet, fed = taken_from_source(containers, inlet, volume)
        contents, through_join = pushed_through(inlet.contents, fed)
        above, passed = pushed_through(line.above, through_join)
        sucked = line.drawn
    else:
        passed, rest = split(joined(line.above, inlet.contents), volume)
        above, contents = split(rest, line.above_size)
        sucked = line.drawn + volume_of(passed)
    if contents is not inlet.contents:
        inlet = changed(inlet, contents=contents)
    return containers, _with_tubing(line, role, inlet, above, sucked), passed


def _is_full_of(line: Line, inlet: Inlet, fluid: str) -> bool:
    """Whether tubing and container hold one fluid: then only the container falls."""
    for plugs in (inlet.contents, line.above):
        if len(plugs) > 1 or (plugs and plugs[0].fluid != fluid):
            return False
    return True


def _with_tubing(line: Line, role: Role, inlet: Inlet, above: Plugs, sucked: int) -> Line:
    fields = {"primary" if role is Role.PRIMARY else "secondary": inlet}
    return changed(line, above=above, drawn=sucked, **fields)


def _spring(containers: Containers, inlet: Inlet) -> Spring:
    """An inlet's tubing and behind it what its container and chamber hold."""
    most = left_at(containers, inlet)
    source = source_plugs(containers, inlet) if most else ()
    return Spring(joined(inlet.contents, source), most)


def _stretches(containers: Containers, line: Line, flows: Feeds, volume: int) -> list[Stretch]:
    secondary = line.secondary or line.primary
    return list(
        run_together(
            _spring(containers, line.primary), _spring(containers, secondary), flows, volume
        )
    )


def _together(
    containers: Containers, line: Line, flows: Feeds, volume: int
) -> tuple[Containers, Line, Plugs]:
    """Both inlets give; what they give mixes at the join."""
    through_join: Plugs = ()
    from_secondary = 0
    for stretch in _stretches(containers, line, flows, volume):
        through_join = joined(through_join, filled_with(stretch.fluid, stretch.volume))
        from_secondary += stretch.from_secondary(stretch.volume)
    for role, given in (
        (Role.PRIMARY, volume - from_secondary),
        (Role.SECONDARY, from_secondary),
    ):
        inlet = inlet_of(line, role) or line.primary
        containers, inlet, fed = taken_from_source(containers, inlet, given)
        contents, _ = pushed_through(inlet.contents, fed)
        line = put_inlet(line, role, changed(inlet, contents=contents))
    above, passed = pushed_through(line.above, through_join)
    return containers, changed(line, above=above), passed


def _running_back(
    containers: Containers, line: Line, flows: Feeds, volume: int, elapsed_ms: int
) -> tuple[Containers, Line, Plugs]:
    """The valve is stuck: the secondary gives more than is drawn, the rest runs up."""
    inlet = line.secondary or line.primary
    wanted = volume - flows.primary_ul_h * elapsed_ms
    given = min(wanted, left_at(containers, inlet))
    containers, inlet, fed = taken_from_source(containers, inlet, given)
    contents, came = pushed_through(inlet.contents, fed)
    line = put_inlet(line, Role.SECONDARY, changed(inlet, contents=contents))
    through_join, up = parted(came, flows.secondary_ul_h + flows.primary_ul_h, flows.secondary_ul_h)
    containers, line = _run_up(containers, line, up)
    above, passed = pushed_through(line.above, through_join)
    line = changed(line, above=above)
    missing = volume - volume_of(passed)
    if missing <= 0:
        return containers, line, passed
    containers, line, rest = alone(containers, line, Role.PRIMARY, missing)
    return containers, line, joined(passed, rest)


def _run_up(containers: Containers, line: Line, up: Plugs) -> tuple[Containers, Line]:
    """Fluid from the join up the primary's tubing; what lay in it goes to the container."""
    inlet = line.primary
    contents: Plugs = ()
    for plug in (*reversed(up), *inlet.contents):
        contents = joined(contents, (plug,))
    contents, out = split(contents, inlet.size)
    containers, inlet, _ = received(containers, changed(inlet, contents=contents), out)
    return containers, changed(line, primary=inlet)


def ahead(containers: Containers, line: Line, rate_ul_h: int, reach: int) -> tuple[Plugs, ...]:
    """What will come to the pump, in order, as stretches; at least `reach` of it if there is.

    For the fronts and bubbles that a turning pump brings on.
    """
    if line.secondary is None or not line.secondary.joined:
        return _ahead_alone(containers, line, line.primary)
    flows = feeds(containers, line, max(1, rate_ul_h))
    if flows.secondary_ul_h <= 0:
        return _ahead_alone(containers, line, line.primary)
    if flows.primary_ul_h == 0:
        return _ahead_alone(containers, line, line.secondary)
    if flows.primary_ul_h < 0:
        spring = _spring(containers, line.secondary)
        return line.above, parted(spring.plugs, rate_ul_h, flows.secondary_ul_h)[0]
    coming: Plugs = ()
    for stretch in _stretches(containers, line, flows, reach - volume_of(line.above) + 1):
        coming = joined(coming, filled_with(stretch.fluid, stretch.volume))
    return line.above, coming


def _ahead_alone(containers: Containers, line: Line, inlet: Inlet) -> tuple[Plugs, ...]:
    source = source_plugs(containers, inlet) if is_open_above(line, inlet) else ()
    return line.above, inlet.contents, source


def _is_even(containers: Containers, line: Line) -> bool:
    """Whether each inlet is full of what its container holds: both run on as they run now."""
    for inlet in (line.primary, line.secondary or line.primary):
        plugs = _spring(containers, inlet).plugs
        if len(plugs) != 1 or plugs[0].fluid == AIR:
            return False
    return True


def until_given(
    containers: Containers, line: Line, flows: Feeds, role: Role, wanted: int, reach: int
) -> int | None:
    """How much goes through the pump until an inlet has given so much; None beyond `reach`.

    For flows of two inlets toward the pump.
    """
    whole = flows.primary_ul_h + flows.secondary_ul_h
    if _is_even(containers, line):
        stretch = Stretch("", reach, flows.secondary_ul_h, whole)
        return stretch.until(role, wanted) if stretch.given(role, reach) >= wanted else None
    passed = 0
    for stretch in _stretches(containers, line, flows, reach):
        gives = stretch.given(role, stretch.volume)
        if gives >= wanted:
            return passed + stretch.until(role, wanted)
        wanted -= gives
        passed += stretch.volume
    return None

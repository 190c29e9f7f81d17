"""Fluids that must not meet, and whether they do: in a line, at a join, in one catheter.

Which do is the ward's data (`scenario.model.Incompatible`). They meet where one follows
the other in tubing that flows, where two flow together, and where two lines run into the
same catheter. It is told once for each pair and line; what falls out may block the line,
which then needs a new set (`freeing.NEW_SET`).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise

from trainer.engine.blend import parts_of
from trainer.engine.drive import flow_ul_h, is_running
from trainer.engine.events import Event, FluidsMet, LineBlocked
from trainer.engine.freeing import NEW_SET
from trainer.engine.path import feeds, flowing_inlet_of, source_plugs
from trainer.engine.state import Inlet, Line, State
from trainer.engine.tubing import Plugs, joined
from trainer.scenario.model import Incompatible, Scenario
from trainer.terms import AIR, Where

Pair = tuple[str, str]


def clash(scenario: Scenario, first: str, second: str) -> Incompatible | None:
    """What the ward says of these two fluids meeting; None if they may."""
    names, others = _names(scenario, first), _names(scenario, second)
    for rule in scenario.formulary.incompatible:
        if (rule.first in names and rule.second in others) or (
            rule.second in names and rule.first in others
        ):
            return rule
    return None


def _names(scenario: Scenario, fluid_id: str) -> tuple[str, ...]:
    """What a rule may call a fluid: its own id, or its drug's."""
    drug = next((one.drug for one in scenario.formulary.fluids if one.id == fluid_id), "")
    return (fluid_id, drug) if drug else (fluid_id,)


def met(state: State) -> tuple[Event, ...]:
    """Fluids that meet now and have not been told of yet, and what it does to their lines."""
    if not state.scenario.formulary.incompatible or state.ended:
        return ()
    found: list[Event] = []
    for line in state.lines:
        told = set(line.fluids_met)
        for first, second in _touching(state, line):
            pair = (min(first, second), max(first, second))
            rule = clash(state.scenario, first, second) if pair not in told else None
            if rule is not None:
                told.add(pair)
                found.extend(_events(state, line, pair, rule))
    return tuple(found)


def _events(state: State, line: Line, pair: Pair, rule: Incompatible) -> tuple[Event, ...]:
    at_ms, number = state.as_of_ms, line.number
    first, second = pair
    text = rule.looks or rule.because
    together = FluidsMet(at_ms=at_ms, line=number, first=first, second=second, text=text)
    if not rule.blocks or line.blocked_below_mend is NEW_SET:
        return (together,)
    reason = rule.looks or "something has fallen out and holds the fluid back"
    return together, LineBlocked(
        at_ms=at_ms, line=number, where=Where.DOWNSTREAM, reason=reason, mend=NEW_SET
    )


def _parts(fluid_id: str) -> tuple[str, ...]:
    """The pure fluids that are in it."""
    return tuple(fluid for fluid, _ in parts_of(fluid_id))


def _touching(state: State, line: Line) -> Iterator[Pair]:
    """The pairs of fluids that touch in this line or in its catheter."""
    if not is_running(state, line):
        return
    feeding = _feeding(state, line)
    for inlet in feeding:
        yield from _along(joined(joined(line.below, line.above), _fed(state, inlet)))
    for one, other in combinations(feeding, 2):
        yield from _across(_first(_fed(state, one)), _first(_fed(state, other)))
    for neighbour in _beside(state, line):
        yield from _across(leaving(state, line), leaving(state, neighbour))


def _feeding(state: State, line: Line) -> tuple[Inlet, ...]:
    """The inlets whose fluid moves at the join, toward the pump or back."""
    if line.secondary is None or not line.secondary.joined:
        return (line.primary,)
    flows = feeds(state.containers, line, flow_ul_h(state, line))
    return tuple(
        inlet
        for inlet, flow in (
            (line.primary, flows.primary_ul_h),
            (line.secondary, flows.secondary_ul_h),
        )
        if flow
    )


def _along(path: Plugs) -> Iterator[Pair]:
    """What lies next to what along a way, and what is mixed in it."""
    for plug in path:
        yield from combinations(_parts(plug.fluid), 2)
    for one, other in pairwise(path):
        yield from _across(one.fluid, other.fluid)


def _across(first: str, second: str) -> Iterator[Pair]:
    for one in _parts(first):
        for other in _parts(second):
            if AIR not in (one, other) and one != other:
                yield one, other


def _fed(state: State, inlet: Inlet) -> Plugs:
    """What lies in an inlet's tubing, and what would follow from its container."""
    return joined(inlet.contents, source_plugs(state.containers, inlet))


def _first(path: Plugs) -> str:
    return path[0].fluid if path else AIR


def _beside(state: State, line: Line) -> list[Line]:
    """Other lines that run into the same catheter now."""
    if not line.connected:
        return []
    return [
        one
        for one in state.lines
        if one.number != line.number
        and one.access == line.access
        and one.connected
        and is_running(state, one)
    ]


def leaving(state: State, line: Line) -> str:
    """What leaves a line at its end now."""
    inlet = flowing_inlet_of(state.containers, line)
    return _first((*line.below, *line.above, *_fed(state, inlet)))

"""What harms in every scenario, without an author's rule.

Fluid that ran freely through a line meant for a pump, an infusion that went on into a
swollen site after it was seen, fluids that met and must not. An override of a limit is
told and not judged: whether its reason holds is for people to say.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from trainer.engine import site, view
from trainer.engine.carry import carry
from trainer.engine.events import Event, FluidsMet, LimitOverridden, Perceived
from trainer.engine.meeting import clash
from trainer.engine.state import Line, State
from trainer.engine.tubing import volume_of, volume_of_air
from trainer.scenario.model import Scenario
from trainer.scoring import explain
from trainer.scoring.findings import Finding
from trainer.scoring.into_vein import LEAST_TOLD
from trainer.terms import Domain, Drive, Site, Verdict

GRACE_MS = 60_000
"""From seeing a swollen site to a standing pump. Chosen by us: time to reach it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Went:
    """Fluid that went where it must not, by line or catheter: from when to when, in motes."""

    where: str
    from_ms: int
    until_ms: int
    volume: int


def findings(
    scenario: Scenario, events: tuple[Event, ...], states: tuple[State, ...]
) -> tuple[Finding, ...]:
    """A critical finding for each such harm. `states` are one more than the events."""
    freely = (_freely(scenario, one) for one in ran_freely(events, states))
    swollen = (_swollen(scenario, one) for one in into_tissue(events, states))
    return (*freely, *swollen, *_met(scenario, events))


# --- free flow ----------------------------------------------------------------------


def ran_freely(events: tuple[Event, ...], states: tuple[State, ...]) -> tuple[Went, ...]:
    """What reached the vein through each pump's line while its set was not in the pump."""
    parts = [
        Went(
            where=str(line.number),
            from_ms=before.as_of_ms,
            until_ms=event.at_ms,
            volume=_into_vein(before, line, event.at_ms),
        )
        for event, before in zip(events, states, strict=False)
        if event.at_ms > before.as_of_ms
        for line in before.lines
        if line.drive is not Drive.GRAVITY and (not line.loaded or line.set_slipped)
    ]
    return _told(parts)


def _into_vein(state: State, line: Line, until_ms: int) -> int:
    plugs = view.vein_plugs(state, line.number, until_ms)
    return volume_of(plugs) - volume_of_air(plugs)


def _told(parts: list[Went]) -> tuple[Went, ...]:
    """The parts of each place as one, in order; too little to be told is left out."""
    with_some = [one for one in parts if one.volume > 0]
    found = []
    for where in dict.fromkeys(one.where for one in with_some):
        mine = [one for one in with_some if one.where == where]
        volume = sum(one.volume for one in mine)
        if volume >= LEAST_TOLD:
            first, last = mine[0].from_ms, mine[-1].until_ms
            found.append(Went(where=where, from_ms=first, until_ms=last, volume=volume))
    return tuple(found)


def _freely(scenario: Scenario, went: Went) -> Finding:
    told = explain.volume(went.volume)
    return Finding(
        id=f"free-flow.line-{went.where}",
        verdict=Verdict.WRONG,
        domain=Domain.SETTING_UP,
        title=f"{told} ran freely into the vein through line {went.where}",
        reason=explain.joined(
            f"{_when(scenario, went)} the set lay open outside its pump.",
            "Nothing but height sets such a flow. Close a clamp before a set is taken out of "
            "its pump, and open it only when the set lies in it again.",
        ),
        at_ms=went.from_ms,
        plan="delivered",
        expected="no free flow",
        actual=told,
        critical=True,
    )


def _when(scenario: Scenario, went: Went) -> str:
    """`At 08:52`, or `From 08:52 to 08:55`."""
    first, last = (
        explain.ward_clock(scenario.starts_at, at_ms) for at_ms in (went.from_ms, went.until_ms)
    )
    return f"At {first}" if first == last else f"From {first} to {last}"


# --- into the tissue ------------------------------------------------------------------


def into_tissue(events: tuple[Event, ...], states: tuple[State, ...]) -> tuple[Went, ...]:
    """What went into each site's tissue after its swelling had been seen.

    What runs within `GRACE_MS` of the look does not count; what is pushed by hand does.
    """
    seen: dict[str, int] = {}
    parts: list[Went] = []
    for event, (before, after) in zip(events, pairwise(states), strict=True):
        for access, seen_ms in seen.items():
            parts += _gained(before, after, access, seen_ms + GRACE_MS)
        _note_look(seen, event, after)
    return _told(parts)


def _gained(before: State, after: State, access: str, from_ms: int) -> list[Went]:
    """What the tissue gained up to an event by flow, and by the event itself."""
    at_ms = after.as_of_ms
    arrived = carry(before, at_ms)
    parts = [
        Went(where=access, from_ms=at_ms, until_ms=at_ms, volume=_more(arrived, after, access))
    ]
    start_ms = max(before.as_of_ms, from_ms)
    if at_ms > start_ms:
        flowed = _more(carry(before, start_ms), arrived, access)
        parts.insert(0, Went(where=access, from_ms=start_ms, until_ms=at_ms, volume=flowed))
    return parts


def _more(before: State, after: State, access: str) -> int:
    return _tissue(after, access) - _tissue(before, access)


def _tissue(state: State, access: str) -> int:
    one = site.access_state(state, access)
    return one.tissue if one else 0


def _note_look(seen: dict[str, int], event: Event, state: State) -> None:
    """Which swollen sites have been seen, and when first; mended ones are forgotten."""
    if isinstance(event, Perceived) and event.of == "site" and event.which not in seen:
        seen[event.which] = event.at_ms
    for access in state.access:
        if access.site is not Site.INFILTRATED:
            seen.pop(access.id, None)


def _swollen(scenario: Scenario, went: Went) -> Finding:
    told = explain.volume(went.volume)
    name = next((one.name for one in scenario.patient.access if one.id == went.where), went.where)
    return Finding(
        id=f"tissue.{went.where}",
        verdict=Verdict.WRONG,
        domain=Domain.WATCHING,
        title=f"{told} went on into the tissue after the swelling was seen ({name})",
        reason=explain.joined(
            f"{_when(scenario, went)} fluid still ran into a site that was known to be swollen.",
            "Stop the infusion at once; no pressure alarm can be relied on to do it.",
        ),
        at_ms=went.from_ms,
        plan="delivered",
        expected="stopped when the swelling was seen",
        actual=told,
        critical=True,
    )


# --- fluids that met ------------------------------------------------------------------


def _met(scenario: Scenario, events: tuple[Event, ...]) -> tuple[Finding, ...]:
    """One finding for each pair, at its first meeting."""
    firsts: dict[tuple[str, str], FluidsMet] = {}
    for event in events:
        if isinstance(event, FluidsMet):
            firsts.setdefault((event.first, event.second), event)
    return tuple(_meeting(scenario, event) for event in firsts.values())


def _meeting(scenario: Scenario, event: FluidsMet) -> Finding:
    first, second = (scenario.fluid(one).name for one in (event.first, event.second))
    rule = clash(scenario, event.first, event.second)
    at = explain.ward_clock(scenario.starts_at, event.at_ms)
    return Finding(
        id=f"met.{event.first}.{event.second}",
        verdict=Verdict.WRONG,
        domain=Domain.SETTING_UP,
        title=f"{first} and {second} met in line {event.line}",
        reason=explain.joined(
            f"At {at} the two ran together, and they must not.",
            explain.sentence(rule.because if rule else ""),
            explain.sentence(event.text),
        ),
        at_ms=event.at_ms,
        plan="delivered",
        expected="never together",
        actual="together",
        critical=True,
    )


# --- told without a mark --------------------------------------------------------------


def also(scenario: Scenario, events: tuple[Event, ...]) -> tuple[str, ...]:
    """A sentence or two for each limit that was overridden, with the reason given."""
    return tuple(
        f"At {explain.ward_clock(scenario.starts_at, event.at_ms)}, values outside a limit were "
        f"entered for line {event.line}: {event.text} The reason given: "
        f"{explain.sentence(event.reason)}"
        for event in events
        if isinstance(event, LimitOverridden)
    )

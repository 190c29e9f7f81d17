"""What reached the vein, stretch by stretch: fluid and air apart, through which line and how.

Read from the folded bedside. Air is never volume given. What is told of it, and of
flushes, needs no author's rule: it holds in every scenario.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from itertools import accumulate

from trainer.engine import begin, downstream, drive, evolve, view
from trainer.engine.amounts import ml_from_motes, motes_from_ml
from trainer.engine.carry import carry
from trainer.engine.events import Event, Flushed, PressureReleased, Primed
from trainer.engine.state import Ledger, Line, State
from trainer.engine.tubing import Plugs, volume_of, volume_of_air
from trainer.scenario.model import Scenario
from trainer.scoring import explain
from trainer.scoring.findings import Finding
from trainer.terms import AIR, Domain, Verdict

LEAST_TOLD = motes_from_ml(Fraction("0.005"))
"""Less air than this would be told as 0 mL. Chosen by us: half of the last place told."""


class By(StrEnum):
    """By what something came into the vein, in words."""

    PUMP = "carried by the pump"
    GRAVITY = "carried by a flow that height alone drives"
    PRIMING = "as the line was primed while connected"
    FLUSH = "pushed by a flush"
    PRESSURE = "as the pressure in the line was let go"


@dataclass(frozen=True, slots=True, kw_only=True)
class Poured:
    """What came into the vein through one line from one moment to another, in motes.

    `from_ms` equals `until_ms` where it came at once; `air_from_ms` is when the first air of
    it came.
    """

    line: int
    by: By
    from_ms: int
    until_ms: int
    fluid: int
    air: int = 0
    air_from_ms: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Air:
    """The air that came into the vein through one line in one way, in motes."""

    line: int
    by: By
    from_ms: int
    until_ms: int
    volume: int


def poured(
    scenario: Scenario, events: tuple[Event, ...], states: tuple[State, ...] = ()
) -> tuple[Poured, ...]:
    """Everything that reached the vein, in the order of time.

    `states`, where known already, are at the beginning and after each event.
    """
    begun = begin.initial_state(scenario)
    states = states or tuple(accumulate(events, evolve.evolve, initial=begun))
    before = states[0]
    found: list[Poured] = []
    for event, after in zip(events, states[1:], strict=True):
        if event.at_ms > before.as_of_ms:
            found += _by_pump(before, event.at_ms)
        if isinstance(event, Flushed | PressureReleased | Primed):
            found += _at_once(carry(before, event.at_ms), event, after)
        before = after
    return tuple(found)


def _by_pump(state: State, until_ms: int) -> list[Poured]:
    """What the lines bring into the vein, by pump or by height, up to the next event."""
    found = []
    for line in state.lines:
        plugs = view.vein_plugs(state, line.number, until_ms)
        if plugs:
            air = volume_of_air(plugs)
            found.append(
                Poured(
                    line=line.number,
                    by=By.GRAVITY if drive.is_by_gravity(state, line) else By.PUMP,
                    from_ms=state.as_of_ms,
                    until_ms=until_ms,
                    fluid=volume_of(plugs) - air,
                    air=air,
                    air_from_ms=_air_from_ms(state, line, plugs, until_ms) if air else 0,
                )
            )
    return found


def _air_from_ms(state: State, line: Line, plugs: Plugs, until_ms: int) -> int:
    """The moment at which all that comes before the first air has come."""
    ahead = _before_air(plugs)
    through = drive.through_law(state, line)
    by_gravity = drive.is_by_gravity(state, line)
    leaving = downstream.out_law(state.access, line, through, by_gravity=by_gravity)
    first_ms = leaving.first_ms(ahead + 1, until_ms - state.as_of_ms)
    return until_ms if first_ms is None else state.as_of_ms + first_ms - 1


def _before_air(plugs: Plugs) -> int:
    """How much comes before the first air."""
    ahead = 0
    for plug in plugs:
        if plug.fluid == AIR:
            break
        ahead += plug.volume
    return ahead


def _at_once(
    before: State, event: Flushed | PressureReleased | Primed, after: State
) -> list[Poured]:
    """What one event brought into the vein in no time."""
    fluid = _fluid_in(after.ledger) - _fluid_in(before.ledger)
    air = after.ledger.air_in_vein - before.ledger.air_in_vein
    if not fluid and not air:
        return []
    at_ms = event.at_ms
    by = {Flushed: By.FLUSH, Primed: By.PRIMING, PressureReleased: By.PRESSURE}[type(event)]
    return [
        Poured(
            line=event.line,
            by=by,
            from_ms=at_ms,
            until_ms=at_ms,
            fluid=fluid,
            air=air,
            air_from_ms=at_ms,
        )
    ]


def _fluid_in(ledger: Ledger) -> int:
    return sum(volume for _, volume in ledger.vein)


# --- air ----------------------------------------------------------------------------


def air_in_vein(parts: tuple[Poured, ...]) -> tuple[Air, ...]:
    """The air that reached the vein, by line and way, in the order in which it first came."""
    with_air = [one for one in parts if one.air]
    found = []
    for line, by in dict.fromkeys((one.line, one.by) for one in with_air):
        mine = [one for one in with_air if (one.line, one.by) == (line, by)]
        volume = sum(one.air for one in mine)
        if volume >= LEAST_TOLD:
            first, last = mine[0].air_from_ms, mine[-1].air_from_ms
            found.append(Air(line=line, by=by, from_ms=first, until_ms=last, volume=volume))
    return tuple(found)


def findings(scenario: Scenario, air: tuple[Air, ...]) -> tuple[Finding, ...]:
    """A critical finding for each line through which as much air came as the ward stops at.

    The policy's limit is for one bubble at the detector; here all the air of a line counts
    together, since the child gets all of it.
    """
    limit = motes_from_ml(scenario.policy.pump.air_alarm_ml)
    found = []
    for line in dict.fromkeys(one.line for one in air):
        mine = tuple(one for one in air if one.line == line)
        volume = sum(one.volume for one in mine)
        if volume >= limit:
            found.append(_finding(scenario, line, volume, mine))
    return tuple(found)


def _finding(scenario: Scenario, line: int, volume: int, mine: tuple[Air, ...]) -> Finding:
    told = explain.volume(volume)
    limit = explain.rounded_ml(scenario.policy.pump.air_alarm_ml)
    how = (
        f"{_when(scenario, one)}, {explain.volume(one.volume)} of air, {one.by.value}."
        for one in mine
    )
    return Finding(
        id=f"air.line-{line}",
        verdict=Verdict.WRONG,
        domain=Domain.SETTING_UP,
        title=f"{told} of air reached the vein through line {line}",
        reason=explain.joined(
            *how,
            f"This ward's pump stops for a bubble of {limit}; what enters below its detector, "
            "or is pushed by hand, it does not stop. Air belongs out of the line before the "
            "line is on the patient.",
        ),
        at_ms=min(one.from_ms for one in mine),
        plan="delivered",
        expected="no air",
        actual=told,
        critical=True,
    )


def _when(scenario: Scenario, air: Air) -> str:
    """`At 08:52`, or `From 08:52 to 08:55` where it came more than once."""
    first, last = (
        explain.ward_clock(scenario.starts_at, at_ms) for at_ms in (air.from_ms, air.until_ms)
    )
    return f"At {first}" if first == last else f"From {first} to {last}"


# --- told without a mark ----------------------------------------------------------------


def also(scenario: Scenario, parts: tuple[Poured, ...], air: tuple[Air, ...]) -> tuple[str, ...]:
    """Sentences about flushes and air, of what no order asked for. Nothing is judged."""
    lines = [one.number for one in scenario.lines]
    flushes = tuple(words for line in lines if (words := _flushes(parts, line)))
    return (*flushes, *(_air_sentence(scenario, one) for one in air))


def _flushes(parts: tuple[Poured, ...], line: int) -> str:
    given = [one.fluid for one in parts if one.line == line and one.by is By.FLUSH and one.fluid]
    if not given:
        return ""
    count = "1 flush" if len(given) == 1 else f"{len(given)} flushes"
    told = explain.rounded_ml(ml_from_motes(sum(given)))
    return f"{count} gave {told} of what went into the vein through line {line}."


def _air_sentence(scenario: Scenario, air: Air) -> str:
    return (
        f"{_when(scenario, air)}, {explain.volume(air.volume)} of air reached the vein through "
        f"line {air.line}, {air.by.value}."
    )

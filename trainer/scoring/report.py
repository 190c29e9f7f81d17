"""The whole debrief as one value: findings in time order, marks by domain, what was given.

A function of the scenario and the log alone; the same two always give the same report. No
pass mark is built in: which marks suffice is for the school to say.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import accumulate

from trainer.engine.begin import initial_state
from trainer.engine.events import Event
from trainer.engine.evolve import evolve
from trainer.engine.state import State
from trainer.scenario.model import Scenario
from trainer.scoring import (
    astray,
    by_drops,
    delivered,
    entries,
    harm,
    into_vein,
    keyed,
    left_in_set,
    match,
    programmes,
    record,
)
from trainer.scoring.expect import keys
from trainer.scoring.findings import Finding, Key, Report
from trainer.scoring.rubric import is_missed_critical, marks


def report(scenario: Scenario, events: tuple[Event, ...]) -> Report:
    """The debrief of an attempt, finished or not.

    Raises:
        ProblemError: if the scenario's key cannot be computed.
    """
    all_keys = keys(scenario)
    states = states_after(scenario, events)
    stood = record.standings(scenario, events)
    entered = programmes.keyed(scenario, events, states[1:], stood, all_keys)
    course = delivered.moments(scenario, events, states, stood, entered)
    given = delivered.delivered(scenario, course, stood, all_keys)
    poured = into_vein.poured(scenario, events)
    air = into_vein.air_in_vein(poured)
    entry = _entry_findings(scenario, events, states[1:], stood, entered, all_keys)
    found = (
        *entry,
        *_plan_findings(scenario, events),
        *astray.findings(scenario, events, course, given, entry, all_keys),
        *into_vein.findings(scenario, air),
        *harm.findings(scenario, events, states),
    )
    ordered = tuple(sorted(found, key=_when))
    return Report(
        findings=ordered,
        marks=marks(ordered),
        keys=all_keys,
        delivered=given,
        missed_critical=tuple(one.id for one in ordered if is_missed_critical(one)),
        points=sum((one.points for one in ordered), Fraction(0)),
        most=sum((one.most for one in ordered), Fraction(0)),
        also=(
            *left_in_set.told(scenario, events, states[1:], stood, all_keys),
            *into_vein.also(scenario, poured, air),
            *harm.also(scenario, events),
        ),
    )


def states_after(scenario: Scenario, events: tuple[Event, ...]) -> tuple[State, ...]:
    """The bedside at the beginning and after each event: one more than events."""
    return tuple(accumulate(events, evolve, initial=initial_state(scenario)))


def _when(finding: Finding) -> tuple[bool, int]:
    """In the order of the log; what never happened comes last."""
    return finding.at_ms is None, finding.at_ms or 0


def _entry_findings(
    scenario: Scenario,
    events: tuple[Event, ...],
    states: tuple[State, ...],
    stood: tuple[record.Standing, ...],
    entered: tuple[programmes.Keyed, ...],
    all_keys: tuple[Key, ...],
) -> tuple[Finding, ...]:
    done = record.deeds(events)
    starts = programmes.first_starts(entered)
    return (
        *entries.calculations(scenario, done, stood, all_keys, starts),
        *keyed.findings(scenario, events, states, stood, all_keys, entered),
        *by_drops.findings(scenario, events, states, stood, all_keys),
    )


def _plan_findings(scenario: Scenario, events: tuple[Event, ...]) -> tuple[Finding, ...]:
    """The scenario's own plan from the start, and each event's plan from its coming."""
    done = record.deeds(events)
    found = list(match.findings(scenario, scenario.plan, done, name="start", began=(-1, 0)))
    for event in scenario.events:
        began = record.came(events, event.id)
        found += match.findings(scenario, event.plan, done, name=event.id, began=began)
    return tuple(found)

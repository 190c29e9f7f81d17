"""The whole debrief as one value: findings in time order, marks by domain, what was given.

A function of the scenario and the log alone; the same two always give the same report. No
pass mark is built in: which marks suffice is for the school to say.
"""

from __future__ import annotations

from fractions import Fraction

from trainer.engine.events import Event
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
    why,
)
from trainer.scoring.credit import credited
from trainer.scoring.evidence import Evidence
from trainer.scoring.findings import Finding, Key, Report
from trainer.scoring.gates import gates
from trainer.scoring.objectives import objective_marks
from trainer.scoring.reading_log import Read, read_log
from trainer.scoring.reading_log import states_after as states_after
from trainer.scoring.rubric import is_missed_critical, marks
from trainer.scoring.severity import graded
from trainer.scoring.trace import traces
from trainer.terms import Purpose


def report(
    scenario: Scenario,
    events: tuple[Event, ...],
    purpose: Purpose = Purpose.FORMATIVE,
    *,
    known: Read | None = None,
) -> Report:
    """The debrief of an attempt, finished or not, held against the bars for its purpose.

    `known` is the log as it was read, where it was.

    Raises:
        ProblemError: if the scenario's key cannot be computed.
    """
    log = known or read_log(scenario, events)
    all_keys, states, stood, entered = log.keys, log.states, log.stood, log.entered
    course = delivered.moments(scenario, events, states, stood, entered)
    given = delivered.delivered(scenario, course, stood, all_keys)
    air = into_vein.air_in_vein(log.poured)
    entry = _entry_findings(scenario, events, states[1:], stood, entered, all_keys)
    found = (
        *entry,
        *_plan_findings(scenario, events),
        *astray.findings(scenario, events, course, given, entry, all_keys),
        *into_vein.findings(scenario, air),
        *harm.findings(scenario, events, states),
    )
    ordered = tuple(sorted(credited(scenario, events, found), key=_when))
    read = Evidence(
        scenario=scenario,
        events=events,
        states=states,
        course=course,
        deeds=record.deeds(events),
        stood=stood,
        entered=entered,
        keys=all_keys,
        given=given,
        findings=ordered,
    )
    chains = traces(read)
    ordered = graded(read, chains)
    by_domain = marks(ordered, scenario.policy.marking.least_items)
    return Report(
        findings=ordered,
        marks=by_domain,
        keys=all_keys,
        delivered=given,
        missed_critical=tuple(one.id for one in ordered if is_missed_critical(one)),
        points=sum((one.points for one in ordered), Fraction(0)),
        most=sum((one.most for one in ordered), Fraction(0)),
        also=(
            *left_in_set.told(scenario, events, states[1:], stood, all_keys),
            *into_vein.also(scenario, log.poured, air),
            *harm.also(scenario, events),
        ),
        traces=chains,
        objectives=objective_marks(scenario, ordered),
        gates=gates(scenario, ordered, by_domain, purpose),
    )


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
    found = (
        *entries.calculations(scenario, done, stood, all_keys, starts),
        *keyed.findings(scenario, events, states, stood, all_keys, entered),
        *by_drops.findings(scenario, events, states, stood, all_keys),
    )
    return why.explained(scenario, found, all_keys)


def _plan_findings(scenario: Scenario, events: tuple[Event, ...]) -> tuple[Finding, ...]:
    """The scenario's own plan from the start, and each event's plan from its coming."""
    done = record.deeds(events)
    found = list(match.findings(scenario, scenario.plan, done, name="start", began=(-1, 0)))
    for event in scenario.events:
        began = record.came(events, event.id)
        found += match.findings(scenario, event.plan, done, name=event.id, began=began)
    return tuple(found)

"""A log read once: what report and course both need of it.

Report, course and a what-if ask the same first questions of a log: the bedside after each
event, which orders stood, what was keyed, what reached the vein. `read_log` answers them
once, and all three take the answer along.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import accumulate

from trainer.engine.begin import initial_state
from trainer.engine.events import Event
from trainer.engine.evolve import evolve
from trainer.engine.state import State
from trainer.scenario.model import Scenario
from trainer.scoring import into_vein, programmes, record
from trainer.scoring.expect import keys
from trainer.scoring.findings import Key
from trainer.scoring.into_vein import Poured
from trainer.scoring.programmes import Keyed
from trainer.scoring.record import Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Read:
    """What a log says, before anything is judged.

    `states` are at the beginning and after each event: one more than events. `stood` says
    which orders stood when, `entered` which programmes were keyed for which order, `poured`
    what reached the vein.
    """

    scenario: Scenario
    events: tuple[Event, ...]
    states: tuple[State, ...]
    keys: tuple[Key, ...]
    stood: tuple[Standing, ...]
    entered: tuple[Keyed, ...]
    poured: tuple[Poured, ...]


def read_log(
    scenario: Scenario,
    events: tuple[Event, ...],
    *,
    states: tuple[State, ...] = (),
    all_keys: tuple[Key, ...] = (),
) -> Read:
    """A log, read.

    Args:
        scenario: the attempt's.
        events: its log.
        states: the bedside at the beginning and after each event, where known already.
        all_keys: the scenario's computed key, where known already.

    Raises:
        ProblemError: if the scenario's key cannot be computed.
    """
    all_keys = all_keys or keys(scenario)
    states = states or states_after(scenario, events)
    stood = record.standings(scenario, events)
    return Read(
        scenario=scenario,
        events=events,
        states=states,
        keys=all_keys,
        stood=stood,
        entered=programmes.keyed(scenario, events, states[1:], stood, all_keys),
        poured=into_vein.poured(scenario, events, states),
    )


def states_after(scenario: Scenario, events: tuple[Event, ...]) -> tuple[State, ...]:
    """The bedside at the beginning and after each event: one more than events."""
    return tuple(accumulate(events, evolve, initial=initial_state(scenario)))

"""A log again: the state at any moment, the same inputs run anew, the first difference."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import zip_longest

from trainer.engine.advance import BY_TIME, advanced
from trainer.engine.begin import initial_state
from trainer.engine.carry import carry
from trainer.engine.decide import decided, finish, inject
from trainer.engine.effects import BY_SCENARIO
from trainer.engine.events import Acted, Cued, Event, Finished, Injected
from trainer.engine.evolve import fold
from trainer.engine.state import State
from trainer.scenario.model import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """The first event that a re-run does not reproduce; an empty text means: no event."""

    index: int
    logged: str
    rerun: str


def state_at(scenario: Scenario, events: Sequence[Event], at_ms: int) -> State:
    """The bedside at a moment of a log; events at exactly `at_ms` are included.

    Between the log's events nothing happened, so the state is carried there.
    """
    past = [event for event in events if event.at_ms <= at_ms]
    return carry(fold(initial_state(scenario), past), at_ms)


def rerun(scenario: Scenario, events: Sequence[Event]) -> tuple[Event, ...]:
    """The log that the inputs in these events give with this engine.

    Inputs are acts, what the instructor made come, cues, and a learner's end. Time runs on to
    the last logged moment.
    """
    state, found = initial_state(scenario), list[Event]()
    for event in events:
        if not isinstance(event, Acted | Injected | Cued | Finished):
            continue
        state, brought = advanced(state, event.at_ms)
        found.extend(brought)
        state, done = _again(state, event)
        found.extend(done)
    if events:
        found.extend(advanced(state, events[-1].at_ms)[1])
    return tuple(found)


def _again(
    state: State, event: Acted | Injected | Cued | Finished
) -> tuple[State, tuple[Event, ...]]:
    if isinstance(event, Acted):
        return decided(state, event.action, at_ms=event.at_ms, actor=event.actor)
    done: tuple[Event, ...]
    if isinstance(event, Cued):
        done = () if event.by == BY_SCENARIO else (event,)
    elif isinstance(event, Injected):
        done = inject(state, event.event, at_ms=event.at_ms, actor=event.actor)
    else:
        is_input = event.by != BY_TIME
        done = finish(state, at_ms=event.at_ms, by=event.by) if is_input else ()
    return fold(state, done), done


def audit(scenario: Scenario, events: Sequence[Event]) -> Difference | None:
    """Where a re-run first differs from the log; None if it reproduces it."""
    again = rerun(scenario, events)
    for index, (logged, new) in enumerate(zip_longest(events, again)):
        if logged != new:
            return Difference(
                index=index,
                logged=repr(logged) if logged is not None else "",
                rerun=repr(new) if new is not None else "",
            )
    return None

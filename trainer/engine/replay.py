"""A log again: the state at any moment, the same inputs run anew, the first difference."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import TypeGuard

from trainer.engine.advance import BY_TIME, advanced
from trainer.engine.begin import initial_state
from trainer.engine.carry import carry
from trainer.engine.decide import decided, finish, inject
from trainer.engine.effects import BY_SCENARIO
from trainer.engine.events import Acted, Cued, Event, Finished, Injected, Input
from trainer.engine.evolve import evolve, fold
from trainer.engine.state import State
from trainer.scenario.model import Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """The first event that a re-run does not reproduce; an empty text means: no event."""

    index: int
    logged: str
    rerun: str


def state_at(
    scenario: Scenario, events: Sequence[Event], at_ms: int, states: Sequence[State] = ()
) -> State:
    """The bedside at a moment of a log; events at exactly `at_ms` are included.

    Between the log's events nothing happened, so the state is carried there. With `states`
    (at the beginning and after each event, kept from before) nothing is folded.
    """
    if states:
        return carry(states[count_until(events, at_ms)], at_ms)
    past = [event for event in events if event.at_ms <= at_ms]
    return carry(fold(initial_state(scenario), past), at_ms)


def count_until(events: Sequence[Event], at_ms: int) -> int:
    """How many events had happened by a moment, that moment included."""
    return bisect_right(events, at_ms, key=lambda event: event.at_ms)


def is_input(event: Event) -> TypeGuard[Input]:
    """Whether an event came from outside: an act, an instructor's event, a cue, the end."""
    if isinstance(event, Cued):
        return event.by != BY_SCENARIO
    if isinstance(event, Finished):
        return event.by != BY_TIME
    return isinstance(event, Acted | Injected)


def rerun(scenario: Scenario, events: Sequence[Event]) -> tuple[Event, ...]:
    """The log that the inputs in these events give with this engine.

    Inputs are acts, what the instructor made come, cues, and a learner's end. Time runs on to
    the last logged moment.
    """
    if not events:
        return ()
    inputs = [event for event in events if is_input(event)]
    return run_on(initial_state(scenario), inputs, events[-1].at_ms)[0]


def run_on(
    state: State, inputs: Iterable[Input], until_ms: int
) -> tuple[tuple[Event, ...], tuple[State, ...]]:
    """The log that inputs give from a state on, in their order, and the state after each event.

    After the last input time runs on to `until_ms`.
    """
    found, trail = list[Event](), list[State]()
    for event in inputs:
        state, brought = advanced(state, event.at_ms, trail)
        found.extend(brought)
        state, done = _again(state, event, trail)
        found.extend(done)
    found.extend(advanced(state, until_ms, trail)[1])
    return tuple(found), tuple(trail)


def _again(state: State, event: Input, trail: list[State]) -> tuple[State, tuple[Event, ...]]:
    if isinstance(event, Acted):
        return decided(state, event.action, at_ms=event.at_ms, actor=event.actor, trail=trail)
    done: tuple[Event, ...]
    if isinstance(event, Cued):
        done = (event,)
    elif isinstance(event, Injected):
        done = inject(state, event.event, at_ms=event.at_ms, actor=event.actor)
    else:
        done = finish(state, at_ms=event.at_ms, by=event.by)
    for one in done:
        state = evolve(state, one)
        trail.append(state)
    return state, done


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

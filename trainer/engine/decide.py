"""What a learner's act brings. A refusal is an event with its reason; nothing is raised.

`decide` is a table from verb to one small function; the functions stand by subject in
`decide_setup` (containers), `decide_tubing`, `decide_drip`, `decide_air`, `decide_pump`,
`decide_bedside` (set, power, catheter) and `decide_care`.
"""

from __future__ import annotations

from collections.abc import Callable

from trainer.engine import (
    decide_air,
    decide_bedside,
    decide_care,
    decide_drip,
    decide_pump,
    decide_setup,
    decide_tubing,
)
from trainer.engine.actions import Action
from trainer.engine.consequences import settled
from trainer.engine.effects import came
from trainer.engine.events import Acted, Event, Finished, Injected, Refused, Said
from trainer.engine.evolve import evolve
from trainer.engine.reading import check_params
from trainer.engine.refusals import Impossible, require
from trainer.engine.state import State
from trainer.engine.triggers import met_by_act
from trainer.terms import Param, Refusal, Verb

Rule = Callable[[State, Action], tuple[Event, ...]]

ACTS: dict[Verb, Rule] = {
    **decide_setup.ACTS,
    **decide_tubing.ACTS,
    **decide_drip.ACTS,
    **decide_air.ACTS,
    **decide_bedside.ACTS,
    **decide_pump.ACTS,
    **decide_care.ACTS,
}
"""What each verb does. Every verb of `terms.Verb` is here."""


def decide(state: State, action: Action, *, at_ms: int, actor: str) -> tuple[Event, ...]:
    """The act, then what it brought, or why it was refused; then what followed at once.

    The state must have been advanced to `at_ms`: time's events precede the act.

    Raises:
        EngineError: if the state lies after `at_ms`, which is a fault of ours.
    """
    return decided(state, action, at_ms=at_ms, actor=actor)[1]


def decided(
    state: State, action: Action, *, at_ms: int, actor: str, trail: list[State] | None = None
) -> tuple[State, tuple[Event, ...]]:
    """The state after an act, and its events.

    Onto `trail`, where one is kept, goes the state after each of them.
    """
    acted = Acted(at_ms=at_ms, action=action, actor=actor)
    state = evolve(state, acted)
    trail = [] if trail is None else trail
    trail.append(state)
    try:
        outcome = _outcome(state, action)
    except Impossible as impossible:
        refused = Refused(
            at_ms=at_ms, verb=action.verb, reason=impossible.reason, text=impossible.text
        )
        trail.append(evolve(state, refused))
        return trail[-1], (acted, refused)
    state, events = settled(state, outcome, trail)
    answers = _answers(state, action, at_ms)
    if answers:
        state, answers = settled(state, answers, trail)
    return state, (acted, *events, *answers)


def _outcome(state: State, action: Action) -> tuple[Event, ...]:
    require(
        not state.ended,
        Refusal.ENDED,
        "This attempt has ended; look at its debrief or begin another.",
    )
    check_params(action)
    return ACTS[action.verb](state, action)


def _answers(state: State, action: Action, at_ms: int) -> tuple[Event, ...]:
    """What the author lets follow from the act; people who are asked always answer."""
    found = met_by_act(state, action, at_ms)
    if found:
        return found
    if action.verb is Verb.QUESTION_ORDER:
        text = "I have looked at it again: the order stands as it is written."
        return (Said(at_ms=at_ms, who="prescriber", text=text),)
    if action.verb is Verb.NOTIFY:
        who = action.get(Param.WHO).strip()[:60]
        return (Said(at_ms=at_ms, who=who, text="Thank you for telling me."),)
    return ()


def inject(state: State, event_id: str, *, at_ms: int, actor: str) -> tuple[Event, ...]:
    """The author's event, made to come by the instructor.

    Nothing if there is no such event, if it has come already or the attempt has ended.
    The state must have been advanced to `at_ms`.
    """
    waiting = next((one for one in state.events if one.id == event_id), None)
    if waiting is None or waiting.came_ms is not None or state.ended:
        return ()
    injected = Injected(at_ms=at_ms, event=event_id, actor=actor)
    state = evolve(state, injected)
    _, events = settled(state, came(state, state.scenario.event(event_id), at_ms))
    return injected, *events


def finish(state: State, *, at_ms: int, by: str) -> tuple[Event, ...]:
    """The end of the attempt; nothing if it has ended already."""
    return () if state.ended else (Finished(at_ms=at_ms, by=by),)

"""An automatic run of a scenario by a scripted learner.

The conduct's steps are acts and waits. `key:ORDER.QUANTITY` in an act stands for the
computed key, written as a learner would type it. Same scenario, same conduct, same log.
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.clinical.rounding import format_number
from trainer.clinical.timebase import parse_sim_duration
from trainer.engine.actions import Action, act
from trainer.engine.advance import advance, next_happening_ms
from trainer.engine.amounts import motes_from_ml
from trainer.engine.begin import initial_state
from trainer.engine.carry import carry
from trainer.engine.decide import decide, finish
from trainer.engine.events import Event, EventCame
from trainer.engine.evolve import fold
from trainer.engine.state import State
from trainer.errors import ProblemError, QuantityError
from trainer.scenario.model import Conduct, ConductStep, Scenario
from trainer.scoring import explain
from trainer.scoring.expect import key as key_of
from trainer.scoring.expect import keys
from trainer.scoring.findings import Key
from trainer.terms import Param, Verb

ACTOR = "rehearsal"
PLACEHOLDER = "key:"


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """How far a rehearsal has come: the bedside, the clock and the log so far."""

    state: State
    now_ms: int
    log: tuple[Event, ...] = ()

    def with_events(self, events: tuple[Event, ...], now_ms: int) -> Run:
        """The run after these events, at a later moment."""
        return Run(state=fold(self.state, events), now_ms=now_ms, log=(*self.log, *events))


def rehearse(scenario: Scenario, conduct: Conduct) -> tuple[Event, ...]:
    """The whole log of a scripted run, up to and including its end.

    Raises:
        ProblemError: if a step names a key that there is not, or waits for something
            that does not come before the scenario's time is up.
    """
    all_keys = keys(scenario)
    run = Run(state=initial_state(scenario), now_ms=0)
    for number, step in enumerate(conduct.steps, start=1):
        if run.state.ended:
            break
        try:
            run = _step(scenario, run, step, all_keys)
        except (ProblemError, QuantityError) as fault:
            raise ProblemError(f"conduct `{conduct.id}`, step {number}: {fault}") from fault
    if run.state.ended:
        return run.log
    return (*run.log, *finish(run.state, at_ms=run.now_ms, by="learner"))


def _step(scenario: Scenario, run: Run, step: ConductStep, all_keys: tuple[Key, ...]) -> Run:
    if step.verb is not None:
        return _act(scenario, run, step, all_keys)
    if step.until_alarm is None and not step.until_event and step.until_given_ml is None:
        return _forward(scenario, run, run.now_ms + step.pause_ms)
    while not _is_met(run, step):
        later = _next_moment(run, step)
        if later is None or later > scenario.ends_ms:
            raise ProblemError(f"it waits for {_waited(step)}, which does not come")
        run = _forward(scenario, run, later)
    return run


def _act(scenario: Scenario, run: Run, step: ConductStep, all_keys: tuple[Key, ...]) -> Run:
    """Pause, then do the act; a wait moves the clock by its length."""
    run = _forward(scenario, run, run.now_ms + step.pause_ms)
    if run.state.ended or step.verb is None:
        return run
    action = action_of(step, all_keys)
    events = decide(run.state, action, at_ms=run.now_ms, actor=ACTOR)
    run = run.with_events(events, run.now_ms)
    if action.verb is Verb.WAIT:
        length = parse_sim_duration(action.get(Param.LENGTH), what="wait")
        return _forward(scenario, run, run.now_ms + length)
    return run


def _forward(scenario: Scenario, run: Run, until_ms: int) -> Run:
    """The run moved on to a moment, but not past the end of the scenario."""
    until = min(until_ms, scenario.ends_ms)
    events = advance(run.state, until)
    moved = run.with_events(events, until)
    return Run(state=carry(moved.state, until), now_ms=until, log=moved.log)


def _is_met(run: Run, step: ConductStep) -> bool:
    """Whether what the step waits for is so."""
    if step.until_alarm is not None:
        mine = [alarm for alarm in run.state.alarms if alarm.kind is step.until_alarm]
        return any(step.line in {None, alarm.line} for alarm in mine)
    if step.until_event:
        return any(isinstance(e, EventCame) and e.event == step.until_event for e in run.log)
    return _missing(run, step) <= 0


def _missing(run: Run, step: ConductStep) -> int:
    """Motes still to be given through the line until the step's volume is reached."""
    if step.until_given_ml is None:
        return 0
    return motes_from_ml(step.until_given_ml) - _line_total(run.state, step)


def _line_total(state: State, step: ConductStep) -> int:
    number = step.line if step.line is not None else state.lines[0].number
    return state.line(number).pump.total


def _next_moment(run: Run, step: ConductStep) -> int | None:
    """The next moment at which the waiting may be over."""
    happening = next_happening_ms(run.state)
    if step.until_given_ml is None or run.state.ended:
        return None if run.state.ended else happening
    soon = run.now_ms + 1
    if happening is not None and happening <= soon:
        return happening
    per_ms = _line_total(carry(run.state, soon), step) - _line_total(run.state, step)
    if per_ms <= 0:
        return happening
    reached = run.now_ms - (-_missing(run, step) // per_ms)
    return reached if happening is None else min(reached, happening)


def _waited(step: ConductStep) -> str:
    if step.until_alarm is not None:
        return f"the alarm `{step.until_alarm}`"
    if step.until_event:
        return f"the event `{step.until_event}`"
    volume = explain.amount(step.until_given_ml, "mL") if step.until_given_ml else "a volume"
    return f"{volume} to be given"


# --- what a step says ---------------------------------------------------------------


def action_of(step: ConductStep, all_keys: tuple[Key, ...]) -> Action:
    """The act of a step, its placeholders replaced by the key.

    Raises:
        ProblemError: if there is no such key.
    """
    if step.verb is None:
        raise ProblemError("this step is a wait and no act")
    params = {name: filled(name, text, all_keys) for name, text in step.params}
    return act(step.verb, **params)


def filled(name: str, text: str, all_keys: tuple[Key, ...]) -> str:
    """A parameter as typed; for a placeholder `key:ORDER.QUANTITY` the computed key.

    Raises:
        ProblemError: if there is no such key.
    """
    if not text.startswith(PLACEHOLDER):
        return text
    order, _, quantity = text.removeprefix(PLACEHOLDER).strip().rpartition(".")
    found = key_of(all_keys, order, quantity)
    if found is None:
        known = ", ".join(f"{one.order}.{one.quantity}" for one in all_keys)
        raise ProblemError(f"`{text}` names no computed key; there are {known}")
    return key_text(found, with_unit=name not in {Param.VOLUME, Param.RATE})


def key_text(key: Key, *, with_unit: bool) -> str:
    """The key as a learner would type it; a duration always as `1 h 30 min`."""
    if with_unit or key.unit == "min":
        return explain.typed(key.value, key.unit)
    return format_number(key.value, plain=True)

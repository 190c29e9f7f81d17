"""The next cue for a learner who asks: for which step, and in which words.

The step is open (what must come before it is done) and the most urgent: first what is
overdue, then what is critical or what something critical waits for, then what has been
open longest. A value that an order asks for and nobody has worked out is such a step too,
and what starts the order's line waits for it. The words are the author's, from the least
help to the most; without any, a question for that part of the work and then the act in
words. No computed value is ever told.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from trainer.engine.events import Cued, Event, Finished
from trainer.scenario.model import Cue, Order, Pattern, Plan, Scenario, Step
from trainer.scoring import explain, match, record, said
from trainer.terms import CueKind, Domain, Param, Verb

LAST = 1_000
"""A value to be worked out stands after the steps of its plan. Chosen by us."""

QUESTIONS: dict[Domain, str] = {
    Domain.CALCULATING: "Which value does the order still leave to you, and what is it made from?",
    Domain.ENTERING: "What must the pump still be told, and where does each number come from?",
    Domain.VERIFYING: "What have you not yet made sure of, before you go on?",
    Domain.SETTING_UP: "Follow the path from container to vein. What is not ready yet?",
    Domain.WATCHING: "What could you look at now, and what would it tell you?",
    Domain.COMMUNICATING: "Who has to know of this, or where has it to be written down?",
}
"""What a colleague would ask first, by part of the work."""

FROM_CONTAINER = frozenset({Verb.SPIKE, Verb.FILL_CHAMBER, Verb.PRIME})
INTO_PLACE = frozenset({Verb.HANG, Verb.ATTACH_SYRINGE})
"""What nobody can do before a container is in place; authors need not write it as `after`."""

NOT_TOLD = frozenset({
    Param.ENTERED, Param.VOLUME, Param.DURATION, Param.RATE, Param.OPENING, Param.SECONDS,
})  # fmt: skip
"""Values that a cue keeps to itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NextCue:
    """A cue: its kind, the step it helps with as findings name it, and its words."""

    kind: CueKind
    step: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Open:
    """Something that is to be done now, and how urgent it is.

    `waits`: a value should be worked out first; `began_ms`: open since when.
    """

    step: str
    ladder: tuple[Cue, ...]
    is_overdue: bool
    is_urgent: bool
    began_ms: int
    position: int
    waits: bool = False

    def urgency(self) -> tuple[bool, bool, bool, int, int]:
        """What sorts the most urgent first."""
        return not self.is_overdue, not self.is_urgent, self.waits, self.began_ms, self.position


def next_cue(
    scenario: Scenario, events: tuple[Event, ...], at_ms: int | None = None
) -> NextCue | None:
    """The next cue for the most urgent open step that has one left; None if there is none.

    Args:
        scenario: the scenario.
        events: the log so far.
        at_ms: the moment now; the log's last one if left out.
    """
    if any(isinstance(event, Finished) for event in events):
        return None
    now_ms = record.end_ms(events) if at_ms is None else at_ms
    given = {(event.step, event.text) for event in events if isinstance(event, Cued)}
    for one in sorted(_all_open(scenario, events, now_ms), key=Open.urgency):
        left = [cue for cue in one.ladder if (one.step, cue.text) not in given]
        if left:
            return NextCue(kind=left[0].kind, step=one.step, text=left[0].text)
    return None


def _all_open(scenario: Scenario, events: tuple[Event, ...], now_ms: int) -> Iterator[Open]:
    done = record.deeds(events)
    values = tuple(_values(scenario, events, done))
    waiting = {scenario.order(one.step.split(".")[1]).line for one in values}
    yield from values
    yield from _open_steps(scenario, "start", scenario.plan, done, (-1, 0), now_ms, waiting)
    for event in scenario.events:
        began = record.came(events, event.id)
        if began is not None:
            yield from _open_steps(scenario, event.id, event.plan, done, began, now_ms, waiting)


# --- steps ----------------------------------------------------------------------------


def _open_steps(
    scenario: Scenario,
    name: str,
    plan: Plan,
    done: tuple[record.Deed, ...],
    began: tuple[int, int],
    now_ms: int,
    waiting: set[int],
) -> Iterator[Open]:
    """The steps of a plan that are not done and could be; a start on a waiting line waits."""
    from_index, from_ms = began
    found = match.answers(plan, done, scenario.policy, from_index=from_index)
    before = {step.id: _before(plan, step) for step in plan.steps}
    urgent = _urgent(plan, before)
    for position, step in enumerate(plan.steps):
        is_open = step.id not in found and all(name in found for name in before[step.id])
        if is_open:
            yield Open(
                step=f"{name}.{step.id}",
                ladder=ladder(scenario, step),
                is_overdue=step.within_ms is not None and now_ms - from_ms > step.within_ms,
                is_urgent=step.id in urgent,
                began_ms=from_ms,
                position=position,
                waits=step.pattern.verb is Verb.START and _line(step) in waiting,
            )


def _line(step: Step) -> int:
    number = dict(step.pattern.params).get(str(Param.LINE), "")
    return int(number) if number.isdigit() else 0


def _before(plan: Plan, step: Step) -> tuple[str, ...]:
    """The steps that must come first: by the author's word, and by the nature of the thing."""
    if step.pattern.verb not in FROM_CONTAINER:
        return step.after
    placed = [
        other.id
        for other in plan.steps
        if other.pattern.verb in INTO_PLACE and _same_inlet(other.pattern, step.pattern)
    ]
    return tuple(dict.fromkeys((*step.after, *placed)))


def _same_inlet(one: Pattern, other: Pattern) -> bool:
    """Whether two acts may be about one inlet: what only one of them names does not part them."""
    first, second = dict(one.params), dict(other.params)
    shared = {str(Param.LINE), str(Param.ROLE)} & set(first) & set(second)
    return all(first[name] == second[name] for name in shared)


def _urgent(plan: Plan, before: dict[str, tuple[str, ...]]) -> frozenset[str]:
    """The critical steps of a plan, and all that these wait for."""
    found = {step.id for step in plan.steps if step.critical}
    to_look_at = list(found)
    while to_look_at:
        new = [name for name in before.get(to_look_at.pop(), ()) if name not in found]
        found.update(new)
        to_look_at += new
    return frozenset(found)


def ladder(scenario: Scenario, step: Step) -> tuple[Cue, ...]:
    """The cues for a step: the author's, or a question and then the act in words."""
    return step.cues or _two(step.domain, _act(scenario, step.pattern))


def _act(scenario: Scenario, pattern: Pattern) -> str:
    told = tuple(pair for pair in pattern.params if pair[0] not in NOT_TOLD)
    return f"{said.to_do(scenario, replace(pattern, params=told))}."


def _two(domain: Domain, act: str) -> tuple[Cue, ...]:
    texts = (QUESTIONS[domain], f"Next: {act}")
    return tuple(Cue(kind=CueKind.CONCEPTUAL, text=text) for text in texts)


# --- values to be worked out ----------------------------------------------------------


def _values(
    scenario: Scenario, events: tuple[Event, ...], done: tuple[record.Deed, ...]
) -> Iterator[Open]:
    """What a standing order asks and nobody has worked out."""
    for standing in record.standings(scenario, events):
        order = standing.order
        for number, quantity in enumerate(order.ask if standing.to_the_end else ()):
            if not any(_works_out(deed, order, quantity) for deed in done):
                act = f"work out the {explain.QUANTITY_WORDS[quantity]} for {order.title}."
                yield Open(
                    step=f"entry.{order.id}.{quantity}",
                    ladder=_two(Domain.CALCULATING, act),
                    is_overdue=False,
                    is_urgent=True,
                    began_ms=standing.from_ms,
                    position=LAST + number,
                )


def _works_out(deed: record.Deed, order: Order, quantity: str) -> bool:
    action = deed.action
    return (
        action.verb is Verb.CALCULATE
        and not deed.refused
        and action.get(Param.ORDER).strip() == order.id
        and explain.quantity_named(action.get(Param.WHAT)) == quantity
    )

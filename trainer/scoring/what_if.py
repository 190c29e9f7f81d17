"""What if one act had been left out, done at another moment, or done otherwise?

The attempt's inputs (acts, what the instructor made come, cues, the learner's end) are run
again with that one change; every other input stays at its own moment, and time runs on to the
same end. What comes before the change is taken as it was. What differs is told by
`differences`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import takewhile

from trainer.clinical.timebase import format_sim
from trainer.engine.actions import Action, act, unknown_params
from trainer.engine.events import Acted, Event, Input
from trainer.engine.replay import count_until, is_input, run_on
from trainer.engine.state import State
from trainer.errors import NoSuchChange, ProblemError
from trainer.scenario.model import Scenario
from trainer.scoring import record
from trainer.scoring.course import Course, course
from trainer.scoring.differences import Difference, Told, differences, in_a_sentence
from trainer.scoring.findings import Key, Report
from trainer.scoring.marks import ActMark, act_mark
from trainer.scoring.patient_course import NOTHING_BEGUN, Begun
from trainer.scoring.reading_log import read_log
from trainer.scoring.record import Deed
from trainer.scoring.rehearse import filled
from trainer.scoring.report import report
from trainer.terms import Purpose, Verb

LEFT_OUT, MOVED, CHANGED = "left out", "moved", "changed"
WAYS = (LEFT_OUT, MOVED, CHANGED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One act otherwise. `deed` is the position of its `Acted` in the log.

    `how` is "left out", "moved" (to `at_ms`) or "changed" (to have these `params`, all of
    them). A value `key:ORDER.QUANTITY` stands for the computed key.
    """

    deed: int
    how: str
    at_ms: int | None = None
    params: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Otherwise:
    """What would have happened.

    `states` are at the beginning and after each event of `events`. `refused` are acts that
    were done and would have been impossible, with the reason; `possible` those that were
    impossible and would have been done. `words` says in a sentence what it would have meant.
    """

    change: Change
    events: tuple[Event, ...]
    states: tuple[State, ...]
    report: Report
    course: Course
    refused: tuple[ActMark, ...]
    possible: tuple[ActMark, ...]
    differences: tuple[Difference, ...]
    words: str


def told_of(
    scenario: Scenario, events: tuple[Event, ...], purpose: Purpose = Purpose.FORMATIVE
) -> Told:
    """A log with its states, report and course, to ask several times of.

    Raises:
        ProblemError: if the scenario's key cannot be computed.
    """
    return _told(scenario, events, purpose)


def what_if(
    scenario: Scenario,
    events: tuple[Event, ...],
    change: Change,
    *,
    known: Told | None = None,
    purpose: Purpose = Purpose.FORMATIVE,
) -> Otherwise:
    """What would have happened with one act otherwise.

    Args:
        scenario: the attempt's.
        events: its log.
        change: the act, and what of it.
        known: what was made of the log already, where it was.
        purpose: what the attempt was for; it decides the bars of the other report.

    Raises:
        NoSuchChange: naming what cannot be asked, and what can.
        ProblemError: if the scenario's key cannot be computed.
    """
    was = known or told_of(scenario, events, purpose)
    before = [(place, event) for place, event in enumerate(events) if is_input(event)]
    after = _changed(events, before, change, was.report.keys)
    same, kept = _kept(events, before, after)
    rest = [event for _, event in after[same:]]
    found, trail = run_on(was.states[kept], rest, record.end_ms(events))
    then = (*events[:kept], *found)
    states = (*was.states[: kept + 1], *trail)
    is_same = then == events
    told = was if is_same else _told(scenario, then, purpose, states, was)
    refused, possible = _acts_apart(was, told, [place for place, _ in after])
    differ = differences(scenario, was, told)
    return Otherwise(
        change=change,
        events=then,
        states=states,
        report=told.report,
        course=told.course,
        refused=refused,
        possible=possible,
        differences=differ,
        words=in_a_sentence(was, told, differ),
    )


def _told(
    scenario: Scenario,
    events: tuple[Event, ...],
    purpose: Purpose,
    states: tuple[State, ...] = (),
    was: Told | None = None,
) -> Told:
    """What is made of a log; of what it has in common with another, as that one told it."""
    all_keys = was.report.keys if was else ()
    read = read_log(scenario, events, states=states, all_keys=all_keys)
    return Told(
        events=events,
        states=read.states,
        report=report(scenario, events, purpose, known=read),
        course=course(scenario, events, known=read, begun=_begun(was, events)),
    )


def _begun(was: Told | None, events: tuple[Event, ...]) -> Begun:
    """What the course as it was tells of this one: all before the two logs part."""
    if was is None or record.end_ms(was.events) != record.end_ms(events):
        return NOTHING_BEGUN
    pairs = zip(was.events, events, strict=False)
    parts = next((both for both in pairs if both[0] != both[1]), None)
    if parts is None:
        return NOTHING_BEGUN
    return Begun(
        until_ms=min(event.at_ms for event in parts),
        ends_ms=was.course.ends_ms,
        signs=was.course.signs,
        levels=was.course.levels,
    )


# --- the change -----------------------------------------------------------------------------

Placed = tuple[int, Input]
"""An input with its position in the log as it was."""


def _changed(
    events: tuple[Event, ...], inputs: Sequence[Placed], change: Change, all_keys: tuple[Key, ...]
) -> list[Placed]:
    """The inputs with the change made, in the order of their moments.

    Inputs of one moment keep the order that they had.
    """
    acted = _acted(events, change)
    if change.how == LEFT_OUT:
        return [one for one in inputs if one[0] != change.deed]
    if change.how == MOVED:
        other = replace(acted, at_ms=_moment(events, change))
    else:
        other = replace(acted, action=_action(acted.action, change, all_keys))
    made = [(place, other if place == change.deed else event) for place, event in inputs]
    return sorted(made, key=lambda one: one[1].at_ms)


def _acted(events: tuple[Event, ...], change: Change) -> Acted:
    if change.how not in WAYS:
        raise NoSuchChange(
            f"`{change.how}` is no way to change an act; write `left out`, `moved` or `changed`"
        )
    acted = events[change.deed] if 0 <= change.deed < len(events) else None
    if not isinstance(acted, Acted):
        known = [place for place, event in enumerate(events) if isinstance(event, Acted)]
        where = f"the acts of this attempt stand at {_places(known)}" if known else "it has no acts"
        raise NoSuchChange(f"there is no act at position {change.deed} of the log; {where}")
    if not is_askable(acted.action):
        raise NoSuchChange(
            "a wait does nothing at the bedside but let time pass; what was done after it stays at "
            "its own moment. Ask about one of those acts: what if it had been earlier or later?"
        )
    return acted


def is_askable(action: Action) -> bool:
    """Whether one can ask what would have come of an act otherwise: of all but a wait.

    The log holds when each act was done, not why; a wait that is left out or shortened would
    bring nothing forward, and the answer would be that it made no difference.
    """
    return action.verb is not Verb.WAIT


def _places(places: list[int]) -> str:
    few = [str(place) for place in places[:10]]
    return f"{', '.join(few)} and so on" if len(places) > len(few) else ", ".join(few)


def _moment(events: tuple[Event, ...], change: Change) -> int:
    ends_ms = record.end_ms(events)
    if change.at_ms is None:
        raise NoSuchChange("an act is moved to a moment; write which, in milliseconds")
    if not 0 <= change.at_ms <= ends_ms:
        raise NoSuchChange(
            f"an act cannot be moved to {change.at_ms} ms; the attempt ran from 0 to "
            f"{ends_ms} ms ({format_sim(ends_ms)}), write a moment between"
        )
    return change.at_ms


def _action(done: Action, change: Change, all_keys: tuple[Key, ...]) -> Action:
    """The act with its other parameters, placeholders replaced by the key."""
    try:
        params = {name: filled(name, text, all_keys) for name, text in change.params}
    except ProblemError as fault:
        raise NoSuchChange(str(fault)) from fault
    action = act(done.verb, **params)
    unknown = unknown_params(action)
    if unknown:
        raise NoSuchChange(
            f"`{done.verb}` carries no `{unknown[0]}`; name only what the act can carry"
        )
    return action


def _kept(
    events: tuple[Event, ...], before: Sequence[Placed], after: Sequence[Placed]
) -> tuple[int, int]:
    """How many inputs, and how many events of the log, stay as they were before the change.

    Of what time brought between two inputs, all up to the first input that differs.
    """
    pairs = zip(before, after, strict=False)
    same = sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], pairs))
    kept = before[same][0] if same < len(before) else len(events)
    if same < len(after):
        kept = min(kept, count_until(events[:kept], after[same][1].at_ms))
    return same, kept


# --- acts that became possible or impossible ---------------------------------------------------


def _acts_apart(
    was: Told, then: Told, order: Sequence[int]
) -> tuple[tuple[ActMark, ...], tuple[ActMark, ...]]:
    """Acts that would have been impossible, and those that would have become possible.

    `order` holds the positions that the inputs had in the log as it was.
    """
    were = {deed.index: deed for deed in record.deeds(was.events)}
    came = record.deeds(then.events)
    pairs: list[tuple[Deed, Deed]] = list(
        zip((were[place] for place in order if place in were), came, strict=True)
    )
    refused = [act_mark(now, then.events) for old, now in pairs if now.refused and not old.refused]
    possible = [act_mark(now, then.events) for old, now in pairs if old.refused and not now.refused]
    return tuple(refused), tuple(possible)

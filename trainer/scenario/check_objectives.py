"""Checks of objectives: each is shown by something marked, and what is must-pass shows one.

Nothing is asked of a file whose objectives have no ids. For `trainer.scenario.check` alone.
"""

from __future__ import annotations

from collections.abc import Iterator

from trainer.scenario import schema
from trainer.scenario.case import Case, Names
from trainer.scenario.kinds import ASKED
from trainer.scenario.naming import step_id
from trainer.scenario.places import listed, meant
from trainer.scenario.section import Section
from trainer.terms import Happening

KEYED = ("keyed-rate", "keyed-volume", "keyed-duration", "set-drip-rate")
"""What the debrief calls the values of an order that were entered or set."""


def check_objectives(case: Case) -> None:
    """Note ids that lead nowhere, objectives that nothing shows, must-pass steps without one."""
    objectives = case.every(schema.Objective, "objectives")
    names = _names_written(case)
    _refuse_same_ids(case, objectives)
    served: set[str] = set()
    for section, serves in _serving(case):
        served.update(serves)
        for name in serves:
            if not names.may_hold(name):
                mend = meant(name, names.every, of="objective")
                case.refuse(section, "serves", f"no objective has the id `{name}`", mend)
    if not any(one.id for one in objectives):
        return
    _refuse_unserved(case, objectives, served)
    for step in _steps(case):
        if step.critical and not step.serves:
            what = f"`{step_id(step)}` is critical and serves no objective"
            case.refuse(step, "do", what, f"add `serves:` with {listed(names.every)}")


def _names_written(case: Case) -> Names:
    """The ids of the objectives as written, sound or not; most files have none."""
    entries = case.faults.document.at(("objectives",))
    written = entries if isinstance(entries, list) else []
    every = [str(one["id"]) for one in written if isinstance(one, dict) and "id" in one]
    sound = {one.id for one in case.every(schema.Objective, "objectives")}
    unsound = tuple(name for name in every if name not in sound)
    return Names(tuple(dict.fromkeys(every)), unsound, whole=isinstance(entries, list))


def _refuse_same_ids(case: Case, objectives: list[schema.Objective]) -> None:
    seen: set[str] = set()
    for one in objectives:
        if one.id in seen:
            case.refuse(
                one, "id", f"there is already an objective `{one.id}`", "choose another name"
            )
        seen.update({one.id} if one.id else ())


def _refuse_unserved(case: Case, objectives: list[schema.Objective], served: set[str]) -> None:
    """An objective that nothing shows promises what nobody looks at."""
    for one in objectives:
        if one.id is None:
            mend = "give it an `id`, as the others have, and let steps serve it"
            case.refuse(one, "", "nothing can serve this objective without an id", mend)
        elif one.id not in served and _is_whole(case):
            mend = f"add `serves: {one.id}` to the steps or orders that show it"
            case.refuse(one, "id", f"nothing serves the objective `{one.id}`", mend)


def _is_whole(case: Case) -> bool:
    """Whether every step and order was read; an unsound one may serve what seems unserved."""
    return not case.faults.found


def _serving(case: Case) -> Iterator[tuple[Section, list[str]]]:
    for order in case.every(schema.Order, "orders"):
        yield order, order.serves
    for step in _steps(case):
        yield step, step.serves


def _steps(case: Case) -> Iterator[schema.Step]:
    yield from case.every(schema.Step, "expect")
    for event in case.every(schema.Event, "events"):
        yield from event.expect


# --- what an event's cue helps with ---------------------------------------------------


def check_cued_steps(case: Case) -> None:
    """Note each cue of an event whose step leads nowhere."""
    for event in case.every(schema.Event, "events"):
        for effect in event.effects:
            if effect.happens is Happening.CUE and effect.step is not None:
                _check_cued_step(case, effect, effect.step)


def _check_cued_step(case: Case, effect: schema.Effect, name: str) -> None:
    known = _markable(case)
    if name not in known and not case.faults.found:
        mend = meant(name, known, of="step")
        case.refuse(effect, "step", f"nothing is marked under the name `{name}`", mend)


def _markable(case: Case) -> list[str]:
    """What the debrief calls each step of each plan and each value of each order."""
    events = case.every(schema.Event, "events")
    plans = [("start", case.every(schema.Step, "expect"))]
    plans += [(event.id, event.expect) for event in events]
    steps = [f"{plan}.{step_id(step)}" for plan, steps in plans for step in steps]
    values = [
        f"entry.{order.id}.{value}"
        for order in case.every(schema.Order, "orders")
        for value in (*ASKED, *KEYED)
        if value not in ASKED or value in order.ask
    ]
    return [*steps, *values]

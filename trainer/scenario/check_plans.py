"""Checks of plans and of the keys that go with acts.

For the checks of `trainer.scenario` alone.
"""

from __future__ import annotations

from trainer.scenario import schema
from trainer.scenario.case import Case, Names
from trainer.scenario.check_drive import check_acts_drive
from trainer.scenario.kinds import AIR_CLEARED_HOW
from trainer.scenario.naming import step_id
from trainer.scenario.places import Path, listed, meant
from trainer.terms import SHAPES, Clamp, Role, Verb

ANY_VALUE = "key"


def check_plans(case: Case) -> None:
    """Note every fault of the plan from the start and of each event's plan."""
    steps, nevers = case.every(schema.Step, "expect"), case.every(schema.Never, "never")
    _check_plan(case, (), steps, nevers)
    for event in case.every(schema.Event, "events"):
        _check_plan(case, event.place, event.expect, event.never)


def _check_plan(
    case: Case, place: Path, steps: list[schema.Step], nevers: list[schema.Never]
) -> None:
    names = _names_written(case, place, steps)
    _refuse_same_names(case, steps)
    for step in steps:
        check_keys_of_act(case, step, step.do)
        for name in step.after:
            if not names.may_hold(name):
                mend = meant(name, names.every, of="step")
                case.refuse(step, "after", f"no step here is called `{name}`", mend)
    _refuse_circles(case, steps)
    for never in nevers:
        check_keys_of_act(case, never, never.do)
        if never.before is not None and not names.may_hold(never.before):
            mend = meant(never.before, names.every, of="step")
            case.refuse(never, "before", f"no step here is called `{never.before}`", mend)


def _names_written(case: Case, place: Path, steps: list[schema.Step]) -> Names:
    """What the steps of a plan are called, sound or not."""
    entries = case.faults.document.at((*place, "expect"))
    sound = {step.place for step in steps}
    every, unsound = [], []
    for number, entry in enumerate(entries if isinstance(entries, list) else []):
        name = (entry.get("id") or entry.get("do")) if isinstance(entry, dict) else None
        every.append(str(name).replace(" ", "-"))
        if (*place, "expect", number) not in sound:
            unsound.append(every[-1])
    whole = not unsound and (entries is None or isinstance(entries, list))
    return Names(tuple(every), tuple(unsound), whole=whole)


def _refuse_same_names(case: Case, steps: list[schema.Step]) -> None:
    seen: set[str] = set()
    for step in steps:
        name = step_id(step)
        if name in seen:
            what = f"an earlier step here is already called `{name}`"
            case.refuse(step, "id" if step.id else "do", what, "give this one an `id` of its own")
        seen.add(name)


def _refuse_circles(case: Case, steps: list[schema.Step]) -> None:
    """Note one fault for each step that would have to come before itself."""
    before = {step_id(step): tuple(step.after) for step in steps}
    for step in steps:
        name = step_id(step)
        if name in _all_before(name, before):
            mend = "take one of the steps out of `after`"
            case.refuse(step, "after", f"`{name}` would have to come before itself", mend)


def _all_before(name: str, before: dict[str, tuple[str, ...]]) -> set[str]:
    found: set[str] = set()
    waiting = list(before.get(name, ()))
    while waiting:
        one = waiting.pop()
        if one not in found:
            found.add(one)
            waiting.extend(before.get(one, ()))
    return found


# --- keys that go with an act ---------------------------------------------------------


def check_keys_of_act(
    case: Case, section: schema.ActKeys, verb: Verb, *, whole: bool = False
) -> None:
    """Note keys that the act does not take and names that lead nowhere.

    With `whole`, the act is really to be done: keys that it needs and lacks are noted too.
    """
    shape = SHAPES[verb]
    takes = [str(param) for param in (*shape.needs, *shape.may)]
    written = dict(section.params())
    for name in written:
        if name not in takes:
            mend = f"it takes {listed(takes)}" if takes else "it takes no such keys"
            case.refuse_key(section, name, f"`{name}` does not go with `{verb}`", mend)
    for param in shape.needs if whole else ():
        if str(param) not in written:
            case.refuse(section, "do", f"`{verb}` needs `{param}`", f"add `{param}:`")
    if set(written) <= set(takes):
        check_names_of_act(case, section)
        _check_secondary(case, section)
        check_acts_drive(case, section, verb)
        _check_measured(case, section, verb)


def check_names_of_act(case: Case, section: schema.ActKeys) -> None:
    """Note each line, container, order or catheter that is not there."""
    case.known(section, "line", section.line, case.line_numbers, "line")
    case.known(section, "supply", section.supply, case.written("supplies"), "container")
    case.known(section, "order", section.order, case.written("orders"), "order")
    case.known(section, "access", section.access, case.accesses, "catheter")
    case.known(section, "fluid", section.fluid, case.fluid_names, "fluid")
    if section.how is not None and section.how not in (*AIR_CLEARED_HOW, ANY_VALUE):
        mend = f"write {listed(AIR_CLEARED_HOW)}"
        case.refuse(section, "how", f"`{section.how[:40]}` is no way to clear air", mend)


def _check_measured(case: Case, section: schema.ActKeys, verb: Verb) -> None:
    """What is measured is one of the patient's signs."""
    if verb is Verb.MEASURE and section.what != ANY_VALUE:
        case.known(section, "what", section.what, case.signs, "vital sign")


def _check_secondary(case: Case, section: schema.ActKeys) -> None:
    """A secondary inlet, its clamp and the port are only on a line with a port."""
    line = case.line(section.line)
    if line is None or line.tubing.port is not None:
        return
    for key, value in (("role", Role.SECONDARY), ("clamp", Clamp.SECONDARY), ("at", "port")):
        if getattr(section, key) == value:
            what = f"line {line.number} has no port, so no secondary"
            case.refuse(section, key, what, "add `port:` to the line's tubing")

"""Checks of conducts: every act is complete, every name leads somewhere.

For `trainer.scenario.check` alone.
"""

from __future__ import annotations

import re

from trainer.scenario import schema
from trainer.scenario.case import Case
from trainer.scenario.check_plans import check_keys_of_act
from trainer.scenario.conducts import written_out
from trainer.scenario.kinds import ASKED
from trainer.scenario.places import Path, listed, meant

KEY_VALUE = re.compile(r"key:([^.\s]+)\.(\S+)")
UNTIL = ("alarm", "event", "given")


def check_conduct(case: Case) -> None:
    """Note every fault of the conducts."""
    case.refuse_repeats(("conduct",), "id", "conduct")
    conducts = case.every(schema.Conduct, "conduct")
    courses = written_out(conducts)
    earlier: list[str] = []
    for conduct in conducts:
        _check_origin(case, conduct, tuple(earlier))
        steps = [*conduct.steps, *(step for change in conduct.change for step in change.to)]
        for step in steps:
            _check_step(case, step)
        if conduct.like in courses and _are_whole(case, conducts):
            _check_names(case, conduct, tuple(name for name, _ in courses[conduct.like]))
        earlier.append(conduct.id)


def _are_whole(case: Case, conducts: list[schema.Conduct]) -> bool:
    """Whether no step was left out of any conduct because it is unsound."""
    for conduct in conducts:
        written = case.faults.document.at((*conduct.place, "steps"))
        if isinstance(written, list) and len(written) != len(conduct.steps):
            return False
    return True


def _check_origin(case: Case, conduct: schema.Conduct, earlier: tuple[str, ...]) -> None:
    """A conduct has steps of its own or is like an earlier one."""
    if conduct.like is None:
        if not conduct.steps and not _has_steps(case, conduct.place):
            what = f"conduct `{conduct.id}` does nothing"
            case.refuse(conduct, "", what, "add `steps:` or `like:`")
        for key in ("leave_out", "change", "ends_after"):
            if getattr(conduct, key):
                case.refuse_key(conduct, key, f"`{key}` needs `like`", "add `like:` with an id")
        return
    if conduct.steps:
        what = "`steps` and `like` exclude each other"
        case.refuse_key(conduct, "steps", what, "put the steps into `change`")
    unsound = case.written("conduct").unsound
    if conduct.like not in earlier and conduct.like not in unsound:
        mend = meant(conduct.like, earlier, of="earlier conduct")
        case.refuse(conduct, "like", f"no earlier conduct is called `{conduct.like}`", mend)


def _has_steps(case: Case, place: Path) -> bool:
    return bool(case.faults.document.at((*place, "steps")))


def _check_names(case: Case, conduct: schema.Conduct, names: tuple[str, ...]) -> None:
    """The steps that are left out, changed or last are steps of the conduct it is like."""
    for number, name in enumerate(conduct.leave_out):
        if name not in names:
            place = (*conduct.place, "leave_out", number)
            case.faults.add(place, _no_step(conduct, name), meant(name, names, of="step"))
    for change in conduct.change:
        if change.step not in names:
            mend = meant(change.step, names, of="step")
            case.refuse(change, "step", _no_step(conduct, change.step), mend)
    last = conduct.ends_after
    if last is not None and last not in names:
        mend = meant(last, names, of="step")
        case.refuse(conduct, "ends_after", _no_step(conduct, last), mend)


def _no_step(conduct: schema.Conduct, name: str) -> str:
    return f"`{conduct.like}` has no step `{name}`"


def _check_step(case: Case, step: schema.ConductStep) -> None:
    if step.do is not None and step.until is not None:
        case.refuse_key(step, "until", "one step acts or waits", "make two steps of it")
    if step.do is not None:
        check_keys_of_act(case, step, step.do, whole=True)
        _check_key_values(case, step)
        return
    for name, _ in step.params():
        case.refuse_key(step, name, f"`{name}` goes with an act", "add `do:`, or leave it out")
    if step.until is None and step.pause is None:
        case.refuse(step, "", "this step does nothing", "add `do`, `until` or `pause`")
    if step.until is not None:
        _check_until(case, step.until)


def _check_until(case: Case, until: schema.Until) -> None:
    said = [key for key in UNTIL if getattr(until, key) is not None]
    if not said:
        case.refuse(until, "", "`until` waits for nothing", f"add {listed(UNTIL)}")
    for key in said[1:]:
        case.refuse_key(
            until, key, f"one wait is for one thing, here `{said[0]}`", "make two steps"
        )
    case.known(until, "event", until.event, case.written("events"), "event")
    case.known(until, "line", until.line, case.line_numbers, "line")
    if until.given is not None and until.line is None:
        case.refuse(until, "given", "`given` needs `line`", "add `line:` with its number")


def _check_key_values(case: Case, step: schema.ConductStep) -> None:
    """A value such as `key:maintenance.rate` names an order and a quantity."""
    for name, text in step.params():
        if not text.startswith("key:"):
            continue
        match = KEY_VALUE.fullmatch(text)
        if not match:
            mend = "write it so: `key:maintenance.rate`"
            case.refuse(step, name, f"`{text[:40]}` names no computed value", mend)
            continue
        order, quantity = match.groups()
        case.known(step, name, order, case.written("orders"), "order")
        if quantity not in ASKED:
            mend = meant(quantity, ASKED, of="quantity").replace("quantitys", "quantities")
            case.refuse(step, name, f"there is no computed `{quantity[:40]}`", mend)

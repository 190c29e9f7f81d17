"""Every check of a scenario beyond the shape of its keys, in one place to call.

Each check notes what is wrong and goes on. For `trainer.scenario.load` alone.
"""

from __future__ import annotations

from trainer.clinical.timebase import MS_PER_DAY
from trainer.scenario import schema
from trainer.scenario.case import Case
from trainer.scenario.check_bedside import check_bedside
from trainer.scenario.check_conduct import check_conduct
from trainer.scenario.check_events import check_events
from trainer.scenario.check_objectives import check_cued_steps, check_objectives
from trainer.scenario.check_orders import check_orders
from trainer.scenario.check_plans import check_plans
from trainer.scenario.check_signs import check_charted_units, check_own_responses

LONGEST_SCENARIO_MS = 7 * MS_PER_DAY
"""Longest simulated time. Chosen by us."""


def check_scenario(case: Case) -> None:
    """Note every fault of a scenario's names, orders, plans, events and conducts."""
    _check_file(case)
    check_bedside(case)
    check_orders(case)
    check_plans(case)
    check_events(case)
    check_objectives(case)
    check_cued_steps(case)
    check_own_responses(case)
    check_charted_units(case)
    check_conduct(case)


def _check_file(case: Case) -> None:
    file = case.file
    if file is None:
        return
    if file.kind != "scenario":
        mend = "write `kind: scenario`, or leave it out"
        case.refuse(file, "kind", f"this is a {file.kind}, not a scenario", mend)
    if file.takes > file.ends:
        what = "the scenario ends before the time that it `takes`"
        case.refuse(file, "ends", what, "write a longer time here, or a shorter one there")
    if file.ends > LONGEST_SCENARIO_MS:
        case.refuse(file, "ends", "a scenario lasts a week at most", "write `168 h` or less")
    _check_second_checks(case, file)
    for key in ("lines", "orders", "objectives"):
        if not getattr(file, key) and not case.faults.document.at((key, 0)):
            case.refuse(file, key, f"`{key}` is empty", "add at least one")


def _check_second_checks(case: Case, file: schema.ScenarioFile) -> None:
    """What the policy wants checked twice is in the formulary."""
    if case.policy is None or case.formulary is None:
        return
    for name in case.policy.second_check:
        if name not in case.fluids and name not in case.drugs:
            what = f"policy `{file.policy}` wants a double check of `{name}`"
            mend = f"name a fluid or drug of formulary `{file.formulary}` there"
            case.refuse(file, "policy", f"{what}, which is in no container", mend)

"""Why an order should be questioned before it is followed, if it should."""

from __future__ import annotations

from trainer.scenario.model import Order, Scenario, Step
from trainer.scoring import caution, explain
from trainer.terms import Param, Verb

HARD = "(hard limit)"


def fault_of(scenario: Scenario, order: Order) -> str:
    """A sentence why the order should be questioned; empty if nothing says so.

    It leaves a hard limit of the formulary, names a weight that is not the patient's, or the
    author's plan expects the question. A limit that may be overridden makes no order wrong.
    """
    beyond = next((one for one in caution.outside_limits(scenario, order) if HARD in one), "")
    other = next(iter(caution.other_weight(scenario, order)), "")
    step = asked_by(scenario, order)
    expected = explain.sentence(step[1].because) or "It was to be questioned." if step else ""
    return explain.sentence(beyond or other or expected)


def asked_by(scenario: Scenario, order: Order) -> tuple[str, Step] | None:
    """The step of the author's plans that expects the question, and its finding's id."""
    plans = (("start", scenario.plan), *((one.id, one.plan) for one in scenario.events))
    for name, plan in plans:
        for step in plan.steps:
            named = dict(step.pattern.params).get(Param.ORDER, "")
            if step.pattern.verb is Verb.QUESTION_ORDER and named == order.id:
                return f"{name}.{step.id}", step
    return None

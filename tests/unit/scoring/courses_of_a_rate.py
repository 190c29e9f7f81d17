"""Typical ways that a rate of 40 mL/h goes from the order to the vein, each as a run."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from tests.unit.scoring.ward import DOPAMINE, FORMULARY, MAINTENANCE, MIN, H, S, a_line, a_scenario
from trainer.clinical.quantity import parse_quantity
from trainer.scenario.model import (
    AuthoredEvent,
    Conduct,
    ConductStep,
    Effect,
    Limit,
    Scenario,
    Trigger,
)
from trainer.scoring.rehearse import rehearse
from trainer.scoring.report import report
from trainer.terms import Happening, Verb, Where

PLAIN = replace(MAINTENANCE, rule="", rate=parse_quantity("40 mL/h"), ask=("rate",))
NEWER = replace(
    PLAIN,
    id="newer",
    title="New maintenance",
    rate=parse_quantity("60 mL/h"),
    active=False,
    supersedes="maintenance",
)
WARD = a_scenario(PLAIN, lines=(a_line(hung="bag"),))


def a_conduct(*steps: ConductStep) -> Conduct:
    return Conduct(id="try", title="A try", steps=steps)


def report_of(scenario: Scenario, *steps: ConductStep):
    return report(scenario, rehearse(scenario, a_conduct(*steps)))


def trace_of(scenario: Scenario, *steps: ConductStep, order: str = "maintenance", of: str = "rate"):
    """The trace of one value of an order."""
    found = report_of(scenario, *steps).traces
    return next(one for one in found if (one.order, one.quantity) == (order, of))


def do(verb, pause_ms=0, **params):
    return ConductStep(verb=verb, params=tuple(params.items()), pause_ms=pause_ms)


def wait(duration_ms):
    return ConductStep(pause_ms=duration_ms)


def work_out(entered, *, order="maintenance", what="rate"):
    return do(Verb.CALCULATE, order=order, what=what, entered=entered)


def enter(rate, *, after_ms=0, volume="80", role="primary", **more):
    return do(Verb.ENTER, pause_ms=after_ms, line="1", role=role, volume=volume, rate=rate, **more)


def start():
    return do(Verb.START, line="1")


def an_event(name, at_ms, *effects):
    return AuthoredEvent(id=name, title=name, when=Trigger(at_ms=at_ms), effects=effects)


BLOCKED = replace(
    WARD,
    events=(
        an_event(
            "bent",
            10 * MIN,
            Effect(
                happening=Happening.LINE_BLOCKED,
                line=1,
                where=Where.DOWNSTREAM,
                reason="The tubing is bent.",
                mend=Verb.STRAIGHTEN,
            ),
        ),
    ),
)
"""After ten minutes the tubing is bent."""

REPLACED = replace(
    a_scenario(PLAIN, NEWER, lines=(a_line(hung="bag"),)),
    events=(an_event("newer", 10 * MIN, Effect(happening=Happening.ORDER_GIVEN, order="newer")),),
)
"""After ten minutes a new order replaces the old one."""

LIMITS = (
    Limit(of="rate", unit="mcg/kg/min", most=Fraction(10)),
    Limit(of="rate", unit="mcg/kg/min", most=Fraction(20), hard=True),
)
DRUGS = tuple(
    replace(one, limits=LIMITS) if one.id == "dopamine" else one for one in FORMULARY.drugs
)
LIMITED = a_scenario(
    replace(DOPAMINE, id="maintenance"),  # 5 mcg/kg/min: 3.4 mL/h
    lines=(a_line(hung="drug-bag"),),
    formulary=replace(FORMULARY, drugs=DRUGS),
)
"""A drug with a soft limit at twice and a hard one at four times what is ordered."""

RIGHT_THROUGHOUT = (work_out("40 mL/h"), enter("40"), start(), wait(H))
THINKING_SLIP = (work_out("400 mL/h"), enter("400"), start(), wait(6 * MIN))
SEEN_BEFORE_THE_START = (
    work_out("40 mL/h"),
    enter("400"),
    enter("40", after_ms=20 * S),
    start(),
    wait(H),
)
SEEN_AFTER_THREE_MINUTES = (
    work_out("40 mL/h"),
    enter("400"),
    start(),
    enter("40", after_ms=3 * MIN),
    start(),
    wait(30 * MIN),
)
SECOND_CHECKED = (
    work_out("40 mL/h"),
    enter("400"),
    do(Verb.SECOND_CHECK, pause_ms=30 * S, line="1"),
    enter("40", after_ms=10 * S),
    start(),
    wait(H),
)
BY_A_LIMIT = (
    work_out("3.4 mL/h"),
    enter("11", volume="6.8", fluid="dopamine"),
    enter("3.4", after_ms=10 * S, volume="6.8", fluid="dopamine"),
    start(),
    wait(H),
)
NEVER_DONE = (work_out("40 mL/h"), wait(H))
LINE_LEFT_BLOCKED = (work_out("40 mL/h"), enter("40"), start(), wait(H))
LINE_FREED = (
    work_out("40 mL/h"),
    enter("40"),
    start(),
    wait(30 * MIN),
    do(Verb.STRAIGHTEN, line="1"),
    do(Verb.RESET_ALARM, line="1"),
    start(),
    wait(10 * MIN),
)
OLD_RATE_RUNS_ON = (enter("40"), start(), wait(H))

"""A two-hour attempt with two hundred acts: two lines, a drug that is felt, signs, alarms.

Line 1 gives maintenance fluid and bends twice, line 2 a sedative whose level, effect site and
action on four signs are followed; a fifth and sixth sign answer to the volume given. The
learner enters, starts, stops, looks, measures, charts, and answers each alarm.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import cycle

from tests.build import (
    HOUR,
    MINUTE,
    SECOND,
    a_bag,
    a_block,
    a_patient,
    a_ready_line,
    a_scenario,
    an_event,
    an_order,
)
from trainer.clinical.quantity import parse_quantity
from trainer.engine.actions import Action, act
from trainer.engine.advance import advance, advanced
from trainer.engine.begin import initial_state
from trainer.engine.decide import decided
from trainer.engine.events import Acted, Event
from trainer.engine.state import State
from trainer.scenario.model import (
    AuthoredEvent,
    Circulation,
    Drug,
    Effect,
    Pattern,
    Plan,
    Response,
    Scenario,
    Sign,
    Step,
    Trigger,
)
from trainer.terms import AlarmKind, Curve, Domain, Driver, Happening, Verb

ACTS = 200
ENDS_MS = 2 * HOUR

RESPONSES = (
    ("heart rate", Driver.EFFECT_SITE, 2, "-120"),
    ("blood pressure", Driver.LEVEL, 3, "-100"),
    ("breathing", Driver.EFFECT_SITE, 1, "-60"),
    ("saturation", Driver.EFFECT_SITE, 4, "-20"),
)
OF_VOLUME = (("capillary refill", "-0.05"), ("urine", "0.5"))
SIGNS = (
    ("heart rate", "132", "/min"),
    ("blood pressure", "92/54", "mmHg"),
    ("breathing", "34", "/min"),
    ("saturation", "98", "%"),
    ("capillary refill", "3", "s"),
    ("urine", "16", "mL/h"),
    ("temperature", "37.4", "°C"),
)

ROUND = (
    act(Verb.LOOK_AT_SITE, access="hand"),
    act(Verb.LOOK_AT_SITE, access="foot"),
    act(Verb.LOOK_AT_PATIENT),
    act(Verb.LOOK_AT_CONTAINER, line="1"),
    act(Verb.CHART, what="what runs"),
    act(Verb.LOOK_AT_PATIENT),
)
"""What the learner does between two changes."""
ANSWER = (
    act(Verb.PAUSE_SOUND),
    act(Verb.LOOK_AT_SITE, access="hand"),
    act(Verb.FOLLOW_LINE, line="1"),
    act(Verb.RELEASE_PRESSURE, line="1"),
    act(Verb.STRAIGHTEN, line="1"),
    act(Verb.START, line="1"),
)
AFTER_AIR = (
    act(Verb.PAUSE_SOUND),
    act(Verb.CLEAR_AIR, line="1", how="tap up to the chamber"),
    act(Verb.START, line="1"),
)
APART_MS = 35 * SECOND
RATES = (("2.4", "52"), ("2.4", "45"), ("3.2", "52"), ("1.6", "60"), ("2.4", "52"))
"""What is entered at the drug's line and the maintenance line, one pair after the other."""


def the_scenario() -> Scenario:
    """The bedside, with two orders, two bends of the line and a call when breathing is slow."""
    scenario = a_scenario(
        lines=(a_ready_line(1), a_ready_line(2, hung="small-bag", access="foot")),
        supplies=(a_bag(volume_ml=500), a_bag("small-bag", "sedative", 50)),
        orders=(
            an_order(rate=parse_quantity("52 mL/h"), ask=("rate",)),
            an_order(
                "sedation",
                title="Sedation",
                written="an invented sedative 0.3 mg/kg/h",
                fluid="sedative",
                supply="small-bag",
                line=2,
                rate=None,
                dose=parse_quantity("0.3 mg/kg/h"),
            ),
        ),
        events=(
            _bend("bent", 25 * MINUTE),
            _bend("bent-again", 80 * MINUTE),
            an_event("slow", Trigger(sign="breathing", below=Fraction(20))),
            an_event(
                "bubble",
                Trigger(at_ms=50 * MINUTE),
                Effect(happening=Happening.AIR_ENTERS, line=1, volume_ml=Fraction("0.3")),
            ),
        ),
        patient=a_patient(
            weight=parse_quantity("16 kg", of_body=True),
            signs=tuple(Sign(name=n, value=v, unit=u) for n, v, u in SIGNS),
        ),
        ends_ms=ENDS_MS,
        near_end_ms=5 * MINUTE,
        reminder_ms=2 * MINUTE,
    )
    return replace(
        scenario, formulary=replace(scenario.formulary, drugs=(_drug(),), circulation=_volume())
    )


def _bend(event: str, at_ms: int) -> AuthoredEvent:
    steps = (
        Step(
            id="see",
            pattern=Pattern(verb=Verb.FOLLOW_LINE, params=(("line", "1"),)),
            domain=Domain.WATCHING,
            within_ms=3 * MINUTE,
        ),
        Step(
            id="mend",
            pattern=Pattern(verb=Verb.STRAIGHTEN, params=(("line", "1"),)),
            domain=Domain.WATCHING,
            after=("see",),
        ),
    )
    return replace(a_block(event, when=Trigger(at_ms=at_ms)), plan=Plan(steps=steps))


def _drug() -> Drug:
    return Drug(
        id="sedative",
        name="an invented sedative",
        half_life_ms=2 * HOUR,
        volume_l_per_kg=Fraction(1),
        effect_site_half_ms=6 * MINUTE,
        responses=tuple(
            Response(
                sign=sign,
                most=Fraction(most),
                driver=driver,
                curve=Curve.LINEAR,
                lag_ms=lag * MINUTE,
            )
            for sign, driver, lag, most in RESPONSES
        ),
    )


def _volume() -> Circulation:
    return Circulation(
        half_life_ms=45 * MINUTE,
        urine_share=Fraction(1, 2),
        responses=tuple(
            Response(sign=sign, most=Fraction(most), curve=Curve.LINEAR, lag_ms=5 * MINUTE)
            for sign, most in OF_VOLUME
        ),
    )


def the_log(scenario: Scenario) -> tuple[Event, ...]:
    """The whole log: an act every 35 s, the time's end, and all alarms answered."""
    state, log = initial_state(scenario), list[Event]()
    plan, answer = _plan(), list[Action]()
    for turn in range(1, ACTS + 1):
        at_ms = turn * APART_MS
        state, brought = advanced(state, at_ms)
        answer = answer or _answer(state)
        action = answer.pop(0) if answer else next(plan)
        state, events = decided(state, action, at_ms=at_ms, actor="learner")
        log += (*brought, *events)
    log += advance(state, ENDS_MS)
    assert sum(isinstance(event, Acted) for event in log) == ACTS
    return tuple(log)


def _plan() -> Iterator[Action]:
    """What the learner does as long as nothing alarms."""
    yield act(Verb.CALCULATE, order="maintenance", what="rate", entered="52 mL/h", sure="fairly")
    yield act(Verb.CALCULATE, order="maintenance", what="volume", entered="104 mL")
    for drug, fluid in cycle(RATES):
        yield from _entered("2", "30", drug)
        yield from _entered("1", "90", fluid)
        yield from ROUND * 3
        yield act(Verb.STOP, line="2")
        yield act(Verb.CHART, what="a pause")
        yield act(Verb.START, line="2")
        yield from ROUND


def _answer(state: State) -> list[Action]:
    """What the learner does about the most pressing alarm of line 1."""
    kinds = {alarm.kind for alarm in state.alarms if alarm.line == 1}
    if AlarmKind.DOWNSTREAM_OCCLUSION in kinds:
        return list(ANSWER)
    if AlarmKind.AIR_IN_LINE in kinds:
        return list(AFTER_AIR)
    return []


def _entered(line: str, volume: str, rate: str) -> tuple[Action, ...]:
    return (
        act(Verb.ENTER, line=line, role="primary", volume=volume, rate=rate),
        act(Verb.START, line=line),
    )

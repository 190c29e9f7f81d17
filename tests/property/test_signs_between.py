"""Between two moments a sign is never beyond what `number_between` says it can be."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from tests.bench.long_attempt import the_scenario
from tests.build import MINUTE, SECOND
from tests.property.examples import tried
from trainer.engine import crossings, signs
from trainer.engine.actions import act
from trainer.engine.advance import advanced
from trainer.engine.begin import initial_state
from trainer.engine.carry import carry
from trainer.engine.evenly import runs_evenly
from trainer.engine.happenings import next_of
from trainer.engine.perform import perform
from trainer.engine.state import State
from trainer.scenario.model import Response, Scenario, Trigger
from trainer.terms import Curve, Driver, Verb


def a_lively_patient() -> Scenario:
    """Four drivers and all curves, so that signs rise, turn and fall; one event waits for each."""
    scenario = the_scenario()
    drug = scenario.formulary.drugs[0]
    more = (
        Response(
            sign="heart rate",
            most=Fraction(50),
            driver=Driver.LEVEL,
            curve=Curve.SATURATING,
            half_at=Fraction("0.1"),
            steepness=2,
            lag_ms=20 * MINUTE,
        ),
        Response(sign="breathing", most=Fraction(2), curve=Curve.EXPONENTIAL, lag_ms=MINUTE),
        Response(sign="saturation", most=Fraction(30), driver=Driver.RATE, lag_ms=2 * MINUTE),
        Response(sign="temperature", most=Fraction(5), driver=Driver.RATE),
    )
    drug = replace(drug, responses=(*drug.responses, *more))
    return replace(scenario, formulary=replace(scenario.formulary, drugs=(drug,)))


SCENARIO = a_lively_patient()
RATES = st.sampled_from(("0", "2.4", "24", "60"))
PAUSES = st.integers(SECOND, 25 * MINUTE)


@st.composite
def states(draw: st.DrawFn) -> State:
    """The bedside after a few changes of both lines' rates."""
    state, now_ms = initial_state(SCENARIO), 0
    for _ in range(draw(st.integers(1, 4))):
        for line in ("1", "2"):
            rate = draw(RATES)
            acts = [act(Verb.STOP, line=line)]
            if rate != "0":
                acts = [
                    act(Verb.ENTER, line=line, role="primary", volume="30", rate=rate),
                    act(Verb.START, line=line),
                ]
            for action in acts:
                state, _ = perform(state, action, at_ms=now_ms, actor="learner")
        now_ms += draw(PAUSES)
        state, _ = advanced(state, now_ms)
    return state


@tried(60)
@given(states(), st.floats(0, 1), st.floats(0, 1))
def test_a_sign_stays_between_its_least_and_its_most(state, share, within):
    ends_ms = next_of(state)[0].at_ms
    late_ms = state.as_of_ms + int(share * (ends_ms - state.as_of_ms))
    between_ms = state.as_of_ms + int(within * (late_ms - state.as_of_ms))
    if not runs_evenly(state):
        return
    later, between = carry(state, late_ms), carry(state, between_ms)
    for name in signs.names_of(state):
        ends = signs.number_between(state, later, name)
        number = signs.number_now(between, name)
        if ends is not None and number is not None:
            assert ends[0] <= number <= ends[1]


@tried(40)
@given(states(), st.sampled_from(["breathing", "heart rate", "saturation"]), st.integers(-9, 9))
def test_the_search_finds_what_looking_at_every_place_finds(state, name, apart):
    number = signs.number_now(state, name)
    assert number is not None
    when = (
        Trigger(sign=name, below=number + apart)
        if apart < 0
        else Trigger(sign=name, above=number + apart)
    )
    event = replace(SCENARIO.event("slow"), when=when)
    until_ms = next_of(state)[0].at_ms
    places = crossings.places(state.as_of_ms, until_ms, None)
    plain = crossings.Search(state, [event], places, is_even=False)
    quick = crossings.Search(state, [event], places, is_even=runs_evenly(state))
    last = carry(state, places[-1])
    ends = (0, state, len(places) - 1, last)
    assert quick.first(*ends) == plain.first(*ends)

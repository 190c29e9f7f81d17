"""Clearing air: three ways, and what each costs."""

from fractions import Fraction

import pytest

from tests.build import MINUTE, Bedside, a_scenario, an_event
from trainer.engine.clearing import CLEARINGS, DRAW_OFF, DRAW_OFF_BELOW, TAP_UP
from trainer.engine.state import Line, Plug, State
from trainer.engine.tubing import volume_of, volume_of_air
from trainer.scenario.model import Effect, Trigger
from trainer.terms import Happening, Refusal, Verb, Where

ML = 3_600_000_000


def with_air(where: Where, volume_ml: str = "0.6") -> Bedside:
    """Air in a stopped line that is hung, loaded and connected."""
    effect = Effect(
        happening=Happening.AIR_ENTERS, line=1, volume_ml=Fraction(volume_ml), where=where
    )
    bedside = Bedside(a_scenario(events=(an_event("air", Trigger(at_ms=0), effect),)))
    bedside.wait(0)
    return bedside


def left(state: State) -> int:
    return state.container("bag").left


def tubing(line: Line) -> tuple[Plug, ...]:
    return (*line.primary.contents, *line.above, *line.below)


@pytest.mark.parametrize(("how", "lost_ml"), [(TAP_UP, Fraction(0)), (DRAW_OFF, Fraction("0.6"))])
def test_above_the_pump_it_is_tapped_up_or_drawn_off_with_as_much_fluid(how, lost_ml):
    bedside = with_air(Where.UPSTREAM)
    before = left(bedside.state)
    bedside.do(Verb.CLEAR_AIR, line="1", how=how)
    state = bedside.state
    assert volume_of_air(tubing(state.line(1))) == 0
    assert volume_of(tubing(state.line(1))) == 15 * ML
    lost = int(lost_ml * ML)
    assert sum(volume for _, volume in state.ledger.waste) == lost
    assert before - left(state) == 3 * ML // 5 + lost
    assert state.ledger.air_in_vein == 0


def test_below_the_pump_all_up_to_the_air_is_drawn_off():
    # 3 mL lie below; the air next to the pump takes the 2.4 mL before it along.
    bedside = with_air(Where.DOWNSTREAM)
    leaked = 3 * ML // 5
    before = left(bedside.state)
    bedside.do(Verb.CLOSE_CLAMP, line="1", clamp="patient")
    bedside.do(Verb.CLEAR_AIR, line="1", how=DRAW_OFF_BELOW)
    state = bedside.state
    (cleared,) = bedside.of_kind("AirCleared")
    assert (cleared.volume, cleared.wasted) == (leaked, 12 * ML // 5)
    assert volume_of_air(tubing(state.line(1))) == 0
    assert before - left(state) == 3 * ML
    assert dict(state.ledger.waste) == {"saline": leaked + 12 * ML // 5}
    assert state.ledger.air_in_vein == 0


def test_drawing_off_below_wants_the_patient_clamp_shut_and_the_pump_stopped():
    bedside = with_air(Where.DOWNSTREAM)
    bedside.run(rate="1")
    bedside.do(Verb.CLEAR_AIR, line="1", how=DRAW_OFF_BELOW)
    assert bedside.reason() is Refusal.RUNNING
    bedside.do(Verb.STOP, line="1")
    bedside.do(Verb.CLEAR_AIR, line="1", how=DRAW_OFF_BELOW)
    assert bedside.reason() is Refusal.CAUSE_REMAINS
    assert "patient clamp" in bedside.refusal.text


def test_drawing_off_below_wants_pressure_released_first():
    bedside = with_air(Where.DOWNSTREAM)
    bedside.do(Verb.CLOSE_CLAMP, line="1", clamp="patient")
    bedside.run(rate="10")
    bedside.wait(MINUTE)
    bedside.do(Verb.STOP, line="1")
    bedside.do(Verb.CLEAR_AIR, line="1", how=DRAW_OFF_BELOW)
    assert "release it first" in bedside.refusal.text
    bedside.do(Verb.RELEASE_PRESSURE, line="1")
    bedside.do(Verb.CLEAR_AIR, line="1", how=DRAW_OFF_BELOW)
    assert len(bedside.of_kind("AirCleared")) == 1


def test_air_above_is_cleared_before_air_below():
    bedside = with_air(Where.DOWNSTREAM)
    bedside.do(Verb.CLEAR_AIR, line="1", how=TAP_UP)
    assert "No air is to be seen above" in bedside.refusal.text
    both = with_air(Where.UPSTREAM)
    both.do(Verb.CLEAR_AIR, line="1", how=DRAW_OFF_BELOW)
    assert "No air is to be seen below" in both.refusal.text


@pytest.mark.parametrize("how", CLEARINGS)
def test_no_way_is_open_while_the_pump_runs(how):
    bedside = with_air(Where.DOWNSTREAM)
    bedside.run(rate="1")
    bedside.do(Verb.CLEAR_AIR, line="1", how=how)
    assert bedside.reason() is Refusal.RUNNING


def test_starting_again_pushes_air_below_into_the_vein():
    bedside = with_air(Where.DOWNSTREAM)
    bedside.run(rate="60")
    bedside.wait(10 * MINUTE)
    assert bedside.state.ledger.air_in_vein == 3 * ML // 5

"""What an author's events do to line, catheter, pump and power."""

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.build import HOUR, MINUTE, Bedside, a_patient, a_ready_line, a_scenario, an_event
from trainer.engine.carry import carry
from trainer.scenario.model import Access, Effect, Trigger
from trainer.terms import AlarmKind, Drive, Happening, Refusal, Verb, Where

ML = 3_600_000_000
UL = ML // 1_000


def after(*effects: Effect, at_ms: int = 0, **changes) -> Bedside:
    """The bedside right after these effects came."""
    event = an_event("event", Trigger(at_ms=at_ms), *effects)
    bedside = Bedside(a_scenario(events=(event,), **changes))
    bedside.wait(at_ms)
    return bedside


def an_effect(happening: Happening, **fields) -> Effect:
    return Effect(happening=happening, **fields)


# --- narrowing --------------------------------------------------------------------------

NARROW = an_effect(
    Happening.LINE_NARROWS,
    line=1,
    reason="the elbow is bent",
    mend=Verb.REPOSITION,
    resistance=Fraction(5),
)


def test_a_narrowing_has_the_time_constant_of_its_resistance_and_the_lines_compliance():
    # tau = R C = 5 mmHg/(mL/h) x 1.2 uL/mmHg = 6 uL h/mL = 6 x 3.6 s = 21.6 s
    bedside = after(NARROW)
    (narrowed,) = bedside.of_kind("LineNarrowed")
    assert (narrowed.resistance_u, narrowed.time_constant_ms) == (5_000_000, 21_600)
    assert bedside.state.line(1).narrowed_ms == 21_600


def test_a_narrowing_is_seen_on_following_the_line_and_freed_by_its_mend():
    bedside = after(NARROW)
    bedside.do(Verb.FOLLOW_LINE, line="1")
    assert "the elbow is bent" in bedside.of_kind("Perceived")[-1].text
    bedside.do(Verb.STRAIGHTEN, line="1")
    assert bedside.of_kind("LineFreed") == []
    bedside.do(Verb.REPOSITION, access="hand")
    (freed,) = bedside.of_kind("LineFreed")
    assert (freed.where, freed.narrowing) == (Where.DOWNSTREAM, True)
    assert bedside.state.line(1).narrowed_below == ""
    assert bedside.state.line(1).narrowed_ms == 0


def test_a_block_and_a_narrowing_are_freed_apart():
    block = an_effect(
        Happening.LINE_BLOCKED, line=1, where=Where.DOWNSTREAM, reason="a kink",
        mend=Verb.STRAIGHTEN,
    )  # fmt: skip
    bedside = after(NARROW, block)
    bedside.do(Verb.STRAIGHTEN, line="1")
    line = bedside.state.line(1)
    assert (line.blocked_below, line.narrowed_below) == ("", "the elbow is bent")


def test_an_authors_freeing_takes_a_narrowing_too():
    bedside = after(NARROW, an_effect(Happening.CALL, who="ward", text="so"))
    event = an_event("freed", Trigger(event="event"), an_effect(Happening.LINE_FREED, line=1))
    narrowed = an_event("event", Trigger(at_ms=0), NARROW)
    bedside = Bedside(a_scenario(events=(narrowed, event)))
    bedside.wait(0)
    assert bedside.state.line(1).narrowed_below == ""


# --- the limb and the vein ----------------------------------------------------------------


def test_a_raised_arm_moves_the_lines_rest_and_repositioning_lays_it_back():
    # 20 cm of water are 14.7112 mmHg; with 1.2 uL/mmHg the tubing stores 17.65344 uL more.
    bedside = after(an_effect(Happening.ARM_MOVES, access="hand", height_cm=Fraction(20)))
    assert bedside.state.access[0].height_mm == 200
    rest_ul = Fraction(bedside.state.line(1).rest, UL)
    assert rest_ul == Fraction("17.65344")
    bedside.do(Verb.REPOSITION, access="hand")
    assert bedside.state.access[0].height_mm == 0
    assert bedside.state.line(1).rest == 0
    bedside.do(Verb.REPOSITION, access="hand")
    assert "already lay well" in bedside.of_kind("Perceived")[-1].text


def test_repositioning_lays_the_limb_where_the_author_had_it():
    hand = Access(id="hand", name="left hand", kind="peripheral", height_cm=Fraction("-12.5"))
    moved = an_effect(Happening.ARM_MOVES, access="hand", height_cm=Fraction(30))
    bedside = after(moved, patient=a_patient(access=(hand,)))
    bedside.do(Verb.REPOSITION, access="hand")
    assert bedside.state.access[0].height_mm == -125


def test_a_risen_pressure_in_the_vein_moves_the_lines_rest():
    # from 10 to 35 mmHg: 25 x 1.2 uL/mmHg = 30 uL
    rise = an_effect(Happening.VEIN_PRESSURE_CHANGES, access="hand", pressure_mmhg=Fraction(35))
    bedside = after(rise)
    assert bedside.state.access[0].pressure_u == 35_000_000
    assert bedside.state.line(1).rest == 30 * UL


def test_making_up_what_is_missing_behind_a_narrowing_tells_its_end_once():
    # 25 mmHg x 1.2 uL/mmHg = 30 uL are missing: at 60 mL/h made up in 1.8 s.
    rise = an_effect(Happening.VEIN_PRESSURE_CHANGES, access="hand", pressure_mmhg=Fraction(35))
    event = an_event("event", Trigger(at_ms=MINUTE), NARROW, rise)
    bedside = Bedside(a_scenario(events=(event,)))
    bedside.run(rate="60")
    bedside.wait(HOUR)
    assert bedside.happened("FrontReachedVein") == [MINUTE + 1_800]


# --- valve, set, signs -------------------------------------------------------------------


def test_a_valve_sticks_once():
    stuck = an_effect(Happening.VALVE_STICKS, line=1)
    bedside = after(stuck, stuck)
    assert not bedside.state.line(1).valve_works
    assert len(bedside.of_kind("ValveStuck")) == 2  # both of one moment; the state is the same


def test_a_slipped_set_stops_the_pump_until_it_is_loaded_again():
    slips = an_effect(Happening.SET_SLIPS, line=1)
    bedside = Bedside(a_scenario(events=(an_event("slips", Trigger(at_ms=HOUR), slips),)))
    bedside.run(rate="60")
    bedside.wait(2 * HOUR)
    assert bedside.alarms() == [(AlarmKind.CHECK_SET, HOUR)]
    assert carry(bedside.state, bedside.now_ms).line(1).pump.total == 60 * ML
    bedside.do(Verb.FOLLOW_LINE, line="1")
    assert "the set lies wrong in the pump" in bedside.of_kind("Perceived")[-1].text
    bedside.do(Verb.START, line="1")
    assert bedside.reason() is Refusal.NOT_LOADED
    bedside.do(Verb.RESET_ALARM, line="1")
    assert bedside.reason() is Refusal.CAUSE_REMAINS
    bedside.do(Verb.LOAD, line="1")
    bedside.do(Verb.START, line="1")
    assert bedside.state.alarms == ()
    bedside.wait(HOUR)
    assert carry(bedside.state, bedside.now_ms).line(1).pump.total == 120 * ML


@pytest.mark.parametrize("drive", [Drive.GRAVITY])
def test_a_set_that_lies_in_no_pump_cannot_slip(drive):
    slips = an_effect(Happening.SET_SLIPS, line=1)
    bedside = after(slips, lines=(a_ready_line(drive=drive, opening=Fraction("0.1")),))
    assert bedside.of_kind("SetSlipped") == []
    assert bedside.alarms() == []


def test_a_set_taken_out_of_its_pump_closes_by_itself_or_runs_as_the_wards_sets_do():
    for closes, runs in ((True, False), (False, True)):
        bedside = Bedside(a_scenario(closes_when_unloaded=closes))
        bedside.run(rate="60")
        bedside.wait(MINUTE)
        bedside.do(Verb.UNLOAD, line="1")
        assert bedside.reason() is Refusal.RUNNING
        bedside.do(Verb.STOP, line="1")
        bedside.do(Verb.UNLOAD, line="1")
        assert not bedside.state.line(1).loaded
        bedside.wait(MINUTE)
        given = dict(carry(bedside.state, bedside.now_ms).ledger.vein)["saline"]
        assert (given > 2 * ML) is runs
        bedside.do(Verb.UNLOAD, line="1")
        assert bedside.reason() is Refusal.NOT_LOADED


def test_a_sign_drifts_or_is_there_at_once_without_a_half_time():
    drift = an_effect(Happening.SIGN_DRIFTS, sign="heart rate", value="140", half_ms=MINUTE)
    bedside = after(drift)
    (drifts,) = bedside.of_kind("SignDrifts")
    assert (drifts.sign, drifts.value, drifts.half_ms) == ("heart rate", "140", MINUTE)
    at_once = after(replace(drift, half_ms=0))
    assert at_once.of_kind("SignDrifts") == []
    assert [event.value for event in at_once.of_kind("SignChanged")] == ["140"]


# --- what a look at a container and a line tells --------------------------------------------


def test_a_gravity_line_shows_how_high_its_container_hangs():
    bedside = Bedside(
        a_scenario(lines=(a_ready_line(drive=Drive.GRAVITY, opening=Fraction("0.1")),))
    )
    bedside.do(Verb.LOOK_AT_CONTAINER, line="1")
    assert "90 cm above the catheter" in bedside.of_kind("Perceived")[-1].text
    bedside.do(Verb.FOLLOW_LINE, line="1")
    text = bedside.of_kind("Perceived")[-1].text
    assert "the roller clamp is partly open" in text
    assert "not in the pump" not in text


def test_a_loose_plug_is_found_on_following_the_line():
    bedside = Bedside(a_scenario(lines=(a_ready_line(plugged_in=False),)))
    bedside.do(Verb.FOLLOW_LINE, line="1")
    assert "the pump's plug is out of the mains" in bedside.of_kind("Perceived")[-1].text

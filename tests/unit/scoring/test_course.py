"""The course: what the strip draws must be what the engine's log says, and nothing else."""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.build import (
    HOUR,
    MINUTE,
    Bedside,
    a_block,
    a_dry_line,
    a_patient,
    a_ready_line,
    a_scenario,
    an_event,
    an_order,
)
from trainer.clinical.quantity import parse_quantity
from trainer.engine.amounts import ml_from_motes
from trainer.scenario.model import AuthoredEvent, Effect, Trigger
from trainer.scoring.course import course
from trainer.scoring.line_course import OrderedStretch, without
from trainer.scoring.moments import Point
from trainer.scoring.patient_course import LEVEL_SAMPLES
from trainer.terms import AlarmKind, Happening, Role, Site, Verb


def flat(points) -> list[tuple[int, object]]:
    return [(point.at_ms, point.value) for point in points]


def a_course_of(bedside: Bedside):
    return course(bedside.scenario, bedside.log)


def into_vein_ml(bedside: Bedside) -> Fraction:
    return ml_from_motes(sum(volume for _, volume in bedside.state.ledger.vein))


def event_at(at_ms: int, *effects: Effect) -> AuthoredEvent:
    return an_event("happens", Trigger(at_ms=at_ms), *effects)


def test_an_empty_log_has_an_empty_course():
    shown = course(a_scenario(), ())
    assert shown.ends_ms == 0
    assert (shown.acts, shown.alarms, shown.events) == ((), (), ())
    assert shown.lines[0].ran == ()


def test_what_ran_is_one_stretch_from_start_to_stop():
    bedside = Bedside(a_scenario())
    bedside.wait(10 * MINUTE)
    bedside.run(rate="40", volume="80")
    bedside.wait(30 * MINUTE)
    bedside.do(Verb.LOOK_AT_PATIENT)
    bedside.wait(30 * MINUTE)
    bedside.do(Verb.STOP, line="1")
    (ran,) = a_course_of(bedside).lines[0].ran
    assert (ran.from_ms, ran.until_ms) == (10 * MINUTE, 70 * MINUTE)
    assert ran.rate_ml_per_h == 40


def test_volume_given_is_a_straight_line_with_no_idle_points():
    bedside = Bedside(a_scenario())
    bedside.run(rate="40", volume="80")
    for _ in range(6):
        bedside.wait(10 * MINUTE)
        bedside.do(Verb.LOOK_AT_PATIENT)
    assert flat(a_course_of(bedside).lines[0].given_ml) == [(0, 0), (HOUR, 40)]


def test_a_blocked_line_gives_nothing_while_its_pressure_rises_in_a_straight_line():
    bedside = Bedside(a_scenario(events=(a_block(when=Trigger(at_ms=30 * MINUTE)),)))
    bedside.run(rate="40", volume="80")
    bedside.wait(HOUR)
    line = a_course_of(bedside).lines[0]
    assert line.given_ml[-1].value == 20
    rising = [point for point in line.pressure_mmhg if point.at_ms >= 30 * MINUTE]
    assert rising[0] == Point(at_ms=30 * MINUTE, value=Fraction(10))
    # t = C dp / Q with C = 1.2 microlitres per mmHg, dp = 400 mmHg, Q = 40 mL/h: 43.2 s
    assert rising[1] == Point(at_ms=30 * MINUTE + 43_200, value=Fraction(410))


def test_what_was_stored_jumps_into_the_vein_when_the_line_is_freed():
    bedside = Bedside(a_scenario(events=(a_block(when=Trigger(at_ms=30 * MINUTE)),)))
    bedside.run(rate="40", volume="80")
    bedside.wait(HOUR)
    bedside.do(Verb.STRAIGHTEN, line="1")
    bedside.wait(MINUTE)
    bedside.do(Verb.LOOK_AT_PATIENT)
    given = flat(a_course_of(bedside).lines[0].given_ml)
    assert [at_ms for at_ms, _ in given].count(HOUR) == 2
    assert given[-1][1] == 20 + Fraction("0.48")  # C dp = 1.2 x 400 microlitres
    assert given[-1][1] == into_vein_ml(bedside)


def test_what_is_released_to_waste_never_counts_as_given():
    bedside = Bedside(a_scenario(events=(a_block(when=Trigger(at_ms=30 * MINUTE)),)))
    bedside.run(rate="40", volume="80")
    bedside.wait(HOUR)
    bedside.do(Verb.RELEASE_PRESSURE, line="1")
    bedside.do(Verb.STRAIGHTEN, line="1")
    bedside.wait(MINUTE)
    bedside.do(Verb.LOOK_AT_PATIENT)
    assert a_course_of(bedside).lines[0].given_ml[-1].value == 20


def test_what_goes_beside_the_vein_never_counts_as_given():
    effect = Effect(happening=Happening.SITE_CHANGES, access="hand", site=Site.INFILTRATED)
    bedside = Bedside(a_scenario(events=(event_at(30 * MINUTE, effect),)))
    bedside.run(rate="40", volume="80")
    bedside.wait(HOUR)
    bedside.do(Verb.LOOK_AT_PATIENT)
    line = a_course_of(bedside).lines[0]
    assert line.given_ml[-1].value == 20 == into_vein_ml(bedside)
    assert line.ran[-1].until_ms == HOUR


def connected_dry(*lines) -> Bedside:
    """Line 1 set up and connected without priming."""
    bedside = Bedside(a_scenario(lines=lines or (a_dry_line(below_ml=Fraction(4)),)))
    for verb, extra in (
        (Verb.CHOOSE, {"supply": "bag"}),
        (Verb.HANG, {"line": "1", "role": "primary", "supply": "bag"}),
        (Verb.SPIKE, {"line": "1", "role": "primary"}),
        (Verb.FILL_CHAMBER, {"line": "1", "role": "primary"}),
        (Verb.OPEN_CLAMP, {"line": "1", "clamp": "primary"}),
        (Verb.LOAD, {"line": "1"}),
        (Verb.CONNECT, {"line": "1", "at": "access"}),
    ):
        bedside.do(verb, **extra)
    return bedside


def test_air_primed_into_the_vein_never_counts_as_volume_given():
    bedside = connected_dry()
    bedside.do(Verb.PRIME, line="1", role="primary")
    bedside.run(rate="60", volume="10")
    bedside.wait(5 * MINUTE)
    bedside.do(Verb.LOOK_AT_PATIENT)
    assert ml_from_motes(bedside.state.ledger.air_in_vein) == 16
    assert a_course_of(bedside).lines[0].given_ml[-1].value == 5 == into_vein_ml(bedside)


def test_a_flush_counts_without_the_air_that_it_pushed_ahead():
    bedside = connected_dry()
    bedside.do(Verb.FLUSH, line="1", volume="20")
    given = flat(a_course_of(bedside).lines[0].given_ml)
    assert given[-1] == (0, 16)
    assert given[-1][1] == into_vein_ml(bedside)


def test_a_bubble_that_the_pump_carries_into_the_vein_is_no_volume_given():
    effect = Effect(happening=Happening.AIR_ENTERS, line=1, volume_ml=Fraction("0.05"))
    bedside = Bedside(a_scenario(events=(event_at(5 * MINUTE, effect),)))
    bedside.run(rate="60", volume="100")
    bedside.wait(20 * MINUTE)
    bedside.do(Verb.STOP, line="1")
    assert a_course_of(bedside).lines[0].given_ml[-1].value == Fraction("19.95")
    assert into_vein_ml(bedside) == Fraction("19.95")


def test_a_flush_beside_the_vein_never_counts_as_given():
    effect = Effect(happening=Happening.SITE_CHANGES, access="hand", site=Site.INFILTRATED)
    bedside = Bedside(a_scenario(events=(event_at(MINUTE, effect),)))
    bedside.wait(2 * MINUTE)
    bedside.do(Verb.FLUSH, line="1", volume="5")
    assert a_course_of(bedside).lines[0].given_ml[-1].value == 0 == into_vein_ml(bedside)


def test_a_line_found_running_runs_from_the_first_moment():
    line = a_ready_line(
        running_rate_ml_per_h=Fraction(40), running_volume_ml=Fraction(80), hung_left_ml=None
    )
    bedside = Bedside(a_scenario(lines=(line,)))
    bedside.wait(HOUR)
    bedside.do(Verb.LOOK_AT_PATIENT)
    shown = a_course_of(bedside).lines[0]
    assert (shown.ran[0].from_ms, shown.ran[0].rate_ml_per_h) == (0, 40)
    assert [one.fluid for one in shown.reaching] == ["saline"]


def test_a_continuous_order_asks_from_the_moment_it_stands():
    bedside = Bedside(a_scenario())
    bedside.wait(HOUR)
    bedside.do(Verb.LOOK_AT_PATIENT)
    (asked,) = a_course_of(bedside).lines[0].ordered
    assert (asked.from_ms, asked.until_ms, asked.rate_ml_per_h) == (0, HOUR, 40)


def a_bolus(**changes):
    return an_order(
        "bolus",
        title="Fluid bolus",
        kind="bolus",
        rate=None,
        dose=parse_quantity("10 mL/kg", of_body=True),
        over_ms=30 * MINUTE,
        **changes,
    )


def test_while_a_bolus_is_due_the_maintenance_on_its_line_waits():
    weighed = a_patient(weight=parse_quantity("16 kg", of_body=True))
    bedside = Bedside(a_scenario(orders=(an_order(), a_bolus()), patient=weighed))
    bedside.wait(10 * MINUTE)
    bedside.run(rate="320", volume="160")  # 10 mL/kg for 16 kg over 30 min
    bedside.wait(HOUR)
    bedside.do(Verb.LOOK_AT_PATIENT)
    asked = a_course_of(bedside).lines[0].ordered
    assert [(one.order, one.from_ms, one.until_ms) for one in asked] == [
        ("maintenance", 0, 10 * MINUTE),
        ("bolus", 10 * MINUTE, 40 * MINUTE),
        ("maintenance", 40 * MINUTE, 70 * MINUTE),
    ]


@pytest.mark.parametrize(
    ("other", "left"),
    [
        ((20, 30), [(10, 20), (30, 50)]),
        ((0, 20), [(20, 50)]),
        ((40, 99), [(10, 40)]),
        ((0, 99), []),
        ((60, 70), [(10, 50)]),
    ],
    ids=["inside", "over the beginning", "over the end", "over all of it", "beside it"],
)
def test_a_stretch_without_another(other, left):
    def stretch(from_ms: int, until_ms: int) -> OrderedStretch:
        return OrderedStretch(
            order="x",
            role=Role.PRIMARY,
            from_ms=from_ms,
            until_ms=until_ms,
            rate_ml_per_h=Fraction(1),
        )

    found = without(stretch(10, 50), [stretch(*other)])
    assert [(one.from_ms, one.until_ms) for one in found] == left


def test_an_alarm_lasts_until_it_is_over_and_knows_when_its_cause_went():
    bedside = Bedside(a_scenario(events=(a_block(),)))
    bedside.run(rate="40", volume="80")
    bedside.wait(5 * MINUTE)
    bedside.do(Verb.PAUSE_SOUND)
    bedside.wait(MINUTE)
    bedside.do(Verb.STRAIGHTEN, line="1")
    bedside.wait(MINUTE)
    bedside.do(Verb.RESET_ALARM, line="1")
    bedside.wait(5 * MINUTE)
    bedside.do(Verb.LOOK_AT_PATIENT)
    shown = a_course_of(bedside)
    (alarm,) = shown.alarms
    assert alarm.kind is AlarmKind.DOWNSTREAM_OCCLUSION
    assert (alarm.from_ms, alarm.cause_until_ms, alarm.until_ms) == (43_200, 6 * MINUTE, 7 * MINUTE)
    (pause,) = shown.pauses
    assert (pause.from_ms, pause.until_ms) == (5 * MINUTE, 7 * MINUTE)


def test_an_alarm_that_nobody_ended_lasts_to_the_end_of_the_log():
    bedside = Bedside(a_scenario(events=(a_block(),)))
    bedside.run(rate="40", volume="80")
    bedside.wait(HOUR)
    bedside.do(Verb.LOOK_AT_PATIENT)
    (alarm,) = a_course_of(bedside).alarms
    assert alarm.until_ms == HOUR


def test_a_refused_act_carries_its_reason_and_the_others_none():
    bedside = Bedside(a_scenario())
    bedside.do(Verb.START, line="1")
    bedside.do(Verb.CLEAN_HANDS)
    refused, done = a_course_of(bedside).acts
    assert refused.refused
    assert done.refused == ""


def test_a_sign_is_told_as_it_was_whether_or_not_anyone_looked():
    effect = Effect(happening=Happening.SIGN_CHANGES, sign="heart rate", value="140")
    bedside = Bedside(a_scenario(events=(event_at(10 * MINUTE, effect),)))
    bedside.wait(HOUR)
    bedside.do(Verb.CLEAN_HANDS)
    shown = a_course_of(bedside)
    (sign,) = shown.signs
    assert [(one.at_ms, one.number) for one in sign.points] == [(0, 112), (10 * MINUTE, 140)]
    assert [(one.at_ms, one.title) for one in shown.events] == [(10 * MINUTE, "happens")]


def test_a_drugs_level_is_sampled_evenly_and_rises_while_the_drug_runs():
    line = a_ready_line(hung="small-bag")
    bedside = Bedside(a_scenario(lines=(line,)))
    bedside.run(rate="10", volume="20")
    bedside.wait(HOUR)
    bedside.do(Verb.LOOK_AT_PATIENT)
    (level,) = a_course_of(bedside).levels
    assert level.unit == "mg/L"
    assert len(level.points) == LEVEL_SAMPLES + 1
    assert (level.points[0].at_ms, level.points[-1].at_ms) == (0, HOUR)
    values = [point.value for point in level.points]
    assert values == sorted(values)
    # 20 mg/h into 16 L with a half-life of 2 h: R / (k V) (1 - 2^(-t/T)) = 1.056 mg/L,
    # the constant-infusion formula of any pharmacokinetics textbook.
    assert abs(values[-1] - Fraction("1.056")) < Fraction("0.002")


def test_no_level_is_told_of_a_drug_that_never_reached_the_patient():
    assert course(a_scenario(), ()).levels == ()


def test_values_at_a_happening_never_depend_on_who_looked_in_between():
    quiet, watched = (
        Bedside(a_scenario(events=(a_block(),))),
        Bedside(a_scenario(events=(a_block(),))),
    )
    for bedside in (quiet, watched):
        bedside.run(rate="40", volume="80")
    quiet.wait(HOUR)
    for _ in range(60):
        watched.wait(MINUTE)
        watched.do(Verb.LOOK_AT_PATIENT)
    quiet.do(Verb.LOOK_AT_PATIENT)
    assert a_course_of(quiet).lines == a_course_of(watched).lines

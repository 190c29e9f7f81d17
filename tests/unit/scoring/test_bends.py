"""Curves that bend are told at enough moments; straight ones at no more than they need."""

from __future__ import annotations

from fractions import Fraction

from tests.build import HOUR, MINUTE, Bedside, a_ready_line, a_scenario, an_event
from trainer.scenario.model import Effect, Trigger
from trainer.scoring.course import course
from trainer.scoring.moments import Point
from trainer.terms import Drive, Happening, Site, Verb


def a_narrowing(resistance: int) -> Effect:
    return Effect(
        happening=Happening.LINE_NARROWS,
        line=1,
        resistance=Fraction(resistance),
        reason="the rail squeezes the tubing",
        mend=Verb.STRAIGHTEN,
    )


def a_course(bedside: Bedside):
    return course(bedside.scenario, bedside.log)


def value_at(points: tuple[Point, ...], at_ms: int) -> Fraction:
    """On the straight line between neighbours, as the strip draws it."""
    before = [point for point in points if point.at_ms <= at_ms][-1]
    after = next(point for point in points if point.at_ms > at_ms)
    share = Fraction(at_ms - before.at_ms, after.at_ms - before.at_ms)
    return before.value + share * (after.value - before.value)


def a_narrowed_run() -> Bedside:
    event = an_event("squeeze", Trigger(at_ms=10 * MINUTE), a_narrowing(3))
    bedside = Bedside(a_scenario(lines=(a_ready_line(has_port=False),), events=(event,)))
    bedside.run(rate="60", volume="250")
    bedside.wait(HOUR)
    bedside.do(Verb.CLEAN_HANDS)
    return bedside


def test_pressure_behind_a_narrowing_is_told_along_its_bend():
    """p = 10 + R Q (1 - e^(-t/tau)), R Q = 3 x 60 = 180 mmHg, tau = 3 x 1.2 uL = 12.96 s."""
    points = a_course(a_narrowed_run()).lines[0].pressure_mmhg
    after_tau = value_at(points, 10 * MINUTE + 12_960)
    assert abs(after_tau - (10 + 180 * (1 - Fraction("0.367879")))) < 2
    assert abs(value_at(points, 40 * MINUTE) - 190) < 1


def test_flow_into_the_vein_behind_a_narrowing_falls_at_once_and_comes_back():
    points = a_course(a_narrowed_run()).lines[0].into_vein_ml_per_h
    assert value_at(points, 9 * MINUTE) == 60
    assert value_at(points, 10 * MINUTE + 2_000) < 20
    assert abs(value_at(points, 12 * MINUTE) - 60) < 1


def test_a_straight_course_has_no_more_points_than_its_ends():
    bedside = Bedside(a_scenario())
    bedside.run(rate="60", volume="250")
    bedside.wait(HOUR)
    bedside.do(Verb.CLEAN_HANDS)
    line = a_course(bedside).lines[0]
    assert [point.value for point in line.into_vein_ml_per_h] == [0, 60, 60]
    assert len(line.pressure_mmhg) <= 3


def test_a_gravity_line_has_no_pump_to_feel_pressure():
    line = a_ready_line(drive=Drive.GRAVITY, has_port=False)
    bedside = Bedside(a_scenario(lines=(line,)))
    bedside.wait(MINUTE)
    bedside.do(Verb.CLEAN_HANDS)
    shown = a_course(bedside).lines[0]
    assert not shown.has_pump
    assert shown.into_vein_ml_per_h[-1].value > 0


def test_what_went_beside_the_vein_is_counted_with_its_grade():
    """At 60 mL/h from minute 10 on, an hour leaves 50 mL in the tissue: grade 4 there."""
    swells = Effect(happening=Happening.SITE_CHANGES, access="hand", site=Site.INFILTRATED)
    event = an_event("swelling", Trigger(at_ms=10 * MINUTE), swells)
    bedside = Bedside(a_scenario(events=(event,)))
    bedside.run(rate="60", volume="250")
    bedside.wait(HOUR)
    bedside.do(Verb.CLEAN_HANDS)
    (tissue,) = a_course(bedside).tissue
    assert tissue.name == "left hand"
    assert value_at(tissue.points, 40 * MINUTE) == 30
    assert tissue.points[-1].value == 50
    assert tissue.grade == 4


def test_without_an_infiltration_there_is_no_tissue_to_show():
    bedside = Bedside(a_scenario())
    bedside.run(rate="60", volume="250")
    bedside.wait(HOUR)
    bedside.do(Verb.CLEAN_HANDS)
    assert a_course(bedside).tissue == ()

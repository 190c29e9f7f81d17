"""Air: what the ward's detector adds up, and what it leaves out."""

from __future__ import annotations

from fractions import Fraction

from tests.build import MINUTE, Bedside, an_event
from tests.reference.at_the_line import a_line, run, the_ward
from tests.reference.published import Answer, Row, exact, hold, rows
from trainer.engine.amounts import MOTES_PER_ML
from trainer.scenario.model import Effect, Trigger
from trainer.terms import AlarmKind, Happening

SMALL = Fraction("0.06")
"""A bubble in mL that counts and does not alarm by itself."""


def with_bubbles(volume_ml: Fraction, count: int, apart_min: Fraction) -> Bedside:
    """The ward's line at 300 mL/h, with a bubble of that size every so often."""
    events = tuple(
        an_event(
            f"bubble-{number}",
            Trigger(at_ms=int((number + 1) * apart_min * MINUTE)),
            Effect(happening=Happening.AIR_ENTERS, line=1, volume_ml=volume_ml),
        )
        for number in range(count)
    )
    bedside = a_line(policy=the_ward(), events=events)
    run(bedside, 300)
    bedside.wait(int(count * apart_min + 10) * MINUTE)
    return bedside


def air_alarms(bedside: Bedside) -> int:
    return [kind for kind, _ in bedside.alarms()].count(AlarmKind.AIR_IN_LINE)


def most_air_let_through(row: Row) -> Fraction:
    """mL that pass within the row's window before the pump stops."""
    assert the_ward().pump.air_window_ms == row["given"]["window_min"] * MINUTE
    bedside = with_bubbles(SMALL, 30, Fraction("0.7"))
    assert air_alarms(bedside) == 1
    passed = [event.volume for event in bedside.of_kind("BubblePassed")]
    return Fraction(sum(passed[:-1]), MOTES_PER_ML)


def largest_bubble_not_counted(row: Row) -> Fraction:
    """Microlitres: of bubbles around the row's size, the largest that never adds up."""
    largest = Fraction(0)
    for microlitres in (30, 45, 49, 50, 55):
        bedside = with_bubbles(Fraction(microlitres, 1000), 40, Fraction("0.3"))
        if not air_alarms(bedside):
            largest = max(largest, Fraction(microlitres))
    assert largest > 0
    assert largest < exact(row["expected"]) * 2
    return largest


ANSWERS: dict[str, Answer] = {
    "AIR-01": most_air_let_through,
    "AIR-02": largest_bubble_not_counted,
}


@rows(ANSWERS)
def test_the_wards_detector_keeps_to_the_published_limit(row: Row) -> None:
    hold(row, ANSWERS[row["id"]](row))


def test_the_same_air_spread_over_more_than_the_window_does_not_alarm() -> None:
    """The sum is of a moving window: 1.8 mL of air in an hour and a half is let through."""
    assert air_alarms(with_bubbles(SMALL, 30, Fraction(3))) == 0

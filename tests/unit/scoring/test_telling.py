"""A report as plain lines: what the golden files hold."""

from __future__ import annotations

from dataclasses import replace

from tests.unit.scoring.courses_of_a_rate import (
    RIGHT_THROUGHOUT,
    SEEN_AFTER_THREE_MINUTES,
    SEEN_BEFORE_THE_START,
    THINKING_SLIP,
    WARD,
    report_of,
    trace_of,
)
from trainer.scoring.telling import finding_lines, report_lines, trace_lines
from trainer.terms import Credit


def finding_of(name, *steps):
    return next(one for one in report_of(WARD, *steps).findings if one.id == name)


def test_a_right_way_is_told_in_two_lines():
    assert trace_lines(trace_of(WARD, *RIGHT_THROUGHOUT)) == (
        "Maintenance, hourly rate: ordered 40 mL/h; calculated 40 mL/h; keyed 40 mL/h; "
        "delivered 40 mL of 40 mL",
        "          Worked out and keyed right (40 mL/h), and it came as ordered: 40 mL of 40 mL.",
    )


def test_a_near_miss_is_told_with_its_catcher_and_praised():
    links, _, error, praise = trace_lines(trace_of(WARD, *SEEN_BEFORE_THE_START))
    assert "keyed 400 mL/h, then 40 mL/h (wrong, tenfold)" in links
    assert error.strip() == (
        "error entered: keyed, a slip of the hand; caught by: the learner at 00:00:20; "
        "reach: caught before the patient"
    )
    assert praise.strip().startswith("Well caught")


def test_what_reached_the_vein_is_told_by_its_share():
    error = trace_lines(trace_of(WARD, *SEEN_AFTER_THREE_MINUTES))[2]
    assert error.endswith("reach: reached the patient, who must be watched; 900 % too much")


def test_a_wrong_value_is_told_with_its_slips():
    lines = finding_lines(finding_of("entry.maintenance.rate", *THINKING_SLIP))
    assert any(line.strip().startswith("slip tenfold: 400 mL/h is ten times") for line in lines)


def test_a_wrong_entry_is_told_with_its_reach():
    lines = finding_lines(finding_of("entry.maintenance.keyed-rate", *THINKING_SLIP))
    assert lines[1].endswith("critical, reach: harm")


def test_credit_is_told_only_where_it_says_more_than_the_verdict():
    one = finding_of("entry.maintenance.rate", *RIGHT_THROUGHOUT)
    helped = replace(one, credit=Credit.AFTER_CONCEPTUAL_CUE, cue="What does she weigh today?")
    assert "unaided" not in finding_lines(one)[1]
    assert finding_lines(helped)[1].endswith(", after a conceptual cue")
    assert "          after the cue: What does she weigh today?" in finding_lines(helped)


def test_the_traces_stand_between_what_was_given_and_the_marks():
    lines = report_lines(report_of(WARD, *RIGHT_THROUGHOUT))
    places = [
        next(n for n, line in enumerate(lines) if line.startswith(begun))
        for begun in ("Maintenance: Ordered", "Maintenance, hourly rate: ordered", "all: ", "gate ")
    ]
    assert places == sorted(places)

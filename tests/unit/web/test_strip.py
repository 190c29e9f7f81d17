"""The strip's geometry: what must hold for a reader, whatever is drawn."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.scoring.course import Course
from trainer.scoring.line_course import LineCourse, OrderedStretch, Reaching, Stretch
from trainer.scoring.marks import AlarmSpan
from trainer.scoring.moments import Point
from trainer.scoring.patient_course import SignCourse, SignPoint
from trainer.terms import AlarmKind, Priority, Role
from trainer.web import strip
from trainer.web.sheet import NARROW, WIDE, Format, value_at, window_points
from trainer.web.strip_clock import ticks
from trainer.web.strip_lines import FluidMark, asked_volume, gaps
from trainer.web.strip_stops import StopMark

MIN = 60_000


def clock(at_ms: int) -> str:
    minutes = 8 * 60 + 50 + at_ms // MIN
    return f"{minutes // 60 % 24:02d}:{minutes % 60:02d}"


def a_line(**changes) -> LineCourse:
    ordered = OrderedStretch(
        order="maintenance",
        role=Role.PRIMARY,
        from_ms=0,
        until_ms=60 * MIN,
        rate_ml_per_h=Fraction(40),
    )
    ran = Stretch(from_ms=10 * MIN, until_ms=50 * MIN, rate_ml_per_h=Fraction(40))
    fields = {
        "number": 1,
        "ordered": (ordered,),
        "ran": (ran,),
        "reaching": (Reaching(from_ms=10 * MIN, until_ms=50 * MIN, fluid="saline"),),
        "given_ml": (Point(at_ms=0, value=Fraction(0)), Point(at_ms=60 * MIN, value=Fraction(26))),
        "pressure_mmhg": (Point(at_ms=0, value=Fraction(20)),),
        "pressure_alarm_mmhg": Fraction(300),
    }
    return LineCourse(**{**fields, **changes})


def a_course(*, alarms=(), signs=(), lines=None) -> Course:
    return Course(
        ends_ms=60 * MIN,
        lines=(a_line(),) if lines is None else lines,
        signs=signs,
        levels=(),
        alarms=alarms,
        pauses=(),
        acts=(),
        events=(),
    )


def drawn(course: Course, stops=(), *, form: Format = WIDE, at_ms: int = 0, window=None):
    return strip.draw(
        course,
        stops,
        sheet_format=form,
        fluids={"saline": FluidMark(name="sodium chloride 0.9 %", tone="fluid")},
        clock=clock,
        title="The strip",
        desc="Told in words.",
        at_ms=at_ms,
        window=window,
    )


def a_stop(at_ms: int, number: str = "1") -> StopMark:
    return StopMark(number=number, at_ms=at_ms, tone="miss", label=f"at {at_ms}", href="#x")


@pytest.mark.parametrize("form", [WIDE, NARROW], ids=["wide", "narrow"])
@given(moments=st.lists(st.integers(0, 60 * MIN), min_size=1, max_size=40))
def test_no_two_numbered_stops_touch_and_none_leaves_the_plot(form, moments):
    stops = tuple(a_stop(at_ms, str(n + 1)) for n, at_ms in enumerate(sorted(moments)))
    placed = drawn(a_course(), stops, form=form).stops
    assert len(placed) == len(stops)
    spots = [(Fraction(one.x), Fraction(one.y)) for one in placed]
    for place, (x, y) in enumerate(spots):
        assert form.left <= x <= form.width - form.right
        for other_x, other_y in spots[:place]:
            assert abs(x - other_x) >= 26 or abs(y - other_y) >= 26


def test_stops_that_were_done_well_are_gathered_with_their_count():
    stops = tuple(a_stop(at_ms, "") for at_ms in (0, 1_000, 2_000, 40 * MIN))
    placed = drawn(a_course(), stops).stops
    assert [one.text for one in placed] == ["3", ""]
    assert placed[0].label.startswith("3 things done well")


def test_the_play_head_stands_where_its_moment_is_and_never_outside():
    assert drawn(a_course(), at_ms=0).here_x == str(WIDE.left)
    assert drawn(a_course(), at_ms=60 * MIN).here_x == str(WIDE.width - WIDE.right)
    assert drawn(a_course(), at_ms=99 * MIN).here_x == str(WIDE.width - WIDE.right)


def test_the_pump_standing_still_is_drawn_straight_down_not_slanting():
    first = Stretch(from_ms=0, until_ms=20 * MIN, rate_ml_per_h=Fraction(40))
    again = Stretch(from_ms=40 * MIN, until_ms=60 * MIN, rate_ml_per_h=Fraction(40))
    picture = drawn(a_course(lines=(a_line(ran=(first, again)),)))
    (ran,) = [one.d for one in picture.strokes if one.cls == "ran"]
    corners = [tuple(map(Fraction, pair.split())) for pair in ran[1:].split("L")]
    for (x, y), (next_x, next_y) in pairwise(corners):
        assert x == next_x or y == next_y


def test_the_gap_between_ordered_and_run_is_told_by_stretch():
    line = a_line()
    found = gaps(list(line.ordered), list(line.ran), 0, 60 * MIN)
    assert found == [
        (0, 10 * MIN, Fraction(40), Fraction(0)),
        (50 * MIN, 60 * MIN, Fraction(40), Fraction(0)),
    ]


def test_more_than_ordered_and_less_than_ordered_are_told_apart():
    slow = Stretch(from_ms=0, until_ms=30 * MIN, rate_ml_per_h=Fraction(20))
    fast = Stretch(from_ms=30 * MIN, until_ms=60 * MIN, rate_ml_per_h=Fraction(400))
    picture = drawn(a_course(lines=(a_line(ran=(slow, fast)),)))
    assert [one.cls for one in picture.strokes if one.cls in ("more", "less")] == ["less", "more"]


def test_what_flowed_into_the_vein_is_a_mark_with_the_fluids_name():
    picture = drawn(a_course())
    (band,) = [one for one in picture.strokes if one.cls.startswith("reaching")]
    assert band.cls == "reaching fluid"
    assert band.label == "sodium chloride 0.9 %"


def test_asked_volume_is_rate_times_time():
    points = asked_volume(a_line().ordered)
    assert points[-1] == Point(at_ms=60 * MIN, value=Fraction(40))


def test_a_value_between_two_points_lies_on_their_line_and_a_jump_counts_after_it():
    points = (
        Point(at_ms=0, value=Fraction(0)),
        Point(at_ms=10, value=Fraction(10)),
        Point(at_ms=10, value=Fraction(30)),
        Point(at_ms=20, value=Fraction(30)),
    )
    values = [value_at(points, at_ms) for at_ms in (0, 5, 10, 15, 99)]
    assert values == [0, 5, 30, 30, 30]


@pytest.mark.parametrize(
    ("until_min", "most", "shown"),
    [
        (75, 9, ["08:50", "09:00", "09:10", "09:20", "09:30", "09:40", "09:50", "10:00"]),
        (6, 9, ["08:50", "08:51", "08:52", "08:53", "08:54", "08:55", "08:56"]),
        (8 * 60, 9, ["09:00", "10:00", "11:00", "12:00", "13:00", "14:00", "15:00", "16:00"]),
    ],
    ids=["over an hour", "some minutes", "a shift"],
)
def test_the_axis_shows_round_times_of_the_ward_clock(until_min, most, shown):
    assert [clock(at_ms) for at_ms in ticks(0, until_min * MIN, most, clock)] == shown


def test_alarms_at_once_stand_in_rows_of_their_own():
    def alarm(from_min: int, until_min: int, kind: AlarmKind) -> AlarmSpan:
        return AlarmSpan(
            kind=kind,
            line=1,
            priority=Priority.HIGH,
            from_ms=from_min * MIN,
            cause_until_ms=until_min * MIN,
            until_ms=until_min * MIN,
        )

    picture = drawn(
        a_course(
            alarms=(
                alarm(10, 20, AlarmKind.DOWNSTREAM_OCCLUSION),
                alarm(12, 14, AlarmKind.AIR_IN_LINE),
            )
        )
    )
    bars = [one for one in picture.strokes if one.cls.startswith("alarm-bar ")]
    assert [one.label for one in bars] == [
        "downstream occlusion, line 1, high priority",
        "air in line, line 1, high priority",
    ]
    assert len({bar.d.split("H")[0].split()[-1] for bar in bars}) == 2


def test_a_sign_that_is_no_number_is_still_written_at_each_change():
    pressure = SignCourse(
        name="blood pressure",
        unit="mmHg",
        points=(
            SignPoint(at_ms=0, text="96/58", number=None),
            SignPoint(at_ms=30 * MIN, text="80/45", number=None),
        ),
    )
    picture = drawn(a_course(signs=(pressure,)))
    assert {"96/58", "80/45"} <= {one.text for one in picture.words}


def test_a_closer_look_draws_only_its_own_stretch_with_exact_ends():
    points = a_line().given_ml
    cut = window_points(points, 15 * MIN, 30 * MIN)
    assert [(one.at_ms // MIN, one.value) for one in cut] == [
        (15, Fraction(13, 2)),
        (30, Fraction(13)),
    ]
    shown = drawn(a_course(), (a_stop(5 * MIN), a_stop(20 * MIN)), window=(15 * MIN, 30 * MIN))
    assert [one.at_ms for one in shown.stops] == [20 * MIN]


def test_every_word_fits_between_the_edges_of_a_phone():
    picture = drawn(a_course(), form=NARROW)
    assert all(0 <= Fraction(one.x) <= NARROW.width for one in picture.words)

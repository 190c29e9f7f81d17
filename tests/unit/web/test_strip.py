"""The strip's geometry: what must hold for a reader, whatever is drawn."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.scoring.course import Course
from trainer.scoring.line_course import LineCourse, OrderedStretch, Reaching, Stretch
from trainer.scoring.marks import AlarmSpan
from trainer.scoring.moments import Point
from trainer.scoring.patient_course import LevelCourse, SignCourse, SignPoint
from trainer.scoring.site_course import TissueCourse
from trainer.terms import AlarmKind, Priority, Role
from trainer.web import strip, strip_table
from trainer.web.sheet import NARROW, WIDE, Format, number_text, value_at, window_points
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


# --- what physics brings ------------------------------------------------------------------


def points(*pairs) -> tuple[Point, ...]:
    return tuple(Point(at_ms=minutes * MIN, value=Fraction(value)) for minutes, value in pairs)


def test_flow_into_the_vein_is_drawn_only_where_it_was_not_what_the_pump_ran():
    same = points((0, 0), (10, 0), (10, 40), (50, 40), (50, 0), (60, 0))
    held = points((0, 0), (30, 0), (30, 40), (50, 40), (50, 0), (60, 0))
    for flow, is_drawn in ((same, False), (held, True), ((), False)):
        shown = drawn(a_course(lines=(a_line(into_vein_ml_per_h=flow),)))
        assert any(one.cls == "into-vein" for one in shown.strokes) is is_drawn


def test_a_line_without_a_pump_has_no_pressure_lane():
    shown = drawn(a_course(lines=(a_line(has_pump=False),)))
    assert not [word for word in shown.words if "pressure" in word.text]


def test_what_went_into_the_tissue_has_a_lane_that_says_how_much_and_how_bad():
    site = TissueCourse(
        access="hand", name="left hand", points=points((0, 0), (20, 0), (60, "12.4")), grade=2
    )
    shown = drawn(replace(a_course(), tissue=(site,)))
    assert [one for one in shown.strokes if one.cls == "tissue"]
    assert {"12.4 mL", "grade 2"} <= {word.text for word in shown.words}
    narrow = drawn(replace(a_course(), tissue=(site,)), form=NARROW)
    assert "12.4 mL, grade 2" in [word.text for word in narrow.words]


def test_the_curves_as_tables_hold_the_drawn_values_at_round_times():
    flow = points((0, 0), (10, 0), (10, 40), (50, 40), (50, 0), (60, 0))
    (table,) = strip_table.tables(a_course(lines=(a_line(into_vein_ml_per_h=flow),)), clock)
    assert table.title == "Line 1"
    at_nine_ten = dict(table.rows)["09:10"]
    by_name = dict(zip(table.columns, at_nine_ten, strict=True))
    assert by_name["ordered, mL/h"] == "40"
    assert by_name["into the vein, mL/h"] == "40"
    assert by_name["pressure, mmHg"] == "20"
    assert len(table.rows) <= strip_table.MOST_ROWS + 2


def test_the_patients_table_tells_signs_tissue_and_levels():
    sign = SignCourse(
        name="heart rate",
        unit="/min",
        points=(
            SignPoint(at_ms=0, text="110", number=Fraction(110)),
            SignPoint(at_ms=30 * MIN, text="150", number=Fraction(150)),
        ),
    )
    site = TissueCourse(access="hand", name="left hand", points=points((0, 0), (60, 6)), grade=2)
    tables = strip_table.tables(replace(a_course(signs=(sign,)), tissue=(site,)), clock)
    patient = tables[-1]
    assert patient.title == "The patient"
    assert patient.columns == ("tissue, left hand, mL", "heart rate, /min")
    assert dict(patient.rows)["09:20"] == ("3", "150")


def test_the_gap_is_between_what_was_asked_and_what_reached_the_vein():
    """The pump ran as ordered, but from 09:20 nothing reached the vein: that is the gap."""
    flow = points((0, 40), (30, 40), (30, 0), (60, 0))
    ran = Stretch(from_ms=0, until_ms=60 * MIN, rate_ml_per_h=Fraction(40))
    shown = drawn(a_course(lines=(a_line(ran=(ran,), into_vein_ml_per_h=flow),)))
    assert [one.cls for one in shown.strokes if one.cls in ("less", "more")] == ["less"]


def test_small_levels_keep_two_digits():
    assert number_text(Fraction("0.00432")) == "0.0043"
    assert number_text(Fraction("0.25")) == "0.25"
    assert number_text(Fraction(0)) == "0"


def test_of_a_sign_that_changed_often_only_its_ends_and_extremes_are_written():
    dense = tuple(
        SignPoint(at_ms=minute * MIN, text=str(120 - minute), number=Fraction(120 - minute))
        for minute in range(61)
    )
    sign = SignCourse(name="heart rate", unit="/min", points=dense)
    shown = drawn(a_course(signs=(sign,)))
    values = [word.text for word in shown.words if word.cls == "value"]
    assert "120" in values
    assert "60" in values
    assert len([text for text in values if text.isdigit()]) < 8


def test_a_long_title_is_broken_and_keeps_out_of_the_plot():
    sign = SignCourse(
        name="capillary refill",
        unit="s",
        points=(
            SignPoint(at_ms=0, text="2", number=Fraction(2)),
            SignPoint(at_ms=30 * MIN, text="4", number=Fraction(4)),
        ),
    )
    titles = [
        word.text for word in drawn(a_course(signs=(sign,))).words if word.cls == "lane-title"
    ]
    assert "capillary" in titles
    assert "refill" in titles


def test_the_level_where_a_drug_acts_is_dashed_and_named_and_has_its_column():
    level = LevelCourse(
        drug="sedative",
        name="an invented sedative (its other name)",
        unit="mg/L",
        points=points((0, 0), (30, 4), (60, 1)),
        effect_site=points((0, 0), (30, 1), (60, 3)),
    )
    course = replace(a_course(), levels=(level,))
    shown = drawn(course)
    assert [one for one in shown.strokes if one.cls == "effect-site"]
    assert "effect site" in [word.text for word in shown.words]
    patient = strip_table.tables(course, clock)[-1]
    assert "an invented sedative (its other name), effect site, mg/L" in patient.columns
    assert dict(patient.rows)["09:50"] == ("1", "3")

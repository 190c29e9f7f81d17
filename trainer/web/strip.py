"""The strip: an attempt's course drawn as one picture, time from left to right.

Takes `scoring.course.Course` and gives shapes with classes (`web.drawing`); the template
only writes them out. Each lane shares the ward clock's axis: findings, alarms, events and
acts, then per line the rate ordered and run, the volume given and the pressure, then what
went into the tissue, the patient's signs and drug levels. Two formats are drawn, one for a wide page and paper, one
for a phone held upright. The lanes: `strip_stops`, `strip_events`, `strip_lines`,
`strip_sites`, `strip_patient`, `strip_clock`, all drawn on a `sheet`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from trainer.scoring.course import Course
from trainer.web.drawing import Stroke, Word, coordinate
from trainer.web.sheet import Format, Sheet
from trainer.web.strip_clock import clock_axis
from trainer.web.strip_events import alarm_lane, happening_lane
from trainer.web.strip_lines import FluidMark, pressure_lane, rate_lane, vein_lane, volume_lane
from trainer.web.strip_patient import level_lane, sign_lane
from trainer.web.strip_sites import tissue_lane
from trainer.web.strip_stops import Stop, StopMark, place_stops


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """The finished picture, for the template to write out."""

    name: str
    width: int
    height: str
    title: str
    desc: str
    strokes: tuple[Stroke, ...]
    words: tuple[Word, ...]
    stops: tuple[Stop, ...]
    plot_left: int
    plot_right: int
    from_ms: int
    until_ms: int
    here_x: str
    here_top: str
    here_bottom: str


def draw(
    course: Course,
    stops: tuple[StopMark, ...],
    *,
    sheet_format: Format,
    fluids: dict[str, FluidMark],
    clock: Callable[[int], str],
    title: str,
    desc: str,
    at_ms: int,
    window: tuple[int, int] | None = None,
) -> Strip:
    """The strip of a course in one format.

    Args:
        course: what happened.
        stops: the findings that have a moment.
        sheet_format: wide or narrow.
        fluids: name and tone of each fluid, by its id, air among them.
        clock: writes a moment as ward clock, `09:38`.
        title: the picture's name.
        desc: the picture in a sentence or two, for those who do not see it.
        at_ms: where the play head stands.
        window: from when to when; the whole attempt if None.
    """
    from_ms, until_ms = window or (0, max(course.ends_ms, 1))
    sheet = Sheet(format=sheet_format, from_ms=from_ms, until_ms=until_ms)
    placed = place_stops(sheet, stops)
    lanes_top = sheet.y
    alarm_lane(sheet, course)
    happening_lane(sheet, course, clock)
    for line in course.lines:
        rate_lane(sheet, line)
        vein_lane(sheet, line, fluids)
        volume_lane(sheet, line)
        pressure_lane(sheet, line)
    for site in course.tissue:
        tissue_lane(sheet, site)
    for sign in course.signs:
        if len(sign.points) > 1:
            sign_lane(sheet, sign)
    for level in course.levels:
        level_lane(sheet, level)
    bottom = sheet.y
    grid = clock_axis(sheet, clock, lanes_top, bottom)
    here = coordinate(sheet.x(at_ms))
    return Strip(
        name=sheet_format.name,
        width=sheet_format.width,
        height=coordinate(sheet.y),
        title=title,
        desc=desc,
        strokes=(*grid, *sheet.strokes),
        words=tuple(sheet.words),
        stops=placed,
        plot_left=sheet_format.left,
        plot_right=sheet_format.width - sheet_format.right,
        from_ms=from_ms,
        until_ms=until_ms,
        here_x=here,
        here_top=coordinate(max(lanes_top - 6, Fraction(0))),
        here_bottom=coordinate(bottom),
    )

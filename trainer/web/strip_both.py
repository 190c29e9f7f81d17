"""Two courses drawn together: as it was, and as it would have been with one act otherwise.

Drawn on the same `sheet` as the strip and with its axis: where the two part, the alarms of
each, then a lane for each quantity (`strip_lane_both`). Only what differs is drawn, and the
rate beside it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from trainer.scoring.course import Course
from trainer.scoring.marks import AlarmSpan
from trainer.web.drawing import Stroke, Word, box, coordinate, polyline
from trainer.web.sheet import LETTER, Format, Sheet
from trainer.web.strip_clock import clock_axis, ticks
from trainer.web.strip_events import rows_for
from trainer.web.strip_lane_both import THEN, WAS, both_lane
from trainer.web.strip_pairs import Pair
from trainer.web.strip_table import MOST_ROWS, Table

ALARM_ROW = 28
"""Height of an alarm's bar with its words over it, in user units."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """Where the two courses part: when the act was done, and when it would have been.

    `then_ms` is None where the act would have been left out; equal to `was_ms` where only
    its values would have been others. The words stand beside the two marks.
    """

    was_ms: int
    then_ms: int | None
    was_words: str
    then_words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Both:
    """The finished picture, for the template to write out."""

    name: str
    width: int
    height: str
    title: str
    desc: str
    strokes: tuple[Stroke, ...]
    words: tuple[Word, ...]


def worth_drawing(every: tuple[Pair, ...], line: int | None) -> tuple[Pair, ...]:
    """What is drawn: whatever differs, and the rate of each line concerned.

    Args:
        every: all quantities of both courses.
        line: the line that the act was about, if it was about one.
    """
    concerned = {one.line for one in every if one.differs and one.line is not None}
    concerned |= {line} if line is not None else set()
    concerned = concerned or {one.line for one in every if one.line is not None}
    return tuple(one for one in every if one.differs or (one.is_rate and one.line in concerned))


def draw(
    shown: tuple[Pair, ...],
    courses: tuple[Course, Course],
    turn: Turn,
    *,
    sheet_format: Format,
    clock: Callable[[int], str],
    title: str,
    desc: str,
) -> Both:
    """Both courses in one format.

    Args:
        shown: the quantities to draw.
        courses: as it was, and as it would have been.
        turn: where they part.
        sheet_format: wide or narrow.
        clock: writes a moment as ward clock, `09:38`.
        title: the picture's name.
        desc: the picture in words, for those who do not see it.
    """
    until_ms = max(*(one.ends_ms for one in courses), 1)
    sheet = Sheet(format=sheet_format, from_ms=0, until_ms=until_ms)
    _turn_lane(sheet, turn)
    top = sheet.y
    _alarm_lane(sheet, courses)
    for pair in shown:
        both_lane(sheet, pair)
    bottom = sheet.y
    grid = clock_axis(sheet, clock, top, bottom)
    return Both(
        name=sheet_format.name,
        width=sheet_format.width,
        height=coordinate(sheet.y),
        title=title,
        desc=desc,
        strokes=(*grid, *_guides(sheet, turn, top, bottom), *sheet.strokes),
        words=tuple(sheet.words),
    )


# --- where the courses part ------------------------------------------------------------------


def _turn_lane(sheet: Sheet, turn: Turn) -> None:
    """The act as it was done, and as it would have been."""
    top, _ = sheet.lane("the act", "", 34)
    first, second = top + 10, top + 27
    _mark(sheet, WAS, turn.was_ms, first, turn.was_words)
    if turn.then_ms is None:
        _beside(sheet, THEN, sheet.x(turn.was_ms), second, turn.then_words)
    else:
        _mark(sheet, THEN, turn.then_ms, second, turn.then_words)


def _mark(sheet: Sheet, which: str, at_ms: int, y: Fraction, text: str) -> None:
    """A ring for the act as it was, a filled diamond for the other, with its words."""
    x = sheet.x(at_ms)
    if which == WAS:
        left, right = coordinate(x - 5), coordinate(x + 5)
        d = f"M{left} {coordinate(y)}A5 5 0 1 1 {right} {coordinate(y)}A5 5 0 1 1 {left} {coordinate(y)}Z"
    else:
        d = polyline(((x, y - 6), (x + 6, y), (x, y + 6), (x - 6, y))) + "Z"
    sheet.stroke(f"mark-{which}", d, text)
    _beside(sheet, which, x, y, text)


def _beside(sheet: Sheet, which: str, x: Fraction, y: Fraction, text: str) -> None:
    """Words to the right of a mark, or to its left where the picture ends."""
    if x + 10 + LETTER * len(text) <= sheet.right:
        sheet.write(f"word-{which}", x + 10, y + 4, text)
    else:
        sheet.write(f"word-{which} end", x - 10, y + 4, text)


def _guides(sheet: Sheet, turn: Turn, top: Fraction, bottom: Fraction) -> tuple[Stroke, ...]:
    """Fine lines down through all lanes where the act was and where it would have been."""
    moments = {WAS: turn.was_ms}
    if turn.then_ms is not None and turn.then_ms != turn.was_ms:
        moments[THEN] = turn.then_ms
    return tuple(
        Stroke(cls=f"guide-{which}", d=polyline(((sheet.x(at), top), (sheet.x(at), bottom))))
        for which, at in moments.items()
    )


# --- alarms ----------------------------------------------------------------------------------


def _alarm_lane(sheet: Sheet, courses: tuple[Course, Course]) -> None:
    """The alarms of each course in rows of their own, where they are not the same."""
    was, then = courses
    if was.alarms == then.alarms:
        return
    rows = [
        (which, row) for which, one in ((WAS, was), (THEN, then)) for row in _alarm_rows(sheet, one)
    ]
    top, _ = sheet.lane("alarms", "", ALARM_ROW * len(rows))
    for place, (which, row) in enumerate(rows):
        y = top + ALARM_ROW * place
        for alarm in row:
            _alarm(sheet, which, alarm, y)
        if not row:
            sheet.write(f"word-{which}", sheet.format.left, y + 11, f"{which}: none")


def _alarm_rows(sheet: Sheet, course: Course) -> list[list[AlarmSpan]]:
    """The alarms of a course, none over another; one empty row if there were none."""
    places = rows_for([_alarm_room(sheet, one) for one in course.alarms])
    return [
        [one for one, place in zip(course.alarms, places, strict=True) if place == row]
        for row in range(max(places, default=0) + 1)
    ]


def _alarm_room(sheet: Sheet, alarm: AlarmSpan) -> tuple[Fraction, Fraction]:
    """From where to where an alarm's bar and the words over it reach."""
    left, right = sheet.x(alarm.from_ms), sheet.x(alarm.until_ms)
    long = Fraction(LETTER * len(f"{THEN}: {alarm.kind}"))
    words_from = max(Fraction(sheet.format.left), min(left, sheet.right - long))
    return words_from, max(right, left + 3, words_from + long)


def _alarm(sheet: Sheet, which: str, alarm: AlarmSpan, y: Fraction) -> None:
    left = sheet.x(alarm.from_ms)
    right = max(sheet.x(alarm.until_ms), left + 3)
    text = f"{which}: {alarm.kind}"
    told = f"{text}, line {alarm.line}, {alarm.priority} priority"
    sheet.stroke(f"alarm-{which}", box(left, y + 15, right, y + 24), told)
    sheet.write(f"word-{which}", _alarm_room(sheet, alarm)[0], y + 11, text)


# --- the same as tables ----------------------------------------------------------------------


def table(shown: tuple[Pair, ...], until_ms: int, clock: Callable[[int], str]) -> Table:
    """The curves that are drawn, as a table at round times of the ward clock."""
    inner = ticks(0, until_ms, MOST_ROWS, clock)
    moments = tuple(sorted({0, *inner, until_ms}))
    columns = {
        f"{pair.name}, {which}": pair.told(then=which == THEN, moments=moments)
        for pair in shown
        for which in (WAS, THEN)
    }
    return Table(
        title="Both courses",
        columns=tuple(columns),
        rows=tuple(
            (clock(at_ms), tuple(told[place] for told in columns.values()))
            for place, at_ms in enumerate(moments)
        ),
    )

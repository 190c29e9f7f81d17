"""The strip's lanes of what happened: alarms, the scenario's events, acts."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from trainer.scoring.course import Course
from trainer.scoring.marks import ActMark, AlarmSpan
from trainer.web.drawing import box, polyline
from trainer.web.sheet import LETTER, Sheet


def alarm_lane(sheet: Sheet, course: Course) -> None:
    """One bar for each alarm, rows as needed, paused sound as a thin bar under them."""
    shown = [one for one in course.alarms if sheet.inside(one.from_ms, one.until_ms)]
    if not shown:
        return
    rows = rows_for([_alarm_room(sheet, one) for one in shown])
    depth = max(rows) + 1
    top, _ = sheet.lane("alarms", "", 34 * depth + 4)
    for alarm, row in zip(shown, rows, strict=True):
        _alarm(sheet, alarm, top + 34 * row)
    for pause in course.pauses:
        if sheet.inside(pause.from_ms, pause.until_ms):
            y = top + 34 * depth
            sheet.stroke(
                "paused",
                box(sheet.x(pause.from_ms), y, sheet.x(pause.until_ms), y + 4),
                "Alarm sound paused",
            )


def _alarm_words(alarm: AlarmSpan) -> str:
    return f"{alarm.kind}, {alarm.priority}"


def _alarm_room(sheet: Sheet, alarm: AlarmSpan) -> tuple[Fraction, Fraction]:
    """From where to where an alarm's bar and its words reach."""
    left = sheet.x(alarm.from_ms)
    long = Fraction(LETTER * len(_alarm_words(alarm)))
    words_from = max(Fraction(sheet.format.left), min(left, sheet.right - long))
    return words_from, max(sheet.x(alarm.until_ms), left + 3, words_from + long)


def _alarm(sheet: Sheet, alarm: AlarmSpan, top: Fraction) -> None:
    left = sheet.x(alarm.from_ms)
    right = max(sheet.x(alarm.until_ms), left + 3)
    told = f"{alarm.kind}, line {alarm.line}, {alarm.priority} priority"
    sheet.stroke(f"alarm-bar {alarm.priority}", box(left, top + 16, right, top + 28), told)
    sheet.write("alarm-word", _alarm_room(sheet, alarm)[0], top + 11, _alarm_words(alarm))


def rows_for(spans: list[tuple[Fraction, Fraction]]) -> list[int]:
    """The first free row for each span, so that no two in a row overlap.

    >>> rows_for([(Fraction(0), Fraction(5)), (Fraction(3), Fraction(9)), (Fraction(7), Fraction(9))])
    [0, 1, 0]
    """
    reach: list[Fraction] = []
    rows = []
    for left, right in spans:
        row = next((n for n, end in enumerate(reach) if end < left), len(reach))
        if row == len(reach):
            reach.append(right)
        reach[row] = right
        rows.append(row)
    return rows


def happening_lane(sheet: Sheet, course: Course, clock: Callable[[int], str]) -> None:
    """Events as diamonds, acts as ticks, refused acts as crosses."""
    top, bottom = sheet.lane("events", "and acts", 32)
    shown = [one for one in course.events if sheet.inside(one.at_ms, one.at_ms)]
    reaches = [*(sheet.x(one.at_ms) - 10 for one in shown[1:]), sheet.right]
    for event, room_until in zip(shown, reaches[: len(shown)], strict=True):
        x, y = sheet.x(event.at_ms), top + 8
        d = polyline(((x, y - 7), (x + 7, y), (x, y + 7), (x - 7, y))) + "Z"
        sheet.stroke("event", d, f"{clock(event.at_ms)} event: {event.title}")
        if x + 12 + LETTER * len(event.title) <= room_until:
            sheet.write("event-word", x + 12, y + 4, event.title)
    for act in course.acts:
        if sheet.inside(act.at_ms, act.at_ms):
            _act(sheet, act, bottom, f"{clock(act.at_ms)} {act.action.verb}")


def _act(sheet: Sheet, act: ActMark, bottom: Fraction, told: str) -> None:
    x = sheet.x(act.at_ms)
    if not act.refused:
        sheet.stroke("act", polyline(((x, bottom - 12), (x, bottom))), told)
        return
    cross = polyline(((x - 4, bottom - 10), (x + 4, bottom - 2)))
    cross += polyline(((x + 4, bottom - 10), (x - 4, bottom - 2)))
    sheet.stroke("refused", cross, f"{told}, not possible: {act.refused}")

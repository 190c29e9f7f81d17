"""The strip's foot: the ward clock's axis, with round times."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from trainer.web.drawing import Stroke, polyline
from trainer.web.sheet import Sheet

MS_PER_MIN = 60_000
TICK_MINUTES = (1, 2, 5, 10, 15, 30, 60, 120, 240, 480)


def clock_axis(
    sheet: Sheet, clock: Callable[[int], str], top: Fraction, bottom: Fraction
) -> tuple[Stroke, ...]:
    """The ward clock under the lanes, and the fine lines that carry it up."""
    room = sheet.right - sheet.format.left
    grid = []
    for at_ms in ticks(sheet.from_ms, sheet.until_ms, int(room) // sheet.format.tick_apart, clock):
        x = sheet.x(at_ms)
        grid.append(Stroke(cls="grid", d=polyline(((x, top), (x, bottom)))))
        near_left, near_right = x - sheet.format.left < 18, sheet.right - x < 18
        cls = "ward-time" + (" start" if near_left else " end" if near_right else "")
        sheet.write(cls, x, bottom + 16, clock(at_ms))
    sheet.y = bottom + 22
    return tuple(grid)


def ticks(from_ms: int, until_ms: int, most: int, clock: Callable[[int], str]) -> tuple[int, ...]:
    """Moments at which the ward clock shows a round time, no more of them than fit."""
    span = max(until_ms - from_ms, 1)
    step_min = next(
        (one for one in TICK_MINUTES if span // (one * MS_PER_MIN) <= max(most, 2)),
        TICK_MINUTES[-1],
    )
    step_ms = step_min * MS_PER_MIN
    hours, minutes = clock(0).split(":")[:2]
    begins_ms = (int(hours) * 60 + int(minutes)) * MS_PER_MIN
    first = from_ms + -(begins_ms + from_ms) % step_ms
    return tuple(range(first, until_ms + 1, step_ms))

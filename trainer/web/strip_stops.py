"""The strip's top: findings as numbered stops, what was done well as ticks under them."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.web.drawing import coordinate, polyline
from trainer.web.sheet import Sheet

STOP_APART = Fraction(32)
PILL_APART = Fraction(50)


@dataclass(frozen=True, slots=True, kw_only=True)
class StopMark:
    """A finding that has a moment. `number` is empty for what was done well."""

    number: str
    at_ms: int
    tone: str  # "miss", "near" or "well"
    label: str
    href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """A stop as drawn: a link at a place, with a stem down to its moment."""

    tone: str
    text: str
    x: str
    y: str
    stem: str
    label: str
    href: str
    at_ms: int


def place_stops(sheet: Sheet, stops: tuple[StopMark, ...]) -> tuple[Stop, ...]:
    """Numbered stops on top, ticks for what was done well under them."""
    shown = [one for one in stops if sheet.inside(one.at_ms, one.at_ms)]
    talk = [one for one in shown if one.number]
    well = [one for one in shown if not one.number]
    return (*_numbered(sheet, talk), *_ticked(sheet, well))


def _numbered(sheet: Sheet, marks: list[StopMark]) -> list[Stop]:
    """Stops with a number, set apart so that none hides another."""
    if not marks:
        return []
    room = sheet.right - sheet.format.left
    rows = -(-len(marks) * STOP_APART.numerator // max(int(room), 1))
    top, bottom = sheet.lane("to talk about", "", 32 * rows + 8)
    placed = []
    for row in range(rows):
        mine = marks[row::rows]
        y = top + 14 + 32 * row
        spots = _set_apart(sheet, [sheet.x(mark.at_ms) for mark in mine], STOP_APART, 13)
        for mark, x in zip(mine, spots, strict=True):
            stem = polyline(((x, y), (sheet.x(mark.at_ms), bottom + 8)))
            placed.append(_stop(mark.tone, mark.number, x, y, stem, mark.label, mark))
    return placed


def _set_apart(sheet: Sheet, wanted: list[Fraction], apart: Fraction, half: int) -> list[Fraction]:
    """Places in the same order, as near to the wanted ones as the least distance allows."""
    spots: list[Fraction] = []
    for want in wanted:
        spots.append(max(want, spots[-1] + apart if spots else Fraction(sheet.format.left + half)))
    limit = sheet.right - half
    for place in range(len(spots) - 1, -1, -1):
        spots[place] = min(spots[place], limit)
        limit = spots[place] - apart
    return spots


def _ticked(sheet: Sheet, marks: list[StopMark]) -> list[Stop]:
    """What was done well; ticks that would touch are gathered into one with its count."""
    if not marks:
        return []
    top, bottom = sheet.lane("done well", "", 28)
    groups: list[list[StopMark]] = []
    for mark in marks:
        if groups and sheet.x(mark.at_ms) - sheet.x(groups[-1][0].at_ms) < PILL_APART:
            groups[-1].append(mark)
        else:
            groups.append([mark])
    wanted = [sheet.x(group[0].at_ms) for group in groups]
    spots = _set_apart(sheet, wanted, PILL_APART, 22)
    placed = []
    for group, want, x in zip(groups, wanted, spots, strict=True):
        label = group[0].label if len(group) == 1 else _gathered_label(group)
        text = "" if len(group) == 1 else str(len(group))
        stem = polyline(((x, top + 14), (want, bottom + 8)))
        placed.append(_stop("well", text, x, top + 14, stem, label, group[0]))
    return placed


def _gathered_label(group: list[StopMark]) -> str:
    return f"{len(group)} things done well: " + "; ".join(mark.label for mark in group)


def _stop(
    tone: str, text: str, x: Fraction, y: Fraction, stem: str, label: str, mark: StopMark
) -> Stop:
    return Stop(
        tone=tone,
        text=text,
        x=coordinate(x),
        y=coordinate(y),
        stem=stem,
        label=label,
        href=mark.href,
        at_ms=mark.at_ms,
    )

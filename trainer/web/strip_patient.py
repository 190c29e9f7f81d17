"""The strip's lanes of the patient: vital signs as they truly were, drug levels."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from trainer.scoring.patient_course import LevelCourse, SignCourse, SignPoint
from trainer.web.drawing import Scale, polyline
from trainer.web.sheet import LETTER, Sheet, curve, end_value, number_text

MOST_WRITTEN = 12
"""With more changes than this, only a sign's first, highest, lowest and last values are
written. Chosen by us: more of them run into each other."""

DIGIT = 9
"""About how wide a digit of a value is drawn, in user units."""


def sign_lane(sheet: Sheet, sign: SignCourse) -> None:
    """One sign as it truly was: level from change to change, in the steps of its charting."""
    numbers = [point.number for point in sign.points if point.number is not None]
    top, bottom = sheet.lane(sign.name, sign.unit, 38)
    low, high = (min(numbers), max(numbers)) if numbers else (Fraction(0), Fraction(1))
    room = (high - low) / 2 or Fraction(1)
    scale = Scale(low - room, high + room, bottom, top + 6)

    def place(point: SignPoint) -> Fraction:
        return scale.place(point.number) if point.number is not None else bottom - 8

    ends = (*(point.at_ms for point in sign.points[1:]), sheet.until_ms)
    shown = [
        (point, max(point.at_ms, sheet.from_ms), end)
        for point, end in zip(sign.points, ends, strict=True)
        if sheet.inside(point.at_ms, end)
    ]
    corners = [
        (sheet.x(at_ms), place(point)) for point, start, end in shown for at_ms in (start, end)
    ]
    sheet.stroke("sign-course", polyline(tuple(corners)))
    _write_values(sheet, [(point, start) for point, start, _ in shown], place)


def _write_values(
    sheet: Sheet, shown: list[tuple[SignPoint, int]], place: Callable[[SignPoint], Fraction]
) -> None:
    """Values at their changes; of many only those that say most, none upon another."""
    taken: list[tuple[Fraction, Fraction]] = []
    for point, start in _worth_writing(shown):
        wide = DIGIT * len(point.text)
        left = min(sheet.x(start), sheet.right - wide)
        if all(left + wide < begin or left > end for begin, end in taken):
            sheet.write("value", left + 4, place(point) - 5, point.text)
            taken.append((left, left + wide))


def _worth_writing(shown: list[tuple[SignPoint, int]]) -> list[tuple[SignPoint, int]]:
    """What is written first where there is room for little: both ends, then the extremes."""
    if not shown:
        return []
    told = [one for one in shown if one[0].number is not None]
    extremes = [max(told, key=_number), min(told, key=_number)] if told else []
    first = [shown[0], shown[-1], *extremes]
    return first if len(shown) > MOST_WRITTEN else [*first, *shown]


def _number(one: tuple[SignPoint, int]) -> Fraction:
    return one[0].number if one[0].number is not None else Fraction(0)


def short(name: str) -> str:
    """A drug's name without its other name in brackets, for the narrow gutter.

    >>> short("noradrenaline (norepinephrine)")
    'noradrenaline'
    """
    return name.partition(" (")[0]


def level_lane(sheet: Sheet, level: LevelCourse) -> None:
    """A drug's level, and dashed behind it where it acts, from the samples."""
    top, bottom = sheet.lane(short(level.name), f"level, {level.unit}", 56)
    most = max([point.value for point in (*level.points, *level.effect_site)] or [Fraction(1)])
    scale = Scale(Fraction(0), most * Fraction(6, 5) or Fraction(1), bottom, top)
    sheet.stroke("floor", polyline(((Fraction(sheet.format.left), bottom), (sheet.right, bottom))))
    if level.effect_site:
        told = f"{level.name}: level where it acts"
        sheet.stroke("effect-site", curve(sheet, level.effect_site, scale), told)
        _name_effect_site(sheet, level, scale)
    sheet.stroke("drug-level", curve(sheet, level.points, scale))
    _write_highest(sheet, level, scale)
    last = level.points[-1].value if level.points else Fraction(0)
    if last >= most / 20:
        end_value(sheet, scale.place(last), number_text(last))


def _write_highest(sheet: Sheet, level: LevelCourse, scale: Scale) -> None:
    """The highest level in the window, over the moment at which it was reached."""
    inside = [one for one in level.points if sheet.inside(one.at_ms, one.at_ms)]
    highest = max(inside, key=lambda one: one.value, default=None)
    if highest is not None and highest.value:
        text = number_text(highest.value)
        left = min(sheet.x(highest.at_ms), sheet.right - DIGIT * len(text))
        sheet.write("value", left + 4, scale.place(highest.value) - 4, text)


def _name_effect_site(sheet: Sheet, level: LevelCourse, scale: Scale) -> None:
    """The dashed curve's name, at its highest place."""
    inside = [one for one in level.effect_site if sheet.inside(one.at_ms, one.at_ms)]
    highest = max(inside, key=lambda one: one.value, default=None)
    if highest is not None and highest.value:
        left = min(sheet.x(highest.at_ms), sheet.right - 11 * LETTER)
        sheet.write("ordered-word", left + 4, scale.place(highest.value) + 14, "effect site")

"""The strip's lanes of the patient: vital signs as they truly were, drug levels."""

from __future__ import annotations

from fractions import Fraction

from trainer.scoring.patient_course import LevelCourse, SignCourse
from trainer.web.drawing import Corner, Scale, polyline
from trainer.web.sheet import Sheet, curve, end_value, number_text


def sign_lane(sheet: Sheet, sign: SignCourse) -> None:
    """One sign as it truly was, step by step, each value written at its change."""
    numbers = [point.number for point in sign.points if point.number is not None]
    top, bottom = sheet.lane(sign.name, sign.unit, 38)
    low, high = (min(numbers), max(numbers)) if numbers else (Fraction(0), Fraction(1))
    room = (high - low) / 2 or Fraction(1)
    scale = Scale(low - room, high + room, bottom, top + 6)
    ends = (*(point.at_ms for point in sign.points[1:]), sheet.until_ms)
    corners: list[Corner] = []
    last_x = Fraction(-100)
    for point, end in zip(sign.points, ends, strict=True):
        if not sheet.inside(point.at_ms, end):
            continue
        y = scale.place(point.number) if point.number is not None else bottom - 8
        left, right = sheet.x(point.at_ms), sheet.x(end)
        corners += [(left, y), (right, y)]
        if left > last_x:
            sheet.write("value", left + 4, y - 5, point.text)
            last_x = left + 9 * len(point.text)
    sheet.stroke("sign-course", polyline(tuple(corners)))


def level_lane(sheet: Sheet, level: LevelCourse) -> None:
    """A drug's level, from the samples."""
    top, bottom = sheet.lane(level.name, f"level, {level.unit}", 56)
    most = max([point.value for point in level.points] or [Fraction(1)])
    scale = Scale(Fraction(0), most * Fraction(6, 5) or Fraction(1), bottom, top)
    sheet.stroke("floor", polyline(((Fraction(sheet.format.left), bottom), (sheet.right, bottom))))
    sheet.stroke("drug-level", curve(sheet, level.points, scale))
    if level.points and level.points[-1].value:
        last = level.points[-1].value
        end_value(sheet, scale.place(last), number_text(last))

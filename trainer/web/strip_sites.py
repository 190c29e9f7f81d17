"""The strip's lane of a catheter's site: what went into the tissue."""

from __future__ import annotations

from fractions import Fraction

from trainer.scoring.site_course import TissueCourse
from trainer.web.drawing import Scale, polyline
from trainer.web.sheet import Sheet, curve, end_value, number_text


def tissue_lane(sheet: Sheet, site: TissueCourse) -> None:
    """The volume beside the vein as a curve, with what it made of the site."""
    top, bottom = sheet.lane("tissue", f"{site.name}, mL", 44)
    most = max([point.value for point in site.points] or [Fraction(1)])
    scale = Scale(Fraction(0), most * Fraction(6, 5) or Fraction(1), bottom, top)
    sheet.stroke("floor", polyline(((Fraction(sheet.format.left), bottom), (sheet.right, bottom))))
    sheet.stroke("tissue", curve(sheet, site.points, scale))
    last = site.points[-1].value
    y, grade = scale.place(last), f"grade {site.grade}"
    if not sheet.format.has_gutter:
        end_value(sheet, y, f"{number_text(last)} mL, {grade}")
        return
    end_value(sheet, y, f"{number_text(last)} mL")
    sheet.write("ordered-word", sheet.right + 6, y + 19, grade)

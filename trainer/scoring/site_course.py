"""The course of the catheters' sites: what has gone into the tissue, in mL."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.engine import view
from trainer.scenario.model import Scenario
from trainer.scoring.bends import told_where_it_bends
from trainer.scoring.moments import Moment, Point

NEAR_ML = Fraction(1, 20)
"""How nearly the curve of a volume is told. Chosen by us: half of the last place told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TissueCourse:
    """What went into the tissue at one catheter, and the grade at the end."""

    access: str
    name: str
    points: tuple[Point, ...]
    grade: int


def tissue_courses(scenario: Scenario, moments: tuple[Moment, ...]) -> tuple[TissueCourse, ...]:
    """One course for each catheter beside which anything went into the tissue."""
    end = moments[-1].after
    return tuple(
        _course(moments, one.id, one.name)
        for one in scenario.patient.access
        if view.tissue_ml(end, one.id) > 0
    )


def _course(moments: tuple[Moment, ...], access: str, name: str) -> TissueCourse:
    points = told_where_it_bends(moments, lambda state: view.tissue_ml(state, access), NEAR_ML)
    grade = view.grade(moments[-1].after, access)
    return TissueCourse(access=access, name=name, points=points, grade=grade)

"""Fluid for children, insulin and heparin by weight: the clinical functions against rows."""

from __future__ import annotations

from fractions import Fraction

from tests.reference.published import Answer, Row, given, hold, rows
from trainer.clinical import fluids
from trainer.clinical.problem import Problem
from trainer.clinical.quantity import parse_quantity
from trainer.clinical.solve import solve

HOURS = 24


def maintenance_per_h(row: Row) -> Fraction:
    """100-50-20, per hour."""
    return fluids.maintenance_ml_per_day(given(row, "kg")) / HOURS


def solved(find: str, unit: str, **givens: str) -> Fraction:
    problem = Problem(id="row", find=find, unit=unit, given=tuple(givens.items()))
    return parse_quantity(f"{solve(problem).exact_text} {unit}").value


def per_kg(percent: str) -> Fraction:
    """Deficit in mL of each kilogram."""
    return fluids.deficit_ml(Fraction(1), Fraction(percent))


ANSWERS: dict[str, Answer] = {
    "FLU-01": maintenance_per_h,
    "FLU-02": maintenance_per_h,
    "FLU-03": maintenance_per_h,
    "FLU-05": lambda _row: per_kg("10"),  # moderate in an infant is 10 % (same table)
    "FLU-06": lambda _row: per_kg("15"),  # severe is 15 %
    "FLU-07": lambda _row: [per_kg("7"), per_kg("9")],  # severe in an adolescent is 7 to 9 %
    "INS-01": lambda row: solved(
        "dose", "units/h", dose=f"{row['given']['U_kg_h']} units/kg/h", weight=_weight(row)
    ),
    "HEP-02": lambda row: solved(
        "dose", "units/h", dose=f"{row['given']['U_kg_h']} units/kg/h", weight=_weight(row)
    ),
}


def _weight(row: Row) -> str:
    return f"{row['given']['kg']} kg"


@rows(ANSWERS)
def test_the_clinical_functions_give_the_published_figure(row: Row) -> None:
    hold(row, ANSWERS[row["id"]](row))

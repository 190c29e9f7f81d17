"""Problems for the tests of slips, and the names of the slips found."""

from __future__ import annotations

from trainer.clinical.problem import parse_problem
from trainer.clinical.slips.answer import Answer, answer_of
from trainer.clinical.slips.diagnose import Diagnosis, diagnose
from trainer.clinical.slips.others import read_others

Given = dict[str, str]
DRIP: Given = {
    "dose": "5 mcg/kg/min",
    "weight": "18.2 kg",
    "concentration": "400 mg in 250 mL",
}
"""Right is 3.4125 mL/h."""
LITRE: Given = {"volume": "1000 mL", "duration": "7 h"}
"""Right is 142.857 mL/h."""


def answer(given: Given, find: str = "rate", unit: str = "mL/h") -> Answer:
    return answer_of(parse_problem({"id": "a", "find": find, "unit": unit, "given": given}))


def judged(
    given: Given,
    entered: str,
    *,
    find: str = "rate",
    unit: str = "mL/h",
    others: dict[str, list[str]] | None = None,
) -> Diagnosis:
    right = answer(given, find, unit)
    return diagnose(right, entered, others=read_others(others, right.kg_per_lb))


def names(found: Diagnosis) -> list[str]:
    return [str(one.slip) for one in found.slips]

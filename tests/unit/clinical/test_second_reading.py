"""Problems read a second way, and what is told about it. Data invented, no source."""

from __future__ import annotations

import pytest

from trainer.clinical.problem import Problem
from trainer.clinical.solve import Solution, solve
from trainer.errors import ProblemError


def solved(find: str, unit: str, **given: str) -> Solution:
    return solve(Problem(id="x", find=find, unit=unit, given=tuple(given.items())))


VIAL = {"dose": "10 mg/kg", "weight": "20 kg", "concentration": "50 mg/mL", "volume": "100 mL"}


@pytest.mark.parametrize(
    ("find", "unit", "more", "exact"),
    [
        ("rate", "mL/h", {"duration": "30 min"}, "200"),
        ("drip_rate", "gtt/min", {"duration": "1 h", "drop_factor": "15 gtt/mL"}, "25"),
        ("duration", "min", {"rate": "200 mL/h"}, "30"),
        ("finish", "clock", {"rate": "200 mL/h", "start": "08:00"}, "08:30"),
        ("concentration", "mg/mL", {}, "2"),
    ],
)
def test_a_strength_beside_the_volume_of_a_bag_is_the_vials(
    find: str, unit: str, more: dict[str, str], exact: str
) -> None:
    solution = solved(find, unit, **VIAL, **more)
    assert solution.exact_text == exact
    assert solution.steps[0].startswith("taken for granted: 100 mL is the whole volume that runs")


@pytest.mark.parametrize(("find", "unit", "exact"), [("volume", "mL", "6"), ("dose", "mg", "300")])
def test_the_volume_of_a_vial_is_not_the_volume_of_the_dose(
    find: str, unit: str, exact: str
) -> None:
    given = {"dose": "15 mg/kg/dose", "weight": "20 kg", "concentration": "500 mg in 10 mL"}
    solution = solved(find, unit, **given, volume="10 mL")
    assert solution.exact_text == exact
    assert "10 mL is what the container holds" in solution.steps[0]


@pytest.mark.parametrize(
    "given",
    [
        {"dose": "1 g", "concentration": "5 mg/mL", "volume": "100 mL", "duration": "1 h"},
        {"dose": "2 mg/h", "concentration": "5 mg/mL", "volume": "100 mL", "duration": "1 h"},
        {"dose": "1 g", "concentration": "50 mg/mL", "volume": "10 mL", "duration": "1 h", "rate": "40 mL/h"},
    ],
    ids=["more than the bag holds", "a dose per time", "two rates"],
)  # fmt: skip
def test_what_no_reading_explains_is_still_a_contradiction(given: dict[str, str]) -> None:
    with pytest.raises(ProblemError, match="contradicts"):
        solved("rate", "mL/h", **given)


@pytest.mark.parametrize(
    ("given", "exact"),
    [
        ({"rule": "100-50-20", "weight": "20 kg"}, "1500"),
        ({"dose": "150 mL/kg/day", "weight": "8 kg"}, "1200"),
    ],
)
def test_a_fluid_by_the_day_is_a_days_if_no_duration_is_told(
    given: dict[str, str], exact: str
) -> None:
    solution = solved("volume", "mL", **given)
    assert solution.exact_text == exact
    assert "the volume of one day is meant" in solution.steps[0]


def test_a_fluid_by_the_hour_needs_a_duration() -> None:
    with pytest.raises(ProblemError, match="duration"):
        solved("volume", "mL", rule="4-2-1", weight="20 kg")

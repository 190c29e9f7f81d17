"""The point moved in the number that had been rounded by the ward's rule before."""

from __future__ import annotations

from fractions import Fraction

import pytest

from trainer.clinical.problem import parse_problem
from trainer.clinical.slips.answer import Answer, answer_of
from trainer.clinical.slips.diagnose import Judged, diagnose

INSULIN = answer_of(
    parse_problem(
        {
            "id": "a",
            "find": "rate",
            "unit": "mL/h",
            "given": {
                "dose": "0.1 units/kg/h",
                "weight": "36.2 kg",
                "concentration": "1 units/mL",
            },
        }
    )
)
"""3.62 mL/h; the teaching rules round it to 3.6 mL/h."""
DRIPS = answer_of(
    parse_problem(
        {
            "id": "b",
            "find": "drip_rate",
            "unit": "gtt/min",
            "given": {"rate": "84 mL/h", "drop_factor": "20 gtt/mL"},
        }
    )
)
"""28 gtt/min."""


@pytest.mark.parametrize(
    ("entered", "slip"),
    [
        ("36 mL/h", "tenfold"),
        ("36.2 mL/h", "tenfold"),
        ("0.36 mL/h", "tenfold"),
        ("360 mL/h", "hundredfold"),
        ("362 mL/h", "hundredfold"),
        ("0.036 mL/h", "hundredfold"),
        ("3600 mL/h", "thousandfold"),
        ("3620 mL/h", "thousandfold"),
        ("0.0036 mL/h", "thousandfold"),
    ],
)
def test_the_point_moves_in_the_rounded_as_in_the_exact_value(entered: str, slip: str) -> None:
    found = diagnose(INSULIN, entered)
    assert found.verdict is Judged.WRONG
    assert found.slips[0].slip == slip


@pytest.mark.parametrize("entered", ["361 mL/h", "350 mL/h", "363 mL/h"])
def test_only_the_very_number_shows_it(entered: str) -> None:
    named = [one.slip for one in diagnose(INSULIN, entered).slips if not one.takes_two]
    assert "hundredfold" not in named


@pytest.mark.parametrize(
    ("answer", "entered", "said"),
    [
        (DRIPS, "280 gtt/min", "280 gtt/min is ten times the right 28 gtt/min"),
        (DRIPS, "3 gtt/min", "3 gtt/min is about a tenth of the right 28 gtt/min"),
        (INSULIN, "36.2 mL/h", "36.2 mL/h is ten times the right 3.62 mL/h"),
    ],
)
def test_what_rounding_moved_far_is_said_to_be_about_so_much(
    answer: Answer, entered: str, said: str
) -> None:
    assert diagnose(answer, entered).slips[0].explanation.startswith(said)
    assert answer.exact in {Fraction(28), Fraction("3.62")}

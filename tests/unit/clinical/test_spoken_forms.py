"""Ways in which orders and sheets write a value: read where safe, refused with the mend."""

from __future__ import annotations

import pytest

from trainer.clinical.problem import Problem
from trainer.clinical.solve import solve
from trainer.errors import TrainerError


def exact(find: str, unit: str, **given: str) -> str:
    return solve(Problem(id="x", find=find, unit=unit, given=tuple(given.items()))).exact_text


# Household measures: medication calculation sheets of nursing colleges (5 mL to the teaspoon,
# 15 mL to the tablespoon, 30 mL to the ounce). The rest: data invented.
@pytest.mark.parametrize(
    ("find", "unit", "given", "answer"),
    [
        ("volume", "mL", {"volume": "2 tsp"}, "10"),
        ("volume", "mL", {"volume": "2 tablespoons"}, "30"),
        ("volume", "mL", {"volume": "8 oz"}, "240"),
        ("volume", "oz", {"volume": "240 mL"}, "8"),
        ("volume", "tsp", {"dose": "250 mg", "concentration": "125 mg/tsp"}, "2"),
        ("weight", "kg", {"weight": "8 oz"}, "5/22"),
        ("weight", "g", {"weight": "3 kg 200 g"}, "3200"),
        ("amount", "mmol", {"amount": "500 micromol"}, "0.5"),
        ("volume", "mL", {"dose": "100 international units", "concentration": "50 units/mL"}, "2"),
        ("concentration", "mg/5 mL", {"amount": "2.5 g", "volume": "100 mL"}, "125"),
        ("concentration", "g/100 mL", {"amount": "50 g", "volume": "1 L"}, "5"),
        ("drip_rate", "gtt/15 s", {"rate": "100 mL/h", "drop_factor": "15 gtt/mL"}, "6.25"),
        ("dose", "mg", {"dose": "3 mg/kg/24 h", "weight": "10 kg", "doses_per_day": "3"}, "10"),
        ("bsa", "m2", {"bsa": "7500 cm2"}, "0.75"),
        ("resuscitation", "mL", {"weight": "20 kg", "burned": "15 % TBSA", "coefficient": "4 mL"}, "1200"),
    ],
)  # fmt: skip
def test_a_spoken_form_is_read(find: str, unit: str, given: dict[str, str], answer: str) -> None:
    assert exact(find, unit, **given) == answer


@pytest.mark.parametrize(
    ("written", "times"),
    [("daily", 1), ("BID", 2), ("twice a day", 2), ("t.i.d.", 3), ("QID", 4), ("Q 6 h", 4)],
)
def test_how_often_a_day_is_read_in_words(written: str, times: int) -> None:
    assert exact("dose", "mg/day", dose="1 mg", doses_per_day=written) == str(times)


@pytest.mark.parametrize(
    ("given", "mend"),
    [
        ({"dose": "5 mg q6h"}, "says how often"),
        ({"dose": "5 mg every 6 h"}, "says how often"),
        ({"doses_per_day": "OD"}, "write 4 or every 6 h"),
        ({"dose": "500 kg/kg"}, "divides a thing by itself; write one such as mg/kg"),
        ({"duration": "2 1/2 h"}, "mixed number; write a decimal, such as 2.5"),
        ({"concentration": "1:0"}, "divides by zero"),
    ],
)
def test_an_unsafe_form_is_refused_with_the_mend(given: dict[str, str], mend: str) -> None:
    with pytest.raises(TrainerError, match=mend):
        exact("volume", "mL", **given)


def test_a_unit_by_several_of_a_thing_must_be_of_the_kind_asked() -> None:
    with pytest.raises(TrainerError, match="is no concentration; write a unit such as mg/mL"):
        exact("concentration", "min/5 mL", amount="5 mg", volume="10 mL")


def test_the_mend_of_a_clock_names_a_unit_of_the_question() -> None:
    with pytest.raises(TrainerError, match=r"write a unit such as h$"):
        exact("duration", "clock", volume="1 L", rate="125 mL/h")


def test_an_answer_too_small_to_be_written_is_refused() -> None:
    with pytest.raises(TrainerError, match="is absurd"):
        exact("rate", "mL/h", dose="0.00000000001 mg/h", concentration="1 g/mL")

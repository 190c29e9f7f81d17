"""The solver: every relation in each direction, worked by hand. Data invented, no source."""

from __future__ import annotations

import pytest

from trainer.clinical.problem import FINDS, Problem
from trainer.clinical.rounding import RoundingRule, RoundingRules
from trainer.clinical.solve import Solution, solve


def solved(find: str, unit: str, given: dict[str, str]) -> Solution:
    return solve(Problem(id="x", find=find, unit=unit, given=tuple(given.items())))


DIRECTIONS: list[tuple[str, str, dict[str, str], str]] = [
    # rate
    ("rate", "mL/h", {"drip_rate": "25 gtt/min", "drop_factor": "10 gtt/mL"}, "150"),
    ("rate", "mL/h", {"dose": "2 g/h", "concentration": "40 g in 1000 mL"}, "50"),
    ("rate", "mL/h", {"dose": "100 mL/kg/day", "weight": "3400 g"}, "85/6"),
    ("rate", "mL/h", {"dose": "10 mg/kg", "weight": "20 kg", "concentration": "5 mg/mL", "duration": "30 min"}, "80"),
    ("rate", "mL/h", {"dose": "40 mg/kg/day", "doses_per_day": "4", "weight": "20 kg", "concentration": "5 mg/mL", "duration": "30 min"}, "80"),
    ("rate", "mL/h", {"amount": "400 mg", "volume": "250 mL", "dose": "5 mcg/kg/min", "weight": "70 kg"}, "13.125"),
    ("rate", "mL/h", {"amount": "250 mg", "volume": "5 mL", "diluent": "245 mL", "dose": "10 mg/h"}, "10"),
    ("rate", "mL/h", {"concentration": "50 mg/mL", "volume": "10 mL", "diluent": "90 mL", "duration": "30 min"}, "200"),
    ("rate", "mL/h", {"weight": "22 kg", "dehydration": "5 %", "duration": "24 h"}, "275/6"),
    ("rate", "mL/h", {"weight": "22 kg", "dehydration": "5 %", "duration": "48 h", "rule": "4-2-1"}, "1019/12"),
    ("rate", "mL/h", {"weight": "20 kg", "burned": "15 %", "coefficient": "4 mL/kg/%", "duration": "24 h"}, "50"),
    ("rate", "mL/h", {"dose": "50 mg/m2/day", "bsa": "0.8 m2", "concentration": "1 mg/mL"}, "5/3"),
    ("rate", "mL/kg/h", {"rate": "40 mL/h", "weight": "8 kg"}, "5"),
    ("rate", "mL/m2/day", {"rate": "40 mL/h", "bsa": "0.8 m2"}, "1200"),
    ("rate", "mL/h", {"dose": "25 000 units/day", "concentration": "25,000 units in 500 mL"}, "125/6"),
    ("rate", "mL/h", {"amount": "500 mg", "diluent": "100 mL", "duration": "30 min"}, "200"),
    ("rate", "mL/h", {"dose": "500 mg", "concentration": "50 mg/mL", "diluent": "90 mL", "duration": "30 min"}, "200"),
    # volume
    ("volume", "mL", {"dose": "500 mg", "amount": "1 g", "diluent": "10 mL"}, "5"),
    ("volume", "mL", {"rule": "4-2-1", "weight": "15 kg", "duration": "8 h"}, "400"),
    ("volume", "mL/day", {"rule": "100-50-20", "weight": "15 kg"}, "1250"),
    ("volume", "L", {"rate": "125 mL/h", "duration": "1 day"}, "3"),
    ("volume", "mL", {"drip_rate": "30 gtt/min", "drop_factor": "15 gtt/mL", "duration": "90 min"}, "180"),
    ("volume", "mL", {"dose": "5 mg", "amount": "10 mg", "volume": "2 mL"}, "1"),
    ("volume", "mL", {"dose": "250 mg", "amount": "1 g", "volume": "2 mL", "diluent": "8 mL"}, "2.5"),
    ("volume", "mL", {"dose": "5 mcg/kg/min", "weight": "10 kg", "concentration": "1.6 mg/mL", "duration": "2 h"}, "3.75"),
    ("volume", "mL", {"amount": "500 mg", "concentration": "50 mg/mL"}, "10"),
    ("volume", "mL", {"weight": "10 kg", "dehydration": "5 %"}, "500"),
    ("volume", "mL", {"dose": "2 million units", "concentration": "500,000 units/mL"}, "4"),
    # duration
    ("duration", "h", {"amount": "500 mg", "dose": "2 mg/kg/h", "weight": "25 kg"}, "10"),
    ("duration", "h", {"volume": "250 mL", "dose": "5 mcg/kg/min", "weight": "18.2 kg", "concentration": "400 mg in 250 mL"}, "20000/273"),
    ("duration", "h", {"rule": "4-2-1", "weight": "22 kg", "volume": "500 mL"}, "250/31"),
    ("duration", "day", {"volume": "3 L", "rate": "125 mL/h"}, "1"),
    ("duration", "min", {"duration": "1 h 30 min"}, "90"),
    # drops
    ("drip_rate", "gtt/min", {"rule": "4-2-1", "weight": "8 kg", "drop_factor": "60 gtt/mL"}, "32"),
    ("drip_rate", "gtt/min", {"dose": "2 mcg/kg/min", "weight": "8 kg", "concentration": "80 mg in 100 mL", "drop_factor": "60 gtt/mL"}, "1.2"),
    ("drop_factor", "gtt/mL", {"drip_rate": "25 gtt/min", "volume": "300 mL", "duration": "2 h"}, "10"),
    # dose
    ("dose", "mcg/kg/min", {"rate": "3.4125 mL/h", "weight": "18.2 kg", "concentration": "400 mg in 250 mL"}, "5"),
    ("dose", "mg/kg/day", {"dose": "250 mg", "doses_per_day": "4", "weight": "20 kg"}, "50"),
    ("dose", "mg/day", {"dose": "250 mg", "doses_per_day": "every 6 h"}, "1000"),
    ("dose", "mg", {"dose": "40 mg/kg/day", "weight": "20 kg", "doses_per_day": "4"}, "200"),
    ("dose", "mg/kg", {"amount": "500 mg", "weight": "20 kg"}, "25"),
    ("dose", "mg/m2", {"dose": "40 mg", "bsa": "0.8 m2"}, "50"),
    ("dose", "mL/kg", {"volume": "700 mL", "weight": "35 kg"}, "20"),
    ("dose", "mg/kg/h", {"dose": "5 mcg/kg/min"}, "0.3"),
    ("dose", "mcg/min", {"drip_rate": "30 gtt/min", "drop_factor": "60 gtt/mL", "concentration": "2 mg in 250 mL"}, "4"),
    ("dose", "nanograms/kg/min", {"rate": "2 mL/h", "weight": "4 kg", "concentration": "500 mcg in 50 mL"}, "250/3"),
    ("dose", "mEq/h", {"rate": "50 mL/h", "concentration": "20 mEq in 1000 mL"}, "1"),
    ("dose", "mmol/kg/h", {"rate": "50 mL/h", "concentration": "20 mmol/L", "weight": "12 kg"}, "1/12"),
    ("dose", "mg/h", {"amount": "500 mg", "duration": "30 min"}, "1000"),
    ("dose", "mg/kg/dose", {"dose": "800 mg/day", "doses_per_day": "4", "weight": "20 kg"}, "10"),
    ("dose", "mg/kg/day", {"dose": "10 mg/kg/dose", "doses_per_day": "4"}, "40"),
    # concentration
    ("concentration", "mg/mL", {"dose": "5 mcg/kg/min", "weight": "70 kg", "rate": "10.5 mL/h"}, "2"),
    ("concentration", "mg/mL", {"concentration": "100 mg/mL", "volume": "2 mL", "diluent": "48 mL"}, "4"),
    ("concentration", "%", {"amount": "10 g", "volume": "100 mL"}, "10"),
    ("concentration", "mg/mL", {"concentration": "0.9 %"}, "9"),
    ("concentration", "mg/mL", {"amount": "250 mg", "diluent": "250 mL"}, "1"),
    ("concentration", "mg/mL", {"dose": "500 mg", "volume": "10 mL", "diluent": "40 mL"}, "10"),
    ("diluent", "mL", {"amount": "500 mg", "volume": "10 mL", "concentration": "5 mg/mL"}, "90"),
    # amount
    ("amount", "g", {"volume": "1 L", "concentration": "5 %"}, "50"),
    ("amount", "mg", {"dose": "2 mg/kg/h", "weight": "10 kg", "duration": "12 h"}, "240"),
    ("amount", "mg", {"rate": "10 mL/h", "concentration": "2 mg/mL", "duration": "90 min"}, "30"),
    ("amount", "units", {"dose": "18 units/kg/h", "weight": "60 kg", "duration": "1 day"}, "25920"),
    ("amount", "kg", {"amount": "500 g"}, "0.5"),
    ("amount", "mg", {"dose": "1 mcg/kg/min", "weight": "10 kg", "rate": "1 mL/h", "volume": "100 mL"}, "60"),
    # the patient
    ("weight", "kg", {"dose": "5 mcg/kg/min", "rate": "10.5 mL/h", "concentration": "2 mg/mL"}, "70"),
    ("weight", "kg", {"rule": "4-2-1", "rate": "62 mL/h"}, "22"),
    ("weight", "kg", {"rule": "100-50-20", "rate": "1540 mL/day"}, "22"),
    ("weight", "kg", {"dose": "10 mg/kg", "amount": "150 mg"}, "15"),
    ("weight", "kg", {"bsa": "0.75 m2", "height": "110 cm", "rule": "mosteller"}, "405/22"),
    ("weight", "kg", {"volume": "500 mL", "dehydration": "5 %"}, "10"),
    ("weight", "g", {"weight": "8 lb 6 oz"}, "41875/11"),
    ("weight", "lb", {"weight": "3400 g"}, "7.48"),
    ("height", "cm", {"bsa": "0.75 m2", "weight": "18 kg", "rule": "mosteller"}, "112.5"),
    ("height", "cm", {"height": "5 ft 4 in"}, "162.56"),
    ("height", "m", {"height": "64 in"}, "1.6256"),
    ("bsa", "m2", {"height": "1 m", "weight": "36 kg", "rule": "mosteller"}, "1"),
    ("bsa", "m2", {"dose": "50 mg/m2", "amount": "40 mg"}, "0.8"),
    # fluid lost
    ("deficit", "L", {"weight": "22 kg", "dehydration": "5 %"}, "1.1"),
    ("dehydration", "%", {"volume": "500 mL", "weight": "10 kg"}, "5"),
    ("resuscitation", "mL", {"weight": "20 kg", "burned": "20 %", "coefficient": "3 mL/kg"}, "1200"),
    ("burned", "%", {"volume": "1200 mL", "weight": "20 kg", "coefficient": "3"}, "20"),
    ("doses_per_day", "doses/day", {"dose": "40 mg/kg/day", "weight": "10 kg", "amount": "100 mg"}, "4"),
    # time of day
    ("finish", "clock", {"start": "22:30", "volume": "1000 mL", "rate": "125 mL/h"}, "06:30"),
    ("finish", "clock", {"start": "08:00", "duration": "49 h 5 min"}, "09:05"),
    ("finish", "clock", {"start": "00:00", "amount": "500 mg", "dose": "100 mg/h"}, "05:00"),
    ("finish", "clock", {"start": "10:15", "rule": "4-2-1", "weight": "10 kg", "volume": "100 mL"}, "12:45"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("find", "unit", "given", "exact"),
    DIRECTIONS,
    ids=[f"{find} {unit} from {' '.join(given)}" for find, unit, given, _ in DIRECTIONS],
)
def test_the_relation_works_in_this_direction(
    find: str, unit: str, given: dict[str, str], exact: str
) -> None:
    solution = solved(find, unit, given)
    assert (solution.exact_text, solution.unit) == (exact, unit)
    if solution.chain is not None:
        assert solution.chain.exact == solution.exact


def test_every_question_is_asked_above() -> None:
    assert {find for find, _, _, _ in DIRECTIONS} | {"coefficient"} == set(FINDS)


def test_a_sum_or_a_rule_shows_its_working_before_the_product() -> None:
    given = {"amount": "250 mg", "volume": "5 mL", "diluent": "245 mL", "dose": "10 mg/h"}
    assert solved("rate", "mL/h", given).steps[:2] == (
        "volume in the container = volume + diluent = 5 + 245 = 250 mL",
        "rate = dose x volume in the container / amount",
    )


def test_pounds_are_turned_into_kg_before_a_rule_uses_them() -> None:
    steps = solved("rate", "mL/h", {"rule": "4-2-1", "weight": "22 lb"}).steps
    assert steps[0] == "weight = 22 lb x 1 kg/2.2 lb"
    assert steps[-2] == "4-2-1 rule: 10 kg x 4 = 40 mL/h"


def test_what_is_taken_for_granted_is_said() -> None:
    steps = solved("concentration", "mg/mL", {"amount": "250 mg", "diluent": "250 mL"}).steps
    assert steps[0] == "taken for granted: the drug's own volume is not known and is left out"


def test_the_seconds_of_a_finish_are_dropped_and_shown() -> None:
    given = {
        "start": "01:00",
        "volume": "750 mL",
        "drip_rate": "32 gtt/min",
        "drop_factor": "20 gtt/mL",
    }
    solution = solved("finish", "clock", given)
    assert solution.value_text == "08:48"
    assert solution.steps[-2].endswith("01:00 + 7 h 48 min 45 s = 08:48:45")
    assert solution.steps[-1] == "the seconds are dropped: 08:48"
    assert (solution.exact, solution.chain) == (None, None)


def test_a_surface_without_end_is_given_to_twelve_digits_and_marked() -> None:
    given = {"height": "110 cm", "weight": "18 kg", "rule": "haycock"}
    assert solved("bsa", "m2", given).exact_text == "0.740071890833"


def test_the_policys_rounding_is_used_once_at_the_end() -> None:
    whole = RoundingRules(rules=(RoundingRule(kind="rate", unit="mL/h", step=FINEST),))
    problem = Problem(
        id="x", find="rate", unit="mL/h", given=(("volume", "100 mL"), ("duration", "7 h"))
    )
    assert solve(problem, whole).value_text == "14"
    assert solve(problem).value_text == "14.3"
    assert solve(problem).steps[-1] == "rounded once, at the end, half up to 0.1 mL/h: 14.3 mL/h"


FINEST = solved("rate", "mL/h", {"rate": "1 mL/h"}).exact


@pytest.mark.parametrize(
    ("find", "unit", "given", "said"),
    [
        ("drip_rate", "gtt/min", {"rate": "25 mL/h", "drop_factor": "3 gtt/mL"}, "rounding alone"),
        ("rate", "mL/h", {"volume": "3000 mL", "duration": "2 h"}, "unusually fast"),
        ("rate", "mL/h", {"dose": "20 mL/kg", "weight": "10 kg", "duration": "20 min"}, "fast for 10 kg"),
        ("dose", "mg", {"dose": "1 mg/kg", "weight": "0.3 kg"}, "a weight of 0.3 kg is rare"),
        ("weight", "kg", {"weight": "40 lb"}, "in pounds (40 lb)"),
        ("rate", "mL/h", {"rule": "4-2-1", "weight": "22 kg"}, "100-50-20 gives 64.2 mL/h"),
        ("rate", "mL/h", {"rule": "4-2-1", "weight": "70 kg"}, "above the usual ceiling"),
        ("rate", "mL/h", {"rule": "4-2-1", "weight": "9 kg", "dehydration": "5 %", "duration": "1 day"},
         "maintenance and replacement"),
        ("dose", "mg/day", {"dose": "40 mg/kg/day", "weight": "9 kg"}, "for the whole day"),
        ("deficit", "mL", {"weight": "9 kg", "dehydration": "12 %"}, "12 % dehydration is severe"),
        ("resuscitation", "mL", {"weight": "20 kg", "burned": "20 %", "coefficient": "4"},
         "half of the 1600 mL is due in the first 8 h after the burn, 800 mL at 100 mL/h"),
        ("finish", "clock", {"start": "22:00", "duration": "3 h"}, "finishes the next day"),
    ],
)  # fmt: skip
def test_a_clinical_caution_says_what_to_check(
    find: str, unit: str, given: dict[str, str], said: str
) -> None:
    assert any(said in caution for caution in solved(find, unit, given).cautions)


def test_an_ordinary_answer_has_no_caution() -> None:
    assert solved("rate", "mL/h", {"volume": "500 mL", "duration": "8 h"}).cautions == ()

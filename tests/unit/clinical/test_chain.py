"""The factor chain: formula, drawn fractions, struck units, unit constants."""

from __future__ import annotations

from fractions import Fraction

import pytest

from trainer.clinical.chain import Chain, chain_of, factor_of
from trainer.clinical.problem import Problem
from trainer.clinical.quantity import parse_quantity, parse_strength
from trainer.clinical.solve import solve
from trainer.clinical.units import parse_unit
from trainer.errors import QuantityError


def dopamine() -> Chain:
    given = (
        ("dose", "5 mcg/kg/min"),
        ("weight", "18.2 kg"),
        ("concentration", "400 mg in 250 mL"),
    )
    chain = solve(Problem(id="d", find="rate", unit="mL/h", given=given)).chain
    assert chain is not None
    return chain


def test_the_worked_solution_reads_from_formula_to_exact_value() -> None:
    assert dopamine().lines() == (
        "rate = dose x weight / concentration",
        "= 5 mcg/kg/min x 18.2 kg x 250 mL/400 mg x 1 mg/1000 mcg x 60 min/1 h",
        "units that cancel: mcg, kg, min, mg; left: mL/h",
        "= (5 x 18.2 x 250 x 60) / (400 x 1000) mL/h",
        "= 3.4125 mL/h",
    )


def test_each_factor_has_its_name_and_its_power() -> None:
    assert [(f.name, f.power, f.given) for f in dopamine().factors] == [
        ("dose", 1, True),
        ("weight", 1, True),
        ("concentration", -1, True),
        ("mcg per mg", -1, False),
        ("minutes per hour", 1, False),
    ]


def test_a_strength_as_a_factor_keeps_both_its_parts() -> None:
    strength = dopamine().factors[2]
    assert strength.above.value == 400
    assert strength.below.value == 250
    assert strength.value == Fraction("1.6")
    assert strength.unit.text == "mg/mL"
    assert strength.factor_value == Fraction("0.625")


def test_every_unit_but_the_answers_own_is_struck() -> None:
    marks = [m for t in dopamine().terms() for m in (*t.above_units, *t.below_units)]
    assert [m.symbol for m in marks if not m.struck] == ["mL", "h"]


def test_the_drawing_has_three_lines_with_cancelled_units_in_brackets() -> None:
    top, bar, bottom = dopamine().drawing()
    assert "5 [mcg]" in top
    assert "18.2 [kg]" in bar
    assert bar.endswith("= 3.4125 mL/h")
    assert "400 [mg]" in bottom


def test_the_pound_stands_in_the_chain_as_its_source_writes_it() -> None:
    def pound(lb_per_kg: str) -> str:
        given = (("weight", "22 lb"),)
        chain = solve(
            Problem(id="w", find="weight", unit="kg", given=given, lb_per_kg=lb_per_kg)
        ).chain
        assert chain is not None
        return f"{chain.factors[1].name}: {chain.factors[1].text}"

    assert pound("2.2 lb per kg") == "lb per kg: 2.2 lb per 1 kg"
    assert pound("0.45359237 kg per lb") == "kg per lb: 0.45359237 kg per 1 lb"


def test_units_that_cannot_make_the_answer_are_refused() -> None:
    factors = (factor_of("dose", parse_quantity("5 mg/kg")),)
    with pytest.raises(QuantityError, match="body weight does not cancel"):
        chain_of("dose", factors, parse_unit("mg"))


def test_a_value_without_end_is_shown_as_fraction_and_decimal() -> None:
    volume = factor_of("volume", parse_quantity("25 mL"))
    time = factor_of("duration", parse_quantity("3 h"))
    chain = Chain(
        name="rate",
        unit=parse_unit("mL/h"),
        factors=(
            volume,
            type(time)(name=time.name, text=time.text, above=time.above, power=-1),
        ),
    )
    assert chain.lines()[-1] == "= 25/3 = 8.3333… mL/h"


def test_a_strength_without_text_is_written_out() -> None:
    assert factor_of("concentration", parse_strength("10 %")).text == "10 g in 100 mL"

"""Numbers that hide one slip behind another."""

from __future__ import annotations

from tests.unit.clinical.slips.ask import DRIP, LITRE, Given, answer
from trainer.clinical.slips.answer import answer_of_chain
from trainer.clinical.slips.names import Slip
from trainer.clinical.slips.others import read_others
from trainer.clinical.slips.readable import look_alikes, unreadable
from trainer.clinical.solve import solve


def pairs(given: Given, find: str = "rate", unit: str = "mL/h") -> set[tuple[Slip, Slip | None]]:
    return {(one.first, one.second) for one in unreadable(answer(given, find, unit))}


def test_sixty_kilograms_hide_the_weight_left_out_behind_minutes() -> None:
    found = unreadable(answer({**DRIP, "weight": "60 kg"}))
    pair = next(one for one in found if one.second is Slip.WEIGHT_LEFT_OUT)
    assert pair.first is Slip.PER_MINUTE
    assert "cannot be told apart" in pair.sentence
    assert "60 kg" in pair.sentence
    assert "0.1875 mL/h" in pair.sentence


def test_ten_kilograms_look_tenfold_and_a_hundred_hundredfold() -> None:
    assert (Slip.TENFOLD, Slip.WEIGHT_LEFT_OUT) in pairs({**DRIP, "weight": "10 kg"})
    assert (Slip.WEIGHT_LEFT_OUT, Slip.HUNDREDFOLD) in pairs({**DRIP, "weight": "100 kg"})


def test_ten_mg_per_ml_upside_down_looks_hundredfold() -> None:
    given = {"dose": "15 mg/h", "concentration": "10 mg/mL"}
    assert (Slip.UPSIDE_DOWN, Slip.HUNDREDFOLD) in pairs(given)


def test_a_set_of_sixty_drops_hides_drops_taken_for_ml() -> None:
    given = {"rate": "80 mL/h", "drop_factor": "60 gtt/mL"}
    assert (Slip.DROP_FACTOR, None) in pairs(given, "drip_rate", "gtt/min")


def test_one_mg_per_ml_hides_a_strength_turned_over() -> None:
    given = {"dose": "15 mg/h", "concentration": "1 mg/mL"}
    found = unreadable(answer(given))
    hidden = next(one for one in found if one.first is Slip.UPSIDE_DOWN and one.second is None)
    assert "cannot be seen" in hidden.sentence


def test_plain_numbers_are_readable() -> None:
    assert pairs({**DRIP, "weight": "17.3 kg"}) == set()
    assert pairs({**LITRE, "duration": "7.5 h"}) == set()


def test_what_no_numbers_would_tell_apart_is_marked_as_such() -> None:
    """The weight left out of a dose per kg is the dose per kg: that is so with any numbers."""
    given = {"dose": "7 mg/kg", "weight": "13.7 kg"}
    found = look_alikes(answer(given, "dose", "mg"))
    pair = next(
        one for one in found if {one.first, one.second} == {Slip.WEIGHT_LEFT_OUT, Slip.SWAPPED}
    )
    assert not pair.is_by_numbers
    assert unreadable(answer(given, "dose", "mg")) == ()


def test_the_other_values_of_a_scenario_are_held_against_the_slips() -> None:
    right = answer(DRIP)
    others = read_others({"weight": ["182 kg"]}, right.kg_per_lb)
    assert any(
        (one.first, one.second) == (Slip.SUPERSEDED, Slip.TENFOLD)
        for one in unreadable(right, others=others)
    )


def test_a_chain_alone_is_enough() -> None:
    problem = answer({**DRIP, "weight": "60 kg"}).asked
    assert problem is not None
    chain = solve(problem.problem).chain
    assert chain is not None
    found = unreadable(answer_of_chain("rate", chain))
    assert (Slip.PER_MINUTE, Slip.WEIGHT_LEFT_OUT) in {(one.first, one.second) for one in found}


def test_a_rule_by_weight_is_checked_too() -> None:
    """Above 20 kg the first ten kilograms left out of 4-2-1 give as many mL/h as kg."""
    found = look_alikes(answer({"rule": "4-2-1", "weight": "23 kg"}))
    pair = next(one for one in found if one.second is Slip.SWAPPED)
    assert (pair.first, pair.is_by_numbers) == (Slip.WEIGHT_LEFT_OUT, False)

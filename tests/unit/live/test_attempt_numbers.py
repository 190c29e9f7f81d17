"""Which numbers an attempt has: those of its seed, drawn in the way that its log names."""

from __future__ import annotations

from fractions import Fraction

import pytest

from trainer.errors import UnknownEvent
from trainer.live.attempt import opened_record, scenario_of
from trainer.live.library import read_source
from trainer.paths import SCENARIOS

SOURCE = read_source(SCENARIOS / "bolus-and-a-dry-bag.yaml")
SEED = 7
"""Draws 20 kg first: a rate with the weight left out, 10 mL/kg in half an hour, is then 20 mL/h,
the number of the weight."""


def weight_kg(variation: int) -> Fraction:
    return scenario_of(SOURCE, SEED, variation).patient.weight.to("kg")


def test_a_new_attempt_says_in_which_way_its_numbers_were_drawn():
    assert opened_record(SOURCE, SEED, "learner").variation == 2


def test_an_attempt_from_before_keeps_its_numbers():
    assert weight_kg(1) == 20


def test_a_new_attempt_with_that_seed_has_numbers_that_hide_less():
    assert weight_kg(2) == Fraction("19.4")


def test_seed_0_is_the_scenario_as_written_in_either_way():
    assert scenario_of(SOURCE, 0, 1) == scenario_of(SOURCE, 0, 2)


def test_a_log_of_a_newer_trainer_is_refused_and_not_guessed():
    with pytest.raises(UnknownEvent, match="drawn in way 3"):
        scenario_of(SOURCE, SEED, 3)

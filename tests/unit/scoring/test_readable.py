"""Which slips the numbers of a scenario hide, and variants that avoid such numbers."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.unit.scoring.ward import DOPAMINE, a_line, a_scenario
from trainer.clinical.quantity import parse_quantity
from trainer.errors import UnknownEvent
from trainer.scenario.model import Scenario, Vary
from trainer.scoring.accept import variant
from trainer.scoring.readable import hidden, hides

SEEDS = st.integers(min_value=1, max_value=2**63)
AROUND_SIXTY = a_scenario(
    DOPAMINE,
    lines=(a_line(),),
    vary=(
        Vary(
            what="patient.weight",
            least=parse_quantity("58 kg"),
            most=parse_quantity("62 kg"),
            step=parse_quantity("0.5 kg"),
        ),
    ),
)
"""At 60 kg the weight left out and the 60 minutes forgotten give the same rate."""


def weight_kg(scenario: Scenario) -> Fraction:
    return scenario.patient.weight.to("kg")


def test_sixty_kilograms_hide_the_weight_left_out_behind_the_minutes():
    (one,) = [
        one
        for one in hidden(a_scenario(DOPAMINE, weight="60 kg"))
        if {one.alike.first, one.alike.second} == {"per-minute", "weight-left-out"}
    ]
    assert (one.order, one.quantity) == ("dopamine", "rate")
    assert one.sentence.startswith(
        "order `dopamine`, hourly rate: `per-minute` and `weight-left-out` cannot be told apart"
    )


def test_other_kilograms_do_not():
    told = " ".join(one.sentence for one in hidden(a_scenario(DOPAMINE, weight="37 kg")))
    assert "`per-minute` and `weight-left-out`" not in told


def test_only_what_is_asked_counts():
    silent = replace(DOPAMINE, ask=())
    assert hidden(a_scenario(silent, weight="60 kg")) == ()
    assert hides(a_scenario(silent, weight="60 kg")) == frozenset()


def test_a_strength_of_one_hides_that_it_was_turned_upside_down():
    order = replace(DOPAMINE, dose=parse_quantity("5 mcg/kg/min"), fluid="one")
    ward = a_scenario(order, weight="37 kg")
    one = replace(
        ward.fluid("dopamine"), id="one", concentration=parse_quantity("1 mg/mL", of_body=False)
    )
    formulary = replace(ward.formulary, fluids=(*ward.formulary.fluids, one))
    told = [one.alike for one in hidden(replace(ward, formulary=formulary))]
    assert any(one.first == "upside-down" and one.second is None for one in told)


# --- variants ------------------------------------------------------------------------


@given(SEEDS)
@settings(max_examples=30, deadline=None)
def test_a_variant_avoids_the_weight_that_hides_a_slip(seed: int):
    weight = weight_kg(variant(AROUND_SIXTY, seed))
    assert weight != 60
    assert weight == weight_kg(variant(AROUND_SIXTY, seed))


def test_an_old_attempt_keeps_the_numbers_it_had():
    """The first of nine steps of half a kilogram that the seed draws, whatever it hides."""
    old = {seed: weight_kg(variant(AROUND_SIXTY, seed, 1)) for seed in range(1, 40)}
    assert old == {seed: 58 + Fraction(Random(seed).randint(0, 8), 2) for seed in old}
    assert Fraction(60) in old.values()


@given(SEEDS)
@settings(max_examples=20, deadline=None)
def test_numbers_are_only_changed_for_some_that_hide_less(seed: int):
    old, new = variant(AROUND_SIXTY, seed, 1), variant(AROUND_SIXTY, seed)
    assert new == old or len(hides(new)) < len(hides(old))


def test_where_every_number_hides_something_the_one_that_hides_least_is_taken():
    whole = AROUND_SIXTY.vary[0]
    only = replace(
        AROUND_SIXTY,
        vary=(replace(whole, least=parse_quantity("60 kg"), most=parse_quantity("60 kg")),),
    )
    assert weight_kg(variant(only, 3)) == 60


def test_a_way_of_drawing_that_is_not_known_is_refused():
    with pytest.raises(UnknownEvent, match="drawn in way 3; this trainer knows 1 to 2"):
        variant(AROUND_SIXTY, 1, 3)

"""The same seed gives the same numbers, on the grid of the range."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.unit.scenario.small_files import SCENARIO, changed, loaded
from trainer.errors import ScenarioError
from trainer.scenario.model import Scenario
from trainer.scenario.variants import vary

SMALL = loaded()
SEEDS = st.integers(min_value=1, max_value=2**63)


def any_will_do(_: Scenario) -> bool:
    return True


def weight_kg(scenario: Scenario) -> Fraction:
    return scenario.patient.weight.to("kg")


def test_seed_zero_is_the_scenario_as_written():
    assert vary(SMALL, 0, lambda _: False) is SMALL


@given(SEEDS)
def test_a_seed_gives_the_same_weight_each_time_within_the_range_on_its_steps(seed: int):
    weight = weight_kg(vary(SMALL, seed, any_will_do))
    assert weight == weight_kg(vary(SMALL, seed, any_will_do))
    assert 16 <= weight <= 20
    assert ((weight - 16) / Fraction("0.2")).denominator == 1


def test_both_ends_of_the_range_come_up():
    drawn = {weight_kg(vary(SMALL, seed, any_will_do)) for seed in range(1, 400)}
    assert {Fraction(16), Fraction(20)} <= drawn


@given(SEEDS)
def test_nothing_but_the_varying_value_changes(seed: int):
    varied = vary(SMALL, seed, any_will_do)
    assert varied.orders == SMALL.orders
    assert varied.patient.name == SMALL.patient.name


@given(SEEDS)
def test_only_what_is_accepted_comes_out(seed: int):
    varied = vary(SMALL, seed, lambda candidate: weight_kg(candidate) > 19)
    assert weight_kg(varied) > 19


def test_when_nothing_is_accepted_the_reason_is_told():
    with pytest.raises(ScenarioError, match=r"no value of patient\.weight from 16 kg to 20 kg"):
        vary(SMALL, 1, lambda _: False)


def test_without_ranges_every_seed_is_the_scenario_as_written():
    still = loaded(
        changed(SCENARIO, "vary:\n  patient.weight: {from: 16 kg, to: 20 kg, step: 0.2 kg}\n", "")
    )
    assert vary(still, 7, lambda _: False) is still


# --- numbers that hide nothing --------------------------------------------------------

ALWAYS = frozenset({"always"})


def hides_below_17(candidate: Scenario) -> frozenset[str]:
    """Below 17 kg one thing more is hidden than what the whole range hides."""
    return ALWAYS | ({"light"} if weight_kg(candidate) < 17 else frozenset())


def hides_the_more_the_farther_from_18(candidate: Scenario) -> frozenset[str]:
    far = abs(weight_kg(candidate) - 18) * 5 + 1
    return frozenset(f"{weight_kg(candidate)}-{number}" for number in range(int(far)))


@given(SEEDS)
def test_numbers_are_drawn_until_they_hide_nothing_that_others_would_not(seed: int):
    assert weight_kg(vary(SMALL, seed, any_will_do, hides_below_17)) >= 17


@given(SEEDS)
def test_what_hides_nothing_at_once_is_what_was_drawn_before(seed: int):
    def hides_nothing(_: Scenario) -> frozenset[str]:
        return frozenset()

    varied = vary(SMALL, seed, any_will_do, hides_nothing)
    assert weight_kg(varied) == weight_kg(vary(SMALL, seed, any_will_do))


@given(SEEDS)
def test_where_all_hide_something_the_clearest_of_those_looked_at_is_taken(seed: int):
    looked: list[Scenario] = []

    def hides(candidate: Scenario) -> frozenset[str]:
        looked.append(candidate)
        return hides_the_more_the_farther_from_18(candidate)

    varied = vary(SMALL, seed, any_will_do, hides)
    least = min(len(hides_the_more_the_farther_from_18(one)) for one in looked[2:])
    assert len(hides_the_more_the_farther_from_18(varied)) == least


@given(SEEDS)
def test_what_cannot_be_used_is_never_taken_however_clear(seed: int):
    def is_light(candidate: Scenario) -> bool:
        return weight_kg(candidate) < 17

    assert weight_kg(vary(SMALL, seed, is_light, hides_below_17)) < 17

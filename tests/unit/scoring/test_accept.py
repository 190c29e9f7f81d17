"""Which numbers a variant may have: computable, within limits, enterable."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.unit.scoring.ward import (
    ANTIBIOTIC,
    BOLUS,
    DOPAMINE,
    MAINTENANCE,
    POLICY,
    PUMP,
    a_line,
    a_scenario,
)
from trainer.clinical.quantity import parse_quantity
from trainer.scenario.model import Limit
from trainer.scoring.accept import faults, usable
from trainer.terms import Drive


def test_sound_numbers_are_usable():
    assert usable(a_scenario(MAINTENANCE, ANTIBIOTIC, BOLUS, DOPAMINE))


def with_pump(**changes):
    return replace(POLICY, pump=replace(PUMP, **changes))


@pytest.mark.parametrize(
    ("changes", "order", "said"),
    [
        ({"policy": with_pump(rate_step_ml_per_h=Fraction(1))}, DOPAMINE, "finer than can be"),
        ({"policy": with_pump(highest_rate_ml_per_h=Fraction(300))}, BOLUS, "above the pump's"),
        ({"policy": with_pump(lowest_rate_ml_per_h=Fraction(5))}, DOPAMINE, "below the pump's"),
        ({"policy": with_pump(highest_volume_ml=Fraction(100))}, BOLUS, "volume is above"),
        ({"weight": "60 kg"}, BOLUS, "the container holds less than the volume"),
        ({}, replace(BOLUS, over_ms=0), "the duration cannot be computed"),
    ],
)
def test_numbers_that_cannot_be_entered_are_told(changes, order, said):
    assert said in " ".join(faults(a_scenario(order, **changes)))


def test_a_dose_outside_its_limits_is_not_used_for_a_variant():
    scenario = a_scenario(replace(ANTIBIOTIC, dose=parse_quantity("30 mg/kg")))
    limit = Limit(of="dose", unit="mg", most=Fraction(500))
    drug = replace(scenario.drug("antibiotic"), limits=(limit,))
    formulary = replace(scenario.formulary, drugs=(drug, scenario.drug("dopamine")))
    assert not usable(replace(scenario, formulary=formulary))


def test_what_no_pump_could_be_given_is_usable_on_a_gravity_line():
    policy = with_pump(highest_rate_ml_per_h=Fraction(300))
    lines = (a_line(drive=Drive.GRAVITY),)
    assert not usable(a_scenario(BOLUS, policy=policy))
    assert usable(a_scenario(BOLUS, policy=policy, lines=lines))

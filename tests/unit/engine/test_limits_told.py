"""How a limit that was left is told: soft or hard, and once."""

from fractions import Fraction

from tests.unit.engine.test_limits import HARD_RATE, SOFT_RATE, entered, ward_with
from trainer.scenario.model import Limit

SOFT_DOSE = Limit(of="dose", unit="mg/kg", most=Fraction(1))


def test_a_soft_limit_is_called_one():
    told = entered(ward_with(SOFT_RATE, HARD_RATE), rate="8", fluid="sedative").refusal.text
    assert "(soft limit)" in told


def test_beside_the_hard_limit_the_soft_one_of_the_same_is_not_told_again():
    told = entered(ward_with(SOFT_RATE, HARD_RATE), rate="40", fluid="sedative").refusal.text
    assert "(hard limit)" in told
    assert "soft limit" not in told


def test_beside_a_hard_limit_a_soft_one_of_something_else_is_told():
    ward = ward_with(SOFT_RATE, HARD_RATE, SOFT_DOSE)
    told = entered(ward, rate="40", fluid="sedative").refusal.text
    assert "dose" in told
    assert told.count("soft limit") == 1

"""Facts of the trade as check values. All: common practice, no source."""

from __future__ import annotations

from fractions import Fraction

from trainer.clinical.dosing import (
    duration_for_volume,
    rate_for_duration,
    volume_at_once,
    volume_from_rate,
)
from trainer.clinical.problem import Problem
from trainer.clinical.solve import solve
from trainer.clinical.timebase import parse_sim_duration


def answer(find: str, unit: str, **given: str) -> str:
    return solve(Problem(id="fact", find=find, unit=unit, given=tuple(given.items()))).exact_text


def test_any_two_of_rate_volume_and_duration_fix_the_third() -> None:
    """Common practice, no source."""
    assert answer("rate", "mL/h", volume="90 mL", duration="1 h 30 min") == "60"
    assert answer("volume", "mL", rate="60 mL/h", duration="1 h 30 min") == "90"
    assert answer("duration", "min", volume="90 mL", rate="60 mL/h") == "90"


def test_two_hours_of_40_ml_per_h_are_given_to_a_child_as_80_ml() -> None:
    """Common practice, no source; the two hours are a ward's policy, not the trainer's."""
    assert volume_at_once(Fraction(40), Fraction(2)) == 80
    assert answer("volume", "mL", rate="40 mL/h", duration="2 h") == "80"


def test_100_ml_over_30_min_runs_at_200_ml_per_h() -> None:
    """Common practice, no source."""
    assert rate_for_duration(Fraction(100), Fraction(1, 2)) == 200
    assert answer("rate", "mL/h", volume="100 mL", duration="30 min") == "200"


def test_vancomycin_of_28_ml_over_the_least_hour_runs_at_28_ml_per_h() -> None:
    """Common practice, no source: vancomycin runs over an hour at least."""
    assert answer("rate", "mL/h", volume="28 mL", duration="1 h") == "28"
    assert duration_for_volume(Fraction(28), Fraction(28)) == 1
    assert volume_from_rate(Fraction(28), Fraction(1)) == 28


def test_a_hub_scrub_of_15_s_is_a_duration_the_trainer_reads() -> None:
    """Common practice, no source: a hub is scrubbed for 15 s; how long is a ward's policy."""
    assert parse_sim_duration("15 s") == 15_000

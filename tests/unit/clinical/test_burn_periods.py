"""Fluid after a burn: half in the first 8 h, half in the next 16 h, all in 24 h.

Source: Baxter and Shires, Physiological response to crystalloid resuscitation of severe
burns (from memory); the halves as in the burn formulas of the reference notes.
"""

import pytest

from trainer.clinical.problem import Problem
from trainer.clinical.solve import solve
from trainer.errors import ProblemError

BURN = (("weight", "20 kg"), ("burned", "15 %"), ("coefficient", "4 mL/kg/%"))


def exact(find: str, unit: str, *more: tuple[str, str]) -> str:
    return solve(Problem(id="burn", find=find, unit=unit, given=(*BURN, *more))).exact_text


@pytest.mark.parametrize(
    ("duration", "volume", "rate"),
    [("8 h", "600", "75"), ("16 h", "600", "37.5"), ("24 h", "1200", "50")],
)
def test_each_period_has_its_share(duration: str, volume: str, rate: str):
    assert exact("resuscitation", "mL", ("duration", duration)) == volume
    assert exact("volume", "mL", ("duration", duration)) == volume
    assert exact("rate", "mL/h", ("duration", duration)) == rate


def test_without_a_duration_it_is_the_volume_of_the_whole_day():
    assert exact("resuscitation", "mL") == "1200"


def test_another_period_is_asked_back():
    with pytest.raises(ProblemError, match=r"the first 8 h .*, the next 16 h or all 24 h"):
        exact("rate", "mL/h", ("duration", "10 h"))


def test_less_than_8_h_is_what_is_left_of_the_first_8_h():
    assert exact("rate", "mL/h", ("duration", "6 h")) == "100"

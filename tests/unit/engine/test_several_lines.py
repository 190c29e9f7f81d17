"""Several lines to one patient: each gives what hangs on it, and stopping the wrong one shows."""

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.build import HOUR, MINUTE, Bedside, a_bag, a_patient, a_ready_line, a_scenario
from trainer.engine.carry import carry
from trainer.engine.signs import number_now
from trainer.scenario.model import Access, Drug, Response, Scenario, Sign
from trainer.terms import Verb

SIGN = Sign(name="blood pressure", value="70/40", unit="mmHg")
SHARED = ("hand", "hand")
APART = ("hand", "foot")


def two_lines(access: tuple[str, str]) -> Scenario:
    """A drug that holds the pressure up on line 1, a plain fluid on line 2; half-life 2 min."""
    first, second = access
    lines = (
        a_ready_line(1, hung="drug-bag", access=first),
        a_ready_line(2, hung="plain-bag", access=second),
    )
    scenario = a_scenario(
        lines=lines,
        supplies=(a_bag("drug-bag", "sedative"), a_bag("plain-bag", "saline")),
        patient=a_patient(
            signs=(SIGN,),
            access=tuple(Access(id=one, name=one, kind="peripheral") for one in {*access}),
        ),
    )
    drug = Drug(
        id="sedative",
        name="an invented drug",
        half_life_ms=2 * MINUTE,
        volume_l_per_kg=Fraction(1, 10),
        responses=(Response(sign="blood pressure", most=Fraction(20)),),
    )
    return replace(scenario, formulary=replace(scenario.formulary, drugs=(drug,)))


def running(access: tuple[str, str]) -> Bedside:
    bedside = Bedside(two_lines(access))
    bedside.run(rate="12", volume="100")
    bedside.run(rate="40", volume="200", line="2")
    bedside.wait(HOUR)
    return bedside


def pressure_later(bedside: Bedside, minutes: int) -> Fraction:
    bedside.wait(minutes * MINUTE)
    found = number_now(carry(bedside.state, bedside.now_ms), "blood pressure")
    assert found is not None
    return found


@pytest.mark.parametrize("access", [SHARED, APART], ids=["one catheter", "two catheters"])
def test_stopping_the_plain_fluid_leaves_the_pressure_where_it_is(access):
    bedside = running(access)
    held = pressure_later(bedside, 0)
    assert held > 80
    bedside.do(Verb.STOP, line="2")
    assert pressure_later(bedside, 15) == held


@pytest.mark.parametrize("access", [SHARED, APART], ids=["one catheter", "two catheters"])
def test_stopping_the_drug_instead_lets_the_pressure_fall_back(access):
    bedside = running(access)
    bedside.do(Verb.STOP, line="1")
    assert pressure_later(bedside, 30) == 70


def test_a_clamp_shut_on_one_line_leaves_the_other_running():
    bedside = running(SHARED)
    before = dict(carry(bedside.state, bedside.now_ms).ledger.vein)
    bedside.do(Verb.CLOSE_CLAMP, line="1", clamp="patient")
    bedside.wait(MINUTE)
    after = dict(carry(bedside.state, bedside.now_ms).ledger.vein)
    assert after["sedative"] == before["sedative"]
    assert after["saline"] > before["saline"]

"""Limits when values are entered: only if the pump is told what runs."""

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.build import Bedside, a_patient, a_ready_line, a_scenario
from trainer.engine.limits import holds_for, outside_as_entered
from trainer.engine.programme import give
from trainer.scenario.model import Access, Limit, Scenario
from trainer.terms import Refusal, Verb

# The sedative of the tests holds 2 mg/mL; the child weighs 16 kg and is 4 years old.
SOFT_RATE = Limit(of="rate", unit="mg/kg/h", most=Fraction("0.5"), because="sleeps too deeply")
HARD_RATE = Limit(of="rate", unit="mg/kg/h", most=Fraction(2), hard=True)
DOSE = Limit(of="dose", unit="mg/kg", least=Fraction("0.1"), most=Fraction(3))
PER_MINUTE = Limit(of="dose", unit="mcg/kg/min", most=Fraction(10))
OF_A_DAY = Limit(of="daily dose", unit="mg/kg/day", most=Fraction(1))
TOO_STRONG = Limit(of="concentration", unit="mg/mL", most=Fraction(1), route="peripheral")


def ward_with(*limits: Limit, kind: str = "peripheral", **changes) -> Scenario:
    patient = a_patient(
        access=(Access(id="hand", name="left hand", kind=kind, gauge=24),), **changes
    )
    scenario = a_scenario(lines=(a_ready_line(hung="small-bag"),), patient=patient)
    drugs = tuple(replace(drug, limits=limits) for drug in scenario.formulary.drugs)
    return replace(scenario, formulary=replace(scenario.formulary, drugs=drugs))


def entered(scenario: Scenario, *, volume: str = "10", rate: str, **more: str) -> Bedside:
    bedside = Bedside(scenario)
    bedside.do(Verb.ENTER, line="1", role="primary", volume=volume, rate=rate, **more)
    return bedside


def outside(scenario: Scenario, *, volume: str, rate: str) -> list[str]:
    programme = give(volume, "", rate, scenario.policy.pump)
    assert not isinstance(programme, str)
    found = outside_as_entered(scenario, 1, scenario.fluid("sedative"), programme)
    return [one.words for one in found]


def test_a_plain_pump_asks_nothing():
    bedside = entered(ward_with(SOFT_RATE, HARD_RATE), rate="100")
    assert bedside.of_kind("Entered")[0].fluid == ""
    assert bedside.of_kind("LimitOverridden") == []


def test_values_within_the_limits_are_taken():
    # 2 mg/mL x 4 mL/h / 16 kg = 0.5 mg/kg/h: the end belongs to the range.
    bedside = entered(ward_with(SOFT_RATE, HARD_RATE), rate="4", fluid="sedative")
    assert bedside.of_kind("Entered")[0].fluid == "sedative"
    assert bedside.of_kind("Refused") == bedside.of_kind("LimitOverridden") == []


def test_a_soft_limit_wants_a_reason():
    # 2 mg/mL x 8 mL/h / 16 kg = 1 mg/kg/h
    bedside = entered(ward_with(SOFT_RATE, HARD_RATE), rate="8", fluid="sedative")
    assert bedside.refusal.reason is Refusal.NEEDS_REASON
    assert "1 mg/kg/h is 0.5 mg/kg/h above the highest, 0.5 mg/kg/h" in bedside.refusal.text
    assert bedside.state.line(1).pump.entered_primary is None
    bedside.do(
        Verb.ENTER, line="1", role="primary", volume="10", rate="8", fluid="sedative",
        reason="the prescriber wants it so",
    )  # fmt: skip
    (overridden,) = bedside.of_kind("LimitOverridden")
    assert overridden.reason == "the prescriber wants it so"
    assert "an invented sedative, rate" in overridden.text
    assert bedside.state.line(1).pump.entered_primary is not None


def test_no_reason_moves_a_hard_limit():
    # 2 mg/mL x 40 mL/h / 16 kg = 5 mg/kg/h: ten times 0.5
    bedside = entered(
        ward_with(SOFT_RATE, HARD_RATE), rate="40", fluid="sedative", reason="I am sure"
    )
    assert bedside.refusal.reason is Refusal.OUTSIDE_LIMIT
    assert "hard limit" in bedside.refusal.text
    assert bedside.of_kind("Entered") == []


def test_an_unknown_fluid_is_not_understood():
    bedside = entered(ward_with(), rate="4", fluid="gin")
    assert bedside.refusal.reason is Refusal.NOT_UNDERSTOOD
    assert "saline" in bedside.refusal.text


@pytest.mark.parametrize(
    ("limit", "volume", "rate", "says"),
    [
        # 2 mg/mL x 0.5 mL = 1 mg, / 16 kg = 0.0625 mg/kg
        (DOSE, "0.5", "1", "0.0625 mg/kg is 0.0375 mg/kg below the lowest"),
        # 2 mg/mL x 40 mL / 16 kg = 5 mg/kg
        (DOSE, "40", "1", "5 mg/kg is 2 mg/kg above the highest"),
        (DOSE, "10", "1", None),
        # 2 mg/mL x 6 mL/h / 16 kg / 60 min = 12.5 micrograms/kg/min
        (PER_MINUTE, "10", "6", "12.5 mcg/kg/min is 2.5 mcg/kg/min above the highest"),
        (PER_MINUTE, "10", "4", None),
        (TOO_STRONG, "10", "1", "2 mg/mL is 1 mg/mL above the highest"),
        # one entry does not tell how often it is given
        (OF_A_DAY, "40", "40", None),
    ],
)
def test_each_sort_of_limit_is_held_against_what_it_is_about(limit, volume, rate, says):
    found = outside(ward_with(limit), volume=volume, rate=rate)
    assert (len(found) == 1 and says in found[0]) if says else found == []


@pytest.mark.parametrize(("kind", "count"), [("peripheral", 1), ("central", 0)])
def test_a_limit_of_a_route_holds_for_that_route_alone(kind, count):
    assert len(outside(ward_with(TOO_STRONG, kind=kind), volume="10", rate="1")) == count


@pytest.mark.parametrize(
    ("from_years", "below_years", "age", "holds"),
    [
        (None, None, "4", True),
        ("1", None, "1", True),
        ("1", None, "0.9", False),
        (None, "18", "17.9", True),
        (None, "18", "18", False),
        ("1", "18", "4", True),
    ],
)
def test_a_limit_of_an_age_band_holds_from_its_beginning_to_below_its_end(
    from_years, below_years, age, holds
):
    limit = replace(
        DOSE,
        from_years=Fraction(from_years) if from_years else None,
        below_years=Fraction(below_years) if below_years else None,
    )
    assert holds_for(limit, route="peripheral", age_years=Fraction(age)) is holds


def test_the_hard_limits_are_told_first():
    found = outside(ward_with(DOSE, HARD_RATE), volume="40", rate="40")
    assert ["(hard limit)" in words for words in found] == [True, False]


def test_what_runs_is_what_hangs_there_whatever_the_pump_was_told():
    bedside = entered(ward_with(SOFT_RATE), rate="40", fluid="saline")
    bedside.do(Verb.START, line="1")
    assert bedside.of_kind("Refused") == []
    bedside.wait(60_000)
    assert bedside.state.drugs[0].drug == "sedative"

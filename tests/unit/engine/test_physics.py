"""The drug level: one compartment, closed form, from what truly reaches the vein."""

from fractions import Fraction

import pytest

from tests.build import HOUR, MINUTE, Bedside, a_block, a_ready_line, a_scenario
from trainer.engine.carry import carry
from trainer.engine.physics.chain import chain_from, later
from trainer.engine.physics.compartment import per_litre, quantised
from trainer.engine.view import drug_level_per_l
from trainer.scenario.model import Trigger
from trainer.terms import Verb

BIOPHARMACEUTICS = "Biopharmaceutics textbook, table 9-5 and gentamicin clinical example"
# Source of these figures, as printed: k 0.2 per hour, plateau 10 mg/L, infused for 2 h.
HALF_LIFE_MS = 12_476_649  # ln 2 / 0.2 h, to the millisecond
PLATEAU_MG_PER_L, K_PER_H = 10, Fraction("0.2")


def amount_later(amount: float, arrived: float, elapsed_ms: int, half_life_ms: int) -> float:
    """What is in the body after a while in which `arrived` came evenly."""
    chain = chain_from(half_life_ms, 0, ())
    return later(chain, (amount, 0.0), elapsed_ms, [(arrived, 0.0, 0)], 0.0)[0]


def after_infusion(total_h: int) -> float:
    """Level after 2 h of infusion and the rest without, per litre of volume."""
    came_in = float(PLATEAU_MG_PER_L * K_PER_H * 2)
    level = amount_later(0.0, came_in, 2 * HOUR, HALF_LIFE_MS)
    return amount_later(level, 0.0, (total_h - 2) * HOUR, HALF_LIFE_MS)


@pytest.mark.parametrize(("hours", "published"), [(2, "3.30"), (4, "2.21"), (8, "0.99")])
def test_a_two_hour_infusion_gives_the_published_levels(hours, published):
    assert BIOPHARMACEUTICS
    assert quantised(after_infusion(hours), Fraction("0.01")) == Fraction(published)


@pytest.mark.parametrize(("half_lives", "percent"), [(1, 50), (2, 75), (3, Fraction("87.5"))])
def test_the_share_of_the_plateau_after_whole_half_lives(half_lives, percent):
    # Source: Basic pharmacokinetics course, IV infusion chapter, section 6.4.
    rate_per_half_life = 0.6931471805599453 * 100  # a plateau of 100
    reached = amount_later(0.0, rate_per_half_life * half_lives, half_lives * HOUR, HOUR)
    assert quantised(reached, Fraction("0.001")) == percent


def test_half_of_a_dose_is_left_after_a_half_life():
    # Source: OpenStax, Pharmacology for Nurses: 500 mg, one half-life.
    assert quantised(amount_later(500.0, 0.0, HOUR, HOUR), Fraction("0.001")) == 250


def test_a_level_needs_a_volume_of_distribution():
    assert per_litre(40.0, Fraction(10)) == 4.0
    assert per_litre(40.0, Fraction(0)) == 0.0


def drug_line() -> Bedside:
    line = a_ready_line(hung="small-bag")
    bedside = Bedside(a_scenario(lines=(line,), half_life_ms=2 * HOUR))
    bedside.run(rate="10", volume="40")
    return bedside


def test_the_amount_in_the_body_follows_what_arrived():
    bedside = drug_line()
    bedside.wait(2 * HOUR)
    (drug,) = carry(bedside.state, 2 * HOUR).drugs
    # 2 mg/mL at 10 mL/h for one half-life of 2 h: R / k x (1 - 1/2)
    expected = 20 / (0.6931471805599453 / 2) / 2
    assert abs(drug.amount - expected) < 1e-9 * expected


def test_the_level_is_per_litre_for_the_childs_weight():
    bedside = drug_line()
    bedside.wait(2 * HOUR)
    level, unit = drug_level_per_l(carry(bedside.state, 2 * HOUR), "sedative", Fraction("0.01"))
    assert (level, unit) == (Fraction("1.80"), "mg/L")  # 28.85 mg in 16 L


def test_a_released_bolus_is_in_the_body_at_once():
    line = a_ready_line(hung="small-bag")
    block = a_block(when=Trigger(at_ms=0))
    bedside = Bedside(a_scenario(lines=(line,), events=(block,)))
    bedside.run(rate="36", volume="40")
    bedside.wait(MINUTE)
    assert bedside.state.drugs[0].amount == 0
    bedside.do(Verb.STRAIGHTEN, line="1")
    assert abs(bedside.state.drugs[0].amount - 0.48 * 2) < 1e-9  # 0.48 mL of 2 mg/mL


def test_what_goes_to_waste_is_not_in_the_body():
    line = a_ready_line(hung="small-bag")
    bedside = Bedside(a_scenario(lines=(line,), events=(a_block(),)))
    bedside.run(rate="36", volume="40")
    bedside.wait(MINUTE)
    bedside.do(Verb.RELEASE_PRESSURE, line="1")
    assert bedside.state.drugs[0].amount == 0

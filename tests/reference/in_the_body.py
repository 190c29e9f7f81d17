"""A drug's course in the engine, for rows that speak of levels: acts, time, and a reading.

The whole line holds the drug from the start, so what is pumped arrives at once. Levels are
read by the engine's own view, to a billionth of a milligram per litre.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

from tests.build import HOUR, Bedside, a_bag, a_patient, a_ready_line, a_scenario
from trainer.clinical import kinetics
from trainer.clinical.quantity import parse_quantity
from trainer.engine.carry import carry
from trainer.engine.state import State
from trainer.engine.view import drug_level_per_l
from trainer.scenario.model import Drug, Response, Scenario, Sign
from trainer.terms import Running

STRENGTH_MG_PER_ML = 2
FINEST = Fraction(1, 10**9)
WEIGHT_KG = 70


def a_body(
    *,
    half_life_h: Fraction,
    volume_l: Fraction,
    effect_site_half_h: Fraction = Fraction(0),
    responses: tuple[Response, ...] = (),
    signs: tuple[Sign, ...] = (),
) -> Bedside:
    """A grown-up of 70 kg and a large bag of a drug with this half-life and volume."""
    drug = Drug(
        id="sedative",
        name="an invented drug",
        half_life_ms=in_ms(half_life_h),
        volume_l_per_kg=volume_l / WEIGHT_KG,
        effect_site_half_ms=in_ms(effect_site_half_h),
        responses=responses,
    )
    return Bedside(_with_drug(drug, signs))


def _with_drug(drug: Drug, signs: tuple[Sign, ...]) -> Scenario:
    patient = a_patient(weight=parse_quantity(f"{WEIGHT_KG} kg", of_body=False))
    scenario = a_scenario(
        lines=(a_ready_line(hung="drug-bag"),),
        supplies=(a_bag("drug-bag", "sedative", 90_000),),
        patient=replace(patient, signs=signs) if signs else patient,
        ends_ms=2_000 * HOUR,
        at_end=Running.COMPLETE,
        drop_sensor=False,
        highest_rate_ml_per_h=Fraction(9_999),
        rate_step_ml_per_h=Fraction(1, 1000),
        volume_step_ml=Fraction(1, 1000),
        lowest_rate_ml_per_h=Fraction(1, 1000),
    )
    return replace(scenario, formulary=replace(scenario.formulary, drugs=(drug,)))


def in_ms(hours: Fraction) -> int:
    return round(hours * HOUR)


def infuse(bedside: Bedside, dose_mg: Fraction, runs_h: Fraction) -> None:
    """A dose from now, evenly; afterwards the pump stands."""
    volume = dose_mg / STRENGTH_MG_PER_ML
    rate = volume / runs_h
    bedside.run(rate=f"{float(rate):.3f}".rstrip("0").rstrip("."), volume=f"{float(volume):g}")
    assert not bedside.of_kind("Refused"), bedside.refusal


def hold_rate(bedside: Bedside, mg_per_h: Fraction) -> None:
    """A constant infusion from now on, for as long as is asked."""
    rate = mg_per_h / STRENGTH_MG_PER_ML
    assert (rate * 1000).denominator == 1, "the engine's rates are whole microlitres per hour"
    bedside.run(rate=f"{float(rate):g}", volume="9999")
    assert not bedside.of_kind("Refused"), bedside.refusal


def state_in(bedside: Bedside, later_h: Fraction) -> State:
    """The bedside some time from now, if nothing else is done."""
    return carry(bedside.state, bedside.now_ms + in_ms(later_h))


def level(state: State) -> Fraction:
    """mg/L, as the engine's view tells it."""
    return drug_level_per_l(state, "sedative", FINEST)[0]


def level_now(bedside: Bedside) -> Fraction:
    return level(carry(bedside.state, bedside.now_ms))


def first_moment_h(holds: Callable[[Fraction], bool], most_h: Fraction) -> Fraction:
    """The first moment by which something holds that stays true, to a thousandth of a second."""
    early, late = Fraction(0), most_h
    assert holds(late)
    while late - early > Fraction(1, HOUR):
        middle = (early + late) / 2
        early, late = (early, middle) if holds(middle) else (middle, late)
    return late


def halving_time_h(elimination_per_h: Fraction) -> Fraction:
    """How long a level takes in the engine to fall to its half, its constant being known."""
    bedside = a_body(
        half_life_h=kinetics.elimination_per_h(elimination_per_h),  # ln 2 / x, both ways
        volume_l=Fraction(10),
    )
    infuse(bedside, Fraction(100), Fraction(1))
    bedside.wait(HOUR)
    half = level_now(bedside) / 2
    return first_moment_h(lambda h: level(state_in(bedside, h)) <= half, Fraction(200))


def time_to_share_h(half_life_h: Fraction, share: Fraction) -> Fraction:
    """How long a constant infusion takes in the engine to bring a share of its last level."""
    bedside = a_body(half_life_h=half_life_h, volume_l=Fraction(10))
    hold_rate(bedside, Fraction(100))
    last = level(state_in(bedside, 60 * half_life_h))
    return first_moment_h(lambda h: level(state_in(bedside, h)) >= share * last, 60 * half_life_h)


def share_after(half_life_h: Fraction, elapsed_h: Fraction) -> Fraction:
    """The share of its last level that a constant infusion has brought by then."""
    bedside = a_body(half_life_h=half_life_h, volume_l=Fraction(10))
    hold_rate(bedside, Fraction(100))
    last = level(state_in(bedside, 60 * half_life_h))
    return level(state_in(bedside, elapsed_h)) / last


def clearance_l_per_h(half_life_h: Fraction, volume_l: Fraction) -> Fraction:
    """Rate over the level that it comes to in the engine."""
    bedside = a_body(half_life_h=half_life_h, volume_l=volume_l)
    rate = Fraction(100)
    hold_rate(bedside, rate)
    return rate / level(state_in(bedside, 60 * half_life_h))

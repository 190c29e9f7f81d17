"""Drug levels: half-lives, clearances and levels of published patients, run in the engine.

Each row is answered by acts and time at a bedside whose drug has the row's half-life and
volume, and by the trainer's clinical functions where the row asks for a constant.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.build import HOUR
from tests.reference.in_the_body import (
    a_body,
    clearance_l_per_h,
    first_moment_h,
    halving_time_h,
    hold_rate,
    in_ms,
    infuse,
    level,
    level_now,
    share_after,
    state_in,
    time_to_share_h,
)
from tests.reference.published import ROWS, Answer, Row, exact, given, hold, rows
from trainer.clinical import kinetics
from trainer.clinical.quantity import parse_quantity

MINUTES_PER_H = 60
VANCOMYCIN_L = Fraction(49)
"""70 kg x 0.7 L/kg, the volume behind the level in the row (1 g in 1 h gives 19.53 mg/L)."""
NORADRENALINE_L = Fraction("8.8")
"""The volume that both ends of the noradrenaline study imply."""


def halving(row: Row) -> Fraction:
    return halving_time_h(given(row, "ke_per_h"))


def clearance_per_kg(row: Row) -> Fraction:
    k, volume = given(row, "ke_per_h"), given(row, "V_L_per_kg")
    return clearance_l_per_h(kinetics.elimination_per_h(k), volume)


def level_eleven_hours_later(row: Row) -> Fraction:
    """After the infusion that the row follows: 1 g in 1 h."""
    bedside = a_body(
        half_life_h=kinetics.elimination_per_h(given(row, "k_per_h")), volume_l=VANCOMYCIN_L
    )
    infuse(bedside, Fraction(1000), Fraction(1))
    bedside.wait(HOUR)
    assert float(level_now(bedside)) == pytest.approx(row["given"]["C_end"], rel=1e-4)
    return level(state_in(bedside, given(row, "t_h")))


def level_after_many_doses(row: Row) -> Fraction:
    """The level at the end of the eleventh dose, one every 12 h."""
    bedside = a_body(
        half_life_h=kinetics.elimination_per_h(given(row, "k_per_h")), volume_l=VANCOMYCIN_L
    )
    for _ in range(10):
        infuse(bedside, Fraction(1000), Fraction(1))
        bedside.wait(in_ms(given(row, "tau_h")))
    infuse(bedside, Fraction(1000), Fraction(1))
    bedside.wait(HOUR)
    return level_now(bedside)


def gentamicin(row: Row) -> Fraction:
    source = ROWS["PK-24"]
    bedside = a_body(
        half_life_h=kinetics.elimination_per_h(given(source, "ke_per_h")),
        volume_l=given(source, "V_L"),
    )
    infuse(bedside, given(source, "dose_mg"), given(source, "tinf_h"))
    bedside.wait(in_ms(given(source, "tinf_h")))
    if row is source:
        return level_now(bedside)
    assert float(level_now(bedside)) == pytest.approx(row["given"]["C"], rel=1e-4)
    return level(state_in(bedside, given(row, "t_h")))


def noradrenaline_volume(row: Row) -> Fraction:
    """The volume with which the engine's clearance is the row's, by proportion."""
    half_life_h = given(row, "t_half_min") / MINUTES_PER_H
    per_litre = clearance_l_per_h(half_life_h, Fraction(1))
    return given(row, "CL_L_min") * MINUTES_PER_H / per_litre


def noradrenaline_level(row: Row) -> Fraction:
    """mcg/L; the engine's drug counts mg, and a million times its rate is easier to run."""
    cl_l_h = given(row, "CL_L_min") * MINUTES_PER_H
    mcg_h = given(row, "dose_ug_kg_min") * given(row, "kg") * MINUTES_PER_H
    half_life_h = kinetics.elimination_per_h(cl_l_h / NORADRENALINE_L)
    bedside = a_body(half_life_h=half_life_h, volume_l=NORADRENALINE_L)
    hold_rate(bedside, mcg_h)
    return level(state_in(bedside, Fraction(5)))


def effect_site_half_time(row: Row) -> Fraction:
    """Minutes until the effect site has half of a level that stands still."""
    half_h = kinetics.elimination_per_h(given(row, "ke0_per_min") * MINUTES_PER_H)
    bedside = a_body(
        half_life_h=Fraction(500_000), volume_l=Fraction(10), effect_site_half_h=half_h
    )
    infuse(bedside, Fraction(10), Fraction(1, 1800))
    bedside.wait(2_000)

    def is_half(h: Fraction) -> bool:
        drug = state_in(bedside, h).drugs[0]
        return drug.site >= drug.amount / 2

    return first_moment_h(is_half, Fraction(20)) * MINUTES_PER_H


def in_litres_per_hour(row: Row) -> Fraction:
    """The figure read as a quantity and told in another unit."""
    return parse_quantity(f"{row['given']['ml_min_1_73']} mL/min").to("mL/h") / 1000


ANSWERS: dict[str, Answer] = {
    "PK-01": lambda row: share_after(Fraction(3), 3 * given(row, "n_half_lives")),
    "PK-V1": halving,
    "PK-C1": clearance_per_kg,
    "PK-V2": halving,
    "PK-C2": clearance_per_kg,
    "PK-V3": halving,
    "PK-C3": clearance_per_kg,
    "PK-V4": halving,
    "PK-C4": clearance_per_kg,
    "PK-16": level_eleven_hours_later,
    "PK-18": level_after_many_doses,
    "PK-20": in_litres_per_hour,
    "PK-21": lambda row: halving_time_h(given(row, "CL_L_h_kg") / given(row, "V_L_kg")),
    "PK-24": gentamicin,
    "PK-25": gentamicin,
    "PK-27": noradrenaline_volume,
    "PK-28": noradrenaline_level,
    "PK-29": lambda row: MINUTES_PER_H * time_to_share_h(half_life(row), Fraction(9, 10)),
    "PK-30": lambda row: MINUTES_PER_H * time_to_share_h(half_life(row), Fraction(9, 10)),
    "PK-31": lambda row: share_after(half_life(row), given(row, "t_min") / MINUTES_PER_H),
    "PK-33": effect_site_half_time,
    "PK-36": lambda row: MINUTES_PER_H * halving_time_h(given(row, "p4_per_min") * MINUTES_PER_H),
}


def half_life(row: Row) -> Fraction:
    return given(row, "t_half_min") / MINUTES_PER_H


@rows(ANSWERS)
def test_the_engines_level_is_the_published_one(row: Row) -> None:
    hold(row, ANSWERS[row["id"]](row))


@pytest.mark.parametrize("name", ["PK-16", "PK-25"])
def test_the_clinical_function_tells_the_same_level_afterwards(name: str) -> None:
    row = ROWS[name]
    numbers = [exact(value) for value in row["given"].values()]
    hold(row, kinetics.level_after_mg_per_l(*numbers))


def test_the_clinical_function_tells_the_same_constant_and_clearance() -> None:
    row = ROWS["PK-C1"]
    hold(row, kinetics.clearance_l_per_h(given(row, "ke_per_h"), given(row, "V_L_per_kg")))

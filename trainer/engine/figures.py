"""The ward's pump rules and the drugs' strengths as the engine counts: whole numbers.

Computed once, when an attempt begins, from the scenario; so no rule is read from a
`Fraction` again while time runs. Volumes are motes, rates microlitres per hour
(`engine.amounts`). A limit that is no whole number of motes is rounded up to the next.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from trainer.engine.amounts import MOTES_PER_ML, motes_from_ml, ul_h_from_ml_h
from trainer.engine.physics import amount_per_mote
from trainer.scenario.model import Drug, PumpRules, Scenario
from trainer.terms import AlarmKind, Priority, Running

MOTES_PER_UL = MOTES_PER_ML // 1_000


@dataclass(frozen=True, slots=True, kw_only=True)
class DrugFigures:
    """One drug whose level is followed.

    `per_mote` is, for each fluid that holds the drug, how much of it one mote holds, in
    the amount unit of the first such fluid of the formulary (`unit`).
    """

    drug: str
    half_life_ms: int
    volume_l_per_kg: Fraction
    unit: str
    per_mote: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """What the engine needs of the ward's policy and formulary."""

    stored_limit: int  # stored below the pump at the downstream alarm
    drawn_limit: int  # drawn from above the pump at the upstream alarm
    air_limit: int  # single bubble
    keep_open_ul_h: int
    at_end: Running
    near_end_ms: int
    reminder_ms: int
    sound_pause_ms: int
    drop_sensor: bool
    priorities: tuple[tuple[AlarmKind, Priority], ...]
    drugs: tuple[DrugFigures, ...]


def figures_from(scenario: Scenario) -> Figures:
    """The figures of a scenario's policy and formulary."""
    rules = scenario.policy.pump
    return Figures(
        stored_limit=_stored_limit(rules),
        drawn_limit=_motes(rules.compliance_above_ul_per_mmhg * rules.suction_alarm_mmhg),
        air_limit=motes_from_ml(rules.air_alarm_ml),
        keep_open_ul_h=ul_h_from_ml_h(rules.keep_open_rate_ml_per_h),
        at_end=rules.at_end,
        near_end_ms=rules.near_end_ms,
        reminder_ms=rules.reminder_ms,
        sound_pause_ms=rules.sound_pause_ms,
        drop_sensor=rules.drop_sensor,
        priorities=scenario.policy.priorities,
        drugs=tuple(
            _drug_figures(scenario, drug) for drug in scenario.formulary.drugs if drug.half_life_ms
        ),
    )


def _stored_limit(rules: PumpRules) -> int:
    """Volume that raises the pressure from resting to the alarm: V = C x dp.

    Source: reference row OCC-01 and its like (t = C dp / Q), in `tests/unit/engine`.
    """
    rise = rules.pressure_alarm_mmhg - rules.resting_pressure_mmhg
    return max(1, _motes(rules.compliance_below_ul_per_mmhg * rise))


def _motes(microlitres: Fraction) -> int:
    return ceil(microlitres * MOTES_PER_UL)


def _drug_figures(scenario: Scenario, drug: Drug) -> DrugFigures:
    holding = tuple(
        (fluid.id, fluid.concentration)
        for fluid in scenario.formulary.fluids
        if fluid.drug == drug.id and fluid.concentration is not None
    )
    unit = holding[0][1].unit.text.partition("/")[0] if holding else ""
    return DrugFigures(
        drug=drug.id,
        half_life_ms=drug.half_life_ms,
        volume_l_per_kg=drug.volume_l_per_kg,
        unit=unit,
        per_mote=tuple(
            (fluid, amount_per_mote(strength.to(f"{unit}/mL"))) for fluid, strength in holding
        ),
    )

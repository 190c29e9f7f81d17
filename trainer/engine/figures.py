"""The ward's pump rules and the drugs' strengths as the engine counts: whole numbers.

Computed once, when an attempt begins, from the scenario; so no rule is read from a
`Fraction` again while time runs. Volumes are motes, rates microlitres per hour
(`engine.amounts`). A limit that is no whole number of motes is rounded up to the next.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from trainer.engine.amounts import MOTES_PER_ML, motes_from_ml, ul_h_from_ml_h
from trainer.engine.substance_figures import (
    Place,
    SubstanceFigures,
    answering,
    substances_of,
)
from trainer.scenario.model import Access, Scenario, Supply, SyringeSize
from trainer.terms import AlarmKind, Priority, Running

MOTES_PER_UL = MOTES_PER_ML // 1_000
U_PER_ONE = 1_000_000
"""Pressures are counted in millionths of a mmHg, resistances in millionths of a mmHg per
(mL/h)."""
U_MMHG_PER_MM = 73_556
"""Pressure of one millimetre of water: 1 cm is 0.73556 mmHg. Source: the definition of the
millimetre of mercury and the density of water at 4 degrees, from memory."""
ONE_METRE_U_MMHG = 1_000 * U_MMHG_PER_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class SyringeFigures:
    """What gives way in one syringe of the trolley, and its pump's slack after loading."""

    supply: str
    per_mmhg: Fraction  # motes that it takes up per mmHg
    slack: int


@dataclass(frozen=True, slots=True, kw_only=True)
class HydraulicFigures:
    """What holds flow back and what gives way, as the engine counts.

    What gives way takes up motes per mmHg (exact, for alarm times to the ms), resistances millionths of a mmHg per (mL/h),
    pressures millionths of a mmHg.
    """

    alarm_mmhg: Fraction  # pressure below the pump at the downstream alarm
    alarm_u: int
    suction_u: int  # suction above the pump at the upstream alarm
    start_u: int  # pressure in every vein at the beginning
    below_per_mmhg: Fraction
    catheters_u: tuple[tuple[str, int], ...]  # resistance of each access's catheter
    shared: tuple[str, ...]  # accesses that more than one line runs into
    clamp_u: int
    tissue_per_mmhg: int
    tissue_most_u: int
    syringes: tuple[SyringeFigures, ...]
    closes_when_unloaded: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """What the engine needs of the ward's policy and formulary."""

    drawn_limit: int  # drawn from above the pump at the upstream alarm
    air_limit: int  # single bubble
    keep_open_ul_h: int
    at_end: Running
    near_end_ms: int
    reminder_ms: int
    sound_pause_ms: int
    drop_sensor: bool
    priorities: tuple[tuple[AlarmKind, Priority], ...]
    substances: tuple[SubstanceFigures, ...]
    answering: Mapping[str, tuple[Place, ...]]  # of each sign, its responses
    hydraulics: HydraulicFigures


def figures_from(scenario: Scenario) -> Figures:
    """The figures of a scenario's policy and formulary."""
    rules = scenario.policy.pump
    substances = substances_of(scenario)
    return Figures(
        drawn_limit=_motes(rules.compliance_above_ul_per_mmhg * rules.suction_alarm_mmhg),
        air_limit=motes_from_ml(rules.air_alarm_ml),
        keep_open_ul_h=ul_h_from_ml_h(rules.keep_open_rate_ml_per_h),
        at_end=rules.at_end,
        near_end_ms=rules.near_end_ms,
        reminder_ms=rules.reminder_ms,
        sound_pause_ms=rules.sound_pause_ms,
        drop_sensor=rules.drop_sensor,
        priorities=scenario.policy.priorities,
        substances=substances,
        answering=answering(substances),
        hydraulics=_hydraulic_figures(scenario),
    )


def _hydraulic_figures(scenario: Scenario) -> HydraulicFigures:
    rules, ward = scenario.policy.pump, scenario.policy.hydraulics
    on_access = [line.access for line in scenario.lines]
    return HydraulicFigures(
        alarm_mmhg=rules.pressure_alarm_mmhg,
        alarm_u=millionths(rules.pressure_alarm_mmhg),
        suction_u=millionths(rules.suction_alarm_mmhg),
        start_u=millionths(rules.resting_pressure_mmhg),
        below_per_mmhg=rules.compliance_below_ul_per_mmhg * MOTES_PER_UL,
        catheters_u=tuple(
            (access.id, _catheter_u(access, ward.catheter_flow))
            for access in scenario.patient.access
        ),
        shared=tuple(sorted({one for one in on_access if on_access.count(one) > 1})),
        clamp_u=millionths(ward.clamp_resistance),
        tissue_per_mmhg=max(1, ceil(ward.tissue_compliance_ml_per_mmhg * MOTES_PER_ML)),
        tissue_most_u=millionths(ward.tissue_pressure_most_mmhg),
        syringes=tuple(
            _syringe_figures(supply, ward.syringes)
            for supply in scenario.supplies
            if supply.kind == SYRINGE and ward.syringes
        ),
        closes_when_unloaded=rules.closes_when_unloaded,
    )


SYRINGE = "syringe"
"""The kind of a supply that is attached to a line instead of hung."""


def millionths(value: Fraction) -> int:
    """A pressure or a resistance in whole millionths, rounded up."""
    return ceil(value * U_PER_ONE)


def _catheter_u(access: Access, flows: tuple[tuple[int, Fraction], ...]) -> int:
    """Resistance of a catheter from its flow in mL/min at a head of one metre of water.

    R = p / Q with p = 73.556 mmHg. A catheter whose gauge the ward's table does not name
    holds nothing back.
    """
    for gauge, ml_per_min in flows:
        if gauge == access.gauge and ml_per_min > 0:
            return ceil(ONE_METRE_U_MMHG / (ml_per_min * 60))
    return 0


def _syringe_figures(supply: Supply, sizes: tuple[SyringeSize, ...]) -> SyringeFigures:
    """The ward's figures for the size nearest to this syringe's."""
    size_ml = supply.size_ml if supply.size_ml is not None else supply.volume_ml
    nearest = min(sizes, key=lambda one: (abs(one.size_ml - size_ml), one.size_ml))
    return SyringeFigures(
        supply=supply.id,
        per_mmhg=nearest.compliance_ul_per_mmhg * MOTES_PER_UL,
        slack=ceil(nearest.slack_ml * MOTES_PER_ML),
    )


def _motes(microlitres: Fraction) -> int:
    return ceil(microlitres * MOTES_PER_UL)

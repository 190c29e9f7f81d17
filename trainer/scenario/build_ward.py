"""A ward's two files turned into the frozen values of `model`, once they are sound.

Nothing is judged here: `load` calls this only when no fault was found. For
`trainer.scenario` alone.
"""

from __future__ import annotations

from fractions import Fraction

from trainer.clinical.rounding import RoundingRule, RoundingRules
from trainer.scenario import behaviours, model, schema_ward
from trainer.scenario.kinds import ALL, USUAL_PRIORITIES
from trainer.scenario.response_values import VOLUME
from trainer.scenario.responses import amount_unit, responses_from, responses_in
from trainer.terms import AlarmKind, Credit, Domain


def build_policy(file: schema_ward.PolicyFile) -> model.Policy:
    """A policy from its file."""
    return model.Policy(
        id=file.id,
        title=file.title,
        rounding=RoundingRules(
            rules=tuple(_rounding(row) for row in file.rounding),
            largest_share=file.rounding_caution,
        ),
        hours_at_once=file.hours_at_once,
        child_below_years=file.child_below.years,
        hub_scrub_s=file.hub_scrub,
        least_site_look_ms=file.look_at_site_every,
        pump=_pump(file.pump),
        priorities=tuple(
            (kind, file.priorities.get(kind) or USUAL_PRIORITIES[kind]) for kind in AlarmKind
        ),
        second_check=tuple(file.second_check),
        lb_per_kg=file.lb_per_kg,
        drip_tolerance=file.drip_tolerance,
        hydraulics=_hydraulics(file.hydraulics),
        marking=_marking(file.marking),
    )


def _marking(marking: schema_ward.Marking) -> model.Marking:
    return model.Marking(
        credit=tuple((Credit(level), share) for level, share in marking.credit.items()),
        bars=tuple(
            model.Bar(purpose=purpose, least=least, domain=None if part == ALL else Domain(part))
            for purpose, bars in marking.bars.items()
            for part, least in bars.items()
        ),
        least_items=marking.least_items,
        watch_from=marking.watch_from,
        harm_from=marking.harm_from,
    )


def _rounding(row: schema_ward.RoundingRow) -> RoundingRule:
    unit = row.to.unit.text if row.to else row.below.unit.text if row.below else "*"
    return RoundingRule(
        kind="*" if row.of == "any" else row.of,
        unit=unit,
        step=row.to.value if row.to else None,
        digits=row.digits or 3,
        manner=row.manner,
        below=row.below.value if row.below else None,
    )


def _pump(pump: schema_ward.Pump) -> model.PumpRules:
    return model.PumpRules(
        rate_step_ml_per_h=pump.rate_step,
        volume_step_ml=pump.volume_step,
        lowest_rate_ml_per_h=pump.lowest_rate,
        highest_rate_ml_per_h=pump.highest_rate,
        highest_volume_ml=pump.highest_volume,
        keep_open_rate_ml_per_h=pump.keep_open_rate,
        at_end=pump.at_end,
        near_end_ms=pump.near_end,
        resting_pressure_mmhg=pump.resting_pressure,
        pressure_alarm_mmhg=pump.pressure_alarm,
        suction_alarm_mmhg=pump.suction_alarm,
        compliance_below_ul_per_mmhg=pump.compliance_below,
        compliance_above_ul_per_mmhg=pump.compliance_above,
        air_alarm_ml=pump.air_alarm,
        drop_sensor=pump.drop_sensor,
        sound_pause_ms=pump.sound_pause,
        reminder_ms=pump.reminder,
        air_window_ms=pump.air_window,
        air_window_ml=pump.air_window_volume,
        air_ignored_ml=pump.air_ignored,
        battery_ms=pump.battery,
        battery_low_ms=pump.battery_low,
        battery_end_ms=pump.battery_end,
        closes_when_unloaded=pump.closes_when_unloaded,
    )


def _hydraulics(hydraulics: schema_ward.Hydraulics) -> model.Hydraulics:
    return model.Hydraulics(
        container_height_cm=hydraulics.container_height,
        hanger_drop_cm=hydraulics.hanger_drop,
        set_resistance=hydraulics.set_resistance,
        secondary_resistance=hydraulics.secondary_resistance,
        clamp_resistance=hydraulics.clamp_resistance,
        catheter_flow=tuple((one.gauge, one.flow) for one in hydraulics.catheters),
        bottle_gas_ml=hydraulics.bottle_gas,
        tissue_compliance_ml_per_mmhg=hydraulics.tissue_compliance,
        tissue_pressure_most_mmhg=hydraulics.tissue_pressure_most,
        grades_ml=tuple(hydraulics.infiltration_grades),
        syringes=tuple(
            model.SyringeSize(
                size_ml=one.size, compliance_ul_per_mmhg=one.compliance, slack_ml=one.slack
            )
            for one in hydraulics.syringes
        ),
    )


def build_formulary(file: schema_ward.FormularyFile) -> model.Formulary:
    """A formulary from its file."""
    return model.Formulary(
        id=file.id,
        title=file.title,
        fluids=tuple(
            model.Fluid(
                id=fluid.id, name=fluid.name, drug=fluid.drug or "", concentration=fluid.strength
            )
            for fluid in file.fluids
        ),
        drugs=tuple(_drug(drug, amount_unit(drug.id, file.fluids)) for drug in file.drugs),
        circulation=_circulation(file.circulation) if file.circulation else None,
        incompatible=tuple(
            model.Incompatible(
                first=pair.first,
                second=pair.second,
                blocks=pair.blocks,
                looks=pair.looks,
                because=pair.because,
            )
            for pair in file.incompatible
        ),
    )


def _drug(drug: schema_ward.Drug, amount: str) -> model.Drug:
    """A drug: what its file says, and for the keys that it leaves out its behaviour."""
    ready = behaviours.named(drug.behaviour) if drug.behaviour else None
    written = responses_from(drug.responses, amount)
    return model.Drug(
        id=drug.id,
        name=drug.name,
        limits=tuple(_limit(limit) for limit in drug.limits),
        least_duration_ms=drug.least_duration or 0,
        half_life_ms=drug.half_life or (ready.half_life_ms if ready else 0),
        volume_l_per_kg=drug.distribution or (ready.volume_l_per_kg if ready else Fraction(0)),
        cautions=tuple(drug.cautions),
        source=drug.source,
        effect_site_half_ms=drug.effect_site or (ready.effect_site_half_ms if ready else 0),
        behaviour=drug.behaviour or "",
        responses=written or (responses_in(ready, amount) if ready else ()),
        vesicant=drug.vesicant,
    )


def _circulation(circulation: schema_ward.Circulation) -> model.Circulation:
    """What the volume does: what the file says, and for the keys that it leaves out the ready one."""
    ready = (
        behaviours.circulation()
        if circulation.behaviour
        else model.Circulation(half_life_ms=0, urine_share=Fraction(0))
    )
    share = circulation.urine_share
    return model.Circulation(
        half_life_ms=circulation.half_life or ready.half_life_ms,
        urine_share=ready.urine_share if share is None else share,
        responses=responses_from(circulation.responses, VOLUME) or ready.responses,
        source=circulation.source or ready.source,
    )


def _limit(limit: schema_ward.Limit) -> model.Limit:
    end = limit.most or limit.least
    assert end is not None
    return model.Limit(
        of=limit.of,
        unit=end.unit.text,
        least=limit.least.in_unit(end.unit) if limit.least else None,
        most=limit.most.value if limit.most else None,
        hard=limit.hard,
        because=limit.because,
        route=limit.route or "",
        from_years=limit.from_age.years if limit.from_age else None,
        below_years=limit.below_age.years if limit.below_age else None,
    )

"""Sections of a file turned into the frozen values of `model`, once they are sound.

Nothing is judged here: `load` calls this only when no fault was found. For
`trainer.scenario` alone.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from trainer.clinical.quantity import Quantity
from trainer.clinical.rounding import RoundingRule, RoundingRules
from trainer.clinical.units import parse_unit
from trainer.scenario import model, schema
from trainer.scenario.conducts import Named, written_out
from trainer.scenario.naming import domain_of, step_id
from trainer.terms import AlarmKind

MS_PER_MIN = 60_000
PAUSE_BEFORE_ACT_MS = 5_000
"""Time a scripted learner takes before an act, if the file does not say. Chosen by us."""

# --- the ward -------------------------------------------------------------------------


def build_policy(file: schema.PolicyFile) -> model.Policy:
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
        priorities=tuple((kind, file.priorities[kind]) for kind in AlarmKind),
        second_check=tuple(file.second_check),
        lb_per_kg=file.lb_per_kg,
    )


def _rounding(row: schema.RoundingRow) -> RoundingRule:
    unit = row.to.unit.text if row.to else row.below.unit.text if row.below else "*"
    return RoundingRule(
        kind="*" if row.of == "any" else row.of,
        unit=unit,
        step=row.to.value if row.to else None,
        digits=row.digits or 3,
        manner=row.manner,
        below=row.below.value if row.below else None,
    )


def _pump(pump: schema.Pump) -> model.PumpRules:
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
    )


def build_formulary(file: schema.FormularyFile) -> model.Formulary:
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
        drugs=tuple(_drug(drug) for drug in file.drugs),
    )


def _drug(drug: schema.Drug) -> model.Drug:
    return model.Drug(
        id=drug.id,
        name=drug.name,
        limits=tuple(_limit(limit) for limit in drug.limits),
        least_duration_ms=drug.least_duration or 0,
        half_life_ms=drug.half_life or 0,
        volume_l_per_kg=drug.distribution or Fraction(0),
        cautions=tuple(drug.cautions),
        source=drug.source,
    )


def _limit(limit: schema.Limit) -> model.Limit:
    end = limit.most or limit.least
    assert end is not None
    return model.Limit(
        of=limit.of,
        unit=end.unit.text,
        least=limit.least.in_unit(end.unit) if limit.least else None,
        most=limit.most.value if limit.most else None,
        hard=limit.hard,
        because=limit.because,
    )


# --- the bedside ----------------------------------------------------------------------


def build_scenario(
    file: schema.ScenarioFile, policy: model.Policy, formulary: model.Formulary
) -> model.Scenario:
    """A scenario from its file and its ward."""
    return model.Scenario(
        format=file.format,
        id=file.id,
        title=file.title,
        summary=file.summary,
        minutes=max(1, file.takes // MS_PER_MIN),
        starts_at=file.starts_at,
        objectives=tuple(file.objectives),
        real=tuple(file.real),
        unreal=tuple(file.unreal),
        cautions=tuple(file.cautions),
        policy=policy,
        formulary=formulary,
        patient=_patient(file.patient),
        supplies=tuple(_supply(supply) for supply in file.supplies),
        lines=tuple(_line(line) for line in file.lines),
        orders=tuple(_order(order) for order in file.orders),
        plan=_plan(file.expect, file.never),
        events=tuple(_event(event) for event in file.events),
        ends_ms=file.ends,
        vary=tuple(
            model.Vary(what=what, least=one.least, most=one.most, step=one.step)
            for what, one in file.vary.items()
        ),
        conducts=_conducts(file.conduct),
    )


def _patient(patient: schema.Patient) -> model.Patient:
    return model.Patient(
        name=patient.name,
        age_text=patient.age.text,
        age_years=patient.age.years,
        weight=patient.weight,
        record_number=patient.record_number,
        born=patient.born,
        allergies=tuple(patient.allergies),
        access=tuple(
            model.Access(id=one.id, name=one.name, kind=one.kind, gauge=one.gauge, site=one.site)
            for one in patient.access
        ),
        signs=tuple(
            model.Sign(name=name, value=value, unit=unit)
            for name, (value, unit) in patient.signs.items()
        ),
        story=patient.story,
    )


def _supply(supply: schema.Supply) -> model.Supply:
    return model.Supply(
        id=supply.id,
        kind=supply.kind,
        fluid=supply.fluid,
        volume_ml=supply.volume,
        label=supply.label,
        fit=supply.fit,
        looks=supply.looks,
    )


def _line(line: schema.Line) -> model.LineSpec:
    tubing, hung = line.tubing, line.hung
    return model.LineSpec(
        number=line.number,
        access=line.access,
        has_port=tubing.port is not None,
        chamber_ml=tubing.chamber,
        above_ml=tubing.above,
        port_ml=tubing.port or Fraction(0),
        below_ml=tubing.below,
        secondary_chamber_ml=tubing.secondary_chamber or Fraction(0),
        secondary_ml=tubing.secondary or Fraction(0),
        drop_factor=tubing.drop_factor,
        hung=hung.supply if hung else "",
        hung_left_ml=hung.left if hung else None,
        running_rate_ml_per_h=hung.rate if hung else None,
        running_volume_ml=hung.volume if hung else None,
    )


def _order(order: schema.Order) -> model.Order:
    rate = None
    if order.rate is not None:
        rate = Quantity(value=order.rate, unit=parse_unit("mL/h"))
    return model.Order(
        id=order.id,
        title=order.title,
        written=order.written,
        by=order.by,
        kind=order.kind,
        fluid=order.fluid,
        role=order.role,
        line=order.line,
        supply=order.supply,
        rule=order.rule or "",
        dose=order.dose,
        rate=rate,
        over_ms=order.over or 0,
        least_ms=order.least or 0,
        weight=order.weight,
        active=order.active,
        supersedes=order.supersedes or "",
        ask=tuple(order.ask),
    )


# --- plans and events -----------------------------------------------------------------


def _plan(steps: Iterable[schema.Step], nevers: Iterable[schema.Never]) -> model.Plan:
    return model.Plan(
        steps=tuple(_step(step) for step in steps),
        nevers=tuple(
            model.Never(
                pattern=model.Pattern(verb=never.do, params=never.params()),
                before=never.before or "",
                because=never.because or "",
                critical=never.critical,
            )
            for never in nevers
        ),
    )


def _step(step: schema.Step) -> model.Step:
    return model.Step(
        id=step_id(step),
        pattern=model.Pattern(verb=step.do, params=step.params()),
        domain=domain_of(step),
        after=tuple(step.after),
        within_ms=step.within,
        critical=step.critical,
        because=step.because or "",
    )


def _event(event: schema.Event) -> model.AuthoredEvent:
    return model.AuthoredEvent(
        id=event.id,
        title=event.title,
        when=_trigger(event.when),
        effects=tuple(_effect(effect) for effect in event.effects),
        plan=_plan(event.expect, event.never),
    )


def _trigger(when: schema.When) -> model.Trigger:
    by_act = when.after is not None
    return model.Trigger(
        at_ms=when.time,
        given_ml=when.given,
        line=None if by_act else when.line,
        role=None if by_act else when.role,
        after=when.after,
        match=when.params() if by_act else (),
        alarm=when.alarm,
        event=when.event or "",
        delay_ms=when.delay or 0,
        by_hand=bool(when.by_hand),
    )


def _effect(effect: schema.Effect) -> model.Effect:
    return model.Effect(
        happening=effect.happens,
        line=effect.line,
        where=effect.where,
        reason=effect.reason or "",
        mend=effect.mend,
        volume_ml=effect.volume,
        who=effect.who or "",
        text=effect.text or "",
        order=effect.order or "",
        sign=effect.sign or "",
        value=effect.value or "",
        access=effect.access or "",
        site=effect.site,
    )


# --- conduct --------------------------------------------------------------------------


def _conducts(conducts: list[schema.Conduct]) -> tuple[model.Conduct, ...]:
    courses = written_out(conducts)
    return tuple(
        model.Conduct(
            id=conduct.id,
            title=conduct.title,
            steps=_conduct_steps(courses[conduct.id]),
            shows=tuple(conduct.shows),
        )
        for conduct in conducts
    )


def _conduct_steps(course: Named) -> tuple[model.ConductStep, ...]:
    return tuple(_conduct_step(step) for _, step in course)


def _conduct_step(step: schema.ConductStep) -> model.ConductStep:
    until = step.until or schema.Until()
    default_ms = PAUSE_BEFORE_ACT_MS if step.do is not None else 0
    return model.ConductStep(
        verb=step.do,
        params=step.params(),
        pause_ms=default_ms if step.pause is None else step.pause,
        until_alarm=until.alarm,
        until_event=until.event or "",
        until_given_ml=until.given,
        line=until.line,
    )

"""Sections of a scenario file turned into the frozen values of `model`, once they are sound.

The ward's files are built in `build_ward`. Nothing is judged here: `load` calls this only when no fault was found. For
`trainer.scenario` alone.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from trainer.clinical.quantity import Quantity
from trainer.clinical.units import parse_unit
from trainer.scenario import model, schema
from trainer.scenario.conducts import Named, written_out
from trainer.scenario.naming import domain_of, step_id
from trainer.scenario.response_values import VOLUME
from trainer.scenario.responses import amount_unit, response_from

MS_PER_MIN = 60_000
PAUSE_BEFORE_ACT_MS = 5_000
"""Time a scripted learner takes before an act, if the file does not say. Chosen by us."""
NO_DROPS = Fraction(1)
"""Stands for the drop factor of a line without a drip chamber; no drop is ever counted there."""

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
        objectives=tuple(one.text for one in file.objectives),
        objective_ids=tuple(one.id or "" for one in file.objectives),
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
        responses=tuple((one.to, _own_response(one, formulary)) for one in file.responses),
    )


def _own_response(one: schema.OwnResponse, formulary: model.Formulary) -> model.Response:
    """The author's own response; what drives it is counted as the formulary counts it."""
    amount = VOLUME if one.to == VOLUME else amount_unit(one.to, formulary.fluids)
    return response_from(one, amount)


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
            model.Access(
                id=one.id,
                name=one.name,
                kind=one.kind,
                gauge=one.gauge,
                site=one.site,
                grade=one.grade or 0,
                height_cm=one.height,
            )
            for one in patient.access
        ),
        signs=tuple(_sign(name, sign) for name, sign in patient.signs.items()),
        story=patient.story,
    )


def _sign(name: str, sign: schema.Sign) -> model.Sign:
    value, unit = sign.value
    return model.Sign(
        name=name, value=value, unit=unit, measured=sign.measured, takes_ms=sign.takes or 0
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
        overfill_ml=supply.overfill or Fraction(0),
        size_ml=supply.size,
    )


def _line(line: schema.Line) -> model.LineSpec:
    tubing, hung = line.tubing, line.hung
    return model.LineSpec(
        number=line.number,
        access=line.access,
        has_port=tubing.port is not None,
        chamber_ml=tubing.chamber or Fraction(0),
        above_ml=tubing.above or Fraction(0),
        port_ml=tubing.port or Fraction(0),
        below_ml=tubing.below,
        secondary_chamber_ml=tubing.secondary_chamber or Fraction(0),
        secondary_ml=tubing.secondary or Fraction(0),
        drop_factor=tubing.drop_factor or NO_DROPS,
        hung=hung.supply if hung else "",
        hung_left_ml=hung.left if hung else None,
        running_rate_ml_per_h=hung.rate if hung else None,
        running_volume_ml=hung.volume if hung else None,
        drive=line.drive,
        opening=Fraction(1) if line.opening is None else line.opening,
        valve_works=line.valve,
        battery_ms=line.battery,
        plugged_in=line.plugged_in,
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
        serves=tuple(order.serves),
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
        serves=tuple(step.serves),
        cues=tuple(model.Cue(kind=cue.kind, text=cue.text) for cue in step.cues),
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
        sign=when.sign or "",
        above=when.above.number if when.above else None,
        below=when.below.number if when.below else None,
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
        grade=effect.grade or 0,
        resistance=effect.resistance,
        height_cm=effect.height,
        pressure_mmhg=effect.pressure,
        half_ms=effect.half_time or 0,
        cue=effect.kind,
        step=effect.step or "",
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

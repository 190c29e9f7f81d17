"""An invented ward with one patient, for the scoring tests. Fixed values, nothing clever."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from trainer.clinical.quantity import parse_quantity
from trainer.clinical.rounding import TEACHING_ROUNDING
from trainer.engine.actions import act
from trainer.engine.events import Acted, Event, EventCame, Refused
from trainer.scenario.model import (
    Access,
    Drug,
    Fluid,
    Formulary,
    LineSpec,
    Never,
    Order,
    Patient,
    Pattern,
    Plan,
    Policy,
    PumpRules,
    Scenario,
    Step,
    Supply,
)
from trainer.terms import Domain, Happening, Refusal, Role, Running, Verb

H, MIN, S = 3_600_000, 60_000, 1_000

PUMP = PumpRules(
    rate_step_ml_per_h=Fraction("0.1"),
    volume_step_ml=Fraction("0.1"),
    lowest_rate_ml_per_h=Fraction("0.1"),
    highest_rate_ml_per_h=Fraction(999),
    highest_volume_ml=Fraction(2000),
    keep_open_rate_ml_per_h=Fraction(2),
    at_end=Running.KEEPING_OPEN,
    near_end_ms=0,
    resting_pressure_mmhg=Fraction(10),
    pressure_alarm_mmhg=Fraction(300),
    suction_alarm_mmhg=Fraction(100),
    compliance_below_ul_per_mmhg=Fraction(2),
    compliance_above_ul_per_mmhg=Fraction(2),
    air_alarm_ml=Fraction("0.1"),
    drop_sensor=True,
    sound_pause_ms=120_000,
    reminder_ms=0,
)

POLICY = Policy(
    id="ward",
    title="A ward",
    rounding=TEACHING_ROUNDING,
    hours_at_once=Fraction(2),
    child_below_years=Fraction(16),
    hub_scrub_s=Fraction(15),
    least_site_look_ms=H,
    pump=PUMP,
    priorities=(),
    second_check=(),
    lb_per_kg=Fraction("2.2"),
)

FORMULARY = Formulary(
    id="ward",
    title="A formulary",
    fluids=(
        Fluid(id="glucose-saline", name="glucose 5 % in sodium chloride 0.9 %"),
        Fluid(id="saline", name="sodium chloride 0.9 %"),
        Fluid(
            id="antibiotic-bag",
            name="antibiotic 5 mg/mL",
            drug="antibiotic",
            concentration=parse_quantity("5 mg/mL", of_body=False),
        ),
        Fluid(id="made-up", name="antibiotic, made up", drug="antibiotic"),
        Fluid(
            id="dopamine",
            name="DOPamine 1.6 mg/mL",
            drug="dopamine",
            concentration=parse_quantity("1.6 mg/mL", of_body=False),
        ),
    ),
    drugs=(
        Drug(id="antibiotic", name="antibiotic", least_duration_ms=H),
        Drug(id="dopamine", name="DOPamine"),
    ),
)

MAINTENANCE = Order(
    id="maintenance",
    title="Maintenance",
    written="Maintenance by 4-2-1",
    by="Dr Vega",
    kind="continuous",
    fluid="glucose-saline",
    role=Role.PRIMARY,
    line=1,
    supply="bag",
    rule="4-2-1",
    ask=("rate", "volume"),
)
ANTIBIOTIC = Order(
    id="antibiotic",
    title="Antibiotic",
    written="Antibiotic 15 mg/kg over at least 60 min",
    by="Dr Vega",
    kind="intermittent",
    fluid="antibiotic-bag",
    role=Role.SECONDARY,
    line=1,
    supply="small-bag",
    dose=parse_quantity("15 mg/kg"),
    least_ms=H,
    ask=("dose", "volume", "rate"),
)
BOLUS = Order(
    id="bolus",
    title="Bolus",
    written="Bolus 10 mL/kg over 20 min",
    by="Dr Vega",
    kind="bolus",
    fluid="saline",
    role=Role.PRIMARY,
    line=1,
    supply="saline-bag",
    dose=parse_quantity("10 mL/kg"),
    over_ms=20 * MIN,
    ask=("volume", "rate"),
)
DOPAMINE = Order(
    id="dopamine",
    title="DOPamine",
    written="DOPamine 5 mcg/kg/min",
    by="Dr Vega",
    kind="continuous",
    fluid="dopamine",
    role=Role.PRIMARY,
    line=1,
    supply="drug-bag",
    dose=parse_quantity("5 mcg/kg/min"),
    ask=("rate",),
)


def a_line(**changes) -> LineSpec:
    line = LineSpec(
        number=1,
        access="hand",
        has_port=True,
        chamber_ml=Fraction(10),
        above_ml=Fraction(15),
        port_ml=Fraction(5),
        below_ml=Fraction(2),
        secondary_chamber_ml=Fraction(5),
        secondary_ml=Fraction(5),
        drop_factor=Fraction(20),
    )
    return replace(line, **changes)


def a_scenario(*orders: Order, weight: str = "18.2 kg", **changes) -> Scenario:
    supplies = (
        Supply(id="bag", kind="bag", fluid="glucose-saline", volume_ml=Fraction(500), label="bag"),
        Supply(id="saline-bag", kind="bag", fluid="saline", volume_ml=Fraction(500), label="NaCl"),
        Supply(
            id="small-bag",
            kind="bag",
            fluid="antibiotic-bag",
            volume_ml=Fraction(100),
            label="antibiotic",
        ),
        Supply(id="made-up", kind="bag", fluid="made-up", volume_ml=Fraction(28), label="made up"),
        Supply(id="drug-bag", kind="bag", fluid="dopamine", volume_ml=Fraction(250), label="drug"),
    )
    scenario = Scenario(
        format=1,
        id="a-scenario",
        title="A scenario",
        summary="",
        minutes=10,
        starts_at="08:50",
        objectives=(),
        real=(),
        unreal=(),
        cautions=(),
        policy=POLICY,
        formulary=FORMULARY,
        patient=Patient(
            name="Ida Voss",
            age_text="5 y",
            age_years=Fraction(5),
            weight=parse_quantity(weight),
            record_number="1",
            born="",
            allergies=(),
            access=(Access(id="hand", name="left hand", kind="peripheral", gauge=24),),
            signs=(),
        ),
        supplies=supplies,
        lines=(a_line(),),
        orders=orders or (MAINTENANCE,),
        plan=Plan(),
        events=(),
        ends_ms=4 * H,
    )
    return replace(scenario, **changes)


# --- plans and acts -----------------------------------------------------------------


def step(name: str, verb: Verb, *, domain: Domain = Domain.WATCHING, **params) -> Step:
    """A step whose id is `name`; `after`, `within_ms`, `critical` and `because` go to the step."""
    own = {k: params.pop(k) for k in ("after", "within_ms", "critical", "because") if k in params}
    return Step(
        id=name, pattern=Pattern(verb=verb, params=tuple(params.items())), domain=domain, **own
    )


def never(verb: Verb, *, before: str = "", **params) -> Never:
    return Never(
        pattern=Pattern(verb=verb, params=tuple(params.items())), before=before, because="it harms"
    )


def did(at_ms: int, verb: Verb, **params) -> Event:
    return Acted(at_ms=at_ms, action=act(verb, **params), actor="learner")


def refused(at_ms: int, verb: Verb) -> Event:
    return Refused(at_ms=at_ms, verb=verb, reason=Refusal.ALREADY_DONE, text="Not now.")


def event_came(at_ms: int, name: str) -> Event:
    return EventCame(at_ms=at_ms, event=name, happening=Happening.LINE_BLOCKED)

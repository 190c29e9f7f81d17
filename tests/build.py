"""Readable builders for tests: a scenario, a line, a state. Fixed, invented values.

`a_gravity_line(...)` and `a_syringe_line(...)` have no pump set; name `hydraulics=HYDRAULICS`
in `a_scenario` for catheters and syringes that hold back and give.
`a_scenario(...)` has one patient with one hand, a bag, a small bag with a drug, two
orders and one line; every part can be replaced by name. `a_ready_line(...)` is a line that
is hung, primed, loaded and connected. `a_running_state(...)` is the state with that line
running.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

from trainer.clinical.quantity import parse_quantity, parse_strength
from trainer.clinical.rounding import TEACHING_ROUNDING
from trainer.engine.actions import act
from trainer.engine.advance import advance
from trainer.engine.begin import initial_state
from trainer.engine.events import Event
from trainer.engine.evolve import fold
from trainer.engine.perform import perform
from trainer.engine.state import State
from trainer.scenario.model import (
    Access,
    AuthoredEvent,
    Drug,
    Effect,
    Fluid,
    Formulary,
    Hydraulics,
    LineSpec,
    Order,
    Patient,
    Plan,
    Policy,
    PumpRules,
    Scenario,
    Sign,
    Supply,
    SyringeSize,
    Trigger,
)
from trainer.terms import AlarmKind, Drive, Happening, Priority, Role, Running, Verb, Where

SECOND = 1_000
MINUTE = 60 * SECOND
HOUR = 60 * MINUTE

SALINE = Fluid(id="saline", name="sodium chloride 0.9 %")
GLUCOSE = Fluid(id="glucose", name="glucose 5 %")
SEDATIVE = Fluid(
    id="sedative",
    name="an invented sedative 2 mg/mL",
    drug="sedative",
    concentration=parse_strength("2 mg/mL").quantity,
)

PRIORITIES = (
    (AlarmKind.DOWNSTREAM_OCCLUSION, Priority.HIGH),
    (AlarmKind.UPSTREAM_OCCLUSION, Priority.HIGH),
    (AlarmKind.AIR_IN_LINE, Priority.HIGH),
    (AlarmKind.CONTAINER_EMPTY, Priority.MEDIUM),
    (AlarmKind.INFUSION_COMPLETE, Priority.MEDIUM),
    (AlarmKind.INFUSION_NEAR_COMPLETE, Priority.LOW),
    (AlarmKind.ATTENTION_REMINDER, Priority.LOW),
    (AlarmKind.CHECK_SET, Priority.HIGH),
    (AlarmKind.POWER_LOST, Priority.LOW),
    (AlarmKind.LOW_BATTERY, Priority.LOW),
    (AlarmKind.BATTERY_DEPLETED, Priority.HIGH),
)

HYDRAULICS = Hydraulics(
    catheter_flow=((22, Fraction(45)), (24, Fraction(20))),
    syringes=(
        SyringeSize(
            size_ml=Fraction(50),
            compliance_ul_per_mmhg=Fraction("2.6"),
            slack_ml=Fraction("0.2"),
        ),
    ),
)
"""A ward's hydraulics with two gauges and one size of syringe."""
PLAIN_HYDRAULICS = Hydraulics()


def pump_rules(**changes: Any) -> PumpRules:
    """A ward's pump rules; name what differs."""
    rules = PumpRules(
        rate_step_ml_per_h=Fraction("0.1"),
        volume_step_ml=Fraction("0.1"),
        lowest_rate_ml_per_h=Fraction("0.1"),
        highest_rate_ml_per_h=Fraction(999),
        highest_volume_ml=Fraction(9999),
        keep_open_rate_ml_per_h=Fraction(3),
        at_end=Running.KEEPING_OPEN,
        near_end_ms=0,
        resting_pressure_mmhg=Fraction(10),
        pressure_alarm_mmhg=Fraction(410),
        suction_alarm_mmhg=Fraction(100),
        compliance_below_ul_per_mmhg=Fraction("1.2"),
        compliance_above_ul_per_mmhg=Fraction("1.5"),
        air_alarm_ml=Fraction("0.1"),
        drop_sensor=True,
        sound_pause_ms=2 * MINUTE,
        reminder_ms=0,
    )
    return replace(rules, **changes)


def a_policy(
    *,
    priorities: tuple[tuple[AlarmKind, Priority], ...] = PRIORITIES,
    hydraulics: Hydraulics = PLAIN_HYDRAULICS,
    **changes: Any,
) -> Policy:
    """A ward's policy; the pump's rules are named directly."""
    return Policy(
        id="test-ward",
        title="A ward for tests",
        rounding=TEACHING_ROUNDING,
        hours_at_once=Fraction(2),
        child_below_years=Fraction(18),
        hub_scrub_s=Fraction(15),
        least_site_look_ms=HOUR,
        pump=pump_rules(**changes),
        priorities=priorities,
        second_check=(),
        lb_per_kg=Fraction("2.2"),
        hydraulics=hydraulics,
    )


def a_dry_line(number: int = 1, **changes: Any) -> LineSpec:
    """A line without containers, its tubing full of air."""
    spec = LineSpec(
        number=number,
        access="hand",
        has_port=True,
        chamber_ml=Fraction(10),
        above_ml=Fraction(12),
        port_ml=Fraction(4),
        below_ml=Fraction(3),
        secondary_chamber_ml=Fraction(5),
        secondary_ml=Fraction(6),
        drop_factor=Fraction(20),
    )
    return replace(spec, **changes)


def a_ready_line(number: int = 1, *, hung: str = "bag", **changes: Any) -> LineSpec:
    """A line that is hung, primed, loaded, connected and open; it stands still."""
    return a_dry_line(number, hung=hung, **changes)


def a_gravity_line(number: int = 1, *, opening: str = "0.2", **changes: Any) -> LineSpec:
    """A line that is hung, primed, connected and open, run by its container's height."""
    return a_ready_line(number, drive=Drive.GRAVITY, opening=Fraction(opening), **changes)


def a_syringe_line(number: int = 1, *, hung: str = "", **changes: Any) -> LineSpec:
    """A line for a syringe in its pump: no chamber, no port, nothing above the pump."""
    spec = LineSpec(
        number=number,
        access="hand",
        has_port=False,
        chamber_ml=Fraction(0),
        above_ml=Fraction(0),
        port_ml=Fraction(0),
        below_ml=Fraction("1.5"),
        secondary_chamber_ml=Fraction(0),
        secondary_ml=Fraction(0),
        drop_factor=Fraction(1),
        hung=hung,
        drive=Drive.SYRINGE,
    )
    return replace(spec, **changes)


def a_syringe(
    supply: str = "syringe", fluid: str = "sedative", volume_ml: int = 50, **changes: Any
) -> Supply:
    """A filled syringe on the trolley; its size is its volume."""
    return replace(a_bag(supply, fluid, volume_ml), kind="syringe", **changes)


def a_bag(
    supply: str = "bag", fluid: str = "saline", volume_ml: int = 500, **changes: Any
) -> Supply:
    """A container on the trolley."""
    bag = Supply(
        id=supply,
        kind="bag",
        fluid=fluid,
        volume_ml=Fraction(volume_ml),
        label=f"{fluid} {volume_ml} mL",
    )
    return replace(bag, **changes)


SUPPLIES = (
    a_bag(),
    a_bag("second-bag", "saline", 250),
    a_bag("small-bag", "sedative", 50),
    a_bag("sweet-bag", "glucose", 500),
)


def an_order(order: str = "maintenance", **changes: Any) -> Order:
    """An order for a plain rate."""
    made = Order(
        id=order,
        title="Maintenance fluid",
        written="sodium chloride 0.9 % at 40 mL/h",
        by="Dr Rowan",
        kind="continuous",
        fluid="saline",
        role=Role.PRIMARY,
        line=1,
        supply="bag",
        rate=parse_quantity("40 mL/h"),
    )
    return replace(made, **changes)


def a_patient(**changes: Any) -> Patient:
    """An invented child with two catheters."""
    patient = Patient(
        name="Mika Tarn",
        age_text="4 y",
        age_years=Fraction(4),
        weight=parse_quantity("16 kg", of_body=False),
        record_number="T-0001",
        born="2 May",
        allergies=(),
        access=(
            Access(id="hand", name="left hand", kind="peripheral", gauge=24),
            Access(id="foot", name="right foot", kind="peripheral", gauge=24),
        ),
        signs=(Sign(name="heart rate", value="112", unit="/min"),),
    )
    return replace(patient, **changes)


def an_event(event: str, when: Trigger, *effects: Effect) -> AuthoredEvent:
    """An authored event with its effects; without any, a call."""
    return AuthoredEvent(
        id=event,
        title=event,
        when=when,
        effects=effects or (Effect(happening=Happening.CALL, who="ward", text=f"{event} came"),),
    )


def a_block(
    event: str = "block",
    *,
    when: Trigger | None = None,
    where: Where = Where.DOWNSTREAM,
    mend: Verb | None = Verb.STRAIGHTEN,
    line: int = 1,
) -> AuthoredEvent:
    """A line that is blocked, from the start if nothing else is said."""
    effect = Effect(
        happening=Happening.LINE_BLOCKED,
        line=line,
        where=where,
        reason="the tubing is bent under the arm",
        mend=mend,
    )
    return an_event(event, when or Trigger(at_ms=0), effect)


def a_scenario(
    *,
    lines: tuple[LineSpec, ...] = (),
    supplies: tuple[Supply, ...] = SUPPLIES,
    orders: tuple[Order, ...] = (),
    events: tuple[AuthoredEvent, ...] = (),
    patient: Patient | None = None,
    half_life_ms: int = 2 * HOUR,
    ends_ms: int = 48 * HOUR,
    **rules: Any,
) -> Scenario:
    """A whole scenario. `rules` are the pump's rules that differ from `pump_rules()`."""
    return Scenario(
        format=1,
        id="test",
        title="A bedside for tests",
        summary="",
        minutes=10,
        starts_at="08:00",
        objectives=(),
        real=(),
        unreal=(),
        cautions=(),
        policy=a_policy(**rules),
        formulary=Formulary(
            id="test",
            title="Fluids and drugs for tests",
            fluids=(SALINE, GLUCOSE, SEDATIVE),
            drugs=(
                Drug(
                    id="sedative",
                    name="an invented sedative",
                    half_life_ms=half_life_ms,
                    volume_l_per_kg=Fraction(1),
                ),
            ),
        ),
        patient=patient or a_patient(),
        supplies=supplies,
        lines=lines or (a_ready_line(),),
        orders=orders or (an_order(),),
        plan=Plan(),
        events=events,
        ends_ms=ends_ms,
    )


class Bedside:
    """A state that is moved by acts and time, with everything that happened.

    >>> bedside = Bedside(a_scenario())
    >>> bedside.do(Verb.ENTER, line="1", role="primary", volume="80", rate="40")
    >>> bedside.do(Verb.START, line="1")
    >>> bedside.wait(2 * HOUR)
    >>> bedside.happened("VolumeComplete")
    [7200000]
    """

    def __init__(self, scenario: Scenario) -> None:
        self.scenario = scenario
        self.state = initial_state(scenario)
        self.now_ms = 0
        self.log: tuple[Event, ...] = ()

    def do(self, verb: Verb, **params: str) -> None:
        """An act, now."""
        self.state, events = perform(
            self.state, act(verb, **params), at_ms=self.now_ms, actor="learner"
        )
        self.log += events

    def wait(self, length_ms: int) -> None:
        """Time passes."""
        self.now_ms += length_ms
        events = advance(self.state, self.now_ms)
        self.state = fold(self.state, events)
        self.log += events

    def run(
        self, rate: str = "100", volume: str = "250", line: str = "1", role: str = "primary"
    ) -> None:
        """Enter and start."""
        self.do(Verb.ENTER, line=line, role=role, volume=volume, rate=rate)
        self.do(Verb.START, line=line)

    def of_kind(self, name: str) -> list[Any]:
        """All events of that kind."""
        return [event for event in self.log if type(event).__name__ == name]

    def happened(self, name: str) -> list[int]:
        """The moments of all events of that kind."""
        return [event.at_ms for event in self.of_kind(name)]

    def alarms(self) -> list[tuple[AlarmKind, int]]:
        """Every alarm that was raised: its kind and moment."""
        return [(event.kind, event.at_ms) for event in self.of_kind("AlarmRaised")]

    def reason(self) -> Any:
        """Why the last act that was refused was refused."""
        return self.refusal.reason

    @property
    def refusal(self) -> Any:
        """The last refusal."""
        return self.of_kind("Refused")[-1]


def a_running_state(
    rate: str = "100", volume: str = "250", scenario: Scenario | None = None
) -> State:
    """The state right after line 1 was started."""
    bedside = Bedside(scenario or a_scenario())
    bedside.run(rate, volume)
    return bedside.state

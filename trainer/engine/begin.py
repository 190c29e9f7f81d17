"""The bedside as the learner finds it."""

from __future__ import annotations

from fractions import Fraction
from math import ceil, floor

from trainer.engine import substances
from trainer.engine.amounts import MOTES_PER_ML, time_to_move, ul_h_from_ml_h
from trainer.engine.figures import figures_from, millionths
from trainer.engine.state import (
    AccessState,
    Container,
    EventState,
    Inlet,
    Line,
    OrderState,
    Programme,
    Pump,
    State,
)
from trainer.engine.tubing import filled_with
from trainer.scenario.model import Access, LineSpec, Scenario, Supply
from trainer.terms import AIR, Drive, Role, Running

BOTTLE = "bottle"
"""The kind of a supply that does not give way as it empties."""


def motes(volume_ml: Fraction) -> int:
    """Volume in whole motes, rounded up where an author wrote finer than that."""
    return ceil(volume_ml * MOTES_PER_ML)


def initial_state(scenario: Scenario) -> State:
    """The state at the attempt's beginning, before anything of moment 0 has happened."""
    figures = figures_from(scenario)
    signs = tuple((sign.name, sign.value) for sign in scenario.patient.signs)
    return State(
        scenario=scenario,
        figures=figures,
        as_of_ms=0,
        containers=tuple(_container(scenario, supply) for supply in scenario.supplies),
        lines=tuple(_line(scenario, spec) for spec in scenario.lines),
        access=tuple(_access(scenario, one) for one in scenario.patient.access),
        orders=tuple(
            OrderState(id=order.id, from_ms=0 if order.active else None)
            for order in scenario.orders
        ),
        events=tuple(EventState(id=event.id) for event in scenario.events),
        signs=signs,
        signs_seen=signs,
        drugs=tuple(substances.untouched(one) for one in figures.substances),
    )


def _access(scenario: Scenario, access: Access) -> AccessState:
    return AccessState(
        id=access.id,
        site=access.site,
        grade=access.grade,
        height_mm=millimetres(access.height_cm),
        pressure_u=millionths(scenario.policy.pump.resting_pressure_mmhg),
    )


def millimetres(height_cm: Fraction) -> int:
    """A height in whole millimetres, half up.

    >>> millimetres(Fraction("90.25"))
    903
    """
    return floor(height_cm * 10 + Fraction(1, 2))


def _container(scenario: Scenario, supply: Supply) -> Container:
    on_line = next((spec for spec in scenario.lines if spec.hung == supply.id), None)
    left_ml = supply.volume_ml + supply.overfill_ml
    if on_line is not None and on_line.hung_left_ml is not None:
        left_ml = on_line.hung_left_ml
    rigid = supply.kind == BOTTLE
    return Container(
        supply=supply.id,
        fluid=supply.fluid,
        left=motes(left_ml),
        chosen=on_line is not None,
        hung_on=on_line.number if on_line else None,
        rigid=rigid,
        vented=rigid and on_line is not None,  # whoever hung it opened its air inlet
        gas=motes(scenario.policy.hydraulics.bottle_gas_ml) if rigid else 0,
    )


def _line(scenario: Scenario, spec: LineSpec) -> Line:
    """Dry and empty, or hung, primed, loaded and connected if the author says so.

    A syringe line has neither chamber nor tubing before its pump, nor a clamp there.
    """
    is_hung = bool(spec.hung)
    fluid = scenario.supply(spec.hung).fluid if is_hung else AIR
    has_tubing_above = spec.drive is not Drive.SYRINGE
    above = motes(spec.port_ml) if has_tubing_above else 0
    below = motes(spec.below_ml)
    return Line(
        number=spec.number,
        access=spec.access,
        above_size=above,
        below_size=below,
        primary=_primary(scenario, spec, fluid),
        secondary=_secondary(scenario, spec) if spec.has_port and has_tubing_above else None,
        above=filled_with(fluid, above),
        below=filled_with(fluid, below),
        loaded=is_hung and spec.drive is not Drive.GRAVITY,
        connected=is_hung,
        pump=_pump(scenario, spec),
        drive=spec.drive,
        valve_works=spec.valve_works,
        hanger_drop_mm=millimetres(scenario.policy.hydraulics.hanger_drop_cm),
        plugged_in=spec.plugged_in,
        battery_ms=_battery_ms(scenario, spec),
    )


def _battery_ms(scenario: Scenario, spec: LineSpec) -> int:
    return scenario.policy.pump.battery_ms if spec.battery_ms is None else spec.battery_ms


def _primary(scenario: Scenario, spec: LineSpec, fluid: str) -> Inlet:
    ward, is_hung = scenario.policy.hydraulics, bool(spec.hung)
    if spec.drive is Drive.SYRINGE:
        return Inlet(
            size=0,
            chamber_size=0,
            container=spec.hung,
            spiked=is_hung,
            clamp_open=True,
            joined=True,
            height_mm=millimetres(ward.container_height_cm),
        )
    size, chamber = motes(spec.above_ml) - motes(spec.port_ml), motes(spec.chamber_ml)
    return Inlet(
        size=size,
        chamber_size=chamber,
        container=spec.hung,
        spiked=is_hung,
        chamber=chamber if is_hung else 0,
        chamber_fluid=fluid if is_hung else "",
        clamp_open=is_hung,
        contents=filled_with(fluid, size),
        joined=True,
        height_mm=millimetres(ward.container_height_cm),
        opening=floor(spec.opening * 1_000),
        resistance_u=millionths(ward.set_resistance),
    )


def _secondary(scenario: Scenario, spec: LineSpec) -> Inlet:
    ward = scenario.policy.hydraulics
    size = motes(spec.secondary_ml)
    return Inlet(
        size=size,
        chamber_size=motes(spec.secondary_chamber_ml),
        contents=filled_with(AIR, size),
        height_mm=millimetres(ward.container_height_cm),
        resistance_u=millionths(ward.secondary_resistance),
    )


def _pump(scenario: Scenario, spec: LineSpec) -> Pump:
    if not spec.hung or not spec.running_rate_ml_per_h or spec.drive is Drive.GRAVITY:
        return Pump()
    rate = ul_h_from_ml_h(spec.running_rate_ml_per_h)
    volume_ml = spec.running_volume_ml
    if volume_ml is None:
        volume_ml = spec.hung_left_ml
    if volume_ml is None:
        volume_ml = scenario.supply(spec.hung).volume_ml
    volume = motes(volume_ml)
    programme = Programme(volume=volume, rate_ul_h=rate, duration_ms=time_to_move(volume, rate))
    return Pump(running=Running.INFUSING, source=Role.PRIMARY, primary=programme, rate_ul_h=rate)

"""The bedside as the learner finds it."""

from __future__ import annotations

from fractions import Fraction
from math import ceil

from trainer.engine.amounts import MOTES_PER_ML, time_to_move, ul_h_from_ml_h
from trainer.engine.figures import figures_from
from trainer.engine.physics import NOTHING
from trainer.engine.state import (
    AccessState,
    Container,
    DrugInBody,
    EventState,
    Inlet,
    Line,
    OrderState,
    Programme,
    Pump,
    State,
)
from trainer.engine.tubing import filled_with
from trainer.scenario.model import LineSpec, Scenario, Supply
from trainer.terms import AIR, Role, Running


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
        access=tuple(AccessState(id=one.id, site=one.site) for one in scenario.patient.access),
        orders=tuple(
            OrderState(id=order.id, from_ms=0 if order.active else None)
            for order in scenario.orders
        ),
        events=tuple(EventState(id=event.id) for event in scenario.events),
        signs=signs,
        signs_seen=signs,
        drugs=tuple(
            DrugInBody(drug=drug.drug, amount=NOTHING, as_of_ms=0) for drug in figures.drugs
        ),
    )


def _container(scenario: Scenario, supply: Supply) -> Container:
    on_line = next((spec for spec in scenario.lines if spec.hung == supply.id), None)
    left_ml = supply.volume_ml
    if on_line is not None and on_line.hung_left_ml is not None:
        left_ml = on_line.hung_left_ml
    return Container(
        supply=supply.id,
        fluid=supply.fluid,
        left=motes(left_ml),
        chosen=on_line is not None,
        hung_on=on_line.number if on_line else None,
    )


def _line(scenario: Scenario, spec: LineSpec) -> Line:
    """Dry and empty, or hung, primed, loaded and connected if the author says so."""
    is_hung = bool(spec.hung)
    fluid = scenario.supply(spec.hung).fluid if is_hung else AIR
    above, below = motes(spec.port_ml), motes(spec.below_ml)
    inlet_size, chamber = motes(spec.above_ml) - above, motes(spec.chamber_ml)
    primary = Inlet(
        size=inlet_size,
        chamber_size=chamber,
        container=spec.hung,
        spiked=is_hung,
        chamber=chamber if is_hung else 0,
        chamber_fluid=fluid if is_hung else "",
        clamp_open=is_hung,
        contents=filled_with(fluid, inlet_size),
        joined=True,
    )
    return Line(
        number=spec.number,
        access=spec.access,
        above_size=above,
        below_size=below,
        primary=primary,
        secondary=_secondary(spec) if spec.has_port else None,
        above=filled_with(fluid, above),
        below=filled_with(fluid, below),
        loaded=is_hung,
        connected=is_hung,
        pump=_pump(scenario, spec),
    )


def _secondary(spec: LineSpec) -> Inlet:
    size = motes(spec.secondary_ml)
    return Inlet(
        size=size,
        chamber_size=motes(spec.secondary_chamber_ml),
        contents=filled_with(AIR, size),
    )


def _pump(scenario: Scenario, spec: LineSpec) -> Pump:
    if not spec.hung or not spec.running_rate_ml_per_h:
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

"""Read-outs of a state, for pages and scoring. Exact; nothing here changes anything."""

from __future__ import annotations

from fractions import Fraction

from trainer.engine.amounts import MOTES_PER_ML, ml_from_motes, time_to_move
from trainer.engine.carry import reaches_vein
from trainer.engine.figures import MOTES_PER_UL
from trainer.engine.flow import pumped
from trainer.engine.happenings import infused, programme_of
from trainer.engine.path import flowing_inlet_of, flowing_role, is_open_below
from trainer.engine.physics import concentration_per_l, quantised
from trainer.engine.state import Inlet, Line, State
from trainer.engine.tubing import Plugs, volume_of_air
from trainer.terms import Role

__all__ = ["infused", "programme_of"]


def flow_ul_h(line: Line) -> int:
    """Flow out of the line's end now, in microlitres per hour: into the vein if it is patent."""
    return line.pump.rate_ul_h if is_open_below(line) else 0


def vein_flow_ul_h(state: State, line_number: int) -> int:
    """Flow that truly reaches the vein now, in microlitres per hour."""
    line = state.line(line_number)
    return flow_ul_h(line) if reaches_vein(state, line) else 0


def vein_plugs(state: State, line_number: int, until_ms: int) -> Plugs:
    """What the pump brings into the vein until then, if nothing happens in between."""
    line = state.line(line_number)
    volume = line.pump.rate_ul_h * (until_ms - state.as_of_ms)
    if not volume or state.ended or not reaches_vein(state, line):
        return ()
    return pumped(state.containers, line, volume)[2]


def flowing_role_of(state: State, line_number: int) -> Role:
    """Which inlet gives the fluid when the pump of this line runs."""
    return flowing_role(state.containers, state.line(line_number))


def flowing_inlet(state: State, line_number: int) -> Inlet:
    """The inlet that gives the fluid when the pump of this line runs."""
    return flowing_inlet_of(state.containers, state.line(line_number))


def pressure_mmhg(state: State, line_number: int) -> Fraction:
    """Pressure below the pump: resting + stored / compliance."""
    rules = state.scenario.policy.pump
    stored_ul = Fraction(state.line(line_number).stored, MOTES_PER_UL)
    return rules.resting_pressure_mmhg + stored_ul / rules.compliance_below_ul_per_mmhg


def suction_mmhg(state: State, line_number: int) -> Fraction:
    """How far the pressure above the pump lies below resting: drawn / compliance."""
    drawn_ul = Fraction(state.line(line_number).drawn, MOTES_PER_UL)
    return drawn_ul / state.scenario.policy.pump.compliance_above_ul_per_mmhg


def remaining(line: Line) -> int:
    """What is left of the running programme, in motes; 0 without one."""
    programme, given = programme_of(line.pump)
    return max(0, programme.volume - given) if programme else 0


def time_remaining_ms(line: Line) -> int | None:
    """How long the rest of the running programme takes; None if it stands or has none."""
    rate = line.pump.rate_ul_h
    return time_to_move(remaining(line), rate) if rate and remaining(line) else None


def air_ml(line: Line) -> Fraction:
    """Air in the line from the join to its end, in mL."""
    return ml_from_motes(volume_of_air((*line.above, *line.below)))


def in_vein_ml(state: State) -> Fraction:
    """All fluid that has reached the vein, in mL."""
    return Fraction(sum(volume for _, volume in state.ledger.vein), MOTES_PER_ML)


def drug_level_per_l(state: State, drug: str, step: Fraction) -> tuple[Fraction, str]:
    """A drug's concentration in the body, to the nearest `step`, and its unit.

    The state must have been carried to the moment that is asked for.
    """
    weight_kg = state.scenario.patient.weight.to("kg")
    for one, figures in zip(state.drugs, state.figures.drugs, strict=True):
        if one.drug == drug:
            level = concentration_per_l(one.amount, figures.volume_l_per_kg, weight_kg)
            return quantised(level, step), f"{figures.unit}/L"
    return Fraction(0), ""

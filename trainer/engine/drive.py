"""What moves a line's fluid: its pump, a syringe's pump, or the height of the container.

By gravity, with the head h of the container over the catheter (mm of fluid):

    Q = (0.073556 h - p_hub - vacuum) / (R_set + R_catheter + R_clamp + R_narrow)

where a roller clamp at opening x (a share) has R_clamp = r (1/x^2 - 1). Pressures are
millionths of a mmHg, resistances millionths of a mmHg per (mL/h), rates microlitres per
hour. A bottle without an open air inlet gives less and less: with the gas over its fluid
as a spring, the flow dies with tau = R C_gas.

Source: flow through resistances in a row under a pressure difference; reference rows
HYD-05, GRV-01 and the catheter flows CAN-*, in the tests.
"""

from __future__ import annotations

from fractions import Fraction

from trainer.engine import heads
from trainer.engine.downstream import access_at, catheter_u, end_u, is_open_below
from trainer.engine.figures import U_MMHG_PER_MM, U_PER_ONE
from trainer.engine.law import STANDING, Law
from trainer.engine.path import can_give, container_at, is_held, is_open_above, left_at
from trainer.engine.state import Container, Inlet, Line, State
from trainer.terms import Drive, Role

FULLY_OPEN = 1_000
"""The opening of a roller clamp in thousandths when it holds nothing back."""


def driven_by(state: State, line: Line) -> Drive | None:
    """What can move a line's fluid just now; None if nothing can.

    A set that is not in its pump runs by gravity unless the ward's sets close by
    themselves when they are taken out.
    """
    if line.drive is Drive.GRAVITY:
        return Drive.GRAVITY
    if line.loaded and not line.set_slipped:
        return line.drive
    if line.drive is Drive.PUMP and not state.figures.hydraulics.closes_when_unloaded:
        return Drive.GRAVITY
    return None


def through_law(state: State, line: Line) -> Law:
    """What will have passed the pump, or run by gravity, after a while.

    Of a syringe, the slack is taken up first; by gravity, no more comes than there is.
    """
    if line.pump.rate_ul_h:
        return Law(line.pump.rate_ul_h, line.slack)
    if line.loaded and line.drive is not Drive.GRAVITY and not line.set_slipped:
        return STANDING
    return gravity_law(state, line)


def is_by_gravity(state: State, line: Line) -> bool:
    """Whether height moves this line, if anything does."""
    return not line.pump.rate_ul_h and driven_by(state, line) is Drive.GRAVITY


def flow_ul_h(state: State, line: Line) -> int:
    """What passes the pump or runs by gravity now, in microlitres per hour."""
    law = through_law(state, line)
    if law.dying:
        return law.dying // law.tau_ms
    return law.rate_ul_h if not law.short else 0


def is_running(state: State, line: Line) -> bool:
    """Whether the pump turns, or fluid runs by gravity."""
    return line.pump.rate_ul_h > 0 or flow_ul_h(state, line) > 0


# --- gravity ------------------------------------------------------------------------


def gravity_law(state: State, line: Line) -> Law:
    """What will have run by gravity after a while."""
    if driven_by(state, line) is not Drive.GRAVITY or not line.connected:
        return STANDING
    inlet = _governing_inlet(state, line)
    return _law_from(state, line, inlet) if _can_run(state, line, inlet) else STANDING


def _governing_inlet(state: State, line: Line) -> Inlet:
    """The inlet whose height moves a gravity line: of two that can give, the higher.

    The primary beside a bottle that its vacuum holds back.
    """
    secondary = line.secondary
    if secondary is None or not can_give(state.containers, secondary):
        return line.primary
    if not can_give(state.containers, line.primary):
        return secondary
    if heads.head_u(line) <= 0 or not _can_run(state, line, secondary):
        return line.primary
    rate = _law_from(state, line, secondary).rate_ul_h
    return line.primary if is_held(state.containers, line, Role.SECONDARY, rate) else secondary


def _can_run(state: State, line: Line, inlet: Inlet) -> bool:
    """Whether all is open from an inlet with fluid to the vein."""
    return (
        is_open_above(line, inlet)
        and inlet.opening > 0
        and left_at(state.containers, inlet) > 0
        and is_open_below(state.access, line)
    )


def _law_from(state: State, line: Line, inlet: Inlet) -> Law:
    """What an inlet's height lets through everything that is in the way."""
    container = _closed_bottle(state, line, inlet)
    held_u = heads.vacuum_u(container) if container is not None else 0
    pressure_u = _head_u(state, line, inlet) - held_u - _hub_u(state, line)
    resistance_u = (
        inlet.resistance_u
        + clamp_u(state.figures.hydraulics.clamp_u, inlet.opening)
        + line.narrowed_u
        + catheter_u(state.figures, line)
    )
    if pressure_u <= 0 or resistance_u <= 0:
        return STANDING
    if container is not None:
        gas_per_mmhg = Fraction(container.gas, heads.ATMOSPHERE_MMHG)
        tau_ms = max(1, round(resistance_u * gas_per_mmhg / (1_000 * U_PER_ONE)))
        return Law(0, dying=int(pressure_u * gas_per_mmhg / U_PER_ONE), tau_ms=tau_ms)
    return Law(pressure_u * 1_000 // resistance_u)


def _head_u(state: State, line: Line, inlet: Inlet) -> int:
    """Pressure of the height of an inlet's fluid over the catheter."""
    access = access_at(state.access, line)
    height_mm = heads.primary_height_mm(line) if inlet is line.primary else inlet.height_mm
    return U_MMHG_PER_MM * (height_mm - (access.height_mm if access else 0))


def _closed_bottle(state: State, line: Line, inlet: Inlet) -> Container | None:
    """The bottle at an inlet whose vacuum holds its flow back more and more, if it is one.

    Beside an inlet that can take over, a bottle gives its share unhindered until it is
    held (declared simplification).
    """
    container = container_at(state.containers, inlet)
    if container is None or not container.left or not container.gas or container.vented:
        return None
    other = line.secondary if inlet is line.primary else line.primary
    is_alone = other is None or not can_give(state.containers, other)
    return container if is_alone else None


def clamp_u(fully_open_u: int, opening: int) -> int:
    """Resistance of a roller clamp: r (1/x^2 - 1) at opening x, in thousandths.

    Chosen by us: nothing when fully open, without end when closed.
    """
    return fully_open_u * (FULLY_OPEN**2 - opening**2) // opening**2


def _hub_u(state: State, line: Line) -> int:
    """Pressure that a gravity flow must overcome before its own catheter's resistance.

    The vein's, and what pumps on the same catheter bring about there. What swollen tissue
    presses back with is left out (declared simplification).
    """
    access = access_at(state.access, line)
    vein_u = access.pressure_u if access else state.figures.hydraulics.start_u
    if line.access not in state.figures.hydraulics.shared:
        return vein_u
    return vein_u + catheter_u(state.figures, line) * _others_ul_h(state, line) // 1_000


def _others_ul_h(state: State, line: Line) -> int:
    """What pumps bring to the same catheter beside this line."""
    return sum(
        other.pump.rate_ul_h
        for other in state.lines
        if other.access == line.access
        and other.number != line.number
        and other.connected
        and is_open_below(state.access, other)
    )


def catheter_flow_ul_h(state: State, line: Line) -> int:
    """What runs freely through this line's catheter now, from every line that shares it.

    Behind a narrowing, or while tubing or syringe must first be filled to their rest, the
    stored volume alone tells the pressure, so nothing is counted of such a line.
    """
    if not line.connected:
        return 0
    if line.access not in state.figures.hydraulics.shared:
        lines: tuple[Line, ...] = (line,)
    else:
        lines = tuple(one for one in state.lines if one.access == line.access and one.connected)
    return sum(
        flow_ul_h(state, one)
        for one in lines
        if is_open_below(state.access, one) and not one.narrowed_ms and one.stored >= one.rest
    )


def end_pressure_u(state: State, line: Line) -> int:
    """Pressure at this line's catheter now, with all that flows there."""
    return end_u(state.figures, state.access, line, catheter_flow_ul_h(state, line))

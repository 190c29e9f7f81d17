"""Closed bottles: what they still let out before their vacuum holds the rest back.

A rigid container without an open air inlet gives fluid only as far as the gas over it
stretches. Beside another inlet that can give, the other takes over in silence; alone, the
pump sucks it to the ward's limit and alarms. Until it is held back a bottle gives its
share unhindered (declared simplification).
"""

from __future__ import annotations

from trainer.engine.figures import U_MMHG_PER_MM
from trainer.engine.heads import holding_u, primary_height_mm, vacuum_at
from trainer.engine.path import (
    Containers,
    can_give,
    container_at,
    flowing_role,
    inlet_of,
    is_held,
)
from trainer.engine.state import Line, State
from trainer.terms import Role


def gas_room(state: State, line: Line, role: Role, rate_ul_h: int) -> int | None:
    """What a closed bottle still lets out to a flow of that rate, in motes.

    Until the other inlet takes over, or until the alarm. None if air comes in, or if the
    container gives way by itself.
    """
    container = container_at(state.containers, inlet_of(line, role) or line.primary)
    if container is None or not container.gas or container.vented:
        return None
    if _can_take_over(state, line, role, rate_ul_h):
        limit_u = holding_u(line, role, rate_ul_h)
    else:
        limit_u = state.figures.hydraulics.suction_u
    return vacuum_at(container, limit_u) - container.vacuum


def _can_take_over(state: State, line: Line, role: Role, rate_ul_h: int) -> bool:
    """Whether the other inlet would give what this one holds back."""
    other = Role.SECONDARY if role is Role.PRIMARY else Role.PRIMARY
    inlet = inlet_of(line, other)
    if inlet is None or not can_give(state.containers, inlet):
        return False
    return not is_held(state.containers, line, other, rate_ul_h)


def holds_back(containers: Containers, line: Line, role: Role, volume: int) -> bool:
    """Whether a closed bottle's vacuum would equal its height before so much has run out."""
    inlet = inlet_of(line, role) or line.primary
    container = container_at(containers, inlet)
    if container is None or not container.gas or container.vented:
        return False
    height_mm = primary_height_mm(line) if role is Role.PRIMARY else inlet.height_mm
    most = vacuum_at(container, U_MMHG_PER_MM * height_mm)
    return container.vacuum + volume > most


def is_sucked_closed(state: State, line: Line) -> bool:
    """Whether a closed bottle holds back what the pump wants, and nothing comes beside it."""
    role = flowing_role(state.containers, line)
    container = container_at(state.containers, inlet_of(line, role) or line.primary)
    if container is None or not container.left or not container.vacuum:
        return False
    rate = line.pump.rate_ul_h
    room = gas_room(state, line, role, rate)
    return room is not None and room <= 0 and not _can_take_over(state, line, role, rate)

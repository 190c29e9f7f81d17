"""What a pump's counters say: the programme now running, and what has been given."""

from __future__ import annotations

from trainer.engine.state import Programme, Pump
from trainer.terms import Role


def programme_of(pump: Pump) -> tuple[Programme | None, int]:
    """The programme of the source now running, and how much of it has been given."""
    if pump.source is Role.PRIMARY:
        return pump.primary, pump.given_primary
    return pump.secondary, pump.given_secondary


def infused(pump: Pump, role: Role | None) -> int:
    """What this line has moved since the attempt began, under one programme or both."""
    if role is None:
        return pump.total
    return pump.total_secondary if role is Role.SECONDARY else pump.total - pump.total_secondary

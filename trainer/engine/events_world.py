"""What the author put into the scenario, as it came.

Read them through `trainer.engine.events`, which says what holds for all events.
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.terms import Happening, Site, Verb, Where


@dataclass(frozen=True, slots=True, kw_only=True)
class LineNarrowed:
    """Something holds the fluid back below the pump without stopping it."""

    at_ms: int
    line: int
    reason: str
    mend: Verb | None
    resistance_u: int  # millionths of a mmHg per (mL/h)
    time_constant_ms: int  # resistance x compliance


@dataclass(frozen=True, slots=True, kw_only=True)
class LineBlocked:
    """Something holds the fluid back on one side of the pump."""

    at_ms: int
    line: int
    where: Where
    reason: str
    mend: Verb | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LineFreed:
    """The obstruction is gone; what was stored follows as `PressureReleased`."""

    at_ms: int
    line: int
    where: Where
    narrowing: bool = False  # it was no block: it held the fluid back without stopping it


@dataclass(frozen=True, slots=True, kw_only=True)
class EventDue:
    """An authored event's trigger is met; it comes at `due_ms`."""

    at_ms: int
    event: str
    due_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class EventCame:
    """An authored event came; its effects follow at the same moment."""

    at_ms: int
    event: str
    happening: Happening


@dataclass(frozen=True, slots=True, kw_only=True)
class AirEntered:
    """Air came into the tubing.

    Above the pump as much fluid went back toward the container; below it, where the
    detector sees nothing, as much leaked away.
    """

    at_ms: int
    line: int
    volume: int
    ahead: int  # volume between the air and the detector, or below the pump the vein
    where: Where = Where.UPSTREAM


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """Someone spoke to the learner."""

    at_ms: int
    who: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderGiven:
    """An order stands from now on."""

    at_ms: int
    order: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderEnded:
    """An order no longer stands."""

    at_ms: int
    order: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SignChanged:
    """A vital sign is another now, seen or not."""

    at_ms: int
    sign: str
    value: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteChanged:
    """A catheter's site is another now, seen or not."""

    at_ms: int
    access: str
    site: Site
    grade: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class SignDrifts:
    """A sign begins to go to another value, halving the rest every `half_ms`."""

    at_ms: int
    sign: str
    value: str
    half_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ArmMoved:
    """The limb with a catheter is at another height."""

    at_ms: int
    access: str
    height_mm: int


@dataclass(frozen=True, slots=True, kw_only=True)
class VeinPressureChanged:
    """The pressure in the vein at a catheter is another."""

    at_ms: int
    access: str
    pressure_u: int  # millionths of a mmHg


@dataclass(frozen=True, slots=True, kw_only=True)
class ValveStuck:
    """The check valve above the join lets fluid run back."""

    at_ms: int
    line: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerChanged:
    """The mains are on or off, for every pump that is plugged in."""

    at_ms: int
    mains_on: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SetSlipped:
    """The set lies wrong in its pump."""

    at_ms: int
    line: int

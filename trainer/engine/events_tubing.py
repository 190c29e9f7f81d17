"""What an act changed about containers, tubing and catheters.

Read them through `trainer.engine.events`, which says what holds for all events.
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.terms import Clamp, Role, Site, Where


@dataclass(frozen=True, slots=True, kw_only=True)
class ContainerChanged:
    """A container was chosen, inspected or labelled."""

    at_ms: int
    supply: str
    chosen: bool
    inspected: bool
    labelled: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Hung:
    """A container hangs at an inlet, not spiked yet."""

    at_ms: int
    line: int
    role: Role
    supply: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenDown:
    """The container was taken from the inlet."""

    at_ms: int
    line: int
    role: Role
    supply: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Spiked:
    """The set's spike is in the container."""

    at_ms: int
    line: int
    role: Role


@dataclass(frozen=True, slots=True, kw_only=True)
class ChamberFilled:
    """Fluid moved from the container into the drip chamber."""

    at_ms: int
    line: int
    role: Role
    volume: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PrimaryHeightChanged:
    """The primary container was hung lower (so that the secondary runs), or back."""

    at_ms: int
    line: int
    lowered: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ClampMoved:
    """A clamp was opened or closed."""

    at_ms: int
    line: int
    clamp: Clamp
    is_open: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Primed:
    """Fluid ran through dry tubing: `volume` left the chamber and container.

    What was in the tubing and came out at its end went to waste, or into the vein if the
    line was connected.
    """

    at_ms: int
    line: int
    role: Role
    volume: int
    into_vein: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class AirCleared:
    """Air was removed, above the pump or below it; fluid took its place."""

    at_ms: int
    line: int
    volume: int
    how: str
    wasted: int = 0  # fluid that was drawn off with it
    where: Where = Where.UPSTREAM


@dataclass(frozen=True, slots=True, kw_only=True)
class HubScrubbed:
    """A hub was scrubbed: at `port` (the line's access port) or at `access`."""

    at_ms: int
    line: int
    at: str
    seconds: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Connected:
    """The line was connected to its access, or the secondary to the line's port."""

    at_ms: int
    line: int
    at: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Disconnected:
    """The reverse of `Connected`."""

    at_ms: int
    line: int
    at: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Flushed:
    """Plain fluid from a hand-held syringe pushed what lay below the pump into the vein."""

    at_ms: int
    line: int
    volume: int
    fluid: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PressureReleased:
    """What was stored under pressure went to waste (safely), or to the patient at once.

    With `into_vein`, the vein got it only if `site` lets fluid through to it.
    """

    at_ms: int
    line: int
    volume: int
    into_vein: bool
    site: Site = Site.PATENT


@dataclass(frozen=True, slots=True, kw_only=True)
class SyringeAttached:
    """A syringe is on the line, where a set would have its spike."""

    at_ms: int
    line: int
    supply: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AirInletOpened:
    """Air can come into a rigid container in place of the fluid that leaves."""

    at_ms: int
    line: int
    role: Role


@dataclass(frozen=True, slots=True, kw_only=True)
class HeightSet:
    """A container, or a syringe in its pump, is at another height."""

    at_ms: int
    line: int
    role: Role
    height_mm: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ClampTurned:
    """The roller clamp of the primary stands at an opening, in thousandths."""

    at_ms: int
    line: int
    opening: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CatheterRemoved:
    """A catheter was taken out."""

    at_ms: int
    access: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Resited:
    """A new catheter lies in another vein, under the same id."""

    at_ms: int
    access: str

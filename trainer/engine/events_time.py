"""What time alone brought: crossings, and the alarms that follow from them.

Read them through `trainer.engine.events`, which says what holds for all events.
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.terms import AlarmKind, Priority, Role, Running


@dataclass(frozen=True, slots=True, kw_only=True)
class VolumeComplete:
    """The programme's volume has been given; the pump goes on as `then` says.

    With `hand_back`, the primary's programme runs on.
    """

    at_ms: int
    line: int
    role: Role
    then: Running
    hand_back: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class NearComplete:
    """The volume will be complete within the ward's warning time."""

    at_ms: int
    line: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ContainerEmptied:
    """The container holds nothing more; its chamber drains next."""

    at_ms: int
    line: int
    role: Role


@dataclass(frozen=True, slots=True, kw_only=True)
class ChamberDrained:
    """The drip chamber is empty too.

    Primary: from now on air is drawn into the tubing. Secondary: the levels meet and the
    primary flows; its own tubing stays full.
    """

    at_ms: int
    line: int
    role: Role


@dataclass(frozen=True, slots=True, kw_only=True)
class AirReachedDetector:
    """Air of alarming size lies at the detector."""

    at_ms: int
    line: int
    volume: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PressureReachedLimit:
    """Pressure below the pump reached the ward's limit."""

    at_ms: int
    line: int
    stored: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SuctionReachedLimit:
    """The pump drew the closed tubing above it, or a closed bottle, down to the limit.

    Without an alarm beside it, another inlet gives instead of the bottle from now on.
    """

    at_ms: int
    line: int
    drawn: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FrontReachedVein:
    """What leaves the line into the vein changes to another fluid (or air)."""

    at_ms: int
    line: int
    fluid: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BubblePassed:
    """A bubble too small to alarm by itself has passed the detector."""

    at_ms: int
    line: int
    volume: int


@dataclass(frozen=True, slots=True, kw_only=True)
class BatteryReached:
    """A pump's battery is down to this; at nothing the pump is off."""

    at_ms: int
    line: int
    left_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FluidsMet:
    """Two fluids that must not meet did, in this line or at its catheter."""

    at_ms: int
    line: int
    first: str
    second: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ResultCame:
    """A measurement's result is there."""

    at_ms: int
    sign: str
    value: str
    taken_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmRaised:
    """An alarm condition began."""

    at_ms: int
    kind: AlarmKind
    line: int
    priority: Priority


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmCauseGone:
    """The cause is gone; a latching alarm is still announced until it is reset."""

    at_ms: int
    kind: AlarmKind
    line: int


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmEnded:
    """The alarm is over."""

    at_ms: int
    kind: AlarmKind
    line: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundPaused:
    """Sound is paused until a moment; light and text stay."""

    at_ms: int
    until_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundResumed:
    """The pause is over: its time ran out, or a new alarm came."""

    at_ms: int

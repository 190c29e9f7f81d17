"""Everything that can have happened, in the past tense, each at its moment.

Events carry the resulting amounts, so replaying never recomputes or rounds. Three are
*inputs* (`Acted`, `Injected`, `Finished`): with the scenario and the seed they reproduce
the rest. `Event` is the closed union; `engine.evolve` handles every member.

Volumes are motes, rates microlitres per hour, moments milliseconds (`engine.amounts`).
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.engine.actions import Action
from trainer.engine.state import Programme
from trainer.terms import (
    AlarmKind,
    Clamp,
    Happening,
    Priority,
    Refusal,
    Role,
    Running,
    Site,
    Verb,
    Where,
)

# --- inputs -------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Acted:
    """A learner did something; what it brought follows at the same moment."""

    at_ms: int
    action: Action
    actor: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Injected:
    """The instructor made an authored event come."""

    at_ms: int
    event: str
    actor: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Finished:
    """The attempt ended: by the learner, or because time was up."""

    at_ms: int
    by: str  # "learner", "time"


# --- what an act brought ------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """The act was impossible; nothing changed."""

    at_ms: int
    verb: Verb
    reason: Refusal
    text: str  # one sentence: why, and what would make it possible


@dataclass(frozen=True, slots=True, kw_only=True)
class Noted:
    """An act whose only effect is that it was done (hands cleaned, value worked out...)."""

    at_ms: int
    verb: Verb


@dataclass(frozen=True, slots=True, kw_only=True)
class Perceived:
    """A look or a touch showed something. `of` is site, patient, container or line."""

    at_ms: int
    of: str
    which: str  # access id, supply id, line number
    text: str


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
    """Air above the pump was removed; fluid took its place."""

    at_ms: int
    line: int
    volume: int
    how: str


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
class Loaded:
    """The set lies in the pump."""

    at_ms: int
    line: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Entered:
    """A give sentence stands at the pump and waits for start."""

    at_ms: int
    line: int
    role: Role
    programme: Programme


@dataclass(frozen=True, slots=True, kw_only=True)
class Started:
    """The entered values are in force and the pump runs."""

    at_ms: int
    line: int
    source: Role
    primary: Programme | None
    secondary: Programme | None
    fresh: bool  # True: counting starts anew for the source; False: resumed


@dataclass(frozen=True, slots=True, kw_only=True)
class Stopped:
    """The pump stopped: `by` learner or alarm."""

    at_ms: int
    line: int
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Flushed:
    """Plain fluid from a hand-held syringe pushed what lay below the pump into the vein."""

    at_ms: int
    line: int
    volume: int
    fluid: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PressureReleased:
    """What was stored under pressure went to waste (safely), or into the vein at once."""

    at_ms: int
    line: int
    volume: int
    into_vein: bool


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


# --- what time alone brought --------------------------------------------------------


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
    """The pump drew the closed tubing above it down to the limit."""

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


# --- what the author put in ---------------------------------------------------------


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
    """Air came into the tubing; as much fluid went back toward the container."""

    at_ms: int
    line: int
    volume: int
    ahead: int  # volume of fluid between the air and the detector


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


Input = Acted | Injected | Finished
Event = (
    Input
    | Refused
    | Noted
    | Perceived
    | ContainerChanged
    | Hung
    | TakenDown
    | Spiked
    | ChamberFilled
    | PrimaryHeightChanged
    | ClampMoved
    | Primed
    | AirCleared
    | HubScrubbed
    | Connected
    | Disconnected
    | Loaded
    | Entered
    | Started
    | Stopped
    | Flushed
    | PressureReleased
    | LineBlocked
    | LineFreed
    | VolumeComplete
    | NearComplete
    | ContainerEmptied
    | ChamberDrained
    | AirReachedDetector
    | PressureReachedLimit
    | SuctionReachedLimit
    | FrontReachedVein
    | AlarmRaised
    | AlarmCauseGone
    | AlarmEnded
    | SoundPaused
    | SoundResumed
    | EventDue
    | EventCame
    | AirEntered
    | Said
    | OrderGiven
    | OrderEnded
    | SignChanged
    | SiteChanged
)

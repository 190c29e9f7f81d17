"""Everything that can have happened, in the past tense, each at its moment.

Events carry the resulting amounts, so replaying never recomputes or rounds. Four are
*inputs* (`Acted`, `Injected`, `Cued`, `Finished`): with the scenario and the seed they reproduce
the rest. `Event` is the closed union; `engine.evolve` handles every member.

Volumes are motes, rates microlitres per hour, moments milliseconds (`engine.amounts`).
"""

from __future__ import annotations

from trainer.engine.events_act import (
    Acted,
    Cued,
    Entered,
    Finished,
    Injected,
    LimitOverridden,
    Loaded,
    Noted,
    Perceived,
    PluggedIn,
    Refused,
    SampleTaken,
    Started,
    Stopped,
    Unloaded,
)
from trainer.engine.events_time import (
    AirReachedDetector,
    AlarmCauseGone,
    AlarmEnded,
    AlarmRaised,
    BatteryReached,
    BubblePassed,
    ChamberDrained,
    ContainerEmptied,
    FluidsMet,
    FrontReachedVein,
    NearComplete,
    PressureReachedLimit,
    ResultCame,
    SoundPaused,
    SoundResumed,
    SuctionReachedLimit,
    VolumeComplete,
)
from trainer.engine.events_tubing import (
    AirCleared,
    AirInletOpened,
    CatheterRemoved,
    ChamberFilled,
    ClampMoved,
    ClampTurned,
    Connected,
    ContainerChanged,
    Disconnected,
    Flushed,
    HeightSet,
    HubScrubbed,
    Hung,
    PressureReleased,
    PrimaryHeightChanged,
    Primed,
    Resited,
    Spiked,
    SyringeAttached,
    TakenDown,
)
from trainer.engine.events_world import (
    AirEntered,
    ArmMoved,
    EventCame,
    EventDue,
    LineBlocked,
    LineFreed,
    LineNarrowed,
    OrderEnded,
    OrderGiven,
    PowerChanged,
    Said,
    SetSlipped,
    SignChanged,
    SignDrifts,
    SiteChanged,
    ValveStuck,
    VeinPressureChanged,
)

__all__ = [
    "Acted",
    "AirCleared",
    "AirEntered",
    "AirInletOpened",
    "AirReachedDetector",
    "AlarmCauseGone",
    "AlarmEnded",
    "AlarmRaised",
    "ArmMoved",
    "BatteryReached",
    "BubblePassed",
    "CatheterRemoved",
    "ChamberDrained",
    "ChamberFilled",
    "ClampMoved",
    "ClampTurned",
    "Connected",
    "ContainerChanged",
    "ContainerEmptied",
    "Cued",
    "Disconnected",
    "Entered",
    "Event",
    "EventCame",
    "EventDue",
    "Finished",
    "FluidsMet",
    "Flushed",
    "FrontReachedVein",
    "HeightSet",
    "HubScrubbed",
    "Hung",
    "Injected",
    "Input",
    "LimitOverridden",
    "LineBlocked",
    "LineFreed",
    "LineNarrowed",
    "Loaded",
    "NearComplete",
    "Noted",
    "OrderEnded",
    "OrderGiven",
    "Perceived",
    "PluggedIn",
    "PowerChanged",
    "PressureReachedLimit",
    "PressureReleased",
    "PrimaryHeightChanged",
    "Primed",
    "Refused",
    "Resited",
    "ResultCame",
    "Said",
    "SampleTaken",
    "SetSlipped",
    "SignChanged",
    "SignDrifts",
    "SiteChanged",
    "SoundPaused",
    "SoundResumed",
    "Spiked",
    "Started",
    "Stopped",
    "SuctionReachedLimit",
    "SyringeAttached",
    "TakenDown",
    "Unloaded",
    "ValveStuck",
    "VeinPressureChanged",
    "VolumeComplete",
]

Input = Acted | Injected | Cued | Finished
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
    | SignDrifts
    | ArmMoved
    | VeinPressureChanged
    | ValveStuck
    | PowerChanged
    | SetSlipped
    | SyringeAttached
    | AirInletOpened
    | HeightSet
    | ClampTurned
    | Unloaded
    | PluggedIn
    | CatheterRemoved
    | Resited
    | LimitOverridden
    | SampleTaken
    | LineNarrowed
    | BubblePassed
    | BatteryReached
    | FluidsMet
    | ResultCame
)

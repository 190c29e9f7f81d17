"""What somebody did, and what it brought at the pump or in words.

The inputs of an attempt (`Acted`, `Injected`, `Cued`, `Finished`) stand here too. Read them
through `trainer.engine.events`, which says what holds for all events.
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.engine.actions import Action
from trainer.engine.state import Programme
from trainer.terms import CueKind, Refusal, Role, Verb


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Cued:
    """The learner was given a cue: words that help with one expected step.

    `step` is the step as findings name it (`start.scrub-hub`); empty if the cue was for none.
    An input unless the scenario itself gave it.
    """

    at_ms: int
    kind: CueKind
    step: str
    text: str
    by: str  # "learner" (asked for it), "instructor", "scenario"


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
class SampleTaken:
    """A sign is being measured; the result comes at `due_ms`."""

    at_ms: int
    sign: str
    value: str
    due_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Entered:
    """A give sentence stands at the pump and waits for start."""

    at_ms: int
    line: int
    role: Role
    programme: Programme
    fluid: str = ""  # what the learner told the pump runs; "" = not told


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
class Loaded:
    """The set lies in the pump."""

    at_ms: int
    line: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Unloaded:
    """The set, or the syringe, was taken out of the pump."""

    at_ms: int
    line: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PluggedIn:
    """The pump is on the mains again; `battery_ms` is what its battery holds."""

    at_ms: int
    line: int
    battery_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitOverridden:
    """Values outside a soft limit were entered with a reason."""

    at_ms: int
    line: int
    role: Role
    text: str
    reason: str

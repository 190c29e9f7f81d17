"""What can happen next: its kinds, one of them with its moment, and the earliest of many.

Every subject offers its happenings from a module of its own (`happenings_flow`,
`happenings_above` ...); `happenings.next_of` asks them all.
"""

from __future__ import annotations

from enum import IntEnum
from typing import NamedTuple

from trainer.terms import Role


class Kind(IntEnum):
    """What can happen, in the order in which happenings of one moment are taken."""

    FRONT_AT_VEIN = 1
    CONTAINER_EMPTY = 2
    CHAMBER_DRAINED = 3
    NEAR_COMPLETE = 4
    VOLUME_COMPLETE = 5
    PRESSURE_LIMIT = 6
    SUCTION_LIMIT = 7
    AIR_AT_DETECTOR = 8
    BUBBLE_PASSES = 9
    BATTERY = 10
    RESULT_DUE = 11
    REMINDER = 12
    SOUND_RESUMES = 13
    TRIGGER_MET = 14
    EVENT_DUE = 15
    TIME_UP = 16


class Upcoming(NamedTuple):
    """One happening to come; sorts by moment, then kind, then line, then event."""

    at_ms: int
    kind: Kind
    line: int = 0
    event: str = ""
    role: Role = Role.PRIMARY


class Earliest:
    """Gathers what is offered and keeps only the happenings of the earliest moment."""

    __slots__ = ("at_ms", "found")

    def __init__(self, at_ms: int, kind: Kind) -> None:
        self.at_ms = at_ms
        self.found = [Upcoming(at_ms, kind)]

    def offer(
        self, at_ms: int, kind: Kind, line: int = 0, event: str = "", role: Role = Role.PRIMARY
    ) -> None:
        """A happening that may be the next."""
        if at_ms > self.at_ms:
            return
        if at_ms < self.at_ms:
            self.at_ms = at_ms
            self.found.clear()
        self.found.append(Upcoming(at_ms, kind, line, event, role))

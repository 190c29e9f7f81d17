"""All that was read of an attempt, in one value: what traces and their grading look at."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.engine.events import Event
from trainer.engine.state import State
from trainer.scenario.model import Order, Scenario
from trainer.scoring.delivered import Moment
from trainer.scoring.expect import key as key_of
from trainer.scoring.findings import Delivered, Finding, Key
from trainer.scoring.programmes import Keyed
from trainer.scoring.record import Deed, Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """An attempt as read: the log, the bedside after each event, and what was found.

    `states` and `course` begin with the beginning, so they are one more than the events: what
    follows event number n is at place n + 1.
    """

    scenario: Scenario
    events: tuple[Event, ...]
    states: tuple[State, ...]
    course: tuple[Moment, ...]
    deeds: tuple[Deed, ...]
    stood: tuple[Standing, ...]
    entered: tuple[Keyed, ...]
    keys: tuple[Key, ...]
    given: tuple[Delivered, ...]
    findings: tuple[Finding, ...]

    @property
    def last(self) -> int:
        """The position of the last event."""
        return len(self.events) - 1

    def key(self, order: Order, quantity: str) -> Key | None:
        """The right answer for one quantity of an order."""
        return key_of(self.keys, order.id, quantity)

    def finding(self, finding_id: str) -> Finding | None:
        """The finding of that id."""
        return next((one for one in self.findings if one.id == finding_id), None)

    def given_of(self, order: Order) -> Delivered | None:
        """What reached the vein of an order, if it ever stood."""
        return next((one for one in self.given if one.order == order.id), None)

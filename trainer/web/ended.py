"""An ended attempt with everything that was made of it, and where its reader looks.

What has ended never changes, so the report, the course and the states after each event are
made once and kept: the bedside at any moment is then one search and one step along known lines.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from trainer.engine.events import Event
from trainer.engine.replay import count_until, state_at
from trainer.engine.state import State
from trainer.scenario.model import Scenario
from trainer.scoring.course import Course
from trainer.scoring.findings import Report
from trainer.web import words
from trainer.web.strip import Strip

AS_IT_WAS, AS_SEEN = "true", "seen"
"""The two ways to look at a moment, as the address names them."""

SECOND_MS = 1_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Attempt:
    """An ended attempt with everything that was made of it.

    `states` are those at the beginning and after each event: one more than events. `drawn`
    keeps strips, which no play head changes.
    """

    id: str
    learner: str
    scenario: Scenario
    seed: int
    events: tuple[Event, ...]
    report: Report
    course: Course
    versions: tuple[tuple[str, str], ...]  # name, value: for the record at the end
    states: tuple[State, ...] = ()
    drawn: dict[tuple[str, str], Strip] = field(default_factory=dict, compare=False, repr=False)

    @property
    def address(self) -> str:
        """The debrief's own address."""
        return f"/attempts/{self.id}/debrief"

    def events_until(self, at_ms: int) -> tuple[Event, ...]:
        """What had happened by a moment, that moment included."""
        return self.events[: count_until(self.events, at_ms)]

    def state_at(self, at_ms: int) -> State:
        """The bedside at a moment; events at exactly that moment are included."""
        return state_at(self.scenario, self.events, at_ms, self.states)

    def clock(self, at_ms: int) -> str:
        """A moment as ward clock: `09:38`."""
        return words.ward_time(self.scenario, at_ms)

    def clock_to_the_second(self, at_ms: int) -> str:
        """A moment as ward clock: `09:38:07`."""
        return f"{self.clock(at_ms)}:{at_ms // SECOND_MS % 60:02d}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Looking:
    """Where the reader looks: the play head, the stretch of time that is drawn, and how.

    `way` is `AS_IT_WAS` or `AS_SEEN`; `contents_visible` says whether the bedside drew what
    lies in the tubing.
    """

    at_ms: int
    window: tuple[int, int] | None = None
    way: str = AS_IT_WAS
    contents_visible: bool = True

    @property
    def tail(self) -> str:
        """Window and way as part of an address; empty for the whole attempt as it was."""
        window = f"&from={self.window[0]}&until={self.window[1]}" if self.window else ""
        return window + ("&as=seen" if self.way == AS_SEEN else "")

    def at(self, at_ms: int) -> Looking:
        """The same look with the play head elsewhere."""
        return replace(self, at_ms=at_ms)

    def by(self, way: str) -> Looking:
        """The same moment looked at the other way."""
        return replace(self, way=way)


def moment_href(attempt: Attempt, looking: Looking) -> str:
    """The address that shows a moment."""
    return f"{attempt.address}?at={looking.at_ms}{looking.tail}#moment"

"""The ward clock: the only bridge between wall time and simulated time.

    moment = anchor moment + (wall now - anchor wall) x pace

Wall time here is monotonic milliseconds. A change of pace, a leap and a hold move the
anchor; each is a row of the log, written by `live.ward`.

**When nobody watches, the ward clock holds.** It runs while a page has the attempt's
stream open, and for `GRACE_MS` of wall time after the last look (a stream closed, a page
loaded, an act). So a closed laptop, a lost network or a break costs the patient nothing,
and no job has to stay alive: the hold is computed at the next look. A server that is
killed goes on at the last row of the log.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Protocol

from trainer.store.records import Pace

GRACE_MS = 60_000
"""How long the ward clock runs on after the last look. Chosen by us: a page reloads or
reconnects in seconds; a learner who looks away for a minute is interrupted."""


class Clock(Protocol):
    """Where wall time comes from; tests move one by hand."""

    def monotonic_ms(self) -> int:
        """Milliseconds that never go back, from any beginning."""
        ...

    def utc_now(self) -> datetime:
        """The date and time, with its time zone (UTC)."""
        ...


class WallClock:
    """The computer's own clock."""

    def monotonic_ms(self) -> int:
        """Milliseconds that never go back."""
        return time.monotonic_ns() // 1_000_000

    def utc_now(self) -> datetime:
        """The date and time in UTC."""
        return datetime.now(UTC)  # noqa: TID251  this is the one place


@dataclass(frozen=True, slots=True, kw_only=True)
class Pacing:
    """Where the ward clock stands and how fast it runs.

    `seen_ms` is the wall moment of the last look; `watchers` how many streams are open.
    """

    anchor_ms: int  # simulated
    wall_ms: int  # the wall moment of the anchor
    seen_ms: int
    pace: Pace = Pace.X1
    watchers: int = 0

    def moment_ms(self, wall_ms: int) -> int:
        """The simulated moment at a wall moment, in whole milliseconds."""
        runs_until = wall_ms if self.watchers else min(wall_ms, self.seen_ms + GRACE_MS)
        return self.anchor_ms + max(0, runs_until - self.wall_ms) * self.pace.factor

    def is_unwatched(self, wall_ms: int) -> bool:
        """Whether the ward clock holds because nobody has looked for the grace time."""
        return not self.watchers and wall_ms > self.seen_ms + GRACE_MS

    def looked(self, wall_ms: int) -> Pacing:
        """Someone looks now: if the clock was held for want of a watcher, it runs again."""
        if self.is_unwatched(wall_ms):
            return replace(self.moved(self.moment_ms(wall_ms), wall_ms), seen_ms=wall_ms)
        return replace(self, seen_ms=wall_ms)

    def moved(self, at_ms: int, wall_ms: int) -> Pacing:
        """The clock stands at a simulated moment now (a leap, a wait, a reload)."""
        return replace(self, anchor_ms=at_ms, wall_ms=wall_ms)

    def paced(self, pace: Pace, wall_ms: int) -> Pacing:
        """The clock runs at another pace from now on."""
        return replace(self.moved(self.moment_ms(wall_ms), wall_ms), pace=pace)

    def watched(self, change: int, wall_ms: int) -> Pacing:
        """One stream more (+1) or fewer (-1)."""
        now = self.looked(wall_ms)
        return replace(now, watchers=max(0, now.watchers + change))

    def wall_delay_ms(self, at_ms: int, wall_ms: int) -> int | None:
        """Wall time until a simulated moment, rounded up; None while the clock is held."""
        if self.pace is Pace.HELD or self.is_unwatched(wall_ms):
            return None
        return max(0, -(-(at_ms - self.moment_ms(wall_ms)) // self.pace.factor))

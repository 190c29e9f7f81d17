"""How much will have flowed after a while, if nothing happens: the course of one flow.

A straight line nearly always. A narrowed elastic line and a bottle without an air inlet
add a part that dies away. Volumes are motes, rates microlitres per hour.
"""

from __future__ import annotations

from typing import NamedTuple

from trainer.engine.physics.outflow import died_away, lagged


class Law(NamedTuple):
    """The volume that has passed a place, as a function of the time from now.

    Nothing comes of the even flow until `short` has been made up (a lowered syringe, the
    slack of a fresh one). `dying` goes with the time constant `tau_ms`. With `builds_up`
    the even flow comes through the same narrowing and takes its time to get there.
    """

    rate_ul_h: int
    short: int = 0
    dying: int = 0
    tau_ms: int = 0
    builds_up: bool = False

    @property
    def moves(self) -> bool:
        """Whether anything flows at all."""
        return self.rate_ul_h > 0 or self.dying > 0

    @property
    def now_ul_h(self) -> int:
        """How fast it flows at this moment."""
        dying = self.dying // self.tau_ms if self.dying else 0
        return dying + (0 if self.short or self.builds_up else self.rate_ul_h)

    def volume(self, elapsed_ms: int) -> int:
        """What has passed after a while, in whole motes."""
        if not self.tau_ms:
            passed = self.rate_ul_h * elapsed_ms - self.short
            return passed if passed > 0 else 0
        gone = died_away(self.dying, elapsed_ms, self.tau_ms) if self.dying else 0
        if self.builds_up:
            return gone + lagged(self.rate_ul_h, self.short, elapsed_ms, self.tau_ms)
        return gone + max(0, self.rate_ul_h * elapsed_ms - self.short)

    def first_ms(self, volume: int, within_ms: int) -> int | None:
        """The first whole millisecond by which so much has passed, at least one from now.

        None if it comes later than `within_ms`.
        """
        if not self.tau_ms:
            return self._first_ms_evenly(volume, within_ms)
        if self.volume(within_ms) < volume:
            return None
        early, late = 0, max(1, within_ms)
        while late - early > 1:
            middle = (early + late) // 2
            if self.volume(middle) >= volume:
                late = middle
            else:
                early = middle
        return late

    def _first_ms_evenly(self, volume: int, within_ms: int) -> int | None:
        if self.rate_ul_h <= 0:
            return None
        wait_ms = -(-(volume + self.short) // self.rate_ul_h)
        if wait_ms > within_ms:
            return None
        return max(1, wait_ms)


STANDING = Law(0)
"""Nothing flows."""

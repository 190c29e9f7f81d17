"""A stupid fixed-step simulator of one line, in floats: the engine's slow twin.

It knows nothing of the engine: it was written from the description of the bedside alone
(what flows from where, what is stored, when an alarm comes), walks in small steps and
never looks ahead. It understands few acts, and no programme but volume at rate. Volumes
are mL, rates mL/h, times seconds, pressures mmHg.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from typing import Any

Piece = list[Any]
"""A fluid and its volume."""

AIR = "air"
TINY = 1e-9


class Tube:
    """A tube of fixed volume holding pieces, the first of which leaves first."""

    def __init__(self, size: float, fluid: str) -> None:
        self.pieces: list[Piece] = [[fluid, size]] if size > 0 else []

    def put(self, fluid: str, volume: float) -> None:
        if volume <= 0:
            return
        if self.pieces and self.pieces[-1][0] == fluid:
            self.pieces[-1][1] += volume
        else:
            self.pieces.append([fluid, volume])

    def take(self, volume: float) -> list[Piece]:
        taken: list[Piece] = []
        while volume > TINY and self.pieces:
            piece = self.pieces[0]
            part = min(volume, piece[1])
            taken.append([piece[0], part])
            piece[1] -= part
            volume -= part
            if piece[1] <= TINY:
                self.pieces.pop(0)
        return taken


@dataclass
class Source:
    """A container with its drip chamber and the tubing down to the join."""

    fluid: str
    left: float
    chamber: float
    tube: Tube
    clamp_open: bool = True

    @property
    def holds(self) -> float:
        return self.left + self.chamber

    def give(self, volume: float) -> list[Piece]:
        """From the container, then the chamber, then air."""
        from_container = min(volume, self.left)
        from_chamber = min(volume - from_container, self.chamber)
        self.left -= from_container
        self.chamber -= from_chamber
        rest = volume - from_container - from_chamber
        given: list[Piece] = [[self.fluid, from_container + from_chamber], [AIR, rest]]
        return [piece for piece in given if piece[1] > 0]


@dataclass
class Twin:
    """One line with a primary and a joined secondary."""

    primary: Source
    secondary: Source
    above: Tube
    below: Tube
    pressure_rise: float  # from resting to the downstream alarm
    suction_fall: float
    compliance_below: float  # mL per mmHg
    compliance_above: float
    air_limit: float
    keep_open_rate: float
    drop_sensor: bool
    step: float = 0.25
    now: float = 0.0
    lowered: bool = True
    patient_clamp_open: bool = True
    bent_below: bool = False
    bent_above: bool = False
    rate: float = 0.0
    role: str = "primary"
    to_give: dict[str, float] = field(default_factory=lambda: {"primary": 0.0, "secondary": 0.0})
    rates: dict[str, float] = field(default_factory=lambda: {"primary": 0.0, "secondary": 0.0})
    keeping_open: bool = False
    stored: float = 0.0
    drawn: float = 0.0
    vein: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    alarms: list[tuple[str, float]] = field(default_factory=list)
    told_air: bool = False

    # --- acts ---

    def start(self, role: str, volume: float, rate: float) -> None:
        self.role, self.rate, self.keeping_open = role, rate, False
        self.to_give[role], self.rates[role] = volume, rate

    def stop(self) -> None:
        self.rate = 0.0

    def resume(self) -> None:
        if self.rate == 0.0 and self.to_give[self.role] > 0:
            self.rate, self.keeping_open = self.rates[self.role], False

    def straighten(self) -> None:
        self.bent_below = False

    # --- time ---

    def run_until(self, moment: float) -> None:
        while self.now < moment - 1e-6:
            length = min(self.step, moment - self.now)
            self.now += length
            self.settle()
            if self.rate > 0:
                self.pump(self.rate * length / 3600)
        self.settle()

    def settle(self) -> None:
        """What an open way lets happen at once."""
        if self.open_below() and self.stored > 0:
            for fluid, volume in self.below.take(self.stored):
                self.vein[fluid] += volume
            self.stored = 0.0
        source = self.source()
        if self.drawn > 0 and source.clamp_open and not self.bent_above:
            for fluid, volume in source.give(self.drawn):
                source.tube.put(fluid, volume)
            self.drawn = 0.0

    def open_below(self) -> bool:
        return self.patient_clamp_open and not self.bent_below

    def source(self) -> Source:
        secondary = self.secondary
        if secondary.clamp_open and self.lowered and secondary.holds > TINY:
            return secondary
        return self.primary

    def pump(self, volume: float) -> None:
        source = self.source()
        had_fluid = source.left > TINY
        if source.clamp_open and not self.bent_above:
            for fluid, part in source.give(volume):
                source.tube.put(fluid, part)
            for fluid, part in source.tube.take(volume):
                self.above.put(fluid, part)
        else:
            self.drawn += volume
            for fluid, part in source.tube.take(volume):
                self.above.put(fluid, part)
        for fluid, part in self.above.take(volume):
            self.below.put(fluid, part)
        if self.open_below():
            for fluid, part in self.below.take(volume):
                self.vein[fluid] += part
        else:
            self.stored += volume
        self.count(volume)
        self.watch(source, had_fluid)

    def count(self, volume: float) -> None:
        if self.keeping_open:
            return
        self.to_give[self.role] -= volume
        if self.to_give[self.role] > TINY:
            return
        self.to_give[self.role] = 0.0
        self.alarm("infusion complete", stops=False)
        if self.role == "secondary" and self.to_give["primary"] > 0:
            self.role, self.rate = "primary", self.rates["primary"]
        else:
            self.keeping_open = True
            self.rate = min(self.rate, self.keep_open_rate)

    def watch(self, source: Source, had_fluid: bool) -> None:
        if self.stored >= self.pressure_rise * self.compliance_below - TINY:
            self.alarm("downstream occlusion")
        if self.drawn >= self.suction_fall * self.compliance_above - TINY:
            self.alarm("upstream occlusion")
        emptied = had_fluid and source.left <= TINY
        if self.drop_sensor and emptied and source is self.primary:
            self.alarm("container empty")
        if self.bubble_at_detector() >= self.air_limit - TINY:
            if not self.told_air:
                self.alarm("air in line")
            self.told_air = True
        else:
            self.told_air = False

    def bubble_at_detector(self) -> float:
        """The air that lies right above the pump, through to where it ends."""
        bubble = 0.0
        for piece in [*self.above.pieces, *self.source().tube.pieces]:
            if piece[0] != AIR:
                return bubble
            bubble += piece[1]
        return bubble + (float("inf") if self.source().holds <= TINY else 0.0)

    def alarm(self, kind: str, *, stops: bool = True) -> None:
        self.alarms.append((kind, self.now))
        if stops:
            self.rate = 0.0

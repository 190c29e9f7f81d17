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
    """A container with its drip chamber, stirred as one, and the tubing down to the join."""

    fluid: str
    left: float
    chamber: float
    tube: Tube
    resistance: float  # mmHg per (mL/h)
    clamp_open: bool = True
    foreign: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    """Shares of what has run up into it from elsewhere."""

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
        fluid = from_container + from_chamber
        own = 1 - sum(self.foreign.values())
        given: list[Piece] = [[self.fluid, own * fluid]]
        given += [[name, share * fluid] for name, share in self.foreign.items()]
        given.append([AIR, rest])
        return [piece for piece in given if piece[1] > 0]

    def take_back(self, pieces: list[Piece]) -> None:
        """What has run up into the container is stirred in; air rises and is gone."""
        for fluid, volume in pieces:
            if fluid == AIR:
                continue
            before, self.left = self.holds, self.left + volume
            for name in self.foreign:
                self.foreign[name] *= before / self.holds
            if fluid != self.fluid:
                self.foreign[fluid] += volume / self.holds


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
    drop: float = 25.0  # cm that a lowered primary hangs below the secondary
    valve_works: bool = True
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
            primary, secondary = self.flows()
            if self.rate > 0 or secondary > 0:
                self.move(primary * length / 3600, secondary * length / 3600)
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
        """The inlet that gives most."""
        primary, secondary = self.flows(at_least=1e-6)
        return self.secondary if secondary > primary else self.primary

    def flows(self, at_least: float = 0.0) -> tuple[float, float]:
        """What primary and secondary give, in mL/h: the race of their heads at the join.

        Where one alone can give, it gives all. 1 cm of water is 0.73556 mmHg.
        """
        rate = max(self.rate, at_least)
        can = [one.clamp_open and one.holds > TINY for one in (self.primary, self.secondary)]
        if not can[1]:
            return rate, 0.0
        if not can[0]:
            return 0.0, rate
        head = 0.73556 * self.drop if self.lowered else 0.0
        r_p, r_s = self.primary.resistance, self.secondary.resistance
        secondary = (head + rate * r_p) / (r_s + r_p)
        if self.valve_works or self.bent_above:
            secondary = min(rate, secondary)
        return rate - secondary, secondary

    def move(self, primary: float, secondary: float) -> None:
        """So much from each inlet in one step; less than nothing runs up into the primary."""
        volume = primary + secondary
        had_fluid = self.primary.left > TINY
        if self.bent_above or not self.source().clamp_open:
            self.drawn += volume
            self.fill_above(self.source().tube.take(volume))
        elif primary < 0:
            self.run_up(volume, -primary)
        else:
            self.run_together(primary, secondary)
        for fluid, part in self.above.take(volume):
            self.below.put(fluid, part)
        if self.open_below():
            for fluid, part in self.below.take(volume):
                self.vein[fluid] += part
        else:
            self.stored += volume
        if self.rate > 0:
            self.count(volume)
            self.watch(had_fluid=had_fluid)

    def fill_above(self, pieces: list[Piece]) -> None:
        for fluid, part in pieces:
            self.above.put(fluid, part)

    def run_together(self, primary: float, secondary: float) -> None:
        """Each in small portions; but air at one tube's end passes alone."""
        if primary > 0 and secondary > 0:
            for tube in (self.primary.tube, self.secondary.tube):
                if tube.pieces[0][0] == AIR:
                    volume = primary + secondary
                    is_primary = tube is self.primary.tube
                    primary, secondary = (volume, 0.0) if is_primary else (0.0, volume)
                    break
        for source, volume in ((self.primary, primary), (self.secondary, secondary)):
            for fluid, part in source.give(volume):
                source.tube.put(fluid, part)
            self.fill_above(source.tube.take(volume))

    def run_up(self, down: float, up: float) -> None:
        """The valve is stuck: some of the secondary's flow goes up the primary's tubing."""
        for fluid, part in self.secondary.give(down + up):
            self.secondary.tube.put(fluid, part)
        tube = self.primary.tube
        for fluid, part in self.secondary.tube.take(down + up):
            self.above.put(fluid, part * down / (down + up))
            rising = part * up / (down + up)
            if tube.pieces and tube.pieces[0][0] == fluid:
                tube.pieces[0][1] += rising
            else:
                tube.pieces.insert(0, [fluid, rising])
        tube.pieces.reverse()
        self.primary.take_back(tube.take(up))
        tube.pieces.reverse()

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

    def watch(self, *, had_fluid: bool) -> None:
        if self.stored >= self.pressure_rise * self.compliance_below - TINY:
            self.alarm("downstream occlusion")
        if self.drawn >= self.suction_fall * self.compliance_above - TINY:
            self.alarm("upstream occlusion")
        if self.drop_sensor and had_fluid and self.primary.left <= TINY:
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

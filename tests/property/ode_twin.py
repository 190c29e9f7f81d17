"""One line and its patient as differential equations, integrated by scipy: the exact twin.

Written from the equations of the bedside alone, not from the engine. Between two changes
every flow is smooth; there `solve_ivp` integrates volumes, excess, drug amounts, effect
sites and lags together, and its events find what ends the stretch: a front at the vein, a
full volume, a pressure. What is done, or comes at once, is a change of the state between
stretches. Units: seconds, mL, mL/h for rates, mmHg, mmHg per (mL/h), drug units.

Two things are taken over from how the bedside counts, because they are no physics: a pump
acts on a crossing at the first whole millisecond, and a flow that height and resistance
decide is a whole number of microlitres per hour.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction
from math import ceil, floor, inf, log

import numpy as np
from scipy.integrate import solve_ivp

MMHG_PER_MM = 0.073556
"""A millimetre of water in mmHg."""
TINY = 1e-11

Piece = tuple[float, float]
"""The share of the drug's fluid in a stretch of tubing, and its volume."""


class Tube:
    """A stretch of tubing: pieces, the first of which leaves first."""

    def __init__(self, volume: float, share: float = 0.0) -> None:
        self.pieces: list[Piece] = [(share, volume)] if volume > 0 else []

    @property
    def volume(self) -> float:
        return sum(volume for _, volume in self.pieces)

    @property
    def drug(self) -> float:
        return sum(share * volume for share, volume in self.pieces)

    def put(self, pieces: list[Piece]) -> None:
        """Behind what is there."""
        for share, volume in pieces:
            if volume <= 0:
                continue
            if self.pieces and abs(self.pieces[-1][0] - share) < 1e-9:
                self.pieces[-1] = (share, self.pieces[-1][1] + volume)
            else:
                self.pieces.append((share, volume))

    def put_back(self, share: float, volume: float) -> None:
        """Before what is there: fluid that runs the wrong way."""
        rest = self.pieces
        self.pieces = [(share, volume)] if volume > 0 else []
        self.put(rest)

    def take(self, volume: float) -> list[Piece]:
        """From the front."""
        taken: list[Piece] = []
        while volume > TINY and self.pieces:
            share, there = self.pieces[0]
            part = min(volume, there)
            taken.append((share, part))
            volume -= part
            if there - part <= TINY:
                self.pieces.pop(0)
            else:
                self.pieces[0] = (share, there - part)
        return taken

    def take_back(self, volume: float) -> list[Piece]:
        """From the end: what is pushed out into the container."""
        self.pieces.reverse()
        taken = self.take(volume)
        self.pieces.reverse()
        return taken


@dataclass
class Source:
    """A container and its drip chamber, with the tubing down to the join."""

    left: float
    chamber: float
    tube: Tube
    share: float = 0.0
    clamp_open: bool = True
    height_mm: float = 900.0

    @property
    def holds(self) -> float:
        return self.left + self.chamber

    def give(self, volume: float) -> list[Piece]:
        from_container = min(volume, self.left)
        self.left -= from_container
        self.chamber -= volume - from_container
        return [(self.share, volume)]

    def receive(self, pieces: list[Piece]) -> None:
        """Run up from the tubing; it mixes with what container and chamber hold."""
        for share, volume in pieces:
            total = self.holds + volume
            self.share = (self.share * self.holds + share * volume) / total
            self.left += volume


@dataclass(frozen=True)
class Answer:
    """One response's driver ("level", "effect site" or "rate") and its lag."""

    driver: str
    lag_s: float


@dataclass
class Substance:
    """A drug, or the volume of any fluid, in the body.

    dA/dt = arrival - k A;  dS/dt = ke0 (A - S);  dz/dt = (driver - z) / lag.
    z is in the unit of A for a level or effect site, in units per minute for a rate.
    """

    half_life_s: float
    effect_half_s: float = 0.0
    answers: tuple[Answer, ...] = ()
    of_drug: bool = True  # else: of the volume of any fluid
    y: list[float] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.y = [0.0] * (2 + len(self.answers))

    @property
    def amount(self) -> float:
        return self.y[0]

    @property
    def at_effect_site(self) -> float:
        return self.y[1] if self.effect_half_s else self.y[0]

    def slope(self, y: list[float], arrival_per_s: float) -> list[float]:
        amount, site = y[0], y[1]
        k = log(2) / self.half_life_s
        ke0 = log(2) / self.effect_half_s if self.effect_half_s else 0.0
        found = [arrival_per_s - k * amount, ke0 * (amount - site)]
        for answer, z in zip(self.answers, y[2:], strict=True):
            drive = self._drive(answer, y, arrival_per_s)
            found.append((drive - z) / answer.lag_s if answer.lag_s else 0.0)
        return found

    def _drive(self, answer: Answer, y: list[float], arrival_per_s: float) -> float:
        if answer.driver == "rate":
            return arrival_per_s * 60
        return y[1] if answer.driver == "effect site" and self.effect_half_s else y[0]

    def at_once(self, amount: float) -> None:
        """So much at one moment."""
        self.y[0] += amount
        for number, answer in enumerate(self.answers):
            if answer.driver == "rate" and answer.lag_s:
                self.y[2 + number] += 60 * amount / answer.lag_s

    def driven(self, number: int, arrival_per_s: float) -> float:
        """What the response answers to now."""
        answer = self.answers[number]
        if answer.lag_s:
            return self.y[2 + number]
        return self._drive(answer, self.y, arrival_per_s)


@dataclass
class Twin:
    """One line, its pump and the patient. Resistances mmHg per (mL/h), compliance mL/mmHg."""

    primary: Source
    secondary: Source | None
    above: Tube
    below: Tube
    compliance: float
    resting: float  # the pressure in the vein at the start
    pressure_alarm: float
    suction_most: float  # mL drawn at the upstream alarm
    keep_open: float  # mL/h
    strength: float  # drug per mL of its fluid
    substances: tuple[Substance, ...] = ()
    catheter: float = 0.0
    set_resistance: float = 0.012
    secondary_resistance: float = 0.1
    hanger_drop_mm: float = 250.0
    valve_works: bool = True
    slack: float = 0.0
    now: float = 0.0
    vein_pressure: float = field(init=False)
    arm_mm: float = 0.0
    syringe_mm: float = 0.0  # of a syringe's pump, since the start
    lowered: bool = False
    patient_clamp_open: bool = True
    blocked_below: bool = False
    blocked_above: bool = False
    narrowing: float = 0.0  # resistance; 0 = none
    stored: float = 0.0
    drawn: float = 0.0
    rate: float = 0.0
    role: str = "primary"
    counting: bool = False
    programmes: dict[str, tuple[float, float]] = field(default_factory=dict)
    given: dict[str, float] = field(default_factory=dict)
    pumped: float = 0.0
    vein: float = 0.0
    vein_drug_fluid: float = 0.0
    waste: float = 0.0
    alarms: list[tuple[str, float]] = field(default_factory=list)
    completed: list[tuple[str, float]] = field(default_factory=list)
    sealed: bool = False  # nothing flows by itself: a gravity line's pump is None

    def __post_init__(self) -> None:
        self.vein_pressure = self.resting

    # --- what follows from the state ---

    @property
    def rest(self) -> float:
        """Volume below the pump at which nothing flows: heights and the vein move it."""
        rise = self.vein_pressure - self.resting
        return self.compliance * (rise - MMHG_PER_MM * (self.syringe_mm - self.arm_mm))

    @property
    def excess(self) -> float:
        return self.stored - self.rest

    @property
    def is_blocked(self) -> bool:
        return self.blocked_below or not self.patient_clamp_open

    @property
    def flow(self) -> float:
        """What leaves the line's end now, in mL/h."""
        if self.is_blocked:
            return 0.0
        if self.narrowing:
            return max(0.0, self.excess) / (self.narrowing * self.compliance)
        return self.rate if self.excess >= -TINY and self.slack <= TINY else 0.0

    @property
    def pressure(self) -> float:
        if self.is_blocked or self.narrowing or self.excess < -TINY:
            return self.vein_pressure + self.excess / self.compliance
        return self.vein_pressure + self.catheter * self.flow

    @property
    def leaving(self) -> float:
        """Share of the drug's fluid in what leaves the line next."""
        for tube in (self.below, self.above, self.primary.tube):
            if tube.pieces:
                return tube.pieces[0][0]
        return self.primary.share

    def secondary_runs(self) -> bool:
        one = self.secondary
        return one is not None and one.clamp_open and one.holds > TINY and not self.blocked_above

    def secondary_flow(self) -> float:
        """mL/h from the secondary; more than the pump's rate if it runs up the primary."""
        if not self.secondary_runs() or self.slack > TINY:
            return 0.0
        assert self.secondary is not None
        if not self.primary.clamp_open or self.primary.holds <= TINY:
            return self.rate
        drop = self.hanger_drop_mm if self.lowered else 0.0
        head = MMHG_PER_MM * (self.secondary.height_mm - self.primary.height_mm + drop)
        both = self.set_resistance + self.secondary_resistance
        flow = max(0.0, (head + self.rate * self.set_resistance) / both)
        flow = floor(flow * 1000 + 1e-6) / 1000
        return min(self.rate, flow) if self.valve_works else flow

    # --- acts ---

    def run(self, role: str, volume: float, rate: float) -> None:
        self.programmes[role], self.given[role] = (volume, rate), 0.0
        self.role, self.rate, self.counting = role, rate, True
        self._alarm_if_the_catheter_is_too_narrow()

    def resume(self) -> None:
        self.rate, self.counting = self.programmes[self.role][1], True

    def stop(self) -> None:
        self.rate, self.counting = 0.0, False

    def settle(self) -> None:
        """What an open way lets happen at once, and what an open inlet refills."""
        if not self.is_blocked and not self.narrowing and self.excess > 0:
            out = self.excess
            self._into_vein_at_once(self.below.take(out))
            self.stored -= out
        if self.drawn > 0 and self.primary.clamp_open and not self.blocked_above:
            self.primary.tube.put(self.primary.give(self.drawn))
            self.drawn = 0.0

    def release(self) -> None:
        """To waste, all that is stored above what rests there."""
        out = self.excess
        self.waste += sum(volume for _, volume in self.below.take(out))
        self.stored -= out

    def flush(self, volume: float) -> None:
        """Plain fluid by hand through what lies below the pump."""
        out = self.below.take(min(volume, self.below.volume))
        if volume > (pushed := sum(part for _, part in out)):
            out.append((0.0, volume - pushed))
        self.below.put([(0.0, sum(part for _, part in out) - max(0.0, volume - pushed))])
        self._into_vein_at_once(out)

    def _into_vein_at_once(self, pieces: list[Piece]) -> None:
        for share, volume in pieces:
            self.vein += volume
            self.vein_drug_fluid += share * volume
            for one in self.substances:
                one.at_once(volume * share * self.strength if one.of_drug else volume)

    def _alarm_if_the_catheter_is_too_narrow(self) -> None:
        if self.pressure >= self.pressure_alarm and not self.is_blocked and not self.narrowing:
            self._alarm("downstream occlusion")

    # --- time ---

    def run_until(self, moment: float) -> None:
        self.settle()
        while self.now < moment - 1e-9:
            if past := self._past_a_limit():
                self._stretch(self.now + 0.001, acting=False)
                self._alarm(past)
                continue
            crossed = self._stretch(moment)
            if crossed:
                on_the_ms = min(moment, ceil(self.now * 1000 - 1e-5) / 1000)
                while self.now < on_the_ms - 1e-9:
                    self._stretch(on_the_ms, acting=False)
                crossed()
            self.settle()

    def _stretch(self, until: float, *, acting: bool = True) -> Callable[[], None] | None:
        """Integrate until a moment, or until something changes how things flow."""
        sec = self.secondary_flow()
        pump, slack = self.rate, self.slack
        in_slack = slack > TINY
        blocked = self.is_blocked
        tau_h = self.narrowing * self.compliance
        filling = not blocked and self.excess < -TINY
        narrowed = bool(self.narrowing) and not blocked and not filling
        into = 0.0 if in_slack else pump
        conc = self.leaving * self.strength
        rest = self.rest
        sizes = [len(one.y) for one in self.substances]

        def out_rate(stored: float) -> float:
            if blocked or filling:
                return 0.0
            return max(0.0, (stored - rest) / tau_h) if narrowed else into

        def slope(_t: float, y: np.ndarray) -> list[float]:
            values = y.tolist()
            out = out_rate(values[3])
            found = [pump / 3600, sec / 3600, out / 3600, (into - out) / 3600]
            at = 4
            for one, size in zip(self.substances, sizes, strict=True):
                arrival = out / 3600 * (conc if one.of_drug else 1.0)
                found += one.slope(values[at : at + size], arrival)
                at += size
            return found

        start = [0.0, 0.0, 0.0, self.stored]
        for one in self.substances:
            start += one.y
        ends = self._what_ends_it(sec, filling=filling, acting=acting)
        solved = solve_ivp(
            slope,
            (self.now, until),
            start,
            method="DOP853",
            rtol=1e-11,
            atol=1e-13,
            events=[event for event, _ in ends],
        )
        assert solved.success, solved.message
        self._take_over(solved.t[-1], [series[-1] for series in solved.y], sec)
        for times, (_, then) in zip(solved.t_events or (), ends, strict=True):
            if len(times):
                return then
        return None

    def _what_ends_it(
        self, sec: float, *, filling: bool, acting: bool
    ) -> list[tuple[Callable[..., float], Callable[[], None] | None]]:
        """Each a function that crosses zero, and what follows (None: only a new stretch)."""
        found: list[tuple[Callable[..., float], Callable[[], None] | None]] = []

        def when(
            margin: Callable[[np.ndarray], float], then: Callable[[], None] | None = None
        ) -> None:
            def event(_t: float, y: np.ndarray) -> float:
                return margin(y)

            event.terminal = True  # type: ignore[attr-defined]
            found.append((event, then))

        if self.slack > TINY:
            slack = self.slack
            when(lambda y: y[0] - slack)
        if filling:
            rest = self.rest
            when(lambda y: y[3] - rest)
        if len(self.below.pieces) > 1 or self.below.pieces[0][0] != self._entering(sec):
            front = self.below.pieces[0][1]
            when(lambda y: y[2] - front)
        self._fronts_above(sec, when)
        if self.secondary is not None and sec > 0:
            holds = self.secondary.holds
            when(lambda y: y[1] - holds)
        if acting:
            self._crossings_of_the_pump(when)
        return found

    def _entering(self, sec: float) -> float:
        """The share behind the last piece below, if it is everywhere the same; else NaN."""
        shares = {share for share, _ in (*self.above.pieces, *self.primary.tube.pieces)}
        shares.add(self.primary.share)
        if sec and self.secondary is not None:
            shares |= {share for share, _ in self.secondary.tube.pieces} | {self.secondary.share}
        return shares.pop() if len(shares) == 1 else float("nan")

    def _fronts_above(self, sec: float, when: Callable[..., None]) -> None:
        """A change of what reaches the join would change the blend."""
        primary = self.primary
        prim = self.rate - sec
        if prim > 0 and any(share != primary.share for share, _ in primary.tube.pieces):
            first = primary.tube.pieces[0][1]
            when(lambda y: y[0] - y[1] - first)
        one = self.secondary
        if one is not None and sec > 0 and any(share != one.share for share, _ in one.tube.pieces):
            begin = one.tube.pieces[0][1]
            when(lambda y: y[1] - begin)

    @property
    def _most_stored(self) -> float:
        return self.rest + self.compliance * (self.pressure_alarm - self.vein_pressure)

    def _past_a_limit(self) -> str:
        """Started against a block that had alarmed: it alarms again a millisecond later."""
        if self.rate <= 0:
            return ""
        if not self._fed() and self.drawn >= self.suction_most - TINY:
            return "upstream occlusion"
        held = self.is_blocked or self.narrowing
        past = held and self.stored >= self._most_stored - TINY
        return "downstream occlusion" if past else ""

    def _crossings_of_the_pump(self, when: Callable[..., None]) -> None:
        if self.rate <= 0:
            return
        most = self._most_stored
        if self.is_blocked or self.narrowing:
            when(lambda y: y[3] - most, lambda: self._alarm("downstream occlusion"))
        if not self._fed():
            room = self.suction_most - self.drawn
            when(lambda y: y[0] - room, lambda: self._alarm("upstream occlusion"))
        if self.counting:
            left = self.programmes[self.role][0] - self.given[self.role]
            when(lambda y: y[0] - left, self._complete)

    def _fed(self) -> bool:
        is_open = self.primary.clamp_open and not self.blocked_above
        return is_open or self.secondary_runs() or self.slack > TINY

    def _take_over(self, moment: float, y: list[float], sec: float) -> None:
        self.now = moment
        pumped, from_secondary, out, stored = y[:4]
        self.pumped += pumped
        if self.counting:
            self.given[self.role] += pumped
        if self.slack > TINY:
            self.slack = max(0.0, self.slack - pumped)
            self._move(0.0, 0.0, out)
        else:
            self._move(pumped, from_secondary, out)
        self.stored = stored
        at = 4
        for one in self.substances:
            one.y = list(y[at : at + len(one.y)])
            at += len(one.y)

    def _move(self, pumped: float, from_secondary: float, out: float) -> None:
        entered = self._through_the_join(pumped, from_secondary)
        self.above.put(entered)
        self.below.put(self.above.take(pumped))
        for share, volume in self.below.take(out):
            self.vein += volume
            self.vein_drug_fluid += share * volume

    def _through_the_join(self, pumped: float, from_secondary: float) -> list[Piece]:
        from_primary = pumped - from_secondary
        second: list[Piece] = []
        if self.secondary is not None and from_secondary > 0:
            self.secondary.tube.put(self.secondary.give(from_secondary))
            second = self.secondary.tube.take(from_secondary)
        if from_primary < 0:
            return self._up_the_primary(second, -from_primary, pumped)
        if not self._fed() and pumped > 0:
            self.drawn += pumped
            taken = self.primary.tube.take(pumped)
        else:
            self.primary.tube.put(self.primary.give(from_primary))
            taken = self.primary.tube.take(from_primary)
        return [_blended([*taken, *second])] if second and taken else [*taken, *second]

    def _up_the_primary(self, second: list[Piece], up: float, pumped: float) -> list[Piece]:
        share = _blended(second)[0]
        self.primary.tube.put_back(share, up)
        self.primary.receive(self.primary.tube.take_back(up))
        return [(share, pumped)]

    # --- what the pump does ---

    def _alarm(self, kind: str) -> None:
        self.alarms.append((kind, self.now))
        self.stop()

    def _complete(self) -> None:
        self.completed.append((self.role, self.now))
        volume, rate = self.programmes.get("primary", (0.0, 0.0))
        if self.role == "secondary" and self.given.get("primary", inf) < volume - TINY:
            self.role, self.rate = "primary", rate
        else:
            self.counting = False
            self.rate = min(self.rate, self.keep_open)


def _blended(pieces: list[Piece]) -> Piece:
    total = sum(volume for _, volume in pieces)
    drug = sum(share * volume for share, volume in pieces)
    return (drug / total if total else 0.0, total)


def gravity_flow(
    *,
    container_mm: float,
    site_mm: float,
    vein_pressure: float,
    resistance: float,
    opening: Fraction,
    clamp_resistance: Fraction,
    vacuum_mmhg: float = 0.0,
) -> float:
    """Flow by height alone in mL/h: driving pressure over all resistance in its way.

    Resistances are counted in whole millionths of a mmHg per (mL/h).
    """
    drive = MMHG_PER_MM * (container_mm - site_mm) - vein_pressure - vacuum_mmhg
    return max(0.0, drive / (resistance + clamp_at(opening, clamp_resistance)))


def clamp_at(opening: Fraction, resistance: Fraction) -> float:
    """Of a roller clamp at an opening, in whole millionths."""
    return floor(resistance * (1 / opening**2 - 1) * 1_000_000) / 1e6

"""How a line goes on from the state's moment: what the script needs to move it.

Between two events a line's course is known. It is given to the script as points to draw
straight lines through; where it bends, they lie close. Nothing is decided by the script.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical.rounding import format_number, round_half_up
from trainer.engine import drive, view
from trainer.engine.downstream import out_law, per_mmhg
from trainer.engine.figures import MOTES_PER_UL
from trainer.engine.law import Law
from trainer.engine.path import flowing_inlet_of, is_open_above
from trainer.engine.state import Line, State
from trainer.engine.upstream import feeds
from trainer.terms import Drive

HOUR_MS = 3_600_000
PER_TAU = 8
"""Points for each time constant. Chosen by us: between them the line bends by no pen's width."""
TAUS = 5
"""Time constants until a bend counts as straight: less than 1 % is left."""

SOON_MS = 30_000
"""What pressure does within this is what it is said to do. Chosen by us."""

TENTH = Fraction(1, 10)


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """So long after the state's moment: what has passed the pump, and left the line's end."""

    after_ms: int
    passed: int
    out: int
    pressure_mmhg: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """A line's course, and what each inlet gives, in microlitres an hour."""

    points: tuple[Point, ...]
    primary_ul_h: int
    secondary_ul_h: int
    is_open_above: bool

    @property
    def trend(self) -> str:
        """Whether the pressure is rising, falling or steady."""
        first = self.points[0].pressure_mmhg
        then = next(one.pressure_mmhg for one in self.points if one.after_ms >= SOON_MS)
        if abs(then - first) < TENTH:
            return "steady"
        return "rising" if then > first else "falling"

    @property
    def source(self) -> str:
        """Where the fluid comes from: primary, secondary, both; `back` runs up the primary.

        Empty where nothing can come, because the way above is shut.
        """
        if not self.is_open_above:
            return ""
        if self.primary_ul_h < 0:
            return "back"
        if self.primary_ul_h and self.secondary_ul_h:
            return "both"
        return "secondary" if self.secondary_ul_h else "primary"

    @property
    def as_data(self) -> str:
        """For the script: `ms:passed:out:mmHg` in microlitres, point by point."""
        return ";".join(
            f"{one.after_ms}:{one.passed // MOTES_PER_UL}:{one.out // MOTES_PER_UL}:"
            f"{format_number(round_half_up(one.pressure_mmhg, TENTH), plain=True)}"
            for one in self.points
        )


def motion(state: State, number: int) -> Motion:
    """How line `number` goes on if nothing happens."""
    line = state.line(number)
    through = drive.through_law(state, line)
    by_gravity = not line.pump.rate_ul_h and through.moves
    out = out_law(state.access, line, through, by_gravity=by_gravity)
    flow = drive.flow_ul_h(state, line)
    given = feeds(state.containers, line, flow)
    return Motion(
        points=_points(state, line, through, out),
        primary_ul_h=given.primary_ul_h,
        secondary_ul_h=given.secondary_ul_h,
        is_open_above=is_open_above(line, flowing_inlet_of(state.containers, line)),
    )


def _points(state: State, line: Line, through: Law, out: Law) -> tuple[Point, ...]:
    has_pump = line.drive is not Drive.GRAVITY
    now = Fraction(view.pressure_mmhg(state, line.number)) if has_pump else Fraction(0)
    gives = per_mmhg(state.figures, line)
    found = []
    for after_ms in _moments(through, out):
        passed, left = through.volume(after_ms), out.volume(after_ms)
        pressure = now + Fraction(passed - left, gives) if has_pump else Fraction(0)
        found.append(Point(after_ms=after_ms, passed=passed, out=left, pressure_mmhg=pressure))
    return tuple(found)


def _moments(*laws: Law) -> tuple[int, ...]:
    """The moments at which a course bends, and enough of them where it is curved."""
    found = {0, HOUR_MS}
    for law in laws:
        begins = -(-law.short // law.rate_ul_h) if law.short and law.rate_ul_h else 0
        found.add(begins)
        if law.tau_ms:
            steps = range(PER_TAU * TAUS + 1)
            found |= {begins + law.tau_ms * step // PER_TAU for step in steps}
    return tuple(sorted(found))

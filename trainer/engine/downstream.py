"""Below the pump: what the tubing stores, what holds it back, its pressure, what leaves it.

The tubing gives way like a spring. It stores S motes beyond its size; at rest it would
store S0 (`Line.rest`, moved by heights and by the vein's pressure); the excess E = S - S0
makes the pressure. With the compliance C (motes per mmHg):

* open: what is missing (E < 0) is made up first, then as much leaves as comes;
* blocked: E grows with the pump, p = p_vein + p_tissue + E / C;
* narrowed by a resistance R: E / tau leaves, tau = R C, so E tends to Q tau and the
  pressure to p_vein + p_tissue + R Q.

Volumes are motes, pressures millionths of a mmHg, rates microlitres per hour.

Source: dp/dt = Q / C of a closed elastic line; the alarm times of the Korean Journal of
Anesthesiology 2014;66:300-305 hold it to account in the tests.
"""

from __future__ import annotations

from fractions import Fraction
from math import ceil, floor

from trainer.engine.copying import changed
from trainer.engine.figures import U_MMHG_PER_MM, U_PER_ONE, Figures, SyringeFigures
from trainer.engine.law import STANDING, Law
from trainer.engine.path import is_tubing_open_below
from trainer.engine.state import AccessState, Line
from trainer.engine.tubing import Plugs, joined, split, volume_of
from trainer.terms import Drive, Site

Accesses = tuple[AccessState, ...]


def access_at(accesses: Accesses, line: Line) -> AccessState | None:
    """The catheter that a line runs into, connected or not."""
    for access in accesses:
        if access.id == line.access:
            return access
    return None


def is_open_below(accesses: Accesses, line: Line) -> bool:
    """Whether fluid can go from the pump to the end of the line, and on from there."""
    if not is_tubing_open_below(line):
        return False
    if not line.connected:
        return True
    for access in accesses:
        if access.id == line.access:
            return access.site is not Site.BLOCKED
    return True


def is_plain(line: Line) -> bool:
    """Whether as much leaves the line as its pump moves, with nothing to be made up."""
    return line.stored == line.rest and not line.narrowed_ms and not line.slack


# --- what is stored -----------------------------------------------------------------


def excess(line: Line) -> int:
    """What the line stores beyond its rest; below zero: what must be made up first."""
    return line.stored - line.rest


def syringe_of(figures: Figures, line: Line) -> SyringeFigures | None:
    """The figures of the syringe on a line; None on other lines, or without a syringe."""
    if line.drive is Drive.SYRINGE:
        for one in figures.hydraulics.syringes:
            if one.supply == line.primary.container:
                return one
    return None


def per_mmhg(figures: Figures, line: Line) -> Fraction:
    """Compliance below the pump in motes per mmHg; of a syringe line, as its size gives it.

    The published figures for syringes are of the whole: barrel, plunger, mechanism and line.
    """
    syringe = syringe_of(figures, line)
    return syringe.per_mmhg if syringe else figures.hydraulics.below_per_mmhg


def rest_moved(figures: Figures, line: Line, *, pressure_u: int = 0, rise_mm: int = 0) -> Line:
    """The line after its rest moved: C x (change of pressure at its end, seen at the pump).

    Args:
        figures: the ward's compliances.
        line: a line with a pump; a gravity line stores nothing that matters.
        pressure_u: how much the vein's pressure rose.
        rise_mm: how much the line's end rose against the pump; a syringe raised is a
            negative rise.
    """
    if line.drive is Drive.GRAVITY:
        return line
    change_u = pressure_u + rise_mm * U_MMHG_PER_MM
    moved = floor(abs(change_u) * per_mmhg(figures, line) / U_PER_ONE)
    rest = line.rest + (moved if change_u > 0 else -moved)
    return changed(line, rest=max(rest, -line.below_size))


def narrowing_ms(figures: Figures, line: Line, resistance_u: int) -> int:
    """Time constant of a narrowing in milliseconds: tau = R C, at least 1.

    R in millionths of a mmHg per (mL/h), C in motes per mmHg; one mote is a microlitre per
    hour for a millisecond, so R C / 10^9 are milliseconds.
    """
    return max(1, floor(resistance_u * per_mmhg(figures, line) / (1_000 * U_PER_ONE)))


# --- what leaves --------------------------------------------------------------------


def out_law(accesses: Accesses, line: Line, through: Law, *, by_gravity: bool = False) -> Law:
    """What will have left the line's end after a while, if `through` passes the pump.

    By gravity a narrowing has taken its part of the flow already (`engine.drive`).
    """
    if not is_open_below(accesses, line):
        return STANDING
    beyond = line.stored - line.rest
    missing = -beyond if beyond < 0 else 0
    if line.narrowed_ms and not by_gravity:
        return Law(
            through.rate_ul_h,
            short=through.short + missing,
            dying=max(0, beyond),
            tau_ms=line.narrowed_ms,
            builds_up=True,
        )
    if not missing:
        return through
    return Law(through.rate_ul_h, through.short + missing, through.dying, through.tau_ms)


def pressed(line: Line, passed: Plugs, out_volume: int) -> tuple[Line, Plugs]:
    """The line after this went in below the pump and so much left its end; what left."""
    came = volume_of(passed)
    if (
        came == out_volume
        and len(line.below) == 1
        and len(passed) == 1
        and line.below[0].fluid == passed[0].fluid
    ):
        return line, passed
    out, below = split(joined(line.below, passed), out_volume)
    return changed(line, below=below, stored=line.stored + came - volume_of(out)), out


def let_go(line: Line, volume: int) -> tuple[Line, Plugs]:
    """What stood under pressure below the pump let go at the line's end."""
    out, rest = split(line.below, volume)
    return changed(line, below=rest, stored=line.stored - volume_of(out)), out


def released(accesses: Accesses, line: Line) -> int:
    """What leaves at once because the way is open and nothing narrows it."""
    beyond = line.stored - line.rest
    if beyond <= 0 or line.narrowed_ms or not is_open_below(accesses, line):
        return 0
    return min(beyond, volume_of(line.below))


# --- pressures ----------------------------------------------------------------------


def tissue_u(figures: Figures, access: AccessState | None, more: int = 0) -> int:
    """What swollen tissue presses back with, after `more` has gone into it.

    p = volume / compliance, up to the ward's most: too little to tell an infiltration by.
    """
    if access is None or access.site is not Site.INFILTRATED:
        return 0
    hydraulics = figures.hydraulics
    pressure_u = (access.tissue + more) * U_PER_ONE // hydraulics.tissue_per_mmhg
    return min(hydraulics.tissue_most_u, pressure_u)


def tissue_room(figures: Figures, accesses: Accesses, line: Line, rise_u: int) -> int | None:
    """What must still go into swollen tissue to raise its pressure so much; None if never."""
    access = access_at(accesses, line)
    if access is None or access.site is not Site.INFILTRATED:
        return None
    wanted_u = tissue_u(figures, access) + rise_u
    if wanted_u > figures.hydraulics.tissue_most_u:
        return None
    return -(-wanted_u * figures.hydraulics.tissue_per_mmhg // U_PER_ONE) - access.tissue


def catheter_u(figures: Figures, line: Line) -> int:
    """Resistance of the catheter that a line runs into."""
    for access, resistance_u in figures.hydraulics.catheters_u:
        if access == line.access:
            return resistance_u
    return 0


def end_u(figures: Figures, accesses: Accesses, line: Line, flow_ul_h: int) -> int:
    """Pressure at the catheter's hub: the vein's, the tissue's, and R x what flows there.

    `flow_ul_h` is what runs through the catheter from every line that shares it.
    """
    access = access_at(accesses, line)
    vein_u = figures.hydraulics.start_u if access is None else access.pressure_u
    flowing_u = catheter_u(figures, line) * flow_ul_h // 1_000 if flow_ul_h else 0
    return vein_u + flowing_u + tissue_u(figures, access)


def may_press(figures: Figures, accesses: Accesses, line: Line, rate_ul_h: int) -> bool:
    """Whether an open line's own flow might reach the alarm's pressure: rarely, and cheaply told.

    A shared catheter may, whatever this line's flow.
    """
    hydraulics = figures.hydraulics
    if line.access in hydraulics.shared:
        return True
    access = access_at(accesses, line)
    vein_u = hydraulics.start_u if access is None else access.pressure_u
    most_u = vein_u + hydraulics.tissue_most_u + catheter_u(figures, line) * rate_ul_h // 1_000
    return most_u >= hydraulics.alarm_u


def limit_of_excess(figures: Figures, line: Line, hub_u: int) -> int:
    """The excess that raises the pressure from the hub's to the alarm: E = C (p_alarm - p).

    Source: reference rows OCC-02, OCC-16 and their like (t = C dp / Q), in the tests.
    """
    rise_mmhg = figures.hydraulics.alarm_mmhg - Fraction(hub_u, U_PER_ONE)
    return ceil(rise_mmhg * per_mmhg(figures, line))

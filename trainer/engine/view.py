"""Read-outs of a state, for pages and scoring. Exact; nothing here changes anything."""

from __future__ import annotations

from fractions import Fraction

from trainer.engine import drive, drops, power, site
from trainer.engine.amounts import MOTES_PER_ML, ml_from_motes, time_to_move
from trainer.engine.blend import volumes_of
from trainer.engine.carry import moves_by_itself, reaches_vein
from trainer.engine.counting import infused, programme_of
from trainer.engine.downstream import excess, out_law, per_mmhg
from trainer.engine.drive import end_pressure_u, through_law
from trainer.engine.figures import MOTES_PER_UL, U_PER_ONE
from trainer.engine.flow import is_steady, moved
from trainer.engine.heads import Feeds, vacuum_u
from trainer.engine.path import container_at, feeds, flowing_inlet_of, flowing_role
from trainer.engine.physics.compartment import per_litre, quantised
from trainer.engine.state import Inlet, Line, Plug, State
from trainer.engine.tubing import Plugs, volume_of_air
from trainer.terms import AIR, Role

__all__ = ["infused", "programme_of"]


def flow_ul_h(state: State, line_number: int) -> int:
    """Flow out of the line's end now, in microlitres per hour: into the vein if it is patent.

    Nothing while something missing is made up first; through a narrowing what its pressure
    drives.
    """
    line = state.line(line_number)
    through = through_law(state, line)
    by_gravity = not line.pump.rate_ul_h and through.moves
    return out_law(state.access, line, through, by_gravity=by_gravity).now_ul_h


def vein_flow_ul_h(state: State, line_number: int) -> int:
    """Flow that truly reaches the vein now, in microlitres per hour."""
    is_in_vein = reaches_vein(state, state.line(line_number))
    return flow_ul_h(state, line_number) if is_in_vein else 0


def vein_plugs(state: State, line_number: int, until_ms: int) -> Plugs:
    """What the line brings into the vein until then, if nothing happens in between."""
    line = state.line(line_number)
    elapsed_ms = until_ms - state.as_of_ms
    if elapsed_ms <= 0 or state.ended or not reaches_vein(state, line):
        return ()
    rate = line.pump.rate_ul_h
    if not rate and not moves_by_itself(state, line):
        return ()
    source = is_steady(state.containers, state.access, line) if rate else None
    if source is not None and source.left >= rate * elapsed_ms:
        return (Plug(source.fluid, rate * elapsed_ms),)
    through = through_law(state, line)
    return moved(state, state.containers, line, through, elapsed_ms)[2]


def drops_per_min(state: State, line_number: int, role: Role = Role.PRIMARY) -> Fraction:
    """How many drops a minute fall in one of a line's chambers."""
    return drops.drops_per_min(state, state.line(line_number), role)


def flowing_role_of(state: State, line_number: int) -> Role:
    """Which inlet gives the fluid when the pump of this line runs."""
    return flowing_role(state.containers, state.line(line_number))


def flowing_inlet(state: State, line_number: int) -> Inlet:
    """The inlet that gives the fluid when the pump of this line runs."""
    return flowing_inlet_of(state.containers, state.line(line_number))


def pressure_mmhg(state: State, line_number: int) -> Fraction:
    """Pressure below the pump: the catheter's end, the flow there, and excess / compliance.

    Shut off by its own clamp or block, a line sees what it stores and nothing beyond.
    """
    line = state.line(line_number)
    at_end = Fraction(end_pressure_u(state, line), U_PER_ONE)
    beyond = excess(line)
    return at_end + beyond / per_mmhg(state.figures, line) if beyond else at_end


def suction_mmhg(state: State, line_number: int) -> Fraction:
    """How far the pressure above the pump lies below resting.

    Drawn / compliance of the tubing, and the vacuum of the closed bottle that gives fluid.
    """
    drawn_ul = Fraction(state.line(line_number).drawn, MOTES_PER_UL)
    container = container_at(state.containers, flowing_inlet(state, line_number))
    vacuum = Fraction(vacuum_u(container) if container else 0, U_PER_ONE)
    return drawn_ul / state.scenario.policy.pump.compliance_above_ul_per_mmhg + vacuum


def feeds_of(state: State, line_number: int) -> Feeds:
    """What each inlet gives now; the primary's is negative where fluid runs up into it."""
    line = state.line(line_number)
    return feeds(state.containers, line, drive.flow_ul_h(state, line))


def remaining(line: Line) -> int:
    """What is left of the running programme, in motes; 0 without one."""
    programme, given = programme_of(line.pump)
    return max(0, programme.volume - given) if programme else 0


def time_remaining_ms(line: Line) -> int | None:
    """How long the rest of the running programme takes; None if it stands or has none."""
    rate = line.pump.rate_ul_h
    return time_to_move(remaining(line), rate) if rate and remaining(line) else None


def air_ml(line: Line) -> Fraction:
    """Air in the line from the join to its end, in mL."""
    return ml_from_motes(volume_of_air((*line.above, *line.below)))


def battery_left_ms(state: State, line_number: int) -> int:
    """How long the pump's battery would last from now, in milliseconds."""
    return power.left_ms(state, state.line(line_number))


def tissue_ml(state: State, access_id: str) -> Fraction:
    """What has gone into the tissue at a catheter, in mL."""
    access = site.access_state(state, access_id)
    return ml_from_motes(access.tissue) if access else Fraction(0)


def grade(state: State, access_id: str) -> int:
    """The grade of the infiltration or phlebitis that truly is at a catheter; 0 if none."""
    access = site.access_state(state, access_id)
    return site.grade_of(state, access) if access else 0


def residual(line: Line) -> tuple[tuple[str, int], ...]:
    """What lies in a line's chambers and tubing, in motes of each pure fluid.

    After an intermittent dose this is what of it stays in the set; a flush delivers it.
    """
    found: dict[str, int] = {}
    lying: Plugs = (*line.above, *line.below)
    for inlet in (line.primary, line.secondary):
        if inlet is not None:
            lying += (*inlet.contents, Plug(inlet.chamber_fluid, inlet.chamber))
    for plug in lying:
        if plug.fluid != AIR and plug.volume:
            for fluid, volume in volumes_of(plug.fluid, plug.volume):
                found[fluid] = found.get(fluid, 0) + volume
    return tuple(sorted(found.items()))


def in_vein_ml(state: State) -> Fraction:
    """All fluid that has reached the vein, in mL."""
    return Fraction(sum(volume for _, volume in state.ledger.vein), MOTES_PER_ML)


def drug_level_per_l(state: State, drug: str, step: Fraction) -> tuple[Fraction, str]:
    """A drug's concentration in the body, to the nearest `step`, and its unit.

    The state must have been carried to the moment that is asked for.
    """
    return _per_l(state, drug, step, of_site=False)


def effect_site_per_l(state: State, drug: str, step: Fraction) -> tuple[Fraction, str]:
    """A drug's concentration where it acts; that of the body for a drug without such a site."""
    return _per_l(state, drug, step, of_site=True)


def _per_l(state: State, drug: str, step: Fraction, *, of_site: bool) -> tuple[Fraction, str]:
    for one, figures in zip(state.drugs, state.figures.substances, strict=True):
        if one.drug == drug:
            amount = one.site if of_site and figures.has_site else one.amount
            return quantised(per_litre(amount, figures.volume_l), step), f"{figures.unit}/L"
    return Fraction(0), ""

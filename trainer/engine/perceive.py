"""What each look shows: one or a few sentences, from the truth and nothing else."""

from __future__ import annotations

from fractions import Fraction

from trainer.clinical.rounding import format_number, round_half_up
from trainer.engine import signs
from trainer.engine.amounts import ml_from_motes
from trainer.engine.heads import primary_height_mm
from trainer.engine.meeting import clash
from trainer.engine.path import container_at, inlet_of
from trainer.engine.power import has_pump
from trainer.engine.site import access_state
from trainer.engine.state import Container, Inlet, Line, State
from trainer.engine.tubing import volume_of_air
from trainer.terms import Drive, Role

FULLY_OPEN = 1_000


def patient_text(state: State) -> str:
    """The signs that a look shows, as they are now."""
    units = {sign.name: sign.unit for sign in state.scenario.patient.signs}
    seen = [
        f"{name} {value} {units.get(name, '')}".strip()
        for name, value in signs.seen_at_a_look(state)
    ]
    text = "; ".join(seen) or "nothing out of the ordinary"
    return f"{state.scenario.patient.name}: {text}."


def supply_text(state: State, container: Container) -> str:
    """What a look over a container shows: its label, and what is wrong with it if anything."""
    supply = next(one for one in state.scenario.supplies if one.id == container.supply)
    looks = supply.looks or "It is clear, whole and in date."
    return f"The label reads: {supply.label}. {looks}"


def container_text(state: State, line: Line) -> str:
    """What hangs on a line, how much is left, and how full the chambers are."""
    parts = [_inlet_text(state, line, role) for role in Role if inlet_of(line, role) is not None]
    return " ".join(parts)


def _inlet_text(state: State, line: Line, role: Role) -> str:
    inlet = inlet_of(line, role) or line.primary
    container = container_at(state.containers, inlet)
    name = role.value.capitalize()
    if container is None:
        return f"{name}: no container hangs; {_chamber(inlet)}."
    label = next(one.label for one in state.scenario.supplies if one.id == container.supply)
    left = _ml(container.left)
    low = ", hung low" if role is Role.PRIMARY and line.primary_lowered else ""
    spiked = "" if inlet.spiked else ", not spiked"
    closed = ", its air inlet closed" if container.rigid and not container.vented else ""
    told = f"{name}: {label}, about {left} mL left{spiked}{low}{closed}{_height(state, line, role)}"
    return f"{told}; {_chamber(inlet)}." if inlet.chamber_size else f"{told}."


def _height(state: State, line: Line, role: Role) -> str:
    """How high it hangs over the catheter, where that matters and shows."""
    has_two = line.secondary is not None and line.secondary.container
    if line.drive is Drive.PUMP and not has_two:
        return ""
    inlet = inlet_of(line, role) or line.primary
    top_mm = primary_height_mm(line) if role is Role.PRIMARY else inlet.height_mm
    access = access_state(state, line.access)
    above_cm = Fraction(top_mm - (access.height_mm if access else 0), 10)
    where = "above" if above_cm >= 0 else "below"
    return f", {format_number(round_half_up(abs(above_cm), Fraction(1)))} cm {where} the catheter"


def _chamber(inlet: Inlet) -> str:
    if not inlet.chamber:
        return "the drip chamber is empty"
    return "the drip chamber is " + (
        "filled" if inlet.chamber * 2 >= inlet.chamber_size else "almost empty"
    )


def _ml(motes: int) -> str:
    """A volume as the eye reads it from a container: whole millilitres."""
    ml = ml_from_motes(motes)
    return format_number(round_half_up(ml, Fraction(1)))


def line_text(state: State, line: Line) -> str:
    """What hand and eye find along a line: what is closed, bent, open or full of air."""
    found = [*_clamps(line), *_blocks(line), *_met(state, line), *_air(line), *_ends(line)]
    if not found:
        return "From container to vein nothing is bent, closed or loose."
    return f"From container to vein: {'; '.join(found)}."


def _clamps(line: Line) -> list[str]:
    found = []
    if not line.primary.clamp_open:
        found.append("the primary clamp is closed")
    elif line.primary.opening < FULLY_OPEN:
        found.append("the roller clamp is partly open")
    if line.secondary is not None and line.secondary.container and not line.secondary.clamp_open:
        found.append("the secondary clamp is closed")
    if not line.patient_clamp_open:
        found.append("the patient clamp is closed")
    return found


def _blocks(line: Line) -> list[str]:
    held = (line.blocked_above, line.blocked_below, line.narrowed_below)
    return [reason.rstrip(".") for reason in held if reason]


def _met(state: State, line: Line) -> list[str]:
    """What shows where fluids met that must not, unless it is what blocks the line."""
    rules = [clash(state.scenario, first, second) for first, second in line.fluids_met]
    looks = [rule.looks.rstrip(".") for rule in rules if rule is not None and rule.looks]
    return [seen for seen in dict.fromkeys(looks) if seen != line.blocked_below.rstrip(".")]


def _air(line: Line) -> list[str]:
    found = []
    if volume_of_air((*line.above, *line.primary.contents)):
        found.append("there is air in the tubing above the pump")
    if volume_of_air(line.below):
        found.append("there is air in the tubing below the pump")
    secondary = line.secondary
    if secondary is not None and secondary.container and volume_of_air(secondary.contents):
        found.append("there is air in the secondary tubing")
    return found


def _ends(line: Line) -> list[str]:
    found = []
    if line.secondary is not None and line.secondary.container and not line.secondary.joined:
        found.append("the secondary is not on the port")
    if line.set_slipped:
        found.append("the set lies wrong in the pump")
    elif has_pump(line) and not line.loaded:
        what = "syringe" if line.drive is Drive.SYRINGE else "set"
        found.append(f"the {what} is not in the pump")
    if has_pump(line) and not line.plugged_in:
        found.append("the pump's plug is out of the mains")
    if not line.connected:
        found.append("the line is not connected to the patient")
    return found

"""What each look shows: one or a few sentences, from the truth and nothing else."""

from __future__ import annotations

from fractions import Fraction

from trainer.clinical.rounding import format_number, round_half_up
from trainer.engine.amounts import ml_from_motes
from trainer.engine.path import container_at, inlet_of
from trainer.engine.state import AccessState, Container, Inlet, Line, State
from trainer.engine.tubing import volume_of_air
from trainer.scenario.model import Access
from trainer.terms import Role, Site

SITES = {
    Site.PATENT: "dry and flat, the skin warm and of its usual colour",
    Site.INFILTRATED: "swollen around the catheter, the skin cool, pale and tight",
    Site.DISLODGED: "wet under the dressing; the catheter has come out of the vein",
}


def site_text(state: State, access: AccessState) -> str:
    """How a site looks and feels."""
    spec = next((one for one in state.scenario.patient.access if one.id == access.id), None)
    return f"{_access_name(spec, access)}: {SITES[access.site]}."


def _access_name(spec: Access | None, access: AccessState) -> str:
    name = spec.name if spec is not None else access.id
    return name[:1].upper() + name[1:]


def patient_text(state: State) -> str:
    """The signs as they are now."""
    units = {sign.name: sign.unit for sign in state.scenario.patient.signs}
    seen = [f"{name} {value} {units.get(name, '')}".strip() for name, value in state.signs]
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
    return f"{name}: {label}, about {left} mL left{spiked}{low}; {_chamber(inlet)}."


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
    found = [*_clamps(line), *_blocks(line), *_air(line), *_ends(line)]
    if not found:
        return "From container to vein nothing is bent, closed or loose."
    return f"From container to vein: {'; '.join(found)}."


def _clamps(line: Line) -> list[str]:
    found = []
    if not line.primary.clamp_open:
        found.append("the primary clamp is closed")
    if line.secondary is not None and line.secondary.container and not line.secondary.clamp_open:
        found.append("the secondary clamp is closed")
    if not line.patient_clamp_open:
        found.append("the patient clamp is closed")
    return found


def _blocks(line: Line) -> list[str]:
    return [reason.rstrip(".") for reason in (line.blocked_above, line.blocked_below) if reason]


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
    if not line.loaded:
        found.append("the set is not in the pump")
    if not line.connected:
        found.append("the line is not connected to the patient")
    return found

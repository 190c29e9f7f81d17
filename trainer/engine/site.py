"""A catheter's site: whether fluid reaches the vein, and how bad it looks.

What fluid has gone into the tissue makes an infiltration's grade; the pressure there says
little about it. What is true is computed here; what has been seen of it is kept in the
state by whoever looked.

Sources: the grades are those of the Infusion Nurses Society's infiltration scale (0 to 4;
any amount of a vesicant is grade 4) and phlebitis scale (0 to 4). From which volume a
grade is reached is the ward's teaching data (`scenario.model.Hydraulics.grades_ml`).
"""

from __future__ import annotations

from trainer.engine import blend
from trainer.engine.amounts import MOTES_PER_ML
from trainer.engine.copying import changed
from trainer.engine.state import AccessState, State
from trainer.engine.tubing import Plugs
from trainer.scenario.model import Access
from trainer.terms import AIR, Site

IN_VEIN = (Site.PATENT, Site.PHLEBITIS)
"""Sites through which fluid reaches the vein."""

WORST = 4
"""The highest grade of both scales."""


def access_state(state: State, access_id: str) -> AccessState | None:
    """The catheter of that id, as it is."""
    return next((one for one in state.access if one.id == access_id), None)


def access_spec(state: State, access_id: str) -> Access | None:
    """The catheter of that id, as the author wrote it."""
    return next((one for one in state.scenario.patient.access if one.id == access_id), None)


def with_access(state: State, access: AccessState) -> State:
    """The state with this catheter in the place of its older self."""
    kept = tuple(access if one.id == access.id else one for one in state.access)
    return changed(state, access=kept)


def with_tissue(access: tuple[AccessState, ...], which: str, out: Plugs) -> tuple[AccessState, ...]:
    """The catheters after this has left one of them, if its fluid goes into the tissue."""
    return tuple(_swollen(one, out) if one.id == which else one for one in access)


def _swollen(access: AccessState, out: Plugs) -> AccessState:
    if access.site is not Site.INFILTRATED:
        return access
    volume, fluids = access.tissue, access.tissue_fluids
    for plug in blend.pure(out):
        if plug.fluid != AIR:
            volume += plug.volume
            if plug.fluid not in fluids:
                fluids = (*fluids, plug.fluid)
    if volume == access.tissue:
        return access
    return changed(access, tissue=volume, tissue_fluids=fluids)


def swelling(state: State, access: AccessState) -> int:
    """The grade that the volume in the tissue alone makes, 1 to 4; 0 if nothing leaked.

    A grade that the author gave stands for what had gone in before it was told. The swelling
    stays when the catheter comes out.
    """
    if not is_swollen(access):
        return 0
    limits = state.scenario.policy.hydraulics.grades_ml
    reached = sum(1 for limit_ml in limits if access.tissue >= limit_ml * MOTES_PER_ML)
    return min(WORST, max(1, reached, access.grade))


def is_swollen(access: AccessState) -> bool:
    """Whether fluid leaks into the tissue, or had leaked when the catheter was taken out."""
    if access.site is Site.REMOVED:
        return bool(access.tissue or access.grade)
    return access.site is Site.INFILTRATED


def grade_of(state: State, access: AccessState) -> int:
    """The grade of the infiltration or phlebitis that truly is there, seen or not; else 0."""
    if access.site is Site.PHLEBITIS:
        return min(WORST, max(1, access.grade))
    if is_swollen(access) and has_vesicant(state, access):
        return WORST
    return swelling(state, access)


def has_vesicant(state: State, access: AccessState) -> bool:
    """Whether something that harms tissue is among what went into it."""
    return any(_is_vesicant(state, fluid) for fluid in access.tissue_fluids)


def _is_vesicant(state: State, fluid_id: str) -> bool:
    drug = next((one.drug for one in state.scenario.formulary.fluids if one.id == fluid_id), "")
    return any(one.id == drug and one.vesicant for one in state.scenario.formulary.drugs)

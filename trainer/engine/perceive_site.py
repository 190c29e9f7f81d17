"""How a catheter's site looks and feels, grade by grade, in plain words.

The extents and signs of the grades are those of the Infusion Nurses Society's scales of
infiltration and phlebitis; the wording is our own. A vesicant harms long before the
swelling is wide, so the skin tells of it beside the size of the swelling.
"""

from __future__ import annotations

from trainer.engine.site import access_spec, grade_of, has_vesicant, is_swollen, swelling
from trainer.engine.state import AccessState, State
from trainer.terms import Site

PLAIN = {
    Site.PATENT: "dry and flat, the skin warm and of its usual colour",
    Site.BLOCKED: "dry and flat; dark blood stands in the catheter and nothing passes it",
    Site.DISLODGED: "wet under the dressing; the catheter has come out of the vein",
    Site.REMOVED: "the catheter is out; a dry swab covers the place",
}

SWELLINGS = (
    "swollen around the catheter by less than 2.5 cm, the skin pale and cool",
    "swollen over a stretch of 2.5 to 15 cm, the skin pale and cool",
    "swollen over more than 15 cm, the skin pale, cool and glassy; "
    "it hurts when touched and feels partly numb",
    "swollen hard over more than 15 cm, the skin tight, bruised and weeping; "
    "a finger leaves a dent, and the blood returns slowly",
)
"""By the volume in the tissue, grade 1 to 4."""

HARMED = "where the fluid went in the skin is blotched and very painful"
"""Added where a vesicant is in the tissue."""

INFLAMED = (
    "red at the catheter",
    "red and painful at the catheter, slightly swollen",
    "red and painful, with a red streak and a vein that feels like a cord",
    "red and painful, with a cord longer than 2.5 cm and pus at the catheter",
)
"""Phlebitis, grade 1 to 4."""


def site_text(state: State, access: AccessState) -> str:
    """How a site looks and feels."""
    spec = access_spec(state, access.id)
    name = spec.name if spec is not None else access.id
    return f"{name[:1].upper()}{name[1:]}: {_looks(state, access)}."


def _looks(state: State, access: AccessState) -> str:
    if access.site is Site.PHLEBITIS:
        return INFLAMED[grade_of(state, access) - 1]
    if not is_swollen(access):
        return PLAIN[access.site]
    swollen = SWELLINGS[swelling(state, access) - 1]
    if access.site is Site.REMOVED:
        swollen = f"{PLAIN[access.site]}; it is still {swollen}"
    return f"{swollen}; {HARMED}" if has_vesicant(state, access) else swollen

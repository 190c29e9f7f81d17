"""The class that paints each fluid: plain ones alike, drugs apart, air as air.

A blend is painted as its drug, mixed; a word always stands beside a tone.
"""

from __future__ import annotations

from trainer.engine.blend import WHOLE, is_blend, name_of, parts_of
from trainer.scenario.model import Scenario
from trainer.terms import AIR

PLAIN = "fluid"
MIXED = "-mixed"


def tones(scenario: Scenario) -> dict[str, str]:
    """The tone of each pure fluid on the trolley, by its id."""
    found = {AIR: AIR}
    drugs: list[str] = []
    for supply in scenario.supplies:
        fluid = scenario.fluid(supply.fluid)
        if fluid.drug and fluid.id not in drugs:
            drugs.append(fluid.id)
        found[fluid.id] = PLAIN
    for place, fluid_id in enumerate(drugs):
        found[fluid_id] = "drug-a" if place % 2 == 0 else "drug-b"
    return found


def tone_of(paint: dict[str, str], fluid: str) -> str:
    """The tone of a fluid or a blend: of a blend that of the drug it holds most of, mixed."""
    if not is_blend(fluid):
        return paint.get(fluid, PLAIN)
    drugs = [(share, name) for name, share in parts_of(fluid) if is_drug(paint, name)]
    return f"{paint[max(drugs)[1]]}{MIXED}" if drugs else PLAIN


def is_drug(paint: dict[str, str], fluid: str) -> bool:
    """Whether a pure fluid is one of those painted apart."""
    return paint.get(fluid, PLAIN) not in (PLAIN, AIR)


def drug_share(paint: dict[str, str], fluid: str) -> int:
    """How much of a fluid is drug solution, in thousandths: of a blend, its drugs together."""
    share = sum(part for name, part in parts_of(fluid) if is_drug(paint, name))
    return share * 1_000 // WHOLE


def short_name(scenario: Scenario, fluid: str) -> str:
    """A fluid's name for a legend, where shares would be too much: `saline and glucose, mixed`."""
    if not is_blend(fluid):
        return name_of(scenario, fluid)
    names = sorted(scenario.fluid(name).name for name, _ in parts_of(fluid))
    return f"{' and '.join(names)}, mixed"

"""Checks of a formulary, the file of a ward's fluids and drugs.

For `trainer.scenario.load` alone.
"""

from __future__ import annotations

from typing import TypeVar

from trainer.scenario import schema_ward
from trainer.scenario.check_responses import check_circulation, check_drug
from trainer.scenario.places import Faults, listed, meant
from trainer.scenario.section import Section

S = TypeVar("S", bound=Section)


def check_formulary(
    faults: Faults, parts: dict[str, object], formulary: schema_ward.FormularyFile | None
) -> None:
    """Note every fault of a formulary beyond the shape of its keys."""
    fluids = _sections(parts, "fluids", schema_ward.Fluid)
    drugs = _sections(parts, "drugs", schema_ward.Drug)
    for section, of in (("fluids", "fluid"), ("drugs", "drug")):
        _refuse_repeats(faults, section, of)
    names = _written(faults, "drugs")
    for fluid in fluids:
        _check_fluid(faults, fluid, names)
    for drug in drugs:
        check_drug(faults, drug, fluids)
        for limit in drug.limits:
            _check_limit(faults, limit)
    circulation = parts.get("circulation")
    if isinstance(circulation, schema_ward.Circulation):
        check_circulation(faults, circulation)
    for pair in _sections(parts, "incompatible", schema_ward.Incompatible):
        _check_incompatible(faults, pair, (*_written(faults, "fluids"), *names))
    if formulary is not None and formulary.kind != "formulary":
        what = f"this is a {formulary.kind}, not a formulary"
        faults.add(("kind",), what, "write `kind: formulary`")


def _sections(parts: dict[str, object], key: str, kind: type[S]) -> list[S]:
    entries = parts.get(key)
    found = entries if isinstance(entries, list) else []
    return [entry for entry in found if isinstance(entry, kind)]


def _written(faults: Faults, section: str) -> tuple[str, ...]:
    entries = faults.document.at((section,))
    listed_entries = entries if isinstance(entries, list) else []
    return tuple(str(one["id"]) for one in listed_entries if isinstance(one, dict) and "id" in one)


def _refuse_repeats(faults: Faults, section: str, of: str) -> None:
    entries = faults.document.at((section,))
    seen: set[str] = set()
    for number, entry in enumerate(entries if isinstance(entries, list) else []):
        name = str(entry["id"]) if isinstance(entry, dict) and "id" in entry else ""
        if name and name in seen:
            place = (section, number, "id")
            faults.add(place, f"there is already a {of} `{name}`", "choose another name")
        seen.add(name)


def _check_fluid(faults: Faults, fluid: schema_ward.Fluid, drugs: tuple[str, ...]) -> None:
    if fluid.id == "air":
        faults.add((*fluid.place, "id"), "`air` always means air", "choose another name")
    if fluid.drug is not None and fluid.drug not in drugs:
        mend = meant(fluid.drug, drugs, of="drug")
        faults.add((*fluid.place, "drug"), f"there is no drug `{fluid.drug}`", mend)
    if (fluid.drug is None) != (fluid.strength is None):
        there, missing = ("strength", "drug") if fluid.drug is None else ("drug", "strength")
        what = f"`{there}` needs `{missing}`"
        faults.add((*fluid.place, there), what, f"add `{missing}:`, or leave both out", key=True)


def _check_incompatible(
    faults: Faults, pair: schema_ward.Incompatible, known: tuple[str, ...]
) -> None:
    """Both are fluids or drugs of this formulary, and are not the same."""
    for key, name in (("first", pair.first), ("second", pair.second)):
        if name not in known:
            what = f"there is no fluid or drug `{name}`"
            faults.add((*pair.place, key), what, meant(name, known, of="fluids and drug"))
    if pair.first == pair.second:
        what = f"`{pair.first}` always meets itself"
        faults.add((*pair.place, "second"), what, "name another fluid or drug")


def _check_limit(faults: Faults, limit: schema_ward.Limit) -> None:
    _check_ages(faults, limit)
    ends = [end for end in (limit.least, limit.most) if end is not None]
    if not ends:
        faults.add(limit.place, "a limit needs an end", f"add {listed(['least', 'most'])}")
    if limit.least is None or limit.most is None:
        return
    if limit.least.unit.dimensions != limit.most.unit.dimensions:
        faults.add((*limit.place, "most"), "the two ends differ in unit", "write both in one")
    elif limit.least.in_unit(limit.most.unit) > limit.most.value:
        faults.add((*limit.place, "most"), "this is less than the lower end", "swap the two")


def _check_ages(faults: Faults, limit: schema_ward.Limit) -> None:
    if limit.from_age is None or limit.below_age is None:
        return
    if limit.from_age.years >= limit.below_age.years:
        what = "no patient is of that age"
        faults.add((*limit.place, "below_age"), what, "write an age above `from_age`")

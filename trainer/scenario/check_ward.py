"""Checks of a ward's two files: the policy and the formulary.

For `trainer.scenario.check` alone.
"""

from __future__ import annotations

from typing import TypeVar

from trainer.scenario import schema
from trainer.scenario.places import Faults, listed, meant
from trainer.scenario.schema import Section
from trainer.terms import AlarmKind

S = TypeVar("S", bound=Section)

LONGEST_SOUND_PAUSE_MS = 120_000
"""Sound is paused for two minutes at most: IEC 60601-2-24, from memory."""


def check_policy(
    faults: Faults, parts: dict[str, object], policy: schema.PolicyFile | None
) -> None:
    """Note every fault of a policy beyond the shape of its keys."""
    pump = parts.get("pump")
    if isinstance(pump, schema.Pump):
        _check_pump(faults, pump)
    rows = parts.get("rounding")
    for row in rows if isinstance(rows, list) else ():
        _check_rounding(faults, row)
    written = faults.document.at(("priorities",))
    if isinstance(written, dict):
        for kind in AlarmKind:
            if kind not in written:
                what = f"the alarm `{kind}` has no priority"
                faults.add(("priorities",), what, f"add `{kind}: high`, medium or low", key=True)
    if policy is not None and policy.kind != "policy":
        faults.add(("kind",), f"this is a {policy.kind}, not a policy", "write `kind: policy`")


def _check_pump(faults: Faults, pump: schema.Pump) -> None:
    def refuse(key: str, what: str, mend: str) -> None:
        faults.add((*pump.place, key), what, mend)

    if pump.sound_pause > LONGEST_SOUND_PAUSE_MS:
        refuse("sound_pause", "sound is paused for two minutes at most", "write `2 min` or less")
    if pump.lowest_rate >= pump.highest_rate:
        refuse("highest_rate", "this is not above the lowest rate", "write a higher rate")
    for key in ("lowest_rate", "highest_rate", "keep_open_rate"):
        if (getattr(pump, key) / pump.rate_step).denominator != 1:
            refuse(key, "this is no multiple of the rate step", "write one that can be entered")
    if not pump.lowest_rate <= pump.keep_open_rate <= pump.highest_rate:
        what = "the KVO rate is outside of what the pump can run"
        refuse("keep_open_rate", what, "write one between the lowest and the highest rate")
    if pump.pressure_alarm <= pump.resting_pressure:
        what = "the alarm would sound in an open line"
        refuse("pressure_alarm", what, "write more than the resting pressure")


def _check_rounding(faults: Faults, row: schema.RoundingRow) -> None:
    if (row.to is None) == (row.digits is None):
        what = "a rounding is to a step or to digits, one of the two"
        faults.add(row.place, what, "add `to:` or `digits:`, and not both")
    if row.to is not None and row.to.value <= 0:
        faults.add((*row.place, "to"), "the step must be more than zero", "write a larger one")
    if row.digits is not None and not 1 <= row.digits <= 9:
        faults.add((*row.place, "digits"), f"{row.digits} digits make no sense", "write 1 to 9")
    if row.below is not None and row.to is not None and row.below.unit != row.to.unit:
        faults.add((*row.place, "below"), "`below` and `to` differ in unit", "write both in one")


def check_formulary(
    faults: Faults, parts: dict[str, object], formulary: schema.FormularyFile | None
) -> None:
    """Note every fault of a formulary beyond the shape of its keys."""
    fluids = _sections(parts, "fluids", schema.Fluid)
    drugs = _sections(parts, "drugs", schema.Drug)
    for section, of in (("fluids", "fluid"), ("drugs", "drug")):
        _refuse_repeats(faults, section, of)
    names = _written(faults, "drugs")
    for fluid in fluids:
        _check_fluid(faults, fluid, names)
    for drug in drugs:
        if (drug.half_life is None) != (drug.distribution is None):
            key = "half_life" if drug.distribution is None else "distribution"
            what = "a level needs both `half_life` and `distribution`"
            faults.add((*drug.place, key), what, "add the other one, or leave both out", key=True)
        for limit in drug.limits:
            _check_limit(faults, limit)
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


def _check_fluid(faults: Faults, fluid: schema.Fluid, drugs: tuple[str, ...]) -> None:
    if fluid.id == "air":
        faults.add((*fluid.place, "id"), "`air` always means air", "choose another name")
    if fluid.drug is not None and fluid.drug not in drugs:
        mend = meant(fluid.drug, drugs, of="drug")
        faults.add((*fluid.place, "drug"), f"there is no drug `{fluid.drug}`", mend)
    if (fluid.drug is None) != (fluid.strength is None):
        there, missing = ("strength", "drug") if fluid.drug is None else ("drug", "strength")
        what = f"`{there}` needs `{missing}`"
        faults.add((*fluid.place, there), what, f"add `{missing}:`, or leave both out", key=True)


def _check_limit(faults: Faults, limit: schema.Limit) -> None:
    ends = [end for end in (limit.least, limit.most) if end is not None]
    if not ends:
        faults.add(limit.place, "a limit needs an end", f"add {listed(['least', 'most'])}")
    if limit.least is None or limit.most is None:
        return
    if limit.least.unit.dimensions != limit.most.unit.dimensions:
        faults.add((*limit.place, "most"), "the two ends differ in unit", "write both in one")
    elif limit.least.in_unit(limit.most.unit) > limit.most.value:
        faults.add((*limit.place, "most"), "this is less than the lower end", "swap the two")

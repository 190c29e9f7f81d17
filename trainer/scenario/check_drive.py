"""Checks that what moves a line's fluid, a pump, a syringe or its height, fits the rest.

Here: the line's own keys, what hangs there, and the acts and happenings that need another
drive. For the checks of `trainer.scenario` alone.
"""

from __future__ import annotations

from trainer.scenario import schema
from trainer.scenario.case import Case
from trainer.scenario.places import listed
from trainer.scenario.section import Section
from trainer.terms import Clamp, Drive, Happening, Verb, Where

LACKED_ACTS: dict[Drive, tuple[Verb, ...]] = {
    Drive.PUMP: (Verb.ATTACH_SYRINGE,),
    Drive.SYRINGE: (
        Verb.HANG, Verb.SPIKE, Verb.OPEN_AIR_INLET, Verb.FILL_CHAMBER, Verb.LOWER_PRIMARY,
        Verb.RAISE_PRIMARY, Verb.TURN_CLAMP, Verb.COUNT_DROPS,
    ),
    Drive.GRAVITY: (
        Verb.ATTACH_SYRINGE, Verb.LOAD, Verb.UNLOAD, Verb.PLUG_IN, Verb.ENTER, Verb.START,
        Verb.STOP, Verb.RESET_ALARM,
    ),
}  # fmt: skip
"""Acts for which a line of that drive has nothing to do them with."""

LACKED_HAPPENINGS: dict[Drive, tuple[Happening, ...]] = {
    Drive.PUMP: (),
    Drive.SYRINGE: (Happening.VALVE_STICKS,),
    Drive.GRAVITY: (Happening.SET_SLIPS,),
}

INSTEAD = {
    Drive.PUMP: "leave it out, or write `drive: syringe` at the line",
    Drive.SYRINGE: "leave it out: a syringe is attached, loaded, entered and started",
    Drive.GRAVITY: "leave it out: the roller clamp is opened, turned and closed",
}
IN_WORDS = {
    Drive.PUMP: "is run by a pump on a set",
    Drive.SYRINGE: "is a syringe line",
    Drive.GRAVITY: "runs by gravity",
}


def check_lines_drive(case: Case, line: schema.Line) -> None:
    """Note each key of a line that does not fit its drive."""
    _check_parts(case, line)
    if line.drive is Drive.GRAVITY:
        _check_gravity(case, line)
    if line.drive is Drive.SYRINGE and line.opening is not None:
        what = "a syringe line has no roller clamp"
        case.refuse_key(line, "opening", what, "leave `opening` out")
    if not line.valve and line.tubing.port is None:
        what = "without a port there is no check valve"
        case.refuse_key(line, "valve", what, "add `port:` to the tubing, or leave `valve` out")
    if line.hung is not None:
        check_kind(case, line.hung, line, line.hung.supply)


def _check_parts(case: Case, line: schema.Line) -> None:
    """A set has a chamber and tubing above the pump, a syringe line has neither."""
    needed = ("chamber", "above", "drop_factor")
    if line.drive is not Drive.SYRINGE:
        for key in needed:
            if getattr(line.tubing, key) is None:
                mend = f"add `{key}:`, or write `drive: syringe` at the line"
                case.refuse(line.tubing, "", f"`{key}` is missing here", mend)
        return
    for key in (*needed, "port", "secondary", "secondary_chamber"):
        if getattr(line.tubing, key) is not None:
            what = f"a syringe line has no `{key}`"
            case.refuse_key(line.tubing, key, what, "leave it out; only `below` is needed")


def _check_gravity(case: Case, line: schema.Line) -> None:
    """Without a pump there is no rate, no volume and no battery, and the clamp says how fast."""
    if line.battery is not None:
        case.refuse_key(line, "battery", "a gravity line has no pump", "leave `battery` out")
    if not line.plugged_in:
        case.refuse_key(line, "plugged_in", "a gravity line has no pump", "leave it out")
    hung = line.hung
    if hung is None:
        return
    for key in ("rate", "volume"):
        if getattr(hung, key) is not None:
            what = f"`{key}` is entered at a pump, and this line runs by gravity"
            case.refuse_key(hung, key, what, "leave it out; `opening` of the line says how fast")
    if line.opening is None:
        what = "what hangs on a gravity line runs, as fast as its roller clamp lets it"
        case.refuse(line, "hung", what, "add `opening:` to the line, such as `12 %` or `0 %`")


def check_kind(case: Case, section: Section, line: schema.Line, supply_id: str) -> None:
    """A syringe line takes a syringe, and every other line a bag or a bottle."""
    supply = case.supply(supply_id)
    if supply is None or (supply.kind == "syringe") == (line.drive is Drive.SYRINGE):
        return
    what = f"`{supply.id}` is a {supply.kind}, and line {line.number} {IN_WORDS[line.drive]}"
    case.refuse(section, "supply", what, _mend_of_kind(line.drive))


def _mend_of_kind(drive: Drive) -> str:
    return "name a syringe" if drive is Drive.SYRINGE else "name a bag or a bottle"


def check_acts_drive(case: Case, section: schema.ActKeys, verb: Verb) -> None:
    """Note an act, or a clamp, that this drive of the line does not have."""
    line = case.line(section.line)
    if line is None:
        return
    if verb in LACKED_ACTS[line.drive]:
        what = f"line {line.number} {IN_WORDS[line.drive]}, so there is no `{verb}`"
        case.refuse(section, _verb_key(section), what, INSTEAD[line.drive])
        return
    if line.drive is Drive.SYRINGE and section.clamp in (Clamp.PRIMARY, Clamp.SECONDARY):
        what = f"line {line.number} is a syringe line: its one clamp is the patient's"
        case.refuse(section, "clamp", what, "write `clamp: patient`")
    if verb in (Verb.HANG, Verb.ATTACH_SYRINGE) and section.supply is not None:
        check_kind(case, section, line, section.supply)


def _verb_key(section: schema.ActKeys) -> str:
    return "after" if isinstance(section, schema.When) else "do"


def check_effects_drive(case: Case, effect: schema.Effect) -> None:
    """Note a happening that this drive of the line cannot have."""
    line = case.line(effect.line)
    if line is None:
        return
    if effect.happens in LACKED_HAPPENINGS[line.drive]:
        what = f"line {line.number} {IN_WORDS[line.drive]}, so there is no `{effect.happens}`"
        case.refuse(effect, "happens", what, "leave it out, or name another line")
    elif effect.happens is Happening.VALVE_STICKS and line.tubing.port is None:
        what = f"line {line.number} has no port, so no check valve"
        case.refuse(effect, "line", what, "add `port:` to the line's tubing")
    elif line.drive is Drive.SYRINGE and effect.where is Where.UPSTREAM:
        what = f"line {line.number} is a syringe line, with no tubing above its pump"
        case.refuse(effect, "where", what, "write `where: downstream`")


def check_sizes(case: Case) -> None:
    """Note each catheter and each syringe of which the policy does not know the size."""
    if case.policy is None:
        return
    hydraulics = case.policy.hydraulics
    gauges = [one.gauge for one in hydraulics.catheters]
    for access in case.patient.access if case.patient and gauges else ():
        if access.gauge is not None and access.gauge not in gauges:
            what = f"policy `{case.policy.id}` does not say how a {access.gauge} gauge flows"
            mend = f"write {listed(str(one) for one in gauges)}, or add it there"
            case.refuse(access, "gauge", what, mend)
    sizes = [one.size for one in hydraulics.syringes]
    for supply in case.every(schema.Supply, "supplies") if sizes else ():
        size = supply.size or supply.volume
        if supply.kind == "syringe" and size not in sizes:
            what = f"policy `{case.policy.id}` knows no syringe of this size"
            mend = f"write `size:` with {listed(f'{one} mL' for one in sizes)}, or add it there"
            case.refuse(supply, "size" if supply.size else "volume", what, mend)

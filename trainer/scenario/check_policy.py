"""Checks of a policy, the file of a ward's rules.

For `trainer.scenario.load` alone.
"""

from __future__ import annotations

from trainer.scenario import schema_ward
from trainer.scenario.kinds import ALL, USUAL_PRIORITIES
from trainer.scenario.places import Faults
from trainer.scenario.section import Section
from trainer.terms import AlarmKind

LONGEST_SOUND_PAUSE_MS = 120_000
"""Sound is paused for two minutes at most: IEC 60601-2-24, from memory."""


def check_policy(
    faults: Faults, parts: dict[str, object], policy: schema_ward.PolicyFile | None
) -> None:
    """Note every fault of a policy beyond the shape of its keys."""
    pump = parts.get("pump")
    if isinstance(pump, schema_ward.Pump):
        _check_pump(faults, pump)
        _check_battery(faults, pump)
    hydraulics = parts.get("hydraulics")
    if isinstance(hydraulics, schema_ward.Hydraulics):
        _check_hydraulics(faults, hydraulics)
    marking = parts.get("marking")
    if isinstance(marking, schema_ward.Marking):
        _check_marking(faults, marking)
    rows = parts.get("rounding")
    for row in rows if isinstance(rows, list) else ():
        _check_rounding(faults, row)
    written = faults.document.at(("priorities",))
    if isinstance(written, dict):
        for kind in AlarmKind:
            if kind not in written and kind not in USUAL_PRIORITIES:
                what = f"the alarm `{kind}` has no priority"
                faults.add(("priorities",), what, f"add `{kind}: high`, medium or low", key=True)
    if policy is not None and policy.kind != "policy":
        faults.add(("kind",), f"this is a {policy.kind}, not a policy", "write `kind: policy`")


def _check_pump(faults: Faults, pump: schema_ward.Pump) -> None:
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


def _check_marking(faults: Faults, marking: schema_ward.Marking) -> None:
    if marking.least_items < 1:
        what = f"{marking.least_items} items can show nothing"
        faults.add((*marking.place, "least_items"), what, "write 1 or more")
    if marking.harm_from < marking.watch_from:
        what = "an error would count as harm before it wants watching"
        faults.add((*marking.place, "harm_from"), what, "write at least `watch_from`")
    for purpose, bars in marking.bars.items():
        if not bars:
            what = f"no bar is set for `{purpose}`"
            faults.add((*marking.place, "bars", str(purpose)), what, f"add `{ALL}:` or a domain")


def _check_rounding(faults: Faults, row: schema_ward.RoundingRow) -> None:
    if (row.to is None) == (row.digits is None):
        what = "a rounding is to a step or to digits, one of the two"
        faults.add(row.place, what, "add `to:` or `digits:`, and not both")
    if row.to is not None and row.to.value <= 0:
        faults.add((*row.place, "to"), "the step must be more than zero", "write a larger one")
    if row.digits is not None and not 1 <= row.digits <= 9:
        faults.add((*row.place, "digits"), f"{row.digits} digits make no sense", "write 1 to 9")
    if row.below is not None and row.to is not None and row.below.unit != row.to.unit:
        faults.add((*row.place, "below"), "`below` and `to` differ in unit", "write both in one")


def _check_battery(faults: Faults, pump: schema_ward.Pump) -> None:
    """A battery is told low, then depleted, then it ends."""
    if pump.battery_low >= pump.battery:
        what = "a full battery would be told low at once"
        faults.add((*pump.place, "battery_low"), what, "write less than `battery`")
    if pump.battery_end > pump.battery_low:
        what = "the battery would be told depleted before it is told low"
        faults.add((*pump.place, "battery_end"), what, "write less than `battery_low`")


GRADES = 4


def _check_hydraulics(faults: Faults, hydraulics: schema_ward.Hydraulics) -> None:
    if hydraulics.hanger_drop >= hydraulics.container_height:
        what = "a lowered container would hang no higher than the patient"
        faults.add((*hydraulics.place, "hanger_drop"), what, "write less than `container_height`")
    grades = hydraulics.infiltration_grades
    if len(grades) != GRADES or sorted(set(grades)) != grades:
        what = f"there are {GRADES} grades, each beginning at a larger volume"
        mend = "write it so: `[0 mL, 5 mL, 20 mL, 50 mL]`"
        faults.add((*hydraulics.place, "infiltration_grades"), what, mend)
    for one in hydraulics.catheters:
        if one.gauge < 1:
            what = f"there is no {one.gauge} gauge"
            faults.add((*one.place, "gauge"), what, "write it as a whole number, such as 24")
    _refuse_repeats(faults, [(one, str(one.gauge)) for one in hydraulics.catheters], "gauge")
    _refuse_repeats(faults, [(one, str(one.size)) for one in hydraulics.syringes], "size")


def _refuse_repeats(faults: Faults, rows: list[tuple[Section, str]], key: str) -> None:
    seen: set[str] = set()
    for row, name in rows:
        if name in seen:
            what = f"this {key} stands in an earlier row already"
            faults.add((*row.place, key), what, "keep one of the two")
        seen.add(name)

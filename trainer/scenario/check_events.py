"""Checks of events: one trigger each, which can be met, and effects that are complete.

For `trainer.scenario.check` alone.
"""

from __future__ import annotations

from fractions import Fraction

from trainer.scenario import schema, schema_ward
from trainer.scenario.case import Case
from trainer.scenario.check_bedside import check_grade
from trainer.scenario.check_drive import check_effects_drive
from trainer.scenario.check_plans import check_keys_of_act, check_names_of_act
from trainer.scenario.check_signs import check_drift, check_sign_trigger
from trainer.scenario.places import listed
from trainer.terms import AlarmKind, Drive, Happening, Where

TRIGGERS = ("time", "given", "after", "alarm", "event", "sign", "by_hand")

EFFECT_KEYS: dict[Happening, tuple[tuple[str, ...], tuple[str, ...]]] = {
    Happening.LINE_BLOCKED: (("line", "where", "reason"), ("mend",)),
    Happening.LINE_FREED: (("line", "where"), ()),
    Happening.AIR_ENTERS: (("line", "volume"), ("where",)),
    Happening.CALL: (("who", "text"), ()),
    Happening.ORDER_GIVEN: (("order",), ()),
    Happening.ORDER_ENDED: (("order",), ()),
    Happening.SIGN_CHANGES: (("sign", "value"), ()),
    Happening.SITE_CHANGES: (("access", "site"), ("grade",)),
    Happening.LINE_NARROWS: (("line", "resistance", "reason"), ("mend",)),
    Happening.SIGN_DRIFTS: (("sign", "value", "half_time"), ()),
    Happening.ARM_MOVES: (("access", "height"), ()),
    Happening.VEIN_PRESSURE_CHANGES: (("access", "pressure"), ()),
    Happening.VALVE_STICKS: (("line",), ()),
    Happening.POWER_FAILS: ((), ()),
    Happening.POWER_RETURNS: ((), ()),
    Happening.SET_SLIPS: (("line",), ()),
    Happening.CUE: (("kind", "text"), ("step",)),
}
"""Which keys each happening must have and may have."""


def check_events(case: Case) -> None:
    """Note every fault of the events, their plans apart."""
    case.refuse_repeats(("events",), "id", "event")
    events = case.every(schema.Event, "events")
    for event in events:
        _check_trigger(case, event.when)
        _check_reach(case, event)
        if not event.effects and not case.faults.document.at((*event.place, "effects", 0)):
            what = f"event `{event.id}` does nothing"
            case.refuse(event, "effects", what, "add an effect, such as `happens: call`")
        for effect in event.effects:
            _check_effect(case, effect)
    _refuse_circles(case, events)


def _check_trigger(case: Case, when: schema.When) -> None:
    said = [key for key in TRIGGERS if getattr(when, key) is not None]
    if not said:
        case.refuse(
            when, "", "`when` does not say what brings the event", f"add one of {listed(TRIGGERS)}"
        )
        return
    for key in said[1:]:
        case.refuse_key(when, key, f"`{key}` and `{said[0]}` both bring the event", "keep one")
    if when.by_hand is False:
        case.refuse(when, "by_hand", "`by_hand: false` brings nothing", "write `by_hand: true`")
    if when.delay is not None and said[0] not in ("after", "alarm", "event"):
        mend = (
            f"leave it out, or put it into `{said[0]}`" if said[0] != "by_hand" else "leave it out"
        )
        case.refuse_key(when, "delay", f"`delay` does not go with `{said[0]}`", mend)
    check_sign_trigger(case, when)
    _check_trigger_keys(case, when, said[0])


def _check_trigger_keys(case: Case, when: schema.When, trigger: str) -> None:
    """Only `after` takes the keys of its act, and `given` a line and a role."""
    if when.after is not None and trigger == "after":
        check_keys_of_act(case, when, when.after)
        return
    takes = ("line", "role") if trigger == "given" else ("line",) if trigger == "alarm" else ()
    for name, _ in when.params():
        if name not in takes:
            case.refuse_key(when, name, f"`{name}` does not go with `{trigger}`", "leave it out")
    if trigger == "given" and when.line is None:
        case.refuse(when, "given", "`given` needs `line`", "add `line:` with its number")
    check_names_of_act(case, when)


def _check_reach(case: Case, event: schema.Event) -> None:
    """The event can come at all: in time, with the fluid there is, by these rules."""
    when = event.when
    if when.event is not None:
        case.known(when, "event", when.event, case.written("events"), "event")
    ends = case.file.ends if case.file else None
    if when.time is not None and ends is not None and when.time >= ends:
        case.refuse(when, "time", "the scenario ends before", "write an earlier moment")
    supplies = case.every(schema.Supply, "supplies")
    if when.given is not None and case.written("supplies").whole:
        there = sum((supply.volume for supply in supplies), Fraction(0))
        if when.given >= there:
            what = "there is not so much fluid on the trolley"
            case.refuse(when, "given", what, "write a smaller volume")
    _check_alarm_is_possible(case, when)


def _check_alarm_is_possible(case: Case, when: schema.When) -> None:
    line = case.line(when.line)
    if when.alarm is not None and line is not None and line.drive is Drive.GRAVITY:
        what = f"line {line.number} runs by gravity, and only a pump alarms"
        case.refuse(when, "alarm", what, "choose another trigger, or name another line")
    if when.alarm is None or case.policy is None:
        return
    pump = case.policy.pump
    never = {
        AlarmKind.CONTAINER_EMPTY: not pump.drop_sensor,
        AlarmKind.INFUSION_NEAR_COMPLETE: pump.near_end == 0,
        AlarmKind.ATTENTION_REMINDER: pump.reminder == 0,
    }
    if never.get(when.alarm, False):
        what = f"by policy `{case.policy.id}` the alarm `{when.alarm}` never comes"
        case.refuse(when, "alarm", what, "choose another trigger, or change the policy")


def _check_effect(case: Case, effect: schema.Effect) -> None:
    needs, may = EFFECT_KEYS[effect.happens]
    written = [
        key
        for key in schema.Effect.model_fields
        if key != "happens" and getattr(effect, key) is not None
    ]
    for key in written:
        if key not in (*needs, *may):
            takes = (*needs, *may)
            mend = f"it takes {listed(takes)}" if takes else "it takes no other keys"
            case.refuse_key(effect, key, f"`{key}` does not go with `{effect.happens}`", mend)
    for key in needs:
        if key not in written:
            case.refuse(effect, "happens", f"`{effect.happens}` needs `{key}`", f"add `{key}:`")
    case.known(effect, "line", effect.line, case.line_numbers, "line")
    case.known(effect, "order", effect.order, case.written("orders"), "order")
    case.known(effect, "access", effect.access, case.accesses, "catheter")
    case.known(effect, "sign", effect.sign, case.signs, "vital sign")
    check_effects_drive(case, effect)
    check_drift(case, effect)
    check_grade(case, effect, effect.site)
    _check_air(case, effect)


def _check_air(case: Case, effect: schema.Effect) -> None:
    """Air that is let in finds room, and above a pump is enough to be counted."""
    line = case.line(effect.line)
    if effect.volume is None or line is None:
        return
    is_below = effect.where is Where.DOWNSTREAM
    if line.drive is Drive.SYRINGE and effect.where is None:
        what = f"line {line.number} is a syringe line, with no tubing above its pump"
        case.refuse(effect, "happens", what, "add `where: downstream`")
        return
    room = line.tubing.below if is_below else line.tubing.above
    if room is not None and effect.volume >= room:
        side = "below" if is_below else "above"
        what = f"there is no room for so much air {side} the pump of line {line.number}"
        case.refuse(effect, "volume", what, "write a smaller volume")
    if is_below or line.drive is Drive.GRAVITY or case.policy is None:
        return
    if effect.volume < _least_air_counted(case.policy.pump):
        what = "so little air does not alarm by this ward's policy"
        case.refuse(effect, "volume", what, "write a larger volume")


def _least_air_counted(pump: schema_ward.Pump) -> Fraction:
    """The smallest bubble that alarms, or is added to others until they do."""
    return min(pump.air_alarm, pump.air_ignored) if pump.air_window_volume else pump.air_alarm


def _refuse_circles(case: Case, events: list[schema.Event]) -> None:
    """Events that wait for each other never come."""
    waits = {event.id: event.when.event for event in events if event.when.event is not None}
    for event in events:
        seen, name = {event.id}, waits.get(event.id)
        while name is not None and name not in seen:
            seen.add(name)
            name = waits.get(name)
        if name == event.id:
            what = f"`{event.id}` waits for itself and never comes"
            case.refuse(event.when, "event", what, "let one of the events come otherwise")

"""What a learner did and what came back, said in one line each.

The record on the bedside and the debrief's timeline both read from here, so an act has
one wording. Times and numbers are as they were typed.
"""

from __future__ import annotations

from trainer.engine.actions import Action
from trainer.scenario.model import Scenario
from trainer.terms import AlarmKind, Drive, Param, Priority, Running, Verb

PRIORITY_WORDS = {
    Priority.HIGH: "High priority",
    Priority.MEDIUM: "Medium priority",
    Priority.LOW: "Low priority",
}

RUNNING_WORDS = {
    Running.IDLE: "not started",
    Running.INFUSING: "running",
    Running.KEEPING_OPEN: "keeping the vein open",
    Running.STOPPED: "stopped",
    Running.COMPLETE: "complete, stopped",
}

MEANINGS = {
    AlarmKind.DOWNSTREAM_OCCLUSION: "Flow has stopped. Something between the pump and the vein "
    "holds the fluid back.",
    AlarmKind.UPSTREAM_OCCLUSION: "Flow has stopped. Nothing comes to the pump from the container.",
    AlarmKind.AIR_IN_LINE: "Flow has stopped. Air lies in the tubing at the pump.",
    AlarmKind.CONTAINER_EMPTY: "Flow has stopped. The container holds nothing more.",
    AlarmKind.INFUSION_COMPLETE: "The volume that was entered has been given.",
    AlarmKind.INFUSION_NEAR_COMPLETE: "The volume that was entered is nearly given.",
    AlarmKind.ATTENTION_REMINDER: "Values stand entered and nobody has started them.",
    AlarmKind.CHECK_SET: "Flow has stopped. The set does not lie in the pump as it should.",
    AlarmKind.POWER_LOST: "The pump gets no power from the mains and lives on its battery.",
    AlarmKind.LOW_BATTERY: "The pump's battery will not last long.",
    AlarmKind.BATTERY_DEPLETED: "The pump's battery is nearly spent; then the pump stands.",
}
"""What an alarm condition means at the bedside, in our own words."""

QUANTITIES = {
    "rate": "Hourly rate",
    "volume": "Volume",
    "duration": "Duration",
    "dose": "Dose",
    "drip_rate": "Drops per minute",
    "concentration": "Concentration",
    "amount": "Amount of drug",
    "daily volume": "Volume for a day",
    "dose volume": "Volume that holds the dose",
}

_PLAIN = {
    Verb.CLEAN_HANDS: "Cleaned hands",
    Verb.IDENTIFY_PATIENT: "Identified the patient by name and record number",
    Verb.CHECK_ALLERGIES: "Checked the allergies",
    Verb.VERIFY_ORDER: "Checked the order: {order}",
    Verb.QUESTION_ORDER: "Questioned the order: {order}",
    Verb.CALCULATE: "Worked out {what} for {order}: {entered}",
    Verb.CHOOSE: "Took {supply}",
    Verb.INSPECT: "Inspected {supply}",
    Verb.LABEL: "Labelled {supply}",
    Verb.HANG: "Hung {supply} on line {line}, {role}",
    Verb.TAKE_DOWN: "Took down the {role} container of line {line}",
    Verb.SPIKE: "Spiked the {role} container of line {line}",
    Verb.ATTACH_SYRINGE: "Attached {supply} to line {line}",
    Verb.OPEN_AIR_INLET: "Opened the air inlet of the {role} container of line {line}",
    Verb.FILL_CHAMBER: "Filled the {role} drip chamber of line {line}",
    Verb.LOWER_PRIMARY: "Hung the primary of line {line} lower",
    Verb.RAISE_PRIMARY: "Hung the primary of line {line} back up",
    Verb.SET_HEIGHT: "Set the height of line {line} to {height}",
    Verb.OPEN_CLAMP: "Opened the {clamp} clamp of line {line}",
    Verb.CLOSE_CLAMP: "Closed the {clamp} clamp of line {line}",
    Verb.TURN_CLAMP: "Turned the roller clamp of line {line} to {opening}",
    Verb.COUNT_DROPS: "Counted the drops of line {line} for {seconds} s",
    Verb.PRIME: "Primed the {role} tubing of line {line}",
    Verb.CLEAR_AIR: "Cleared air from line {line}: {how}",
    Verb.SCRUB_HUB: "Scrubbed the hub at the {at} of line {line} for {seconds} s",
    Verb.CONNECT: "Connected line {line} at the {at}",
    Verb.DISCONNECT: "Disconnected line {line} at the {at}",
    Verb.LOAD: "Laid the set of line {line} into the pump",
    Verb.UNLOAD: "Took the set of line {line} out of the pump",
    Verb.PLUG_IN: "Plugged in the pump of line {line}",
    Verb.ENTER: "Entered for line {line}, {role}: {values}",
    Verb.SECOND_CHECK: "Had line {line} checked by a second person",
    Verb.START: "Started line {line}",
    Verb.STOP: "Stopped line {line}",
    Verb.PAUSE_SOUND: "Paused the sound",
    Verb.RESET_ALARM: "Reset the alarm of line {line}",
    Verb.LOOK_AT_SITE: "Looked at the site: {access}",
    Verb.LOOK_AT_PATIENT: "Looked at the patient",
    Verb.LOOK_AT_CONTAINER: "Looked at the container of line {line}",
    Verb.MEASURE: "Measured {what}",
    Verb.FOLLOW_LINE: "Followed line {line} by hand from container to vein",
    Verb.STRAIGHTEN: "Straightened the tubing of line {line}",
    Verb.REPOSITION: "Repositioned limb or body: {access}",
    Verb.REMOVE_CATHETER: "Took out the catheter: {access}",
    Verb.RESITE: "Placed a new catheter in another vein: {access}",
    Verb.RELEASE_PRESSURE: "Released the pressure in line {line} away from the patient",
    Verb.FLUSH: "Flushed line {line} with {volume}",
    Verb.NOTIFY: "Told the {who}{words}",
    Verb.READ_BACK: "Read back the order: {order}{words}",
    Verb.CHART: "Charted {what}{words}",
    Verb.TEACH: "Explained to patient and family: {what}",
    Verb.WAIT: "Waited {length}",
}


def _values(scenario: Scenario, action: Action) -> str:
    """What was entered, as typed: the values, what the pump was told runs, a limit's reason."""
    volume, duration, rate = (
        action.get(param) for param in (Param.VOLUME, Param.DURATION, Param.RATE)
    )
    parts = (
        _with_unit(volume, "mL"),
        f"over {duration}" if duration else "",
        f"at {_with_unit(rate, 'mL/h')}" if rate else "",
    )
    typed = " ".join(part for part in parts if part) or "nothing"
    fluid, reason = action.get(Param.FLUID), action.get(Param.REASON)
    told = f" of {_fluid(scenario, fluid)}" if fluid else ""
    because = f", because: {reason}" if reason else ""
    return f"{typed}{told}{because}"


def _with_unit(text: str, unit: str) -> str:
    """A typed number with its unit, if the unit was not typed too."""
    if not text or any(letter.isalpha() or letter == "%" for letter in text):
        return text
    return f"{text} {unit}"


class _Words(dict[str, str]):
    """What an act carried, for its phrase; what it did not carry is left out of it."""

    def __missing__(self, name: str) -> str:
        return ""


def _label(scenario: Scenario, supply: str) -> str:
    return next((one.label for one in scenario.supplies if one.id == supply), supply)


def _order(scenario: Scenario, order: str) -> str:
    return next((one.title for one in scenario.orders if one.id == order), order)


def _fluid(scenario: Scenario, fluid: str) -> str:
    return next((one.name for one in scenario.formulary.fluids if one.id == fluid), fluid)


def _access(scenario: Scenario, access: str) -> str:
    return next((one.name for one in scenario.patient.access if one.id == access), access)


_UNITS = (
    (Verb.FLUSH, "volume", "mL"),
    (Verb.SET_HEIGHT, "height", "cm"),
    (Verb.TURN_CLAMP, "opening", "%"),
)
"""What a bare number of these acts is in."""

_OF_A_SYRINGE = {
    Verb.TAKE_DOWN: "Took the syringe off line {line}",
    Verb.PRIME: "Primed the tubing of line {line}",
    Verb.LOAD: "Laid the syringe of line {line} into the pump",
    Verb.UNLOAD: "Took the syringe of line {line} out of the pump",
    Verb.LOOK_AT_CONTAINER: "Looked at the syringe of line {line}",
}
"""What is said otherwise of a line whose container is a syringe."""

_NAMES = {"supply": _label, "order": _order, "access": _access}


def did(scenario: Scenario, action: Action) -> str:
    """One act in one line, as done or tried: `Entered for line 1, primary: 112.8 mL over 2 h`."""
    found = _Words(action.params)
    for param, name_of in _NAMES.items():
        if param in found:
            found[param] = name_of(scenario, found[param])
    if action.verb is Verb.CALCULATE:
        found["what"] = QUANTITIES.get(found["what"], found["what"]).lower()
    if action.verb is Verb.ENTER:
        found["values"] = _values(scenario, action)
    if "text" in found:
        found["words"] = f": {found['text']}"
    for verb, param, unit in _UNITS:
        if action.verb is verb:
            found[param] = _with_unit(found[param], unit)
    return _phrase(scenario, action).format_map(found).strip()


def _phrase(scenario: Scenario, action: Action) -> str:
    number = action.get(Param.LINE).strip()
    of_syringe = any(
        str(line.number) == number and line.drive is Drive.SYRINGE for line in scenario.lines
    )
    plain = _PLAIN[action.verb]
    return _OF_A_SYRINGE.get(action.verb, plain) if of_syringe else plain


def alarm_title(kind: AlarmKind, line: int) -> str:
    """An alarm condition with its line: `Downstream occlusion, line 1`."""
    return f"{kind.capitalize()}, line {line}"

"""What a learner did and what came back, said in one line each.

The record on the bedside and the debrief's timeline both read from here, so an act has
one wording. Times and numbers are as they were typed.
"""

from __future__ import annotations

from trainer.engine.actions import Action
from trainer.scenario.model import Scenario
from trainer.scoring import said
from trainer.terms import AlarmKind, Param, Priority, Running, Verb

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


def _values(scenario: Scenario, action: Action) -> str:
    """What was entered, as typed: the values, what the pump was told runs, a limit's reason."""
    volume, duration, rate = (
        action.get(param) for param in (Param.VOLUME, Param.DURATION, Param.RATE)
    )
    parts = (
        said.with_unit(volume, "mL"),
        f"over {duration}" if duration else "",
        f"at {said.with_unit(rate, 'mL/h')}" if rate else "",
    )
    typed = " ".join(part for part in parts if part) or "nothing"
    fluid, reason = action.get(Param.FLUID), action.get(Param.REASON)
    told = f" of {_fluid(scenario, fluid)}" if fluid else ""
    because = f", because: {reason}" if reason else ""
    return f"{typed}{told}{because}"


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

_NAMES = {"supply": _label, "order": _order, "access": _access}


def did(scenario: Scenario, action: Action) -> str:
    """One act in one line, as done or tried: `Entered for line 1, primary: 112.8 mL over 2 h`."""
    found = dict(action.params)
    for param, name_of in _NAMES.items():
        if param in found:
            found[param] = name_of(scenario, found[param])
    if action.verb is Verb.CALCULATE and "what" in found:
        found["what"] = QUANTITIES.get(found["what"], found["what"]).lower()
    if action.verb is Verb.ENTER:
        found["values"] = _values(scenario, action)
    for verb, param, unit in _UNITS:
        if action.verb is verb:
            found[param] = said.with_unit(found.get(param, ""), unit)
    return said.phrase(scenario, action, found)


def alarm_title(kind: AlarmKind, line: int) -> str:
    """An alarm condition with its line: `Downstream occlusion, line 1`."""
    return f"{kind.capitalize()}, line {line}"

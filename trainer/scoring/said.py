"""An act in a nurse's words: as it is to be done, and as it was done.

One table for the record, the debrief and its findings, so an act has one wording. In a
phrase `{line}` is what the act carries; `[ of line {line}]` is left out where it carries
none, and `[{what}|what happened]` says the second instead.
"""

from __future__ import annotations

import re

from trainer.engine.actions import Action
from trainer.scenario.model import Pattern, Scenario, Supply
from trainer.scoring import explain
from trainer.terms import Drive, Param, Verb, Verdict

PHRASES: dict[Verb, tuple[str, str]] = {
    Verb.CLEAN_HANDS: ("clean your hands", "cleaned hands"),
    Verb.IDENTIFY_PATIENT: (
        "identify the patient by name and record number",
        "identified the patient by name and record number",
    ),
    Verb.CHECK_ALLERGIES: ("check the allergies", "checked the allergies"),
    Verb.VERIFY_ORDER: ("check the order[: {order}]", "checked the order[: {order}]"),
    Verb.QUESTION_ORDER: ("question the order[: {order}]", "questioned the order[: {order}]"),
    Verb.CALCULATE: (
        "work out [{what}|the value][ for {order}]",
        "worked out [{what}|the value][ for {order}][: {entered}]",
    ),
    Verb.CHOOSE: ("take [{supply}|the container]", "took [{supply}|the container]"),
    Verb.INSPECT: ("inspect [{supply}|the container]", "inspected [{supply}|the container]"),
    Verb.LABEL: ("label [{supply}|the container]", "labelled [{supply}|the container]"),
    Verb.HANG: (
        "hang [{supply}|the container] on line {line}[, {role}]",
        "hung [{supply}|the container] on line {line}[, {role}]",
    ),
    Verb.TAKE_DOWN: (
        "take down the [{role} ]container of line {line}",
        "took down the [{role} ]container of line {line}",
    ),
    Verb.SPIKE: (
        "spike the [{role} ]container of line {line}",
        "spiked the [{role} ]container of line {line}",
    ),
    Verb.ATTACH_SYRINGE: (
        "attach [{supply}|the syringe] to line {line}",
        "attached [{supply}|the syringe] to line {line}",
    ),
    Verb.OPEN_AIR_INLET: (
        "open the air inlet of the [{role} ]container of line {line}",
        "opened the air inlet of the [{role} ]container of line {line}",
    ),
    Verb.FILL_CHAMBER: (
        "fill the [{role} ]drip chamber of line {line}",
        "filled the [{role} ]drip chamber of line {line}",
    ),
    Verb.LOWER_PRIMARY: (
        "hang the primary of line {line} lower",
        "hung the primary of line {line} lower",
    ),
    Verb.RAISE_PRIMARY: (
        "hang the primary of line {line} back up",
        "hung the primary of line {line} back up",
    ),
    Verb.SET_HEIGHT: (
        "set the height of line {line}[ to {height}]",
        "set the height of line {line}[ to {height}]",
    ),
    Verb.OPEN_CLAMP: (
        "open the [{clamp} ]clamp of line {line}",
        "opened the [{clamp} ]clamp of line {line}",
    ),
    Verb.CLOSE_CLAMP: (
        "close the [{clamp} ]clamp of line {line}",
        "closed the [{clamp} ]clamp of line {line}",
    ),
    Verb.TURN_CLAMP: (
        "turn the roller clamp of line {line}[ to {opening}]",
        "turned the roller clamp of line {line}[ to {opening}]",
    ),
    Verb.COUNT_DROPS: (
        "count the drops of line {line}[ for {seconds} s]",
        "counted the drops of line {line}[ for {seconds} s]",
    ),
    Verb.PRIME: (
        "prime the [{role} ]tubing of line {line}",
        "primed the [{role} ]tubing of line {line}",
    ),
    Verb.CLEAR_AIR: (
        "clear the air from line {line}[: {how}]",
        "cleared air from line {line}[: {how}]",
    ),
    Verb.SCRUB_HUB: (
        "scrub the hub[ at the {at}] of line {line}[ for {seconds} s]",
        "scrubbed the hub[ at the {at}] of line {line}[ for {seconds} s]",
    ),
    Verb.CONNECT: ("connect line {line}[ at the {at}]", "connected line {line}[ at the {at}]"),
    Verb.DISCONNECT: (
        "disconnect line {line}[ at the {at}]",
        "disconnected line {line}[ at the {at}]",
    ),
    Verb.LOAD: (
        "lay the set of line {line} into the pump",
        "laid the set of line {line} into the pump",
    ),
    Verb.UNLOAD: (
        "take the set of line {line} out of the pump",
        "took the set of line {line} out of the pump",
    ),
    Verb.PLUG_IN: ("plug in the pump of line {line}", "plugged in the pump of line {line}"),
    Verb.ENTER: (
        "enter the values for line {line}[, {role}][: {values}]",
        "entered [{bare} ]for line {line}[, {role}][: {values}]",
    ),
    Verb.SECOND_CHECK: (
        "have line {line} checked by a second person",
        "had line {line} checked by a second person",
    ),
    Verb.START: ("start line {line}", "started line {line}"),
    Verb.STOP: ("stop line {line}", "stopped line {line}"),
    Verb.PAUSE_SOUND: ("pause the sound", "paused the sound"),
    Verb.RESET_ALARM: ("reset the alarm of line {line}", "reset the alarm of line {line}"),
    Verb.LOOK_AT_SITE: ("look at the site[: {access}]", "looked at the site[: {access}]"),
    Verb.LOOK_AT_PATIENT: ("look at the patient", "looked at the patient"),
    Verb.LOOK_AT_CONTAINER: (
        "look at the container of line {line}",
        "looked at the container of line {line}",
    ),
    Verb.MEASURE: ("measure [{what}|what was due]", "measured [{what}|what was due]"),
    Verb.FOLLOW_LINE: (
        "follow line {line} by hand from container to vein",
        "followed line {line} by hand from container to vein",
    ),
    Verb.STRAIGHTEN: (
        "straighten the tubing of line {line}",
        "straightened the tubing of line {line}",
    ),
    Verb.REPOSITION: (
        "reposition limb or body[: {access}]",
        "repositioned limb or body[: {access}]",
    ),
    Verb.REMOVE_CATHETER: (
        "take out the catheter[: {access}]",
        "took out the catheter[: {access}]",
    ),
    Verb.RESITE: (
        "place a new catheter in another vein[: {access}]",
        "placed a new catheter in another vein[: {access}]",
    ),
    Verb.RELEASE_PRESSURE: (
        "release the pressure in line {line} away from the patient",
        "released the pressure in line {line} away from the patient",
    ),
    Verb.FLUSH: ("flush line {line}[ with {volume}]", "flushed line {line}[ with {volume}]"),
    Verb.NOTIFY: ("tell [the {who}|someone][: {text}]", "told [the {who}|someone][: {text}]"),
    Verb.READ_BACK: (
        "read back the order[: {order}][: {text}]",
        "read back the order[: {order}][: {text}]",
    ),
    Verb.CHART: (
        "chart [{what}|what was done and seen][: {text}]",
        "charted [{what}|what was done and seen][: {text}]",
    ),
    Verb.TEACH: (
        "explain to patient and family[: {what}]",
        "explained to patient and family[: {what}]",
    ),
    Verb.WAIT: ("wait[ {length}]", "waited[ {length}]"),
}
"""For each verb: what is to be done, and what was done."""

OF_A_SYRINGE: dict[Verb, tuple[str, str]] = {
    Verb.TAKE_DOWN: ("take the syringe off line {line}", "took the syringe off line {line}"),
    Verb.PRIME: ("prime the tubing of line {line}", "primed the tubing of line {line}"),
    Verb.LOAD: (
        "lay the syringe of line {line} into the pump",
        "laid the syringe of line {line} into the pump",
    ),
    Verb.UNLOAD: (
        "take the syringe of line {line} out of the pump",
        "took the syringe of line {line} out of the pump",
    ),
    Verb.LOOK_AT_CONTAINER: (
        "look at the syringe of line {line}",
        "looked at the syringe of line {line}",
    ),
}
"""What is said otherwise of a line whose container is a syringe."""

TITLES: dict[Verdict, str] = {
    Verdict.RIGHT: "{did}",
    Verdict.LATE: "{did}, but late",
    Verdict.OUT_OF_ORDER: "{did}, but too early",
    Verdict.WRONG: "{did}, but not well enough",
    Verdict.MISSED: "did not {do}",
    Verdict.NEVER_DONE: "{did}, and should not have",
    Verdict.NOT_NEEDED: "no occasion to {do}",
}
"""A finding's title: how the act went, as a sentence."""

_OPTIONAL = re.compile(r"\[([^\[\]|]*)(?:\|([^\[\]]*))?\]")
_NAME = re.compile(r"\{(\w+)\}")
_UNITS = {Param.VOLUME: "mL", Param.HEIGHT: "cm", Param.OPENING: "%"}
"""What a bare number of these is in; a rate is told within the values entered."""


def to_do(scenario: Scenario, pattern: Pattern) -> str:
    """What is to be done, to stand in a sentence: `connect line 1 at the access`."""
    return _filled(scenario, pattern.verb, _told(scenario, pattern.verb, pattern.params), 0)


def was_done(scenario: Scenario, action: Action) -> str:
    """What was done, with what was typed: `Scrubbed the hub at the access of line 1 for 5 s`."""
    told = _told(scenario, action.verb, action.params)
    return capital(_filled(scenario, action.verb, told, 1))


def title(scenario: Scenario, pattern: Pattern, verdict: Verdict) -> str:
    """How an expected act went, as a sentence: `Did not look at the patient`."""
    told = _told(scenario, pattern.verb, pattern.params)
    do, did = (_filled(scenario, pattern.verb, told, form) for form in (0, 1))
    return capital(TITLES[verdict].format(do=do, did=did))


def capital(words: str) -> str:
    """Words to begin a sentence."""
    return words[:1].upper() + words[1:]


def phrase(scenario: Scenario, action: Action, told: dict[str, str]) -> str:
    """What was done, as a sentence, with what it carried told in the caller's words."""
    return capital(_filled(scenario, action.verb, told, 1))


def _filled(scenario: Scenario, verb: Verb, told: dict[str, str], form: int) -> str:
    """A verb's phrase with what the act carries put in, and what it does not left out."""

    def kept(found: re.Match[str]) -> str:
        names = _NAME.findall(found[1])
        return found[1] if all(told.get(name) for name in names) else found[2] or ""

    number = told.get(Param.LINE, "").strip()
    is_syringe = any(
        str(line.number) == number and line.drive is Drive.SYRINGE for line in scenario.lines
    )
    plain = PHRASES[verb]
    forms = OF_A_SYRINGE.get(verb, plain) if is_syringe else plain
    words = _OPTIONAL.sub(kept, forms[form])
    words = words if number else words.replace("line {line}", "the line")
    return _NAME.sub(lambda found: told.get(found[1], ""), words).strip()


def _told(scenario: Scenario, verb: Verb, params: tuple[tuple[str, str], ...]) -> dict[str, str]:
    """What an act carries, in words. A computed value (`key`) is nobody's to tell."""
    told = {name: text for name, text in params if text != "key" and name != Param.TEXT}
    for name, text in tuple(told.items()):
        told[name] = _named(scenario, name, text)
    if verb is Verb.CALCULATE and Param.WHAT in told:
        what = explain.quantity_named(told[Param.WHAT])
        told[Param.WHAT] = f"the {explain.QUANTITY_WORDS.get(what, what)}"
    if verb is Verb.ENTER:
        told["values"] = _values(told)
        told["bare"] = "" if told["values"] else "values"
    return told


def _named(scenario: Scenario, name: str, text: str) -> str:
    match name:
        case Param.ORDER:
            return next((one.title for one in scenario.orders if one.id == text), text)
        case Param.ACCESS:
            return next((one.name for one in scenario.patient.access if one.id == text), text)
        case Param.SUPPLY:
            return next((_container(scenario, x) for x in scenario.supplies if x.id == text), text)
        case Param.FLUID:
            return next((one.name for one in scenario.formulary.fluids if one.id == text), text)
        case Param.SECONDS:
            return text.removesuffix("s").strip()
    return with_unit(text, _UNITS[Param(name)]) if name in _UNITS else text


def _container(scenario: Scenario, supply: Supply) -> str:
    """A container to stand in a sentence: `Ringer's acetate (clear, closed, in date)`."""
    name, _, apart = explain.supply_parts(scenario, supply)
    return f"{name} ({apart})" if apart else name


def with_unit(text: str, unit: str) -> str:
    """A typed number with its unit, if the unit was not typed too."""
    if not text or any(letter.isalpha() or letter == "%" for letter in text):
        return text
    return f"{text} {unit}"


def _values(told: dict[str, str]) -> str:
    """What was entered: the values, what the pump was told runs, a limit's reason."""
    given, over, rate, fluid, reason = (
        told.get(name, "")
        for name in (Param.VOLUME, Param.DURATION, Param.RATE, Param.FLUID, Param.REASON)
    )
    parts = (
        given,
        f"over {over}" if over else "",
        f"at {with_unit(rate, 'mL/h')}" if rate else "",
        f"of {fluid}" if fluid and (given or over or rate) else fluid,
    )
    because = f", because: {reason}" if reason else ""
    return " ".join(part for part in parts if part) + because

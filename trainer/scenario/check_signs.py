"""Checks of what is said about the patient's signs: triggers, and the author's responses.

For the checks of `trainer.scenario` alone.
"""

from __future__ import annotations

from fractions import Fraction

from trainer.scenario import behaviours, known_signs, schema, schema_ward
from trainer.scenario.case import Case
from trainer.scenario.check_responses import check_driver, check_response
from trainer.scenario.places import listed, meant
from trainer.scenario.response_values import VOLUME, Threshold
from trainer.scenario.responses import amount_unit
from trainer.scenario.section import Section
from trainer.terms import Curve, Happening

SIDES = ("above", "below")


def check_numbers(case: Case) -> None:
    """Note each known sign of the patient's with a number that no chart holds."""
    for name, sign in case.patient.signs.items() if case.patient else ():
        least = -known_signs.HIGHEST if name == "fluid balance" else 0
        for number in known_signs.numbers_in(name, sign.value[0]):
            if name in known_signs.UNITS and not least <= Fraction(number) <= known_signs.HIGHEST:
                what = f"`{name}` cannot be {number[:40]}"
                case.refuse(sign, "value", what, "write it as it would be charted")


def check_drift(case: Case, effect: schema.Effect) -> None:
    """A sign drifts from one number to another that is written alike."""
    written = case.patient.signs.get(str(effect.sign)) if case.patient else None
    if effect.happens is not Happening.SIGN_DRIFTS or written is None or effect.value is None:
        return
    name, value = str(effect.sign), written.value[0]
    numbers = len(known_signs.numbers_in(name, value))
    if not numbers:
        what = f"`{name}` is `{value[:40]}`, and from words there is no way"
        case.refuse(effect, "sign", what, "write `happens: sign changes`, without `half_time`")
    elif len(known_signs.numbers_in(name, effect.value)) != numbers:
        what = f"`{effect.value[:40]}` is not written as `{name}` is"
        case.refuse(effect, "value", what, f"write it so: `{value[:40]}`")


def check_sign_trigger(case: Case, when: schema.When) -> None:
    """A sign that brings an event is there, and passes one number in its own unit."""
    said = [key for key in SIDES if getattr(when, key) is not None]
    if when.sign is None:
        for key in said:
            case.refuse_key(when, key, f"`{key}` needs `sign`", "add `sign:` with its name")
        return
    if len(said) != 1:
        what = "a sign passes one number"
        case.refuse(when, "sign", what, "add one of above or below, and not both")
    if not _is_known(case, when, "sign", when.sign):
        return
    for key in said:
        _check_unit(case, when, key, getattr(when, key))


def _is_known(case: Case, section: Section, key: str, sign: str) -> bool:
    """Whether the patient has the sign, or it is one that is always computed."""
    if sign in known_signs.DERIVED or case.signs.may_hold(sign):
        return True
    mend = meant(sign, (*case.signs.every, *known_signs.DERIVED), of="vital sign")
    case.refuse(section, key, f"there is no vital sign `{sign}`", mend)
    return False


def unit_of_sign(case: Case, sign: str) -> str | None:
    """The unit in which a sign is charted; None if it is not known."""
    written = case.patient.signs.get(sign) if case.patient else None
    return written.value[1] if written else known_signs.UNITS.get(sign)


def _check_unit(case: Case, when: schema.When, key: str, threshold: Threshold) -> None:
    unit = unit_of_sign(case, str(when.sign))
    written = case.patient.signs.get(str(when.sign)) if case.patient else None
    value = written.value[0] if written else "0"
    if value not in known_signs.CONSCIOUSNESS and not any(
        character.isdigit() for character in value
    ):
        what = f"`{when.sign}` is `{value[:40]}`, which passes no number"
        case.refuse(when, "sign", what, "name a sign that is a number")
    elif unit is not None and threshold.unit != unit:
        what = f"`{when.sign}` is charted in {unit or 'states'}"
        mend = f"the number in {unit}" if unit else listed(known_signs.CONSCIOUSNESS)
        case.refuse(when, key, what, f"write {mend}")


def check_own_responses(case: Case) -> None:
    """Note what is wrong with the responses that the author gave this patient."""
    for response in case.every(schema.OwnResponse, "responses"):
        amount = _amount(case, response)
        if response.to in case.drugs:
            check_driver(case.faults, response, case.drugs[response.to])
        check_response(case.faults, response, amount)
        if not _is_known(case, response, "sign", response.sign):
            continue
        unit = unit_of_sign(case, response.sign)
        if response.curve is not Curve.EXPONENTIAL and unit not in (None, response.most.unit):
            what = f"`{response.sign}` is charted in {unit or 'no unit'}"
            case.refuse(response, "most", what, f"write the change in {unit or 'no unit'}")


def _amount(case: Case, response: schema.OwnResponse) -> str:
    """The unit of what a response is to; a fault is noted if there is no such drug."""
    if response.to == VOLUME:
        return VOLUME
    if case.formulary is not None and response.to not in case.drugs:
        mend = meant(response.to, (*case.drugs, VOLUME), of="drug")
        case.refuse(response, "to", f"there is no drug `{response.to}`", mend)
        return ""
    amount = amount_unit(response.to, case.fluids.values())
    if case.formulary is not None and not amount:
        what = f"no fluid holds `{response.to}`"
        case.refuse(response, "to", what, "name a drug that is in a fluid of the formulary")
    return amount


def check_charted_units(case: Case) -> None:
    """Note each sign charted in another unit than a drug on the trolley moves it in."""
    held = {supply.fluid for supply in case.every(schema.Supply, "supplies")}
    drugs = {case.fluids[one].drug for one in held if one in case.fluids}
    for name, drug in case.drugs.items():
        for sign, unit in _moved_by(drug) if name in drugs else ():
            written = case.patient.signs.get(sign) if case.patient else None
            if written is not None and written.value[1] != unit:
                what = f"`{name}` moves `{sign}` in {unit}"
                case.refuse(written, "", what, f"chart it in {unit}")


def _moved_by(drug: schema_ward.Drug) -> list[tuple[str, str]]:
    """The signs that a drug moves and the units in which it does, where they are known."""
    if drug.responses:
        straight = (one for one in drug.responses if one.curve is not Curve.EXPONENTIAL)
        return [(one.sign, one.most.unit) for one in straight]
    if drug.behaviour not in behaviours.NAMES:
        return []
    signs = [one.sign for one in behaviours.named(str(drug.behaviour)).responses]
    return [(sign, known_signs.UNITS[sign]) for sign in signs if sign in known_signs.UNITS]

"""Reading what an act carries: every value is text, as typed.

What cannot be read, or names nothing at this bedside, is refused with how to write it.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TypeVar

from trainer.clinical.quantity import measures, parse_number, parse_quantity
from trainer.clinical.timebase import parse_sim_duration
from trainer.engine.actions import Action, missing_params, unknown_params
from trainer.engine.path import inlet_of
from trainer.engine.refusals import Impossible, require
from trainer.engine.state import AccessState, Container, Inlet, Line, State
from trainer.errors import QuantityError
from trainer.scenario.model import Fluid
from trainer.terms import Clamp, Param, Refusal, Role

Choice = TypeVar("Choice", Role, Clamp)

LONGEST_WORDS = 2_000
"""Longer free words are refused, so that a log stays readable. Chosen by us."""

PORT, ACCESS = "port", "access"


def check_params(action: Action) -> None:
    """Refuse an act that lacks a parameter, or carries one that its verb does not know."""
    missing = missing_params(action)
    if missing:
        words = ", ".join(f"{param.value}" for param in missing)
        raise Impossible(Refusal.NOT_UNDERSTOOD, f"To {action.verb.value}, say also: {words}.")
    unknown = unknown_params(action)
    if unknown:
        raise Impossible(
            Refusal.NOT_UNDERSTOOD,
            f"To {action.verb.value} has nothing to do with {', '.join(unknown)[:60]}; leave it out.",
        )
    for name, text in action.params:
        if len(text) > LONGEST_WORDS:
            raise _not_understood(
                f"The {name} is too long; write at most {LONGEST_WORDS} characters."
            )


def _not_understood(text: str) -> Impossible:
    return Impossible(Refusal.NOT_UNDERSTOOD, text)


def line_of(state: State, action: Action) -> Line:
    """The line that the act names."""
    text = action.get(Param.LINE).strip()
    for line in state.lines:
        if str(line.number) == text:
            return line
    known = ", ".join(str(line.number) for line in state.lines) or "none"
    raise _not_understood(f"There is no line `{text[:20]}` here; the lines are: {known}.")


def _choice(action: Action, param: Param, among: type[Choice]) -> Choice:
    text = action.get(param).strip().casefold()
    try:
        return among(text)
    except ValueError:
        known = ", ".join(one.value for one in among)
        raise _not_understood(
            f"`{text[:20]}` is no {param.value} here; write one of: {known}."
        ) from None


def role_of(action: Action) -> Role:
    """Primary or secondary."""
    return _choice(action, Param.ROLE, Role)


def clamp_of(action: Action) -> Clamp:
    """The clamp that the act names."""
    return _choice(action, Param.CLAMP, Clamp)


def existing_inlet(line: Line, role: Role) -> Inlet:
    """That way into the line, refused if the line has none."""
    inlet = inlet_of(line, role)
    if inlet is None:
        raise Impossible(
            Refusal.NOTHING_THERE,
            f"Line {line.number} has no access port for a secondary; use a line that has one.",
        )
    return inlet


def supply_of(state: State, action: Action) -> Container:
    """The container that the act names."""
    text = action.get(Param.SUPPLY).strip()
    for container in state.containers:
        if container.supply == text:
            return container
    known = ", ".join(container.supply for container in state.containers) or "none"
    raise _not_understood(f"There is no supply `{text[:40]}` here; the supplies are: {known}.")


def order_of(state: State, action: Action) -> str:
    """The id of the order that the act names; one not given yet is not known."""
    text = action.get(Param.ORDER).strip()
    known = [order.id for order in state.orders if order.from_ms is not None]
    if text in known:
        return text
    raise _not_understood(
        f"There is no order `{text[:40]}` on the chart; the orders are: {', '.join(known) or 'none'}."
    )


def access_of(state: State, action: Action) -> AccessState:
    """The catheter that the act names."""
    text = action.get(Param.ACCESS).strip()
    for access in state.access:
        if access.id == text:
            return access
    known = ", ".join(access.id for access in state.access) or "none"
    raise _not_understood(f"There is no access `{text[:40]}` here; there are: {known}.")


def fluid_of(state: State, action: Action) -> Fluid | None:
    """The ward's fluid that the act names; None if it names none."""
    text = action.get(Param.FLUID).strip()
    if not text:
        return None
    fluids = state.scenario.formulary.fluids
    for fluid in fluids:
        if fluid.id == text:
            return fluid
    known = ", ".join(fluid.id for fluid in fluids)
    raise _not_understood(f"There is no fluid `{text[:40]}` on this ward; there are: {known}.")


def place_of(action: Action) -> str:
    """The hub that the act is about: the line's access port, or the access."""
    text = action.get(Param.AT).strip().casefold()
    if text in (PORT, ACCESS):
        return text
    raise _not_understood(f"`{text[:20]}` is no hub here; write {PORT} or {ACCESS}.")


def seconds_of(action: Action) -> int:
    """Whole seconds, from 1 to 600."""
    seconds = amount_in(action.get(Param.SECONDS), "s", "seconds")
    require(
        seconds.denominator == 1 and 1 <= seconds <= 600,
        Refusal.OUT_OF_RANGE,
        "The seconds must be a whole number from 1 to 600, such as 15.",
    )
    return seconds.numerator


def length_ms_of(action: Action) -> int:
    """How long the act waits, in milliseconds."""
    text = action.get(Param.LENGTH)
    try:
        return parse_sim_duration(text)
    except QuantityError as error:
        raise _not_understood(
            f"`{text.strip()[:20]}` is no length of time; write 5 min or 1 h 30 min."
        ) from error


def amount_in(text: str, unit: str, what: str) -> Fraction:
    """A number, bare or with its unit, in that unit; else refused with how to write it."""
    try:
        bare = text.strip().removesuffix(unit)
        has_other_unit = bare[:1].isdigit() and any(character.isalpha() for character in bare)
        if not has_other_unit:
            return parse_number(bare, what=what)
        quantity = parse_quantity(text, what=what)
    except QuantityError as error:
        raise Impossible(Refusal.NOT_UNDERSTOOD, sentence(_in_words(error, unit))) from error
    try:
        return quantity.to(unit)
    except QuantityError as error:
        said = f"{what}: `{text.strip()[:20]}` is {measures(quantity.unit)}; write it in {unit}"
        raise Impossible(Refusal.NOT_UNDERSTOOD, sentence(said)) from error


def _in_words(error: QuantityError, unit: str) -> str:
    """What is wrong with a value of which the unit is known, with that unit in the mend."""
    words, is_unknown_unit, _ = str(error).partition("; write one of ")
    return f"{words}; write {unit}" if is_unknown_unit else words.replace("5 mg", f"5 {unit}")


def sentence(text: str) -> str:
    """The text with a capital at its beginning and a full stop at its end."""
    text = text[:1].upper() + text[1:]
    return text if text.endswith((".", "!", "?")) else f"{text}."

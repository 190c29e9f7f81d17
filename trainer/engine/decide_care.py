"""Acts with the patient, the chart and people: looking, freeing, asking, noting."""

from __future__ import annotations

from trainer.engine import signs
from trainer.engine.actions import Action
from trainer.engine.begin import millimetres
from trainer.engine.events import (
    ArmMoved,
    Event,
    Noted,
    Perceived,
    ResultCame,
    SampleTaken,
)
from trainer.engine.freeing import freed_by
from trainer.engine.perceive import container_text, line_text, patient_text
from trainer.engine.perceive_site import site_text
from trainer.engine.reading import access_of, length_ms_of, line_of, order_of
from trainer.engine.refusals import Impossible
from trainer.engine.site import access_spec
from trainer.engine.state import AccessState, State
from trainer.terms import Param, Refusal, Verb

Events = tuple[Event, ...]


def look_at_site(state: State, action: Action) -> Events:
    """See what is true of a catheter's site."""
    access = access_of(state, action)
    return (_perceived(state, "site", access.id, site_text(state, access)),)


def look_at_patient(state: State, _: Action) -> Events:
    """See the patient, and the signs as they are now."""
    return (_perceived(state, "patient", "", patient_text(state)),)


def measure(state: State, action: Action) -> Events:
    """Measure a sign, or take a sample for it: the value now, told when its result is there."""
    name = _sign_of(state, action)
    takes_ms = next(
        (sign.takes_ms for sign in state.scenario.patient.signs if sign.name == name), 0
    )
    at_ms, value = state.as_of_ms, signs.sign_now(state, name)
    taken = SampleTaken(at_ms=at_ms, sign=name, value=value, due_ms=at_ms + takes_ms)
    if takes_ms:
        return (taken,)
    return taken, ResultCame(at_ms=at_ms, sign=name, value=value, taken_ms=at_ms)


def _sign_of(state: State, action: Action) -> str:
    """The sign that the act names."""
    text = action.get(Param.WHAT).strip()
    names = signs.names_of(state)
    for name in names:
        if name.casefold() == text.casefold():
            return name
    raise Impossible(
        Refusal.NOT_UNDERSTOOD,
        f"`{text[:40]}` is no sign that is measured here; there are: {', '.join(names)}.",
    )


def look_at_container(state: State, action: Action) -> Events:
    """See what hangs on a line and how much is left."""
    line = line_of(state, action)
    return (_perceived(state, "container", str(line.number), container_text(state, line)),)


def follow_line(state: State, action: Action) -> Events:
    """Follow the tubing by eye and hand, from container to vein."""
    line = line_of(state, action)
    return (_perceived(state, "line", str(line.number), line_text(state, line)),)


def straighten(state: State, action: Action) -> Events:
    """Straighten the tubing of a line."""
    line = line_of(state, action)
    freed = freed_by(state, line, Verb.STRAIGHTEN)
    nothing = _perceived(state, "line", str(line.number), "Nothing was bent here.")
    return freed or (nothing,)


def reposition(state: State, action: Action) -> Events:
    """Lay the limb with a catheter as it lay at first, nothing pressing on its tubing."""
    access = access_of(state, action)
    done = tuple(
        event
        for line in state.lines
        if line.access == access.id
        for event in freed_by(state, line, Verb.REPOSITION)
    )
    nothing = _perceived(state, "site", access.id, "The limb already lay well; nothing changes.")
    return (*done, *_laid_back(state, access)) or (nothing,)


def _laid_back(state: State, access: AccessState) -> Events:
    """The limb at the height at which the author put it, if it moved from there."""
    spec = access_spec(state, access.id)
    height_mm = millimetres(spec.height_cm) if spec else access.height_mm
    if height_mm == access.height_mm:
        return ()
    return (ArmMoved(at_ms=state.as_of_ms, access=access.id, height_mm=height_mm),)


def about_order(state: State, action: Action) -> Events:
    """An act about an order on the chart: noted, for the debrief."""
    order_of(state, action)
    return noted(state, action)


def about_line(state: State, action: Action) -> Events:
    """An act about a line, such as the second check: noted."""
    line_of(state, action)
    return noted(state, action)


def chart(state: State, action: Action) -> Events:
    """Write on the flowsheet: noted. Line and order, if named, must exist."""
    if action.get(Param.LINE):
        line_of(state, action)
    if action.get(Param.ORDER):
        order_of(state, action)
    return noted(state, action)


def wait(state: State, action: Action) -> Events:
    """Let time pass: noted. Whoever keeps the clock moves it by the length."""
    length_ms_of(action)
    return noted(state, action)


def noted(state: State, action: Action) -> Events:
    """An act whose only effect is that it was done."""
    return (Noted(at_ms=state.as_of_ms, verb=action.verb),)


def _perceived(state: State, of: str, which: str, text: str) -> Perceived:
    return Perceived(at_ms=state.as_of_ms, of=of, which=which, text=text)


ACTS = {
    Verb.CLEAN_HANDS: noted,
    Verb.IDENTIFY_PATIENT: noted,
    Verb.CHECK_ALLERGIES: noted,
    Verb.VERIFY_ORDER: about_order,
    Verb.QUESTION_ORDER: about_order,
    Verb.CALCULATE: about_order,
    Verb.READ_BACK: about_order,
    Verb.SECOND_CHECK: about_line,
    Verb.NOTIFY: noted,
    Verb.CHART: chart,
    Verb.TEACH: noted,
    Verb.WAIT: wait,
    Verb.LOOK_AT_SITE: look_at_site,
    Verb.LOOK_AT_PATIENT: look_at_patient,
    Verb.MEASURE: measure,
    Verb.LOOK_AT_CONTAINER: look_at_container,
    Verb.FOLLOW_LINE: follow_line,
    Verb.STRAIGHTEN: straighten,
    Verb.REPOSITION: reposition,
}

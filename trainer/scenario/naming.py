"""How steps are called when their author gave them no id.

An expected step is called by its act with hyphens (`look-at-site`). A step of a conduct
too, and the second of that name `look-at-site-2`. For `trainer.scenario` alone.
"""

from __future__ import annotations

from collections.abc import Sequence

from trainer.scenario.schema import ConductStep, Step
from trainer.terms import Domain, Verb


def name_of_act(verb: Verb) -> str:
    """An act as an id.

    >>> name_of_act(Verb.LOOK_AT_SITE)
    'look-at-site'
    """
    return str(verb).replace(" ", "-")


def step_id(step: Step) -> str:
    """The id of an expected step."""
    return step.id or name_of_act(step.do)


def conduct_ids(steps: Sequence[ConductStep]) -> tuple[str, ...]:
    """The ids of a conduct's steps, waits being called `wait`."""
    seen: dict[str, int] = {}
    ids = []
    for step in steps:
        name = step.id or (name_of_act(step.do) if step.do else "wait")
        seen[name] = seen.get(name, 0) + 1
        ids.append(name if seen[name] == 1 else f"{name}-{seen[name]}")
    return tuple(ids)


DOMAINS: dict[Domain, tuple[Verb, ...]] = {
    Domain.CALCULATING: (Verb.CALCULATE,),
    Domain.ENTERING: (Verb.ENTER,),
    Domain.VERIFYING: (
        Verb.IDENTIFY_PATIENT, Verb.CHECK_ALLERGIES, Verb.VERIFY_ORDER, Verb.INSPECT,
        Verb.SECOND_CHECK,
    ),
    Domain.WATCHING: (
        Verb.STOP, Verb.PAUSE_SOUND, Verb.RESET_ALARM, Verb.LOOK_AT_SITE, Verb.LOOK_AT_PATIENT,
        Verb.LOOK_AT_CONTAINER, Verb.FOLLOW_LINE, Verb.STRAIGHTEN, Verb.REPOSITION,
        Verb.RELEASE_PRESSURE, Verb.CLEAR_AIR, Verb.WAIT,
    ),
    Domain.COMMUNICATING: (
        Verb.QUESTION_ORDER, Verb.NOTIFY, Verb.READ_BACK, Verb.CHART, Verb.TEACH,
    ),
}  # fmt: skip
"""The part of the work that an act belongs to; every other act sets up the line."""


def domain_of(step: Step) -> Domain:
    """The part of the work in which a step is marked."""
    if step.domain is not None:
        return step.domain
    fitting = (domain for domain, acts in DOMAINS.items() if step.do in acts)
    return next(fitting, Domain.SETTING_UP)

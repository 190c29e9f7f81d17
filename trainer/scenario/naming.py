"""How steps are called when their author gave them no id.

An expected step is called by its act with hyphens (`look-at-site`). A step of a conduct
too, and the second of that name `look-at-site-2`. For `trainer.scenario` alone.
"""

from __future__ import annotations

from collections.abc import Sequence

from trainer.scenario.schema import ConductStep, Step
from trainer.terms import Domain, Verb, domain_of_act


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


def domain_of(step: Step) -> Domain:
    """The part of the work in which a step is marked."""
    return step.domain or domain_of_act(step.do)

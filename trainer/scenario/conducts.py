"""Scripted learners: a conduct that is like another one, written out in full.

Here: the putting together. Not here: whether the names lead anywhere (`check_conduct`).
For `trainer.scenario` alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from trainer.scenario.naming import conduct_ids
from trainer.scenario.schema import Conduct, ConductStep

Named = tuple[tuple[str, ConductStep], ...]
"""Steps with what they are called."""


def written_out(conducts: Iterable[Conduct]) -> dict[str, Named]:
    """Every conduct's whole course, by its id. One like an unknown conduct is left out."""
    courses: dict[str, Named] = {}
    for conduct in conducts:
        course = course_of(conduct, courses)
        if course is not None:
            courses.setdefault(conduct.id, course)
    return courses


def course_of(conduct: Conduct, earlier: Mapping[str, Named]) -> Named | None:
    """The whole course of one conduct, or None if it is like one that is not there."""
    if conduct.like is None:
        return tuple(zip(conduct_ids(conduct.steps), conduct.steps, strict=True))
    if conduct.like not in earlier:
        return None
    changes = {change.step: change.to for change in conduct.change}
    course: list[tuple[str, ConductStep]] = []
    for name, step in earlier[conduct.like]:
        if name in changes:
            course.extend(zip(conduct_ids(changes[name]), changes[name], strict=True))
        elif name not in conduct.leave_out:
            course.append((name, step))
        if name == conduct.ends_after:
            break
    return tuple(course)

"""A calculation problem as asked: what is to be found, in which unit, from which texts.

Here: the names a problem may use, and reading it from a mapping of texts. Not here: what
the texts mean (`givens`, `asked`) and solving (`solve`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trainer.errors import ProblemError

FINDS: dict[str, str] = {
    "rate": "mL/h",
    "volume": "mL",
    "duration": "h",
    "drip_rate": "gtt/min",
    "dose": "mg",
    "concentration": "mg/mL",
    "amount": "mg",
    "weight": "kg",
    "height": "cm",
    "bsa": "m2",
    "deficit": "mL",
    "resuscitation": "mL",
    "finish": "clock",
    "drop_factor": "gtt/mL",
    "doses_per_day": "doses/day",
    "diluent": "mL",
    "dehydration": "%",
    "burned": "%",
    "coefficient": "mL/kg/%",
}
"""What may be asked for, with the unit a question on the command line takes by default."""

GIVENS = (
    "volume", "duration", "rate", "drip_rate", "drop_factor", "dose", "doses_per_day", "weight",
    "height", "bsa", "concentration", "amount", "diluent", "start", "rule", "dehydration",
    "burned", "coefficient",
)  # fmt: skip
"""What may be given."""

PROBLEM_KEYS = frozenset({"id", "find", "unit", "given", "lb_per_kg"})
KEYS_OF_A_PUBLISHED_ROW = frozenset(
    {"category", "topic", "exact", "published", "rounding", "rounding_basis", "agrees",
     "published_answer_wrong", "source", "grade", "provenance", "note"}
)  # fmt: skip
"""Keys that a table of published examples has besides; they are not read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """A problem as asked. `given` keeps the order and the text as written."""

    id: str
    find: str
    unit: str
    given: tuple[tuple[str, str], ...]
    lb_per_kg: str | None = None


def parse_problem(mapping: object) -> Problem:
    """The problem in a mapping of texts.

    >>> parse_problem({"id": "a", "find": "rate", "unit": "mL/h",
    ...     "given": {"volume": "1000 mL", "duration": "8 h"}}).find
    'rate'

    Raises:
        ProblemError: naming the key that is missing, unknown or no text, and the mend.
    """
    if not isinstance(mapping, Mapping):
        raise ProblemError("a problem is an object with id, find, unit and given; write one")
    unknown = [str(k) for k in mapping if k not in PROBLEM_KEYS | KEYS_OF_A_PUBLISHED_ROW]
    if unknown:
        raise ProblemError(
            f"`{unknown[0][:30]}` is not a key of a problem; "
            "it has id, find, unit, given and, if pounds are converted, lb_per_kg"
        )
    given = mapping.get("given")
    if not isinstance(given, Mapping):
        raise ProblemError('given is missing or no object; write {"volume": "100 mL", ...}')
    return Problem(
        id=_text(mapping, "id", "a name for the problem"),
        find=_text(mapping, "find", "what is asked, such as rate"),
        unit=_text(mapping, "unit", "the unit of the answer, such as mL/h"),
        given=tuple((str(name), _given_text(name, text)) for name, text in given.items()),
        lb_per_kg=_text(mapping, "lb_per_kg", "2.2 lb per kg")
        if mapping.get("lb_per_kg") is not None
        else None,
    )


def _text(mapping: Mapping[object, object], key: str, example: str) -> str:
    value = mapping.get(key)
    if value is None:
        raise ProblemError(f"{key} is missing; write {example}")
    if not isinstance(value, str):
        raise ProblemError(f"{key} must be text; write {example}, in quotes")
    if not value.strip():
        raise ProblemError(f"{key} is empty; write {example}")
    return value


def _given_text(name: object, text: object) -> str:
    if isinstance(text, str):
        return text
    example = '"2"' if name == "doses_per_day" else 'such as "18.2 kg"'
    raise ProblemError(f"given {name} must be text with its unit; write it in quotes, {example}")


def label_of(find: str) -> str:
    """What is asked, in words."""
    words = {"bsa": "body surface area", "resuscitation": "resuscitation volume"}
    return words.get(find, find.replace("_", " "))

"""Whether the values that a problem gives agree with each other.

A given may have been rounded before it was written; one that is off by more than that
contradicts the others, and the refusal names both.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from trainer.clinical.knowns import Known, Knowns, drug_of, value_through
from trainer.clinical.parts import default_unit
from trainer.clinical.quantity import Quantity, format_quantity
from trainer.clinical.relations import Part, Relation

CLOSE_ENOUGH = Fraction(1, 100)
"""A given that was rounded before it was written may be off by this share. Chosen by us."""


def contradiction(known: Knowns, relations: Iterable[Relation]) -> str:
    """Hold every relation whose quantities are all known against them.

    A given agrees if it is right to the last decimal place it is written with, and within
    one percent. Gives both values in words where one does not; empty if all agree.
    """
    groups: dict[frozenset[Part], list[Relation]] = {}
    for relation in relations:
        if all(part in known for part in relation.parts):
            groups.setdefault(frozenset(relation.parts), []).append(relation)
    return next(filter(None, (_fault_in(group, known) for group in groups.values())), "")


def _fault_in(group: list[Relation], known: Knowns) -> str:
    """Hold the relations that join the same quantities against what is known of them."""
    implied: dict[Part, tuple[Relation, Fraction]] = {}
    for relation in group:
        for part in relation.parts:
            value = value_through(part, relation, known)
            if value is not None:
                implied.setdefault(part, (relation, value))
    if all(value == known[part].value for part, (_, value) in implied.items()):
        return ""
    told = [part for part in implied if known[part].given]
    if any(_agrees(known[part], implied[part][1]) for part in told):
        return ""
    first = next(iter(told), next(iter(implied)))
    relation, value = implied[first]
    if told or abs(value - known[first].value) > CLOSE_ENOUGH * value:
        return _words(relation, known, first)
    return ""


def _agrees(one: Known, implied: Fraction) -> bool:
    """Whether a given is what follows from the others, rounded where it was written."""
    if one.given is None:
        return False
    off = abs(implied - one.value)
    return off <= one.given.half_last_place and off <= CLOSE_ENOUGH * implied


def _words(relation: Relation, known: Knowns, part: Part) -> str:
    """Both values of `part`, and from what the second comes."""
    implied = value_through(part, relation, known) or Fraction(0)
    one = known[part]
    unit = one.given.plain.unit if one.given else default_unit(part, drug_of(known))
    other = format_quantity(Quantity(value=implied / unit.size, unit=unit))
    rest = " and ".join(_told(known[p], known) for p in relation.parts if p is not part)
    first = _told(one, known)
    return f"{first} contradicts {rest}, which make it {other}; check which is right"


def _told(one: Known, known: Knowns) -> str:
    if one.given:
        return f"the {one.given.name} of {one.given.text}"
    unit = default_unit(one.part, drug_of(known))
    return f"the {one.part.value} of {format_quantity(Quantity(value=one.value / unit.size, unit=unit))}"

"""What is known of a problem's quantities, and what follows from it.

The search is plain. Each round, every relation of which all quantities but one are known
gives that one; so what needs the fewest steps is found first.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical.givens import Given
from trainer.clinical.parts import drug_unit
from trainer.clinical.relations import Formula, Part, Product, Relation
from trainer.clinical.units import Unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """A quantity that is known, in base units: given, or found through a relation."""

    part: Part
    value: Fraction
    given: Given | None = None
    via: Relation | None = None
    is_exact: bool = True


Knowns = dict[Part, Known]


def derive(known: Knowns, relations: Iterable[Relation]) -> None:
    """Add to `known` all that follows, in rounds, so that the shortest way comes first."""
    relations = tuple(relations)
    while True:
        found: Knowns = {}
        for relation in relations:
            for part in relation.parts:
                if part not in known and part not in found:
                    step = _step(part, relation, known)
                    if step:
                        found[part] = step
        if not found:
            return
        known |= found


def _step(part: Part, relation: Relation, known: Knowns) -> Known | None:
    """`part` found through one relation; None if the relation does not give it yet."""
    value = value_through(part, relation, known)
    if value is None:
        return None
    inputs = [known[other] for other in relation.parts if other is not part]
    is_exact = all(one.is_exact for one in inputs)
    if isinstance(relation, Formula):
        is_exact = is_exact and relation.is_exact(*(one.value for one in inputs))
    if value <= 0 and part is not Part.FINISH:
        return None
    return Known(part=part, value=value, via=relation, is_exact=is_exact)


def value_through(part: Part, relation: Relation, known: Knowns) -> Fraction | None:
    """What a relation makes of `part`, from the others it joins; None if it cannot tell."""
    if isinstance(relation, Formula):
        if part is not relation.result or any(one not in known for one in relation.inputs):
            return None
        return relation.compute(*(known[one].value for one in relation.inputs))
    powers = relation.powers_for(part)
    if powers is None or any(other not in known for other, _ in powers):
        return None
    value = Fraction(1)
    for other, power in powers:
        value *= known[other].value ** power
    return value


def assume(known: Knowns, assumption: Product) -> bool:
    """Take something for granted, if it gives a quantity that is still unknown."""
    one, other = assumption.parts
    if (one in known) == (other in known):
        return False
    part = one if other in known else other
    step = _step(part, assumption, known)
    if step:
        known[part] = step
    return step is not None


def drug_of(known: Knowns, wanted: Unit | None = None) -> Unit | None:
    """The unit in which the drug is written: of the first given that has one, else the wanted."""
    units = tuple(one.given.plain.unit for one in known.values() if one.given)
    return drug_unit((*units, wanted) if wanted else units)

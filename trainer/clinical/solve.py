"""Solves a problem: a search from what is given to what is asked, and the worked solution.

The search is plain. What is given is known. Each round, every relation of the table of
which all quantities but one are known gives that one; so what needs the fewest steps is
found first. Relations of which all quantities are known must agree. Only if the asked
quantity is still unknown is something taken for granted (`ASSUMPTIONS`), one at a time.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical import cautions
from trainer.clinical.chain import Chain, Factor, chain_of, factor_of
from trainer.clinical.missing import missing_words
from trainer.clinical.problem import (
    BOUNDS,
    Asked,
    Given,
    Problem,
    default_unit,
    drug_unit,
    is_absurd,
    is_maintenance,
    is_per_day,
    label_of,
    read_problem,
)
from trainer.clinical.quantity import Quantity, format_clock, format_quantity, parse_quantity
from trainer.clinical.relations import (
    ASSUMPTIONS,
    Formula,
    Part,
    Product,
    Relation,
    relations_that_hold,
)
from trainer.clinical.rounding import (
    TEACHING_ROUNDING,
    RoundingRules,
    exact_text,
    format_number,
    significant_text,
)
from trainer.clinical.units import Unit
from trainer.errors import ProblemError

FLUID_PER_PERCENT = Given(
    name=Part.FLUID_PER_PERCENT.value,
    text="10 mL/kg/%",
    quantity=parse_quantity("10 mL/kg/%"),
)
"""See `fluids.DEFICIT_ML_PER_KG_PER_PERCENT`; a test holds the two against each other."""
CLOSE_ENOUGH = Fraction(1, 100)
"""A given that was rounded before it was written may be off by this share. Chosen by us."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """A quantity that is known, in base units: given, or found through a relation."""

    part: Part
    value: Fraction
    given: Given | None = None
    via: Relation | None = None
    is_exact: bool = True


Knowns = dict[Part, Known]


@dataclass(frozen=True, slots=True, kw_only=True)
class Solution:
    """A solved problem.

    Attributes:
        id: the problem's.
        find: what was asked.
        value_text: the answer rounded by policy, as plain text, or `HH:MM`.
        unit: the unit of the answer.
        exact_text: the exact answer: a decimal, a fraction, or `HH:MM`. Twelve digits of a
            value that is neither.
        exact: the exact answer, or to thirty digits; None for a time of day.
        rounded: the answer rounded by policy; None for a time of day.
        chain: the product that gives the answer; None if the last step is no product.
        steps: the worked solution, line by line.
        cautions: what to check.
    """

    id: str
    find: str
    value_text: str
    unit: str
    exact_text: str
    exact: Fraction | None
    rounded: Fraction | None
    chain: Chain | None
    steps: tuple[str, ...]
    cautions: tuple[str, ...]


def solve(problem: Problem, rounding: RoundingRules = TEACHING_ROUNDING) -> Solution:
    """The answer to a problem, exact and rounded, with its worked solution.

    >>> solve(Problem(id="a", find="rate", unit="mL/h",
    ...     given=(("volume", "1000 mL"), ("duration", "8 h")))).value_text
    '125'

    Raises:
        ProblemError: if something is missing, unknown or contradicts.
        QuantityError: if a text cannot be read as what it should be.
    """
    asked = read_problem(problem)
    known = _find(asked)
    if asked.part is Part.FINISH:
        return _clock_solution(asked, known)
    return _number_solution(asked, known, rounding)


def _find(asked: Asked) -> Knowns:
    """Everything that follows from the givens, the asked quantity among it."""
    known = _start(asked)
    relations = relations_that_hold({part for part, _ in asked.known} | {asked.part}, asked.rule)
    derive(known, relations)
    check_agreement(known, relations)
    impossible = "" if asked.part in known else _below_zero(asked, known, relations)
    if impossible:
        raise ProblemError(impossible)
    while asked.part not in known and any(_assume(known, one) for one in ASSUMPTIONS):
        derive(known, relations)
    if asked.part not in known:
        raise ProblemError(missing_words(asked, relations))
    _check_answer(asked, known)
    return known


def _below_zero(asked: Asked, known: Knowns, relations: tuple[Relation, ...]) -> str:
    """Why the answer is impossible if it is a difference below or at zero; empty if not so."""
    for relation in relations:
        if not isinstance(relation, Formula):
            continue
        value = _value(asked.part, relation, known)
        if value is not None and value <= 0 and asked.part is not Part.FINISH:
            working = relation.words(*(known[one].value for one in relation.inputs))
            return f"{working}, which cannot be; check the volumes and the concentration"
    return ""


def _check_answer(asked: Asked, known: Knowns) -> None:
    """Refuse an answer that no patient could have, with the givens to look at."""
    if asked.problem.find not in BOUNDS:
        return
    unit, value = asked.unit, known[asked.part].value
    answer = Quantity(value=value / unit.size, unit=unit)
    if is_absurd(asked.problem.find, answer, asked.kg_per_lb):
        givens = " and ".join(f"{given.name} {given.text}" for _, given in asked.known)
        raise ProblemError(
            f"the {label_of(asked.problem.find)} would be {format_quantity(answer)}, which is absurd; "
            f"check the numbers and units of {givens}"
        )


def _start(asked: Asked) -> Knowns:
    known: Knowns = {}
    for part, given in asked.known:
        earlier = known.get(part)
        if earlier and earlier.given and earlier.value != given.size:
            raise ProblemError(
                f"{earlier.given.name} ({earlier.given.text}) and {given.name} ({given.text}) "
                "say different things of the same; leave one out"
            )
        known[part] = Known(part=part, value=given.size, given=given)
    if Part.DEHYDRATION in known or asked.part in {Part.DEHYDRATION, Part.DEFICIT}:
        constant = FLUID_PER_PERCENT
        known[Part.FLUID_PER_PERCENT] = Known(
            part=Part.FLUID_PER_PERCENT, value=constant.size, given=constant
        )
    return known


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
    value = _value(part, relation, known)
    if value is None:
        return None
    inputs = [known[other] for other in relation.parts if other is not part]
    is_exact = all(one.is_exact for one in inputs)
    if isinstance(relation, Formula):
        is_exact = is_exact and relation.is_exact(*(one.value for one in inputs))
    if value <= 0 and part is not Part.FINISH:
        return None
    return Known(part=part, value=value, via=relation, is_exact=is_exact)


def _value(part: Part, relation: Relation, known: Knowns) -> Fraction | None:
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


def _assume(known: Knowns, assumption: Product) -> bool:
    """Take something for granted, if it gives a quantity that is still unknown."""
    one, other = assumption.parts
    if (one in known) == (other in known):
        return False
    part = one if other in known else other
    step = _step(part, assumption, known)
    if step:
        known[part] = step
    return step is not None


# Two values that contradict each other


def check_agreement(known: Knowns, relations: Iterable[Relation]) -> None:
    """Hold every relation whose quantities are all known against them.

    A given agrees if it is right to the last decimal place it is written with, and within
    one percent.

    Raises:
        ProblemError: naming both values.
    """
    groups: dict[frozenset[Part], list[Relation]] = {}
    for relation in relations:
        if all(part in known for part in relation.parts):
            groups.setdefault(frozenset(relation.parts), []).append(relation)
    for group in groups.values():
        _check_group(group, known)


def _check_group(group: list[Relation], known: Knowns) -> None:
    """Hold the relations that join the same quantities against what is known of them."""
    implied: dict[Part, tuple[Relation, Fraction]] = {}
    for relation in group:
        for part in relation.parts:
            value = _value(part, relation, known)
            if value is not None:
                implied.setdefault(part, (relation, value))
    if all(value == known[part].value for part, (_, value) in implied.items()):
        return
    told = [part for part in implied if known[part].given]
    if any(_agrees(known[part], implied[part][1]) for part in told):
        return
    first = next(iter(told), next(iter(implied)))
    relation, value = implied[first]
    if told or abs(value - known[first].value) > CLOSE_ENOUGH * value:
        raise ProblemError(_contradiction(relation, known, first))


def _agrees(one: Known, implied: Fraction) -> bool:
    """Whether a given is what follows from the others, rounded where it was written."""
    if one.given is None:
        return False
    off = abs(implied - one.value)
    return off <= one.given.half_last_place and off <= CLOSE_ENOUGH * implied


def _contradiction(relation: Relation, known: Knowns, part: Part) -> str:
    """Both values of `part`, and from what the second comes."""
    implied = _value(part, relation, known) or Fraction(0)
    one = known[part]
    unit = one.given.plain.unit if one.given else default_unit(part, _drug_of(known))
    other = format_quantity(Quantity(value=implied / unit.size, unit=unit))
    rest = " and ".join(_told(known[p], known) for p in relation.parts if p is not part)
    first = _told(one, known)
    return f"{first} contradicts {rest}, which make it {other}; check which is right"


def _told(one: Known, known: Knowns) -> str:
    if one.given:
        return f"the {one.given.name} of {one.given.text}"
    unit = default_unit(one.part, _drug_of(known))
    return f"the {one.part.value} of {format_quantity(Quantity(value=one.value / unit.size, unit=unit))}"


def _drug_of(known: Knowns, wanted: Unit | None = None) -> Unit | None:
    units = tuple(one.given.plain.unit for one in known.values() if one.given)
    return drug_unit((*units, wanted) if wanted else units)


# The worked solution


def powers_of(part: Part, known: Knowns) -> dict[Part, int]:
    """`part` as a product of powers of givens and of results of formulas."""
    via = known[part].via
    if known[part].given or via is None or isinstance(via, Formula):
        return {part: 1}
    total: dict[Part, int] = {}
    for other, power in via.powers_for(part) or ():
        for leaf, own in powers_of(other, known).items():
            total[leaf] = total.get(leaf, 0) + own * power
    return {leaf: power for leaf, power in total.items() if power}


def _chain(name: str, part: Part, unit: Unit, known: Knowns, rule: str) -> Chain:
    """`part` in `unit` as a chain of its givens, those that multiply first."""
    drug = _drug_of(known, unit)
    powers = sorted(powers_of(part, known).items(), key=lambda one: one[1] < 0)
    factors = tuple(_factor(known[leaf], power, drug, rule) for leaf, power in powers)
    return chain_of(name, factors, unit)


def _factor(one: Known, power: int, drug: Unit | None, rule: str) -> Factor:
    if one.given:
        is_constant = one.part is Part.FLUID_PER_PERCENT
        factor = factor_of(
            one.given.name, one.given.quantity, one.given.text, given=not is_constant
        )
    else:
        unit = default_unit(one.part, drug, rule)
        value = Quantity(value=one.value / unit.size, unit=unit)
        factor = factor_of(one.part.value, value, given=False)
    return Factor(
        name=factor.name,
        text=factor.text,
        above=factor.above,
        below=factor.below,
        power=power,
        given=factor.given,
    )


def _working(part: Part, known: Knowns, rule: str) -> tuple[str, ...]:
    """The lines for every formula on the way to `part`, first things first."""
    lines: list[str] = []
    for leaf in powers_of(part, known):
        via = known[leaf].via
        if isinstance(via, Formula):
            for one in via.inputs:
                lines += _working(one, known, rule)
                lines += _input_lines(one, known, rule)
            lines.append(via.words(*(known[one].value for one in via.inputs)))
    return tuple(dict.fromkeys(lines))


def _input_lines(part: Part, known: Knowns, rule: str) -> tuple[str, ...]:
    """How an input of a formula comes to its unit, if it was not given in it."""
    one, unit = known[part], default_unit(part, _drug_of(known), rule)
    if part in {Part.START, Part.FINISH} or (one.given and one.given.plain.unit == unit):
        return ()
    if isinstance(one.via, Formula):
        return ()
    return _chain(part.value, part, unit, known, rule).lines()


def _assumptions(part: Part, known: Knowns) -> tuple[str, ...]:
    """What was taken for granted on the way to `part`."""
    via = known[part].via
    if via is None:
        return ()
    own = (via.assumes,) if isinstance(via, Product) and via.assumes else ()
    others = tuple(
        line for other in via.parts if other is not part for line in _assumptions(other, known)
    )
    return tuple(dict.fromkeys((*others, *own)))


def _clock_solution(asked: Asked, known: Knowns) -> Solution:
    finish = known[Part.FINISH].value
    minutes = int(finish * 60 // 1)
    text = format_clock(minutes)
    steps = (*_taken(asked, known), *_working(Part.FINISH, known, asked.rule))
    if finish * 60 % 1:
        steps += (f"the seconds are dropped: {text}",)
    return Solution(
        id=asked.problem.id,
        find=asked.problem.find,
        value_text=text,
        unit="clock",
        exact_text=text,
        exact=None,
        rounded=None,
        chain=None,
        steps=steps,
        cautions=cautions.next_day(minutes // (24 * 60)) + _cautions(asked, known),
    )


def _taken(asked: Asked, known: Knowns) -> tuple[str, ...]:
    if len(asked.known) == 1:
        return ()
    return tuple(f"taken for granted: {line}" for line in _assumptions(asked.part, known))


def _number_solution(asked: Asked, known: Knowns, rounding: RoundingRules) -> Solution:
    find, unit, one = asked.problem.find, asked.unit, known[asked.part]
    chain = _chain(label_of(find), asked.part, unit, known, asked.rule)
    exact = one.value / unit.size
    rounded = rounding.apply(find, unit.text, exact)
    is_bare = len(chain.factors) == 1 and not chain.factors[0].given
    steps = (
        *_taken(asked, known),
        *_working(asked.part, known, asked.rule),
        *(() if is_bare else chain.lines()),
        _last_line(find, unit, exact, rounding),
    )
    return Solution(
        id=asked.problem.id,
        find=find,
        value_text=format_number(rounded, plain=True),
        unit=unit.text,
        exact_text=exact_text(exact) if one.is_exact else significant_text(exact),
        exact=exact,
        rounded=rounded,
        chain=None if isinstance(one.via, Formula) else chain,
        steps=steps,
        cautions=_cautions(asked, known)
        + cautions.rounding_moved(find, unit.text, exact, rounding),
    )


def _last_line(find: str, unit: Unit, exact: Fraction, rounding: RoundingRules) -> str:
    rounded = rounding.apply(find, unit.text, exact)
    if rounded == exact:
        return f"no rounding is needed: {format_number(exact)} {unit.text}"
    rule = rounding.rule_for(find, unit.text, exact)
    return f"rounded once, at the end, {rule.words(exact, unit.text)}: {format_number(rounded)} {unit.text}"


# What to check


def _cautions(asked: Asked, known: Knowns) -> tuple[str, ...]:
    given = {one.given.name: one.given for one in known.values() if one.given}
    weight = known.get(Part.WEIGHT)
    found: tuple[str, ...] = ()
    if weight:
        found += cautions.odd_weight(weight.value)
        if is_maintenance(asked.rule):
            found += cautions.two_rules(weight.value, asked.rule)
    if "weight" in given and any(
        atom.symbol in {"lb", "oz"} for atom, _ in given["weight"].plain.unit.powers
    ):
        found += cautions.in_pounds(given["weight"].text)
    if Part.RATE in known and Part.RATE in _on_the_way(asked.part, known):
        found += cautions.fast_rate(known[Part.RATE].value, weight.value if weight else None)
    return found + _fluid_cautions(asked, known) + _day_caution(asked, known)


def _fluid_cautions(asked: Asked, known: Knowns) -> tuple[str, ...]:
    found: tuple[str, ...] = ()
    if Part.DEHYDRATION in known:
        found += cautions.severe_dehydration(known[Part.DEHYDRATION].value)
        if is_maintenance(asked.rule):
            found += cautions.both_fluids()
    if Part.RESUSCITATION in known:
        found += cautions.burn_halves(known[Part.RESUSCITATION].value)
    return found


def _day_caution(asked: Asked, known: Knowns) -> tuple[str, ...]:
    """An answer per day from a dose per day, without the number of doses."""
    if asked.problem.find == "dose" and is_per_day(asked.unit) and Part.DOSES_PER_DAY not in known:
        return cautions.whole_day()
    return ()


def _on_the_way(part: Part, known: Knowns) -> set[Part]:
    """`part` and every quantity it was found through."""
    via = known[part].via
    others = () if via is None else tuple(p for p in via.parts if p is not part)
    return {part}.union(*(_on_the_way(other, known) for other in others))

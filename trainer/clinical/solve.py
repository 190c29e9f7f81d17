"""Solves a problem: from what is given to what is asked, with its worked solution.

What is given is known; what follows is found (`knowns`); relations of which all quantities
are known must agree (`agreement`). Only if the asked quantity is still unknown is something
taken for granted (`ASSUMPTIONS`), one at a time.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical import cautions
from trainer.clinical.agreement import contradiction
from trainer.clinical.asked import Asked, read_problem
from trainer.clinical.chain import Chain
from trainer.clinical.givens import BOUNDS, Given, is_absurd
from trainer.clinical.knowns import Known, Knowns, assume, derive, value_through
from trainer.clinical.missing import missing_words
from trainer.clinical.parts import is_per_day
from trainer.clinical.problem import Problem, label_of
from trainer.clinical.quantity import Quantity, format_clock, format_quantity, parse_quantity
from trainer.clinical.relations import (
    ASSUMPTIONS,
    MAINTENANCE_RULES,
    Formula,
    Part,
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
from trainer.clinical.second_reading import fits_the_bag, for_one_day, set_aside
from trainer.clinical.worked import assumed_lines, chain_to, rounding_line, working_lines
from trainer.errors import ProblemError

FLUID_PER_PERCENT = Given(
    name=Part.FLUID_PER_PERCENT.value,
    text="10 mL/kg/%",
    quantity=parse_quantity("10 mL/kg/%"),
)
"""See `fluids.DEFICIT_ML_PER_KG_PER_PERCENT`; a test holds the two against each other."""


LEAST_WRITTEN = Fraction(1, 10**9)
"""Nothing is dosed in less than this of its unit, or in more than its inverse. Chosen by us."""


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
    asked, known = _find(read_problem(problem))
    if asked.part is Part.FINISH:
        return _clock_solution(asked, known)
    return _number_solution(asked, known, rounding)


def exact_answer(asked: Asked) -> Fraction:
    """The exact answer to a problem that is already read, in its unit; a finish in hours.

    Raises:
        ProblemError: if something is missing or contradicts.
    """
    taken, known = _find(asked)
    return known[taken.part].value / taken.unit.size


def _find(asked: Asked) -> tuple[Asked, Knowns]:
    """The problem as it was taken, and all that follows from it, the asked quantity among it."""
    known = _start(asked)
    relations = relations_that_hold({part for part, _ in asked.known} | {asked.part}, asked.rule)
    derive(known, relations)
    fault = contradiction(known, relations)
    if fault:
        return _find_without(asked, fault)
    impossible = "" if asked.part in known else _below_zero(asked, known, relations)
    if impossible:
        raise ProblemError(impossible)
    while asked.part not in known and any(assume(known, one) for one in ASSUMPTIONS):
        derive(known, relations)
    if asked.part not in known:
        day = for_one_day(asked)
        if day:
            return _find(day)
        raise ProblemError(missing_words(asked, relations))
    _check_answer(asked, known)
    return asked, known


def _find_without(asked: Asked, fault: str) -> tuple[Asked, Knowns]:
    """What follows if a given is of another container; a fault in the words given, if none is."""
    other = set_aside(asked)
    if other is None:
        raise ProblemError(fault)
    taken, known = _find(other)
    if not fits_the_bag(asked, known):
        raise ProblemError(fault)
    return taken, known


def _below_zero(asked: Asked, known: Knowns, relations: tuple[Relation, ...]) -> str:
    """Why the answer is impossible if it is a difference below or at zero; empty if not so."""
    for relation in relations:
        if not isinstance(relation, Formula):
            continue
        value = value_through(asked.part, relation, known)
        if value is not None and value <= 0 and asked.part is not Part.FINISH:
            working = relation.words(*(known[one].value for one in relation.inputs))
            return f"{working}, which cannot be; check the volumes and the concentration"
    return ""


def _check_answer(asked: Asked, known: Knowns) -> None:
    """Refuse an answer that no patient could have, with the givens to look at."""
    unit, value = asked.unit, known[asked.part].value
    answer = Quantity(value=value / unit.size, unit=unit)
    if asked.problem.find not in BOUNDS:
        return
    can_be_written = LEAST_WRITTEN <= answer.value <= 1 / LEAST_WRITTEN
    if not can_be_written or is_absurd(asked.problem.find, answer, asked.kg_per_lb):
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


def _clock_solution(asked: Asked, known: Knowns) -> Solution:
    finish = known[Part.FINISH].value
    minutes = int(finish * 60 // 1)
    text = format_clock(minutes)
    steps = (*assumed_lines(asked, known), *working_lines(Part.FINISH, known, asked.rule))
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


def _number_solution(asked: Asked, known: Knowns, rounding: RoundingRules) -> Solution:
    find, unit, one = asked.problem.find, asked.unit, known[asked.part]
    chain = chain_to(label_of(find), asked.part, unit, known, asked.rule)
    exact = one.value / unit.size
    rounded = rounding.apply(find, unit.text, exact)
    is_bare = len(chain.factors) == 1 and not chain.factors[0].given
    steps = (
        *assumed_lines(asked, known),
        *working_lines(asked.part, known, asked.rule),
        *(() if is_bare else chain.lines()),
        rounding_line(find, unit, exact, rounding),
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


def _cautions(asked: Asked, known: Knowns) -> tuple[str, ...]:
    given = {one.given.name: one.given for one in known.values() if one.given}
    weight = known.get(Part.WEIGHT)
    found: tuple[str, ...] = ()
    if weight:
        found += cautions.odd_weight(weight.value)
        if asked.rule in MAINTENANCE_RULES:
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
        if asked.rule in MAINTENANCE_RULES:
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

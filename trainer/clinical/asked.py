"""A problem read against its question: each given bound to the quantity it is.

What a given means may hang on the others: a volume beside an amount is a container's, a
dose per day beside doses per day is one of several. Not here: the search (`solve`).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical.givens import Given, in_fluid_ounces, parse_pound, read_given
from trainer.clinical.parts import (
    FLOW_PARTS,
    ONE_PART,
    Flow,
    drug_dimension,
    flow_of,
    is_drug_once,
    is_per_day,
)
from trainer.clinical.problem import FINDS, GIVENS, Problem
from trainer.clinical.quantity import format_quantity, measures
from trainer.clinical.relations import RULES, Part
from trainer.clinical.units import ATOMS, DRUG_DIMENSIONS, Atom, Dimension, Unit, parse_unit
from trainer.errors import ProblemError

D = Dimension

PERCENT_STRENGTH_UNIT = Unit(
    text="%",
    powers=(
        (ATOMS["g"], 1),
        (Atom(symbol="(100 mL)", dimension=D.VOLUME, size=Fraction(100)), -1),
    ),
)
"""Percent as the unit of a concentration: grams per 100 mL."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A problem read through: what is wanted, in which unit, and from what.

    Attributes:
        part: the quantity wanted.
        unit: the unit wanted.
        known: each given bound to the quantity it is.
        rules: the relations of the rules named.
        rule: the maintenance or surface rule named; empty if none.
        kg_per_lb: the pound used.
        taken_as: how it was read where it does not come out as it stands; empty if it does.
    """

    problem: Problem
    part: Part
    unit: Unit
    known: tuple[tuple[Part, Given], ...]
    rule: str
    kg_per_lb: Fraction
    taken_as: str = ""


def read_problem(problem: Problem) -> Asked:
    """The problem with every text read, bound and checked.

    Raises:
        ProblemError: if the question or a given's name is unknown, or kinds do not fit.
        QuantityError: if a given or the unit cannot be read.
    """
    _check_names(problem)
    kg_per_lb = parse_pound(problem.lb_per_kg)
    texts = dict(problem.given)
    rule = _rule(texts.pop("rule", None))
    givens = {name: read_given(name, text, kg_per_lb) for name, text in texts.items()}
    unit = _wanted_unit(problem, kg_per_lb, givens)
    _refuse_mixed_drugs(givens, problem.find, unit)
    return Asked(
        problem=problem,
        part=_wanted_part(problem, unit, givens),
        unit=unit,
        known=tuple((_bound_part(g, givens, problem.find), g) for g in givens.values()),
        rule=rule,
        kg_per_lb=kg_per_lb,
    )


def _check_names(problem: Problem) -> None:
    if problem.find not in FINDS:
        raise ProblemError(
            f"find: `{problem.find[:30]}` is not asked for; write one of {', '.join(FINDS)}"
        )
    for name, _ in problem.given:
        if name not in GIVENS:
            raise ProblemError(
                f"given: `{name[:30]}` is not a name of a given; write one of {', '.join(GIVENS)}"
            )
    if not problem.given:
        raise ProblemError(f"nothing is given to find the {problem.find} from")


def _rule(text: str | None) -> str:
    if text is None:
        return ""
    rule = re.sub(r"\s*[-\u2010-\u2015:/]\s*", "-", text.strip().lower())
    if rule not in RULES:
        raise ProblemError(f"rule: `{text[:30]}` is unknown; write one of {', '.join(RULES)}")
    return rule


def _wanted_unit(problem: Problem, kg_per_lb: Fraction, givens: dict[str, Given]) -> Unit:
    if problem.find == "finish":
        if problem.unit.strip() != "clock":
            raise ProblemError("unit: a finish is a time of day; write clock")
        return parse_unit("h")
    if problem.find == "concentration" and problem.unit.strip() in {"%", "percent"}:
        return PERCENT_STRENGTH_UNIT
    if problem.find == "doses_per_day" and problem.unit.strip() in {"1", "doses"}:
        return parse_unit("doses/day")
    of_body = {"weight": True, "amount": False, "concentration": False}.get(problem.find)
    if problem.unit.strip() == "clock":
        raise ProblemError(
            f"unit: clock is for a finish; write a unit such as {FINDS[problem.find]}"
        )
    counted = COUNTED.get(problem.find, NOT_COUNTED).fullmatch(problem.unit.strip())
    if counted:
        return _counted_unit(problem.find, counted[1], counted[2], counted[3])
    text = in_fluid_ounces(problem.unit) if problem.find == "volume" else problem.unit
    unit = parse_unit(text, what="unit", kg_per_lb=kg_per_lb, of_body=of_body)
    if not _fits(problem.find, unit, set(givens)):
        raise ProblemError(
            f"unit: {unit.text} is {measures(unit)}, which is no {problem.find}; {_unit_mend(problem.find, unit)}"
        )
    return unit


NOT_COUNTED = re.compile(r"(?!)")
COUNTED = {
    "concentration": re.compile(r"(\D+)/\s*([1-9][0-9]{0,3})\s*(mL)"),
    "drip_rate": re.compile(r"(gtt|drops)\s*/\s*([1-9][0-9]?)\s*(s|sec|seconds|min|minutes)"),
}
"""Units by several of a thing, as spoken: `mg/5 mL` of a syrup, `gtt/15 s` counted at the chamber."""


def _counted_unit(find: str, above: str, count: str, each: str) -> Unit:
    """The unit by several of a thing, which becomes one simple unit: `mg/5 mL`."""
    one = parse_unit(each, what="unit").powers[0][0]
    several = Atom(
        symbol=f"{count} {one.symbol}", dimension=one.dimension, size=int(count) * one.size
    )
    top = parse_unit(above, what="unit", of_body=False)
    unit = Unit(text=f"{top.text}/{several.symbol}", powers=(*top.powers, (several, -1)))
    if not _fits(find, unit, set()):
        raise ProblemError(f"unit: {unit.text} is no {find}; write a unit such as {FINDS[find]}")
    return unit


def _fits(find: str, unit: Unit, names: set[str]) -> bool:
    """Whether an answer to this question can have this unit."""
    if find in ONE_PART:
        return unit.dimensions == tuple(sorted(ONE_PART[find][1]))
    if find == "amount":
        return is_drug_once(unit) or (names == {"amount"} and unit.dimensions == ((D.VOLUME, 1),))
    flow = flow_of(unit)
    if find == "concentration":
        return _is_strength(unit)
    if flow is None:
        return False
    if find == "rate":
        return flow.of == "volume" and flow.timed == "time"
    if find == "volume":
        return flow.of == "volume" and (flow.timed == "once" or is_per_day(unit))
    return find == "dose"


def _is_strength(unit: Unit) -> bool:
    dimensions = dict(unit.dimensions)
    volume = dimensions.pop(D.VOLUME, 0)
    return (
        volume == -1
        and len(dimensions) == 1
        and dimensions.popitem() in {(dimension, 1) for dimension in DRUG_DIMENSIONS}
    )


def _unit_mend(find: str, unit: Unit) -> str:
    """What to ask instead: the question that this unit answers, or this question's unit."""
    flow = flow_of(unit)
    better = next((name for name in FINDS if name != find and _fits(name, unit, set())), None)
    default = f"write a unit such as {FINDS[find]}"
    if flow is None and better is None:
        return default
    return f"{default}, or ask for the {better}" if better else default


def _wanted_part(problem: Problem, unit: Unit, givens: dict[str, Given]) -> Part:
    """The quantity that the question and its unit mean."""
    find = problem.find
    if find == "resuscitation" and "duration" in givens:
        return Part.VOLUME  # of that period
    if find in ONE_PART:
        return ONE_PART[find][0]
    if find == "finish":
        return Part.FINISH
    if find == "concentration":
        return Part.CONCENTRATION
    flow = flow_of(unit)
    if flow is None:  # pragma: no cover - `_fits` has refused such a unit
        raise ProblemError(f"unit: {unit.text} does not fit {find}")
    if find in {"dose", "volume"} and _is_daily(flow, unit, givens, find):
        return FLOW_PARTS[Flow(of=flow.of, body=flow.body, timed="day")]
    return FLOW_PARTS[flow]


def _is_daily(flow: Flow, unit: Unit, givens: dict[str, Given], find: str) -> bool:
    """Whether a dose per day is one of so many doses, not a constant rate."""
    in_doses = "doses_per_day" in givens or find == "doses_per_day"
    return flow.timed == "time" and is_per_day(unit) and in_doses


def _bound_part(given: Given, givens: dict[str, Given], find: str) -> Part:
    """The quantity that a given is, seen together with the others."""
    name, unit = given.name, given.plain.unit
    diluted = "diluent" in givens or find == "diluent"
    if name in ONE_PART:
        return ONE_PART[name][0]
    if name == "start":
        return Part.START
    if name == "concentration":
        return Part.STOCK_CONCENTRATION if "diluent" in givens else Part.CONCENTRATION
    if name == "amount":
        return Part.CONTAINER_AMOUNT if is_drug_once(unit) else Part.CONTAINER_VOLUME
    flow = flow_of(unit)
    if flow is None:  # pragma: no cover - `_check_flow` has refused such a unit
        raise ProblemError(f"{name}: {given.text} does not fit")
    if name == "volume" and not flow.body and (diluted or "amount" in givens):
        return Part.STOCK_VOLUME if diluted else Part.CONTAINER_VOLUME
    if name == "dose" and _is_daily(flow, unit, givens, find):
        return FLOW_PARTS[Flow(of=flow.of, body=flow.body, timed="day")]
    return FLOW_PARTS[flow]


def _refuse_mixed_drugs(givens: dict[str, Given], find: str, unit: Unit) -> None:
    """One problem speaks of one kind of drug: all in grams, or all in units ..."""
    kinds = {name: drug_dimension(given.plain.unit) for name, given in givens.items()}
    kinds["answer"] = drug_dimension(unit)
    named = [(name, kind) for name, kind in kinds.items() if kind is not None]
    for name, kind in named[1:]:
        if kind is not named[0][1]:
            first = format_quantity(givens[named[0][0]].plain)
            second = unit.text if name == "answer" else format_quantity(givens[name].plain)
            raise ProblemError(
                f"{named[0][0]} and {name} speak of different things: {first} is in "
                f"{named[0][1]}, {second} in {kind}; one does not convert into the other"
            )

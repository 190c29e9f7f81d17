"""A right answer, opened up: the product it comes from and what it was given.

Made of a problem, or of a chain that is already known. A given can be exchanged and the
answer found again; that is how a slip in one given is followed to its end.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import chain as joined

from trainer.clinical import fluids
from trainer.clinical.asked import Asked, read_problem
from trainer.clinical.chain import Chain, Factor
from trainer.clinical.givens import Given
from trainer.clinical.problem import Problem
from trainer.clinical.quantity import Quantity, Strength, format_clock
from trainer.clinical.relations import MAINTENANCE_RULES
from trainer.clinical.rounding import RoundingRules, format_number, round_half_up
from trainer.clinical.solve import exact_answer, solve
from trainer.clinical.units import KG_PER_LB, Dimension, Unit
from trainer.errors import ProblemError, QuantityError

CLOCK = "clock"


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """A right answer and its way.

    Attributes:
        kind: what is asked: rate, volume, dose ...
        unit: the unit of the answer; hours for a time of day.
        exact: the exact answer in `unit`; for a time of day, the duration until then.
        factors: the product that gives it, unit constants among them; empty if the last step
            is a sum or a rule.
        also: values that are as right, such as one from the rounded rate.
        kg_per_lb: the pound used.
        start_min: the start in minutes after midnight, if a time of day is asked.
        asked: the problem it answers; None if only a chain is known.
    """

    kind: str
    unit: Unit
    exact: Fraction
    factors: tuple[Factor, ...] = ()
    also: tuple[Fraction, ...] = ()
    kg_per_lb: Fraction = KG_PER_LB
    start_min: int | None = None
    asked: Asked | None = None

    @property
    def is_clock(self) -> bool:
        """Whether a time of day is asked."""
        return self.start_min is not None

    @property
    def rule(self) -> str:
        """The maintenance or surface rule the problem names; empty if none."""
        return self.asked.rule if self.asked else ""

    @property
    def has_maintenance(self) -> bool:
        """Whether a maintenance rule is named."""
        return self.rule in MAINTENANCE_RULES

    @property
    def own(self) -> tuple[Factor, ...]:
        """The factors that are no unit constants."""
        return tuple(factor for factor in self.factors if not is_constant(factor))

    @property
    def constants(self) -> tuple[Factor, ...]:
        """The unit constants in the product."""
        return tuple(factor for factor in self.factors if is_constant(factor))

    @property
    def is_plain_product(self) -> bool:
        """Whether the product is of givens and unit constants alone."""
        known = all(factor.given or is_constant(factor) for factor in self.factors)
        return known and bool(self.factors)

    def givens(self) -> tuple[tuple[str, Quantity | Strength, str], ...]:
        """Name, value and text of everything that is given, each once."""
        if self.asked:
            known = (given for _, given in self.asked.known if given.name != "start")
            return tuple((given.name, given.quantity, given.text) for given in known)
        return tuple((one.name, _whole(one), one.text) for one in self.own)

    def given(self, name: str) -> Quantity | None:
        """A given as one value with one unit; None if it is not given."""
        return next((plain(value) for own, value, _ in self.givens() if own == name), None)

    def text_of(self, name: str) -> str:
        """A given as it was written; empty if it is not given."""
        return next((text for own, _, text in self.givens() if own == name), "")

    def given_of(self, dimension: Dimension) -> str:
        """The name of the given that measures this and nothing else; empty if none does."""
        names = (own for own, value, _ in self.givens() if _measures(value, dimension))
        return next(names, "")

    def scaled(self, name: str, ratio: Fraction) -> Fraction | None:
        """The answer if the given of this name were `ratio` times what it is; None if it is idle."""
        if self.is_plain_product:
            power = sum(factor.power for factor in self.factors if factor.name == name)
            value: Fraction = self.exact * ratio**power
            return value if power else None
        found = self._scaled_again(name, ratio)
        return None if found == self.exact else found

    def _scaled_again(self, name: str, ratio: Fraction) -> Fraction | None:
        """The same where a rule stands between the given and the answer: solved again."""
        if self.asked is None or self.given(name) is None:
            powers = [factor.power for factor in self.own if factor.name == name]
            return self.exact * ratio ** powers[0] if powers else None
        known = tuple(
            (part, moved(given, ratio) if given.name == name else given)
            for part, given in self.asked.known
        )
        return solved_again(replace(self.asked, known=known))

    def words(self, value: Fraction) -> str:
        """A value of this answer's kind in words, with its unit."""
        if self.start_min is not None:
            return self.clock(value)
        return f"{format_number(shown(value))} {self.unit.text}".rstrip()

    @property
    def right_words(self) -> str:
        """The right answer in words, as finely as a wrong one is compared with it."""
        return self.words(self.exact)

    def clock(self, duration_h: Fraction) -> str:
        """The time of day after so many hours from the start, the seconds dropped."""
        return format_clock(int(((self.start_min or 0) + duration_h * 60) // 1))

    def rounded(self, value: Fraction, rounding: RoundingRules) -> Fraction:
        """A value of this kind, rounded as the policy does."""
        return rounding.apply(self.kind, self.unit.text, value)


def is_constant(factor: Factor) -> bool:
    """Whether a factor is a unit constant such as minutes per hour."""
    return not factor.given and " per " in factor.name


def plain(value: Quantity | Strength) -> Quantity:
    """A quantity or a strength as one value with one unit."""
    return value.quantity if isinstance(value, Strength) else value


def shown(value: Fraction) -> Fraction:
    """A value cut to what is worth showing: four decimals, or four digits of a small one."""
    step = Fraction(1, 10**4)
    while value and abs(value) < step * 1000 and step > Fraction(1, 10**12):
        step /= 10
    return round_half_up(value, step)


def answer_of(problem: Problem) -> Answer:
    """The right answer to a problem, opened up.

    Raises:
        ProblemError: if the problem cannot be solved.
        QuantityError: if a text in it cannot be read.
    """
    asked = read_problem(problem)
    if problem.find == "finish":
        return _clock_answer(asked)
    solution = solve(problem)
    factors = solution.chain.factors if solution.chain else ()
    exact = exact_answer(asked) if solution.exact is None else solution.exact
    return Answer(
        kind=problem.find,
        unit=asked.unit,
        exact=exact,
        factors=factors,
        kg_per_lb=asked.kg_per_lb,
        asked=asked,
    )


def _clock_answer(asked: Asked) -> Answer:
    """The answer to when it finishes: the duration, and the start it counts from."""
    problem = asked.problem
    given = tuple((name, text) for name, text in problem.given if name != "start")
    until = answer_of(replace(problem, find="duration", unit="h", given=given))
    start = next(given for _, given in asked.known if given.name == "start")
    return replace(until, kind="finish", start_min=int(start.plain.value))


def answer_of_chain(
    kind: str,
    chain: Chain,
    *,
    also: tuple[Fraction, ...] = (),
    kg_per_lb: Fraction = KG_PER_LB,
) -> Answer:
    """The right answer that a chain gives, opened up.

    Args:
        kind: what it is, as the rounding rules call it: rate, volume, dose ...
        chain: the product.
        also: values that are as right.
        kg_per_lb: the pound used.
    """
    return Answer(
        kind=kind,
        unit=chain.unit,
        exact=chain.exact,
        factors=chain.factors,
        also=also,
        kg_per_lb=kg_per_lb,
    )


def solved_again(asked: Asked) -> Fraction | None:
    """The exact answer to a changed problem; None if it has none any more."""
    if _is_hourly_by_weight(asked):
        return _hourly_by_weight(asked)
    try:
        return exact_answer(asked)
    except (ProblemError, QuantityError):
        return None


def _is_hourly_by_weight(asked: Asked) -> bool:
    """Whether it is a maintenance rule by the weight alone, which needs no search."""
    names = [given.name for _, given in asked.known]
    is_hourly = asked.problem.find == "rate" and asked.unit.text == "mL/h"
    return is_hourly and asked.rule in MAINTENANCE_RULES and names == ["weight"]


def _hourly_by_weight(asked: Asked) -> Fraction | None:
    """The maintenance rate in mL/h; None for a weight that nobody has."""
    weight_kg = asked.known[0][1].size
    try:
        if asked.rule == "4-2-1":
            return fluids.maintenance_ml_per_h(weight_kg)
        return fluids.maintenance_ml_per_day(weight_kg) / 24
    except QuantityError:
        return None


def moved(given: Given, ratio: Fraction) -> Given:
    """A given with its number multiplied."""
    own = given.quantity
    if isinstance(own, Strength):
        amount = replace(own.amount, value=own.amount.value * ratio)
        return replace(given, quantity=replace(own, amount=amount))
    return replace(given, quantity=replace(own, value=own.value * ratio))


def _whole(factor: Factor) -> Quantity | Strength:
    """What a factor of the chain was read from."""
    if not factor.below.unit.powers:
        return factor.above
    return Strength(amount=factor.above, volume=factor.below)


def _measures(value: Quantity | Strength, dimension: Dimension) -> bool:
    return plain(value).unit.dimensions == ((dimension, 1),)


def units_of(answer: Answer) -> tuple[Unit, ...]:
    """The unit of the answer and of every given."""
    return (answer.unit, *(plain(value).unit for _, value, _ in answer.givens()))


def symbols_of(answer: Answer) -> frozenset[str]:
    """Every simple unit that the answer, its givens or its constants are written in."""
    own = (unit.powers for unit in units_of(answer))
    constants = (factor.unit.powers for factor in answer.factors)
    return frozenset(atom.symbol for powers in joined(own, constants) for atom, _ in powers)

"""Values a learner could have taken by mistake: an older weight, another bag, another set."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.clinical.asked import read_problem
from trainer.clinical.givens import read_given
from trainer.clinical.problem import FINDS, GIVENS, Problem
from trainer.clinical.quantity import Quantity, Strength, parse_quantity
from trainer.clinical.relations import RULES
from trainer.clinical.rounding import format_number
from trainer.clinical.slips.answer import Answer, plain, solved_again
from trainer.clinical.slips.candidate import Candidate
from trainer.clinical.slips.names import Slip
from trainer.clinical.slips.weight import WEIGHT
from trainer.clinical.units import Dimension
from trainer.errors import ProblemError, QuantityError

SLIP_OF = {
    "concentration": Slip.OTHER_CONCENTRATION,
    "amount": Slip.OTHER_CONCENTRATION,
    "diluent": Slip.OTHER_CONCENTRATION,
    "drop_factor": Slip.DROP_FACTOR,
}
"""What it is to take another value of this name; an older one, if it is not here."""
MOST_OTHERS = 40
"""More values than this are no list of likely mistakes. Chosen by us."""
EXAMPLE = '{"weight": ["40 lb"]}'


@dataclass(frozen=True, slots=True, kw_only=True)
class Other:
    """A value that stands beside the right one: of what, its text, and the quantity read.

    `quantity` is None for the name of a rule. `is_field`: it belongs into a field beside the
    one asked, so its number may have been typed here; it stands in for no given.
    """

    name: str
    text: str
    quantity: Quantity | Strength | None
    is_field: bool = False


def read_others(mapping: object, kg_per_lb: Fraction) -> tuple[Other, ...]:
    """The other values in a mapping of lists of texts.

    Args:
        mapping: such as `{"weight": ["40 lb"]}`; None for nothing.
        kg_per_lb: the pound of the problem.

    Raises:
        ProblemError: if it is no such mapping.
        QuantityError: if a value cannot be read.
    """
    if mapping is None:
        return ()
    if not isinstance(mapping, Mapping):
        raise ProblemError(f"others must be an object of lists; write {EXAMPLE}")
    found = [
        _read(name, text, kg_per_lb)
        for name, texts in mapping.items()
        for text in _texts(name, texts)
    ]
    if len(found) > MOST_OTHERS:
        raise ProblemError(f"others holds more than {MOST_OTHERS} values; keep the likely ones")
    return tuple(found)


def _texts(name: object, texts: object) -> tuple[str, ...]:
    is_list = isinstance(texts, list | tuple)
    if not isinstance(texts, list | tuple) or not all(isinstance(text, str) for text in texts):
        what = "a list of texts" if not is_list else "texts, in quotes"
        raise ProblemError(f"others `{str(name)[:30]}` must hold {what}; write {EXAMPLE}")
    return tuple(texts)


def _read(name: object, text: str, kg_per_lb: Fraction) -> Other:
    words = str(name)
    if words == "rule":
        rule = text.strip().lower()
        if rule not in RULES:
            raise ProblemError(f"others rule: `{text[:30]}` is unknown; write {', '.join(RULES)}")
        return Other(name=words, text=rule, quantity=None)
    try:
        if words in GIVENS:
            return Other(
                name=words, text=text, quantity=read_given(words, text, kg_per_lb).quantity
            )
        quantity = parse_quantity(text, what=words[:30], kg_per_lb=kg_per_lb)
    except QuantityError as error:
        raise QuantityError(f"others {error}") from error
    return Other(name=words, text=text, quantity=quantity)


def other_slips(answer: Answer, others: tuple[Other, ...]) -> Iterator[Candidate]:
    """What comes out with each of the other values in place of the right one."""
    for number, other in enumerate(others):
        if other.is_field:
            continue
        slip = SLIP_OF.get(other.name, Slip.SUPERSEDED)
        for value, touched in _with(answer, other):
            yield Candidate(
                slip=slip,
                way=f"other {number}",
                value=value,
                because=_because(answer, other),
                touches=touched,
            )
        yield from _as_kilograms(answer, other, number)


def _because(answer: Answer, other: Other) -> str:
    """Which value was taken for which."""
    what = other.name.replace("_", " ")
    right = answer.asked and dict(answer.asked.problem.given).get(other.name)
    right = right or answer.text_of(other.name)
    if right and _is_of_the_answer(answer, other):
        right = answer.right_words
    instead = f" instead of {right}" if right else ""
    return f"the {what} of {other.text} was used{instead}"


def _is_of_the_answer(answer: Answer, other: Other) -> bool:
    """Whether a value stands for the whole answer, and for no given of the same name."""
    if other.quantity is None or other.name != answer.kind:
        return False
    return _is_like(answer, other.quantity)


def _with(answer: Answer, other: Other) -> Iterator[tuple[Fraction, tuple[str, ...]]]:
    """The answers with one other value, and the given it stands for; none if it bears on nothing."""
    touched: tuple[str, ...] = (other.name,)
    if other.quantity is None:
        value = _by_rule(answer, other.text)
    elif _is_of_the_answer(answer, other):
        value = plain(other.quantity).value * plain(other.quantity).unit.size / answer.unit.size
        touched = ()
    elif answer.given(other.name) is not None:
        value = _in_place_of(answer, other.name, other.quantity)
    elif other.name in GIVENS or other.name in FINDS:
        value = _instead_of_container(answer, other)
    else:
        names = [name for name, _, _ in answer.givens()]
        found = ((_in_place_of(answer, name, other.quantity), (name,)) for name in names)
        yield from ((value, name) for value, name in found if value is not None)
        return
    if value is not None:
        yield value, touched


def _is_like(answer: Answer, quantity: Quantity | Strength) -> bool:
    return plain(quantity).unit.dimensions == answer.unit.dimensions


def _by_rule(answer: Answer, rule: str) -> Fraction | None:
    """The answer by another rule of the same kind."""
    if answer.asked is None or not answer.rule:
        return None
    return solved_again(replace(answer.asked, rule=rule))


def _in_place_of(answer: Answer, name: str, other: Quantity | Strength) -> Fraction | None:
    """The answer with a given of this name exchanged for one of the same kind."""
    own = answer.given(name)
    if own is None or own.unit.dimensions != plain(other).unit.dimensions:
        return None
    size = plain(other).value * plain(other).unit.size
    return answer.scaled(name, size / (own.value * own.unit.size))


CONTAINER = (("amount", "volume", "diluent"), ("amount", "diluent"), ("concentration",))
"""What tells the strength of a container; another strength takes the place of one of these."""


def _instead_of_container(answer: Answer, other: Other) -> Fraction | None:
    """The answer with another strength where the problem tells its container in parts."""
    if answer.asked is None:
        return None
    problem = answer.asked.problem
    for left_out in CONTAINER:
        kept = tuple((name, text) for name, text in problem.given if name not in left_out)
        value = _solved(replace(problem, given=(*kept, (other.name, other.text))))
        if value is not None and len(kept) < len(problem.given):
            return value
    return None


def _solved(problem: Problem) -> Fraction | None:
    try:
        return solved_again(read_problem(problem))
    except (ProblemError, QuantityError):
        return None


def _as_kilograms(answer: Answer, other: Other, number: int) -> Iterator[Candidate]:
    """A weight in pounds that stands beside the one in kg, its number taken as kg."""
    own, quantity = answer.given(WEIGHT), other.quantity
    if other.name != WEIGHT or own is None or not isinstance(quantity, Quantity):
        return
    if quantity.unit.text != "lb" or quantity.unit.power_of(Dimension.BODY) != 1:
        return
    value = answer.scaled(WEIGHT, quantity.value / (own.value * own.unit.size))
    if value is not None:
        yield Candidate(
            slip=Slip.POUNDS,
            way=f"other {number} as kg",
            value=value,
            because=f"{other.text} was used as {format_number(quantity.value)} kg",
            touches=(WEIGHT,),
        )

"""Worked solutions and keys: the drawn product with its units, then lines of text."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby

from trainer.clinical.chain import Chain, Term, UnitMark
from trainer.clinical.rounding import format_number
from trainer.scenario.model import Scenario
from trainer.scoring.findings import Key


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitView:
    """One unit in a drawn fraction; struck through if it cancels."""

    symbol: str
    struck: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TermView:
    """One drawn fraction. `below` empty and no units below: a plain number."""

    name: str
    above: str
    above_units: tuple[UnitView, ...]
    below: str
    below_units: tuple[UnitView, ...]
    astray: bool  # the first factor that went wrong

    @property
    def is_fraction(self) -> bool:
        """Whether anything stands under the bar."""
        return bool(self.below or self.below_units)


@dataclass(frozen=True, slots=True, kw_only=True)
class LineView:
    """One line of a worked solution; `astray` names what first went wrong in it, or nothing."""

    text: str
    astray: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedView:
    """A worked solution: the formula, the drawn product, then lines of text."""

    formula: str
    terms: tuple[TermView, ...]
    answer: str
    lines: tuple[LineView, ...]
    spoken: str
    short: str  # in one line

    @property
    def marks_astray(self) -> bool:
        """Whether the place where it went wrong is marked in here."""
        return any(one.astray for one in self.terms) or any(one.astray for one in self.lines)


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyView:
    """One computed right answer with its solution."""

    quantity: str
    answer: str
    worked: WorkedView
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderKeysView:
    """One order as written and its keys."""

    order: str
    title: str
    written: str
    keys: tuple[KeyView, ...]


def worked(
    chain: Chain | None, lines: tuple[str, ...], wrong_factor: str = ""
) -> WorkedView | None:
    """A worked solution: drawn where it is a product, in lines where it is a sum.

    The drawn product replaces the chain's own lines; what is left of `lines` (the
    rounding, a caution) follows it. `wrong_factor` names the factor to be marked.
    """
    if chain is None and not lines:
        return None
    if chain is None or len(chain.factors) == 1:
        return WorkedView(
            formula="",
            terms=(),
            answer="",
            lines=_lines(lines, wrong_factor, else_first=True),
            spoken="",
            short=next((line for line in lines if "=" in line), lines[0] if lines else ""),
        )
    drawn = chain.lines()
    terms = tuple(_term(term, wrong_factor) for term in chain.terms())
    left = tuple(line for line in lines if line not in drawn)
    return WorkedView(
        formula=chain.formula,
        terms=terms,
        answer=chain.exact_words(),
        lines=_lines(left, "" if any(one.astray for one in terms) else wrong_factor),
        spoken="; ".join(drawn),
        short=_short(drawn, chain.exact_words(), left),
    )


def _short(drawn: tuple[str, ...], answer: str, after: tuple[str, ...]) -> str:
    """The product with its units and what it comes to, in one line."""
    product = next((line.removeprefix("= ") for line in drawn if line.startswith("= ")), "")
    rounding = "; ".join(after[:1])
    return "; ".join(part for part in (f"{product} = {answer}", rounding) if part)


def _term(term: Term, wrong_factor: str) -> TermView:
    return TermView(
        name=_plain(term.name),
        above=term.above_number,
        above_units=_units(term.above_units),
        below=term.below_number,
        below_units=_units(term.below_units),
        astray=bool(wrong_factor) and _plain(term.name) == _plain(wrong_factor),
    )


def _lines(
    lines: tuple[str, ...], wrong_factor: str, *, else_first: bool = False
) -> tuple[LineView, ...]:
    """Lines of text; marked is the first that names the wrong factor, else perhaps the first."""
    named = _plain(wrong_factor)
    otherwise = 0 if named and else_first else -1
    marked = next((n for n, line in enumerate(lines) if named and named in _plain(line)), otherwise)
    return tuple(
        LineView(text=line, astray=named if n == marked else "") for n, line in enumerate(lines)
    )


def _plain(name: str) -> str:
    return name.replace("_", " ").casefold()


def _units(marks: tuple[UnitMark, ...]) -> tuple[UnitView, ...]:
    return tuple(UnitView(symbol=mark.symbol, struck=mark.struck) for mark in marks)


def order_keys(scenario: Scenario, keys: tuple[Key, ...]) -> tuple[OrderKeysView, ...]:
    """The key of every order, in the order of the chart."""
    views = []
    for order_id, group in groupby(keys, key=lambda one: one.order):
        order = scenario.order(order_id)
        views.append(
            OrderKeysView(
                order=order_id,
                title=order.title,
                written=order.written,
                keys=tuple(_key(one) for one in group),
            )
        )
    return tuple(views)


def _key(key: Key) -> KeyView:
    solution = worked(key.chain, key.worked)
    assert solution is not None, "a key always has its worked lines"
    return KeyView(
        quantity=key.quantity,
        answer=amount(key.value, key.unit),
        worked=solution,
        cautions=key.cautions,
    )


def amount(value: Fraction, unit: str) -> str:
    """A value with its unit; minutes as `1 h 30 min`."""
    if unit == "min" and value.denominator == 1 and value >= 60:
        hours, minutes = divmod(value.numerator, 60)
        return f"{hours} h {minutes} min" if minutes else f"{hours} h"
    return f"{format_number(value)} {unit}"

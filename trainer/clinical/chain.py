"""A right number as a product of factors, and its worked solution by dimensional analysis.

Nearly every right number in infusion work is a product of powers of what is given and
of unit constants: `rate = dose x weight / concentration x 60 min/h ...`. `chain_of` puts
in the unit constants by itself. The factors keep their names (`weight`, `minutes per
hour`, `lb per kg`), so that a slip can be made of the chain by leaving one out or
turning one over. Not here: sums and piecewise rules (`fluids`, `bsa`).
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.clinical.quantity import Quantity, Strength, format_quantity
from trainer.clinical.rounding import format_number, is_finite_decimal
from trainer.clinical.units import NO_UNIT, Atom, Dimension, Unit, product_of
from trainer.errors import QuantityError

ONE = Quantity(value=Fraction(1), unit=NO_UNIT)

SPELLED_CONVERSIONS = {
    ("min", "h"): "minutes per hour",
    ("s", "min"): "seconds per minute",
    ("s", "h"): "seconds per hour",
    ("h", "day"): "hours per day",
    ("min", "day"): "minutes per day",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Factor:
    """One factor of a right number: `above / below`, raised to `power`.

    Attributes:
        name: what it is: a given's name (`dose`) or a unit constant (`mcg per mg`).
        text: as it was written.
        above: the quantity, or the upper part of `400 mg in 250 mL`.
        below: the lower part of a pair; the bare number one otherwise.
        power: how often it multiplies; below zero it divides.
        given: True if the problem gives it, False for constants and in-between results.
    """

    name: str
    text: str
    above: Quantity
    below: Quantity = ONE
    power: int = 1
    given: bool = True

    @property
    def value(self) -> Fraction:
        """The bare value, before the power is applied, in `unit`."""
        return self.above.value / self.below.value

    @property
    def unit(self) -> Unit:
        """The unit, before the power is applied."""
        return product_of(_powers(self, 1))

    @property
    def factor_value(self) -> Fraction:
        """What this factor multiplies the answer by: the value raised to its power."""
        value: Fraction = self.value**self.power
        return value


def _powers(factor: Factor, power: int) -> tuple[tuple[Atom, int], ...]:
    """The power of each simple unit in a factor raised to `power`."""
    above = tuple((atom, p * power) for atom, p in factor.above.unit.powers)
    below = tuple((atom, -p * power) for atom, p in factor.below.unit.powers)
    return above + below


def factor_of(
    name: str, quantity: Quantity | Strength, text: str = "", *, given: bool = True
) -> Factor:
    """A factor from a quantity or from a strength such as `400 mg in 250 mL`."""
    if isinstance(quantity, Strength):
        written = (
            text or f"{format_quantity(quantity.amount)} in {format_quantity(quantity.volume)}"
        )
        return Factor(
            name=name, text=written, above=quantity.amount, below=quantity.volume, given=given
        )
    return Factor(name=name, text=text or format_quantity(quantity), above=quantity, given=given)


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitMark:
    """One simple unit in a drawn fraction; `struck` if it cancels."""

    symbol: str
    struck: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Term:
    """One drawn fraction of the worked solution: numbers as text, units one by one."""

    name: str
    above_number: str
    above_units: tuple[UnitMark, ...]
    below_number: str
    below_units: tuple[UnitMark, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """A right number: `name` in `unit` is the product of the factors.

    Made by `chain_of`, which adds the unit constants.
    """

    name: str
    unit: Unit
    factors: tuple[Factor, ...]

    @property
    def exact(self) -> Fraction:
        """The exact value, in `unit`."""
        product = Fraction(1)
        for factor in self.factors:
            product *= factor.factor_value
        return product

    @property
    def formula(self) -> str:
        """The formula in words, unit constants left out: `rate = dose x weight / concentration`."""
        own = [f for f in self.factors if not _is_conversion(f)]
        above = [_named(f) for f in own if f.power > 0] or ["1"]
        below = [_named(f) for f in own if f.power < 0]
        return f"{self.name} = {' x '.join(above)}" + "".join(f" / {word}" for word in below)

    def terms(self) -> tuple[Term, ...]:
        """The factors as fractions, with the units that cancel marked, for drawing."""
        above, below = self._unit_counts()
        strike_above, strike_below = above & below, above & below
        return tuple(
            _term(factor, strike_above, strike_below)
            for factor in self.factors
            for _ in range(abs(factor.power))
        )

    def lines(self) -> tuple[str, ...]:
        """The worked solution as plain lines, ending with the exact value."""
        terms = self.terms()
        product = f"= {' x '.join(_inline(term) for term in terms)}"
        if self._is_conversion_only():
            lines = [f"{self.name} {product}"]
        else:
            lines = [self.formula, product if len(terms) > 1 or terms[0].below_number else ""]
        if len(terms) > 1:
            lines.append(self._cancelling(terms))
            lines.append(f"= {_arithmetic(terms)} {self.unit.text}".rstrip())
        lines.append(f"= {self.exact_words()}")
        return tuple(line for line in lines if line)

    def _is_conversion_only(self) -> bool:
        """Whether the chain only turns a value into another unit."""
        own = [factor for factor in self.factors if not _is_conversion(factor)]
        return len(own) == 1 and own[0].power == 1 and _named(own[0]) == self.name

    def exact_words(self) -> str:
        """The exact value in words: `3.4125 mL/h`, or `25/3 = 8.3333… mL/h`."""
        quantity = Quantity(value=self.exact, unit=self.unit)
        if is_finite_decimal(self.exact) or max(self.exact.denominator, 1) > 10**6:
            return format_quantity(quantity)
        return f"{self.exact.numerator}/{self.exact.denominator} = {format_quantity(quantity)}"

    def drawing(self) -> tuple[str, ...]:
        """The product as three lines of text; units that cancel stand in [brackets]."""
        tops, bars, bottoms = [], [], []
        for term in self.terms():
            top = _side(term.above_number or "1", term.above_units)
            bottom = _side(term.below_number, term.below_units)
            width = max(len(top), len(bottom))
            tops.append(top.center(width) if bottom else " " * width)
            bars.append("-" * width if bottom else top)
            bottoms.append(bottom.center(width))
        answer = f" = {self.exact_words()}"
        return ("   ".join(tops).rstrip(), " x ".join(bars) + answer, "   ".join(bottoms).rstrip())

    def _unit_counts(self) -> tuple[Counter[Atom], Counter[Atom]]:
        above: Counter[Atom] = Counter()
        below: Counter[Atom] = Counter()
        for factor in self.factors:
            for atom, power in _powers(factor, factor.power):
                (above if power > 0 else below)[atom] += abs(power)
        return above, below

    def _cancelling(self, terms: tuple[Term, ...]) -> str:
        marks = [m for t in terms for m in (*t.above_units, *t.below_units)]
        struck = list(dict.fromkeys(m.symbol for m in marks if m.struck))
        return f"units that cancel: {', '.join(struck)}; left: {self.unit.text}" if struck else ""


def _is_conversion(factor: Factor) -> bool:
    return not factor.given and " per " in factor.name and factor.name != "fluid per kg per percent"


def _named(factor: Factor) -> str:
    name = factor.name.replace("_", " ")
    return name if abs(factor.power) == 1 else f"{name}^{abs(factor.power)}"


def _term(factor: Factor, strike_above: Counter[Atom], strike_below: Counter[Atom]) -> Term:
    """One factor as a fraction; takes what it strikes out of the two counts."""
    sign = 1 if factor.power > 0 else -1
    atoms = _powers(factor, sign)
    numbers = (_number(factor.above.value), _number(factor.below.value))
    upper, lower = numbers if sign > 0 else (numbers[1], numbers[0])
    plain_pair = factor.below is ONE or factor.below == ONE
    return Term(
        name=factor.name,
        above_number="" if plain_pair and sign < 0 else upper,
        above_units=_marks([(a, p) for a, p in atoms if p > 0], strike_above),
        below_number="" if plain_pair and sign > 0 else lower,
        below_units=_marks([(a, -p) for a, p in atoms if p < 0], strike_below),
    )


def _marks(atoms: list[tuple[Atom, int]], strike: Counter[Atom]) -> tuple[UnitMark, ...]:
    marks = []
    for atom, count in atoms:
        for _ in range(count):
            struck = strike[atom] > 0
            strike[atom] -= 1 if struck else 0
            marks.append(UnitMark(symbol=atom.symbol, struck=struck))
    return tuple(marks)


def _number(value: Fraction) -> str:
    return format_number(value)


def _side(number: str, units: tuple[UnitMark, ...]) -> str:
    words = [f"[{mark.symbol}]" if mark.struck else mark.symbol for mark in units]
    return " ".join([number, *words] if number else words)


def _inline(term: Term) -> str:
    """One fraction on one line: `5 mcg/kg/min`, `250 mL/400 mg`, `1 kg/2.2 lb`."""
    above = " ".join([term.above_number or "1", *(m.symbol for m in term.above_units)])
    if not term.below_number:
        return above + "".join(f"/{m.symbol}" for m in term.below_units)
    if not term.above_units:
        return f"1/({' '.join([term.below_number, *(m.symbol for m in term.below_units)])})"
    return f"{above}/{' '.join([term.below_number, *(m.symbol for m in term.below_units)])}"


def _arithmetic(terms: tuple[Term, ...]) -> str:
    """The bare numbers: `(5 x 18.2 x 250 x 60) / (400 x 1000)`."""
    above = [t.above_number for t in terms if t.above_number not in {"", "1"}]
    below = [t.below_number for t in terms if t.below_number not in {"", "1"}]
    upper = " x ".join(above) or "1"
    if not below:
        return upper
    lower = " x ".join(below)
    upper = f"({upper})" if len(above) > 1 else upper
    return f"{upper} / ({lower})" if len(below) > 1 else f"{upper} / {lower}"


def chain_of(name: str, factors: tuple[Factor, ...], unit: Unit) -> Chain:
    """The chain that gives `name` in `unit`, with the unit constants it needs put in.

    Raises:
        QuantityError: if the factors' units cannot make `unit`.
    """
    left = _left_over(factors, unit)
    constants: list[Factor] = []
    for dimension in sorted({atom.dimension for atom in left}):
        mine = [(atom, power) for atom, power in left.items() if atom.dimension is dimension]
        constants += _constants(mine, name, unit)
    return Chain(name=name, unit=unit, factors=(*factors, *_gathered(constants)))


def _left_over(factors: tuple[Factor, ...], unit: Unit) -> dict[Atom, int]:
    """What stands in the product's unit beyond the wanted one, by simple unit."""
    left: Counter[Atom] = Counter()
    for factor in factors:
        for atom, power in _powers(factor, factor.power):
            left[atom] += power
    for atom, power in unit.powers:
        left[atom] -= power
    return {a: p for a, p in left.items() if p and a.dimension is not Dimension.COUNT}


def _constants(atoms: list[tuple[Atom, int]], name: str, unit: Unit) -> list[Factor]:
    """Unit constants that turn the surplus simple units of one dimension into the missing."""
    surplus = [atom for atom, power in atoms if power > 0 for _ in range(power)]
    missing = [atom for atom, power in atoms if power < 0 for _ in range(-power)]
    if len(surplus) != len(missing):
        raise QuantityError(
            f"{name} cannot be given in {unit.text}: the {atoms[0][0].dimension} does not cancel"
        )
    return [_constant(have, want) for have, want in zip(surplus, missing, strict=True)]


def _constant(have: Atom, want: Atom) -> Factor:
    """The constant that turns one simple unit into another, written with a plain number."""
    ratio = have.size / want.size
    if (ratio >= 1 and is_finite_decimal(ratio)) or not is_finite_decimal(1 / ratio):
        return _per(want, have, ratio, 1)
    return _per(have, want, 1 / ratio, -1)


def _per(small: Atom, large: Atom, ratio: Fraction, power: int) -> Factor:
    """`ratio` of `small` per one `large`."""
    name = SPELLED_CONVERSIONS.get(
        (small.symbol, large.symbol), f"{small.symbol} per {large.symbol}"
    )
    above = Quantity(value=ratio, unit=product_of(((small, 1),)))
    below = Quantity(value=Fraction(1), unit=product_of(((large, 1),)))
    text = f"{format_quantity(above)} per {format_quantity(below)}"
    return Factor(name=name, text=text, above=above, below=below, power=power, given=False)


def _gathered(constants: list[Factor]) -> list[Factor]:
    """Equal constants taken together as one with a higher power."""
    gathered: dict[str, Factor] = {}
    for constant in constants:
        known = gathered.get(constant.name)
        power = constant.power + (known.power if known else 0)
        gathered[constant.name] = replace(constant, power=power)
    return [constant for constant in gathered.values() if constant.power]

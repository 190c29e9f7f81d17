"""The worked solution in lines: what was assumed, each formula, the chain, the rounding."""

from __future__ import annotations

from fractions import Fraction

from trainer.clinical.asked import Asked
from trainer.clinical.chain import Chain, Factor, chain_of, factor_of
from trainer.clinical.knowns import Known, Knowns, drug_of
from trainer.clinical.parts import default_unit
from trainer.clinical.quantity import Quantity
from trainer.clinical.relations import Formula, Part, Product
from trainer.clinical.rounding import RoundingRules, format_number
from trainer.clinical.units import Unit


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


def chain_to(name: str, part: Part, unit: Unit, known: Knowns, rule: str) -> Chain:
    """`part` in `unit` as a chain of its givens, those that multiply first."""
    drug = drug_of(known, unit)
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


def working_lines(part: Part, known: Knowns, rule: str) -> tuple[str, ...]:
    """The lines for every formula on the way to `part`, first things first."""
    lines: list[str] = []
    for leaf in powers_of(part, known):
        via = known[leaf].via
        if isinstance(via, Formula):
            for one in via.inputs:
                lines += working_lines(one, known, rule)
                lines += _input_lines(one, known, rule)
            lines.append(via.words(*(known[one].value for one in via.inputs)))
    return tuple(dict.fromkeys(lines))


def _input_lines(part: Part, known: Knowns, rule: str) -> tuple[str, ...]:
    """How an input of a formula comes to its unit, if it was not given in it."""
    one, unit = known[part], default_unit(part, drug_of(known), rule)
    if part in {Part.START, Part.FINISH} or (one.given and one.given.plain.unit == unit):
        return ()
    if isinstance(one.via, Formula):
        return ()
    return chain_to(part.value, part, unit, known, rule).lines()


def assumed_lines(asked: Asked, known: Knowns) -> tuple[str, ...]:
    """What was taken for granted on the way to the answer; nothing where one given is converted."""
    lines: tuple[str, ...] = (asked.taken_as,) if asked.taken_as else ()
    if len(asked.known) > 1:
        lines += _assumptions(asked.part, known)
    return tuple(f"taken for granted: {line}" for line in lines)


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


def rounding_line(find: str, unit: Unit, exact: Fraction, rounding: RoundingRules) -> str:
    """The last line of the worked solution: how the exact answer was rounded, if it was."""
    rounded = rounding.apply(find, unit.text, exact)
    if rounded == exact:
        return f"no rounding is needed: {format_number(exact)} {unit.text}"
    rule = rounding.rule_for(find, unit.text, exact)
    return f"rounded once, at the end, {rule.words(exact, unit.text)}: {format_number(rounded)} {unit.text}"

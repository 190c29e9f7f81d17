"""Slips of rounding: too early, too far, twice, or cut off."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import combinations

from trainer.clinical.chain import Factor
from trainer.clinical.relations import MAINTENANCE_RULES
from trainer.clinical.rounding import RoundingRules, format_number, round_half_up, truncate
from trainer.clinical.slips.answer import Answer, is_constant, solved_again
from trainer.clinical.slips.candidate import Candidate, of_given, times
from trainer.clinical.slips.names import Slip
from trainer.clinical.slips.weight import WEIGHT, kilograms, pounds_of

EARLY = Slip.EARLY_ROUNDING
STEPS = (Fraction(1), Fraction(1, 10), Fraction(1, 100))
"""Whole numbers, tenths, hundredths: the places to which published rules round on the way."""
FINE_STEPS = (*STEPS, Fraction(1, 1000), Fraction(1, 10000))
ROUGH_STEPS = (Fraction(1, 2), Fraction(5), Fraction(10), Fraction(50))
"""Halves, fives, tens, fifties: to which some wards round for certain drugs."""
MOST_FACTORS = 8
"""Longer chains are not searched part by part; chosen by us, as no order needs one."""
LARGEST_CHANGE = Fraction(2)
"""A part that rounding would double or halve is not thought rounded. Chosen by us."""


NATURAL_RATIOS = ({"volume", "duration"}, {"amount", "volume"}, {"amount", "duration"})
"""Ratios that a learner works out on the way: a rate, a strength, a dose per time."""


def place_slips(answer: Answer, rounding: RoundingRules) -> Iterator[Candidate]:
    """Every way to round the answer or a part of it other than the policy does."""
    if not answer.is_clock:
        yield from _answer_rounded(answer, rounding)
        yield from _answer_cut(answer, rounding)
    yield from _parts_rounded(answer, rounding)
    yield from _weight_rounded(answer)
    yield from _pound_rounded(answer)
    yield from _rule_rounded(answer)
    yield from _clock_rounded(answer)


def _own_step(answer: Answer, rounding: RoundingRules) -> Fraction:
    rule = rounding.rule_for(answer.kind, answer.unit.text, answer.exact)
    return rule.step_for(answer.exact)


def _place(step: Fraction, answer: Answer) -> str:
    """A place in words: `0.1 mL/h`."""
    return f"{format_number(step)} {answer.unit.text}".rstrip()


def _exactly(slip: Slip, way: str, value: Fraction, because: str, *, usual: bool) -> Candidate:
    return Candidate(
        slip=slip, way=way, value=value, because=because, is_usual=usual, is_exact=True
    )


def _answer_rounded(answer: Answer, rounding: RoundingRules) -> Iterator[Candidate]:
    """The answer rounded to another place, or rounded twice."""
    own, right = _own_step(answer, rounding), answer.rounded(answer.exact, rounding)
    here = f"here it is rounded to {_place(own, answer)}"
    for step in (*STEPS, *ROUGH_STEPS):
        value = round_half_up(answer.exact, step)
        is_likely = step in STEPS or _is_small(value, answer, rounding)
        if step > own and value and is_likely:
            because = f"it was rounded to {_place(step, answer)}; {here}"
            usual = step in STEPS and _is_small(value, answer, rounding)
            yield _exactly(EARLY, f"to {step}", value, because, usual=usual)
    for step in FINE_STEPS:
        value = round_half_up(round_half_up(answer.exact, step), own)
        if step < own and value != right:
            because = (
                f"it was rounded twice, first to {_place(step, answer)}; round once, at the end"
            )
            yield _exactly(EARLY, f"twice {step}", value, because, usual=True)


def _is_small(value: Fraction, answer: Answer, rounding: RoundingRules) -> bool:
    """Whether a value is off by no more than the share that rounding may move."""
    return abs(value - answer.exact) <= rounding.largest_share * answer.exact


def _answer_cut(answer: Answer, rounding: RoundingRules) -> Iterator[Candidate]:
    """The answer with its last digits cut off."""
    own, right = _own_step(answer, rounding), answer.rounded(answer.exact, rounding)
    for step in dict.fromkeys((own, *FINE_STEPS)):
        value = truncate(answer.exact, step)
        if value not in {right, answer.exact, 0}:
            because = (
                f"the digits after {format_number(value)} were cut off; rounded it is "
                f"{format_number(right)} {answer.unit.text}"
            ).rstrip()
            usual = step >= own and _is_small(value, answer, rounding)
            yield _exactly(Slip.TRUNCATED, f"at {step}", value, because, usual=usual)


def _parts_rounded(answer: Answer, rounding: RoundingRules) -> Iterator[Candidate]:
    """The product with one part of it rounded before the rest is multiplied."""
    factors = answer.factors
    if len(factors) > MOST_FACTORS:
        return
    for size in range(1, len(factors)):
        for part in combinations(factors, size):
            if _is_one_piece(part):
                yield from _part_rounded(answer, part, rounding)


def _is_one_piece(part: tuple[Factor, ...]) -> bool:
    """Whether a part has givens in it, and no unit constants but those that convert them."""
    own = [factor for factor in part if not is_constant(factor)]
    kinds = {dimension for factor in own for dimension, _ in factor.unit.dimensions}
    return bool(own) and all(
        any(dimension in kinds for dimension, _ in factor.above.unit.dimensions)
        for factor in part
        if is_constant(factor)
    )


def _part_rounded(
    answer: Answer, part: tuple[Factor, ...], rounding: RoundingRules
) -> Iterator[Candidate]:
    """One part rounded to each place, and cut there."""
    product, power = _value_of(part)
    names = tuple(factor.name for factor in part)
    for step in STEPS:
        rounded, cut = round_half_up(product, step), truncate(product, step)
        after = " after conversion" if any(is_constant(factor) for factor in part) else ""
        what = f"{_words_of(part)}, {format_number(product)}{after},"
        if rounded not in {product, 0} and rounded < LARGEST_CHANGE * product:
            because = f"{what} was rounded to {format_number(rounded)} first"
            ratio = (rounded / product) ** power
            way = f"{_words_of(part)} to {step}"
            usual = _is_usual(part) and abs(ratio - 1) <= rounding.largest_share
            yield times(answer, EARLY, way, ratio, because, touches=names, is_usual=usual)
        if cut not in {product, rounded, 0} and product < LARGEST_CHANGE * cut:
            because = f"{what} was cut to {format_number(cut)} first"
            ratio = (cut / product) ** power
            way = f"{_words_of(part)} cut to {step}"
            yield times(answer, Slip.TRUNCATED, way, ratio, because, touches=names, is_usual=False)


def _is_usual(part: tuple[Factor, ...]) -> bool:
    """Whether a part is one that is written down on the way: a given, a dose, a rate, a strength."""
    own = [factor for factor in part if not is_constant(factor)]
    if len(own) == 1:
        return True
    is_of_one_kind = len({factor.power > 0 for factor in own}) == 1
    names = {factor.name for factor in own}
    return len(own) == 2 and (is_of_one_kind or names in NATURAL_RATIOS)


def _value_of(part: tuple[Factor, ...]) -> tuple[Fraction, int]:
    """A part's value, and whether it multiplies (1) or divides (-1)."""
    own = [factor for factor in part if not is_constant(factor)]
    power = -1 if all(factor.power < 0 for factor in own) else 1
    product = Fraction(1)
    for factor in part:
        product *= factor.factor_value**power
    return product, power


def _words_of(part: tuple[Factor, ...]) -> str:
    own = [factor for factor in part if not is_constant(factor)] or list(part)
    above = [factor.name for factor in own if factor.power > 0]
    below = [factor.name for factor in own if factor.power < 0]
    words = " x ".join(above) + "".join(f" / {n}" for n in below) if above else " x ".join(below)
    return f"the {words.replace('_', ' ')}"


def _weight_rounded(answer: Answer) -> Iterator[Candidate]:
    """The weight rounded first, where a rule stands between it and the answer."""
    weight = answer.given(WEIGHT)
    if weight is None or answer.is_plain_product:
        return
    in_kg = kilograms(weight)
    for step in STEPS:
        rounded = round_half_up(in_kg, step)
        if rounded not in {in_kg, 0}:
            because = f"the weight was rounded to {format_number(rounded)} kg first"
            way = f"weight to {step}"
            yield from of_given(answer, EARLY, WEIGHT, rounded / in_kg, because, way=way)


def _pound_rounded(answer: Answer) -> Iterator[Candidate]:
    """Another pound than the one the problem asks."""
    if not any(factor.name in {"lb per kg", "kg per lb"} for factor in answer.constants):
        return
    for pound in pounds_of(answer)[1:]:
        used, asked = format_number(1 / pound), format_number(1 / answer.kg_per_lb)
        because = f"{used} lb per kg was used; here it is {asked} lb per kg"
        ratio = pound / answer.kg_per_lb
        way = f"pound {pound}"
        if answer.kind == WEIGHT:
            ratio = ratio if answer.unit.text == "kg" else 1 / ratio
            yield times(answer, EARLY, way, ratio, because, touches=(WEIGHT,), is_usual=False)
        else:
            yield from of_given(answer, EARLY, WEIGHT, ratio, because, way=way, is_usual=False)


HOURLY_RULE = "4-2-1"
"""Its figures are those of the daily rule, divided by 24 and rounded."""


def _rule_rounded(answer: Answer) -> Iterator[Candidate]:
    """The hourly rule for the daily one: 4 for 100/24, and so on; or the daily for the hourly."""
    if answer.asked is None or not answer.has_maintenance:
        return
    other = next(rule for rule in MAINTENANCE_RULES if rule != answer.rule)
    value = solved_again(replace(answer.asked, rule=other))
    if value is not None:
        because = f"it is the value of the {other} rule; here the {answer.rule} rule is asked"
        slip = EARLY if other == HOURLY_RULE else Slip.PER_DAY
        yield Candidate(slip=slip, way="rule", value=value, because=because, is_usual=False)


CLOCK_STEPS_H = ((Fraction(1), "whole hours"), (Fraction(1, 10), "tenths of an hour"))


def _clock_rounded(answer: Answer) -> Iterator[Candidate]:
    """The duration rounded before it is added to the start."""
    if not answer.is_clock:
        return
    for step, words in (*CLOCK_STEPS_H, (Fraction(1, 60), "whole minutes")):
        because = f"the duration was rounded to {words} first"
        value = round_half_up(answer.exact, step)
        yield Candidate(slip=EARLY, way=f"clock {step}", value=value, because=because)

"""Slips with the patient's weight: pounds, the weight left out, the weight twice."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from trainer.clinical import fluids
from trainer.clinical.quantity import SUM_PART, Quantity
from trainer.clinical.rounding import format_number
from trainer.clinical.slips.answer import Answer, shown
from trainer.clinical.slips.candidate import Candidate, of_given, times
from trainer.clinical.slips.names import Slip
from trainer.clinical.units import KG_PER_LB

WEIGHT = "weight"
POUNDS_IN_USE = (
    KG_PER_LB,
    Fraction("0.45359237"),
    1 / Fraction("2.205"),
    1 / Fraction("2.2046"),
    Fraction("0.454"),
    Fraction("0.45"),
)
"""Kilograms per pound as sheets have them; see `sources.POUND`."""


def weight_slips(answer: Answer) -> Iterator[Candidate]:
    """Every slip with the weight."""
    weight = answer.given(WEIGHT)
    if answer.kind == WEIGHT:
        yield from _asked_in_pounds(answer)
    elif weight is not None:
        yield from _pounds(answer, weight)
        yield from _left_out_or_twice(answer, weight)
        yield from _band_left_out(answer, weight)


def _is_in_pounds(weight: Quantity) -> bool:
    return any(atom.symbol in {"lb", "oz"} for atom, _ in weight.unit.powers)


def pounds_of(answer: Answer) -> tuple[Fraction, ...]:
    """The pound of this problem, then the others in use."""
    return tuple(dict.fromkeys((answer.kg_per_lb, *POUNDS_IN_USE)))


def _pounds(answer: Answer, weight: Quantity) -> Iterator[Candidate]:
    """The weight taken in the wrong unit, or converted once too often."""
    written = answer.text_of(WEIGHT)
    if _is_in_pounds(weight):
        as_they_are = f"{written} were used as if they were kilograms"
        too_often = f"{written} were converted to kilograms twice"
        turned = f"{written} were multiplied by 2.2 instead of divided"
    else:
        as_they_are = f"{written} was multiplied by 2.2, as if pounds were wanted"
        too_often = f"{written} was divided by 2.2, as if it were in pounds"
        turned = ""
    for pound in pounds_of(answer):
        is_own = pound == answer.kg_per_lb
        for ratio, because in ((1 / pound, as_they_are), (pound, too_often)):
            yield from of_given(
                answer,
                Slip.POUNDS,
                WEIGHT,
                ratio,
                because,
                way=f"{because[-12:]} {pound}",
                is_usual=is_own,
            )
    if answer.rule:
        for ratio in (1 / answer.kg_per_lb, answer.kg_per_lb):
            because = "the answer was converted by the pound, in place of the weight"
            way = f"answer {ratio > 1}"
            yield times(answer, Slip.POUNDS, way, ratio, because, touches=(WEIGHT,), is_usual=False)
    if turned:
        yield from of_given(
            answer,
            Slip.POUNDS,
            WEIGHT,
            1 / answer.kg_per_lb**2,
            turned,
            way="turned",
            is_usual=False,
        )


def _asked_in_pounds(answer: Answer) -> Iterator[Candidate]:
    """A weight as the answer: left in its unit, converted twice or the wrong way."""
    written = answer.text_of(WEIGHT) or "the weight"
    ways = (
        (1, "kilograms and pounds were mixed up"),
        (2, "it was converted the wrong way, multiplied for divided or divided for multiplied"),
    )
    for pound in pounds_of(answer):
        for power, because in ways:
            for ratio in (1 / pound**power, pound**power):
                usual = pound == answer.kg_per_lb and power == 1
                way = f"asked {power} {pound} {ratio > 1}"
                said = f"{because} ({written})"
                yield times(
                    answer, Slip.POUNDS, way, ratio, said, touches=(WEIGHT,), is_usual=usual
                )
    yield from _ounces_as_tenths(answer, written)


def _ounces_as_tenths(answer: Answer, written: str) -> Iterator[Candidate]:
    """`8 lb 6 oz` read as 8.6 lb."""
    parts = SUM_PART.findall(written)
    weight = answer.given(WEIGHT)
    if len(parts) == 2 and weight is not None and parts[0][0].isdigit() and parts[1][0].isdigit():
        read = Fraction(f"{parts[0][0]}.{parts[1][0]}")
        because = f"{written} was read as {format_number(read)} {parts[0][1]}"
        yield from of_given(
            answer,
            Slip.POUNDS,
            WEIGHT,
            read / weight.value,
            because,
            way="ounces as tenths",
            is_usual=False,
        )


def kilograms(weight: Quantity) -> Fraction:
    """A weight in kg, by the pound it was read with."""
    return weight.value * weight.unit.size


def _left_out_or_twice(answer: Answer, weight: Quantity) -> Iterator[Candidate]:
    """The weight as one kilogram, and the weight squared; of no sense in a rule by bands."""
    if answer.rule:
        return
    written = answer.text_of(WEIGHT)
    in_kg, left_out = kilograms(weight), f"the weight of {written} was left out"
    for number in dict.fromkeys((in_kg, weight.value)):
        usual, way = number == in_kg, "kg" if number == in_kg else "as written"
        yield from of_given(
            answer,
            Slip.WEIGHT_LEFT_OUT,
            WEIGHT,
            1 / number,
            left_out,
            way=f"left out {way}",
            is_usual=usual,
        )
        yield from of_given(
            answer,
            Slip.WEIGHT_TWICE,
            WEIGHT,
            number,
            f"the weight of {written} was used twice",
            way=f"twice {way}",
            is_usual=usual,
        )


def _band_left_out(answer: Answer, weight: Quantity) -> Iterator[Candidate]:
    """A maintenance rule with one of its bands of weight left out."""
    if not answer.has_maintenance:
        return
    bands = fluids.bands_kg(kilograms(weight))
    used = [(number, kg) for number, kg in enumerate(bands) if kg]
    if len(used) < 2:
        return
    by_band = fluids.HOURLY_BY_BAND if answer.rule == "4-2-1" else fluids.DAILY_BY_BAND
    whole = sum((kg * by_band[number] for number, kg in used), Fraction(0))
    for number, kg in used:
        share = 1 - kg * by_band[number] / whole
        because = f"{format_number(shown(kg))} kg of the {answer.text_of(WEIGHT)} were left out"
        way = f"band {number}"
        yield times(answer, Slip.WEIGHT_LEFT_OUT, way, share, because, touches=(WEIGHT,))

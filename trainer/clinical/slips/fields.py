"""The value of another field: a given entered as the answer, a dose typed as a rate."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from trainer.clinical.quantity import Quantity, Strength
from trainer.clinical.slips.answer import Answer, plain
from trainer.clinical.slips.candidate import Candidate, of_given
from trainer.clinical.slips.names import Slip
from trainer.clinical.slips.others import Other

RATES = frozenset({"rate", "drip_rate"})
DOSE = "dose"
AS_GIVEN = "as it is given, not converted"
"""What is said of a given of the same name as the answer."""


def field_slips(answer: Answer, others: tuple[Other, ...] = ()) -> Iterator[Candidate]:
    """Every given as if it were the answer."""
    if answer.is_clock:
        return
    for name, value, text in answer.givens():
        is_reverse = answer.kind == DOSE and name in RATES
        as_rate = is_reverse or (answer.kind in RATES and name == DOSE)
        for number in _numbers(value):
            written = not _is_quotient(value, number)
            if as_rate:
                yield _typed(Slip.DOSE_AS_RATE, answer, name, text, number, is_usual=written)
            usual = written and not as_rate
            yield _typed(Slip.SWAPPED, answer, name, text, number, is_usual=usual)
            if name == DOSE and not as_rate:
                yield _typed(Slip.DOSE_AS_RATE, answer, name, text, number, is_usual=False)
    yield from _dose_per_time(answer)
    for other in others:
        is_dose = other.is_field and other.name == DOSE and answer.kind in RATES
        slip = Slip.DOSE_AS_RATE if is_dose else Slip.SWAPPED
        for number in _numbers(other.quantity):
            yield _typed(slip, answer, other.name, other.text, number, is_usual=other.is_field)


def _is_quotient(value: Quantity | Strength, number: Fraction) -> bool:
    """Whether a number is not written in a given but worked out of the two that are."""
    if isinstance(value, Quantity):
        return False
    return number not in {value.amount.value, value.volume.value}


def _numbers(value: Quantity | Strength | None) -> tuple[Fraction, ...]:
    """The numbers that stand in a given as it is written."""
    if value is None:
        return ()
    if isinstance(value, Quantity):
        return (value.value,)
    volume = () if value.volume.value == 1 else (value.volume.value,)
    return tuple(dict.fromkeys((value.amount.value, *volume, plain(value).value)))


def _typed(
    slip: Slip, answer: Answer, name: str, text: str, number: Fraction, *, is_usual: bool
) -> Candidate:
    what, asked = name.replace("_", " "), answer.kind.replace("_", " ")
    as_given = f"it is the number of {text} {AS_GIVEN}"
    because = as_given if what == asked else f"it is the {what} ({text}), entered as the {asked}"
    return Candidate(
        slip=slip,
        way=f"{name} {_place(answer, name, number)}",
        value=number,
        because=because,
        touches=_left_off(answer, name, number) if slip is Slip.DOSE_AS_RATE else (),
        is_usual=is_usual,
    )


def _left_off(answer: Answer, name: str, number: Fraction) -> tuple[str, ...]:
    """The factors that a dose entered as the rate was not yet multiplied by.

    A dose for this patient has its weight in it, one per kilogram has not.
    """
    given = answer.given(name)
    is_per_kg = given is not None and given.value == number
    done = {name} if is_per_kg else {name, "weight"}
    return tuple(factor.name for factor in answer.own if factor.name not in done)


def _place(answer: Answer, name: str, number: Fraction) -> int:
    """Which of the numbers in a given this is, the same for other numbers."""
    value = next((value for own, value, _ in answer.givens() if own == name), None)
    if isinstance(value, Strength):
        return 0 if number == value.amount.value else 1 if number == value.volume.value else 2
    return 0


def _dose_per_time(answer: Answer) -> Iterator[Candidate]:
    """The drug per time entered as the rate: the concentration was never used."""
    concentration = answer.given("concentration")
    if answer.kind not in RATES or concentration is None:
        return
    because = f"it is the drug per time: the concentration of {answer.text_of('concentration')} was left out"
    yield from of_given(
        answer,
        Slip.DOSE_AS_RATE,
        "concentration",
        1 / concentration.value,
        because,
        way="concentration left out",
        is_usual=False,
    )
    yield from of_given(
        answer,
        Slip.DOSE_AS_RATE,
        "concentration",
        1 / (concentration.value * concentration.unit.size),
        because,
        way="concentration left out in mg",
        is_usual=False,
    )

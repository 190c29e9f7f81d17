"""Finger slips: a digit typed twice, lost, or changed places with its neighbour."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from trainer.clinical.quantity import parse_clock
from trainer.clinical.rounding import (
    RoundingRules,
    format_number,
    is_finite_decimal,
    round_half_up,
)
from trainer.clinical.slips.answer import Answer
from trainer.clinical.slips.candidate import Candidate
from trainer.clinical.slips.names import Slip
from trainer.errors import QuantityError

PLACES = tuple(Fraction(1, 10**places) for places in range(9))
"""From whole numbers to what a pocket calculator shows."""
MOST_PLACES = Fraction(10**4)
"""An exact answer is typed out if it ends within four decimals. Chosen by us."""


def digit_slips(answer: Answer, rounding: RoundingRules) -> Iterator[Candidate]:
    """What one finger slip makes of the right number, as it may be written."""
    if answer.is_clock:
        yield from _clock_slips(answer)
        return
    right = answer.rounded(answer.exact, rounding)
    usual = {right} | ({answer.exact} if _is_short(answer.exact) else set())
    others = {round_half_up(answer.exact, step) for step in PLACES} - usual - {Fraction(0)}
    for value in (*sorted(usual), *sorted(others)):
        text = format_number(value, plain=True)
        for typed, because in edits(text):
            number = _number(typed)
            if number and number != value:
                told = value in usual and not _is_cut(text, typed)
                yield _candidate(number, f"in {text} {because}", is_usual=told)


def _is_cut(text: str, typed: str) -> bool:
    """Whether only the end of the decimals is gone, which is rather a rounding."""
    return "." in text and text.startswith(typed)


def _is_short(value: Fraction) -> bool:
    return is_finite_decimal(value) and (value * MOST_PLACES).denominator == 1


def _candidate(value: Fraction, because: str, *, is_usual: bool) -> Candidate:
    return Candidate(
        slip=Slip.DIGITS,
        way=because,
        value=value,
        because=because,
        is_usual=is_usual,
        is_exact=True,
    )


def edits(text: str) -> Iterator[tuple[str, str]]:
    """A number's text after one finger slip, with the slip in words."""
    for place, digit in enumerate(text):
        if not digit.isdigit():
            continue
        yield text[:place] + digit + text[place:], f"the {digit} was typed twice instead of once"
        yield text[:place] + text[place + 1 :], f"the {digit} was lost"
        after = next((n for n in range(place + 1, len(text)) if text[n].isdigit()), None)
        if after is not None and text[after] != digit:
            swapped = (
                f"{text[:place]}{text[after]}{text[place + 1 : after]}{digit}{text[after + 1 :]}"
            )
            yield swapped, f"the {digit} and the {text[after]} changed places"


def _number(text: str) -> Fraction:
    """The value of digits with at most one point; 0 if none are left."""
    whole, _, part = text.partition(".")
    return Fraction(f"{whole or '0'}.{part or '0'}") if whole or part else Fraction(0)


def _clock_slips(answer: Answer) -> Iterator[Candidate]:
    """A time of day with two digits changed."""
    right = answer.clock(answer.exact)
    for typed, because in edits(right):
        try:
            minutes = parse_clock(typed)
        except QuantityError:
            continue
        after = Fraction(minutes - (answer.start_min or 0), 60) % 24
        yield _candidate(after, f"in {right} {because}", is_usual=True)

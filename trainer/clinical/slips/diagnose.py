"""The verdict on an entry, and the slips that lead to it, the likelier first."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from trainer.clinical.quantity import Quantity, format_quantity
from trainer.clinical.rounding import TEACHING_ROUNDING, RoundingRules, format_number
from trainer.clinical.slips.answer import Answer
from trainer.clinical.slips.candidate import Candidate
from trainer.clinical.slips.entered import Entry, read_entry
from trainer.clinical.slips.every import every_slip
from trainer.clinical.slips.likelihood import SHARES
from trainer.clinical.slips.match import fit, is_right
from trainer.clinical.slips.names import ROUNDING_SLIPS, Slip
from trainer.clinical.slips.others import Other
from trainer.clinical.slips.pairs import Pair, pairs_that_fit


class Judged(StrEnum):
    """What an entry is."""

    RIGHT = "right"
    ROUNDED = "rounded"
    WRONG = "wrong"


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedSlip:
    """A slip that leads to the entry, in a sentence.

    `because` is the half of the sentence that says why, `touches` the factors that went wrong
    by it. `takes_two`: it leads there only together with another one.
    """

    slip: Slip
    explanation: str
    because: str = ""
    touches: tuple[str, ...] = ()
    takes_two: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Diagnosis:
    """What was entered, as typed; what it is; and the slips, the likelier first.

    `unit_fault` and `form_fault` say what is wrong with the unit and the written form, whatever
    the value is; empty if nothing is.
    """

    typed: str
    verdict: Judged
    slips: tuple[NamedSlip, ...]
    unit_fault: str = ""
    form_fault: str = ""


def diagnose(
    answer: Answer,
    entered: str,
    *,
    others: tuple[Other, ...] = (),
    rounding: RoundingRules = TEACHING_ROUNDING,
) -> Diagnosis:
    """Whether an entry is the right answer, and else which slip leads to it.

    Args:
        answer: the right answer, from `answer_of` or `answer_of_chain`.
        entered: what was typed, with or without its unit.
        others: values that could have been taken by mistake.
        rounding: the ward's rules.

    Raises:
        QuantityError: if the entry is no number, with how to write it.
    """
    return diagnose_entry(answer, read_entry(entered, answer), others=others, rounding=rounding)


def diagnose_entry(
    answer: Answer,
    entry: Entry,
    *,
    others: tuple[Other, ...] = (),
    rounding: RoundingRules = TEACHING_ROUNDING,
) -> Diagnosis:
    """The same for an entry that is already read, or that never was a text."""
    verdict, slips = _judged(answer, entry, others, rounding)
    return Diagnosis(
        typed=entry.typed,
        verdict=verdict,
        slips=(*slips, *_form_slips(entry, verdict)),
        unit_fault=entry.unit_fault,
        form_fault=entry.form_fault,
    )


def _judged(
    answer: Answer, entry: Entry, others: tuple[Other, ...], rounding: RoundingRules
) -> tuple[Judged, tuple[NamedSlip, ...]]:
    """The verdict, and the slips that lead to the value."""
    if is_right(answer, entry, rounding):
        return Judged.RIGHT, ()
    fitting = _fitting(answer, entry, others, rounding)
    named = tuple(_named(answer, entry, one) for one in fitting)
    unit = _right_number(answer, entry, rounding)
    if unit:
        return Judged.WRONG, unit if entry.is_other_unit else (*unit, *named)
    verdict = _verdict(answer, entry, fitting, rounding)
    return verdict, named or _two(answer, entry, others, rounding)


def _form_slips(entry: Entry, verdict: Judged) -> tuple[NamedSlip, ...]:
    """A missing unit beside a value that is right, and a fault of the written form."""
    found = []
    if entry.unit_fault and not entry.is_other_unit and verdict is not Judged.WRONG:
        said = f"In `{entry.typed.strip()}` {entry.unit_fault}."
        found.append(NamedSlip(slip=Slip.UNIT, explanation=said))
    if entry.form_fault:
        said = f"{entry.form_fault}."
        found.append(NamedSlip(slip=Slip.WRITTEN_FORM, explanation=said))
    return tuple(found)


def _right_number(answer: Answer, entry: Entry, rounding: RoundingRules) -> tuple[NamedSlip, ...]:
    """The right number with a unit that makes it something else."""
    bare = Entry(
        typed=entry.typed,
        number=entry.number,
        value=entry.number,
        step=entry.step * entry.number / entry.value if entry.value else entry.step,
    )
    if not (entry.is_converted or entry.is_other_unit) or not is_right(answer, bare, rounding):
        return ()
    wanted = answer.unit.text
    why = (
        entry.unit_fault or f"{entry.typed.strip()} is {answer.words(entry.value)}; write {wanted}"
    )
    number = format_number(entry.number)
    said = f"The number {number} is right, the unit is not: {why}."
    return (NamedSlip(slip=Slip.UNIT, explanation=said),)


def _fitting(
    answer: Answer, entry: Entry, others: tuple[Other, ...], rounding: RoundingRules
) -> tuple[Candidate, ...]:
    """The best candidate of every single slip that fits, the likelier first."""
    ranked = []
    for candidate in every_slip(answer, rounding, others):
        how = fit(answer, entry, candidate, rounding)
        if how is not None:
            ranked.append((how, not candidate.is_usual, -SHARES[candidate.slip], candidate))
    ranked.sort(key=lambda one: one[:3])
    best: dict[Slip, Candidate] = {}
    for *_, candidate in ranked:
        best.setdefault(candidate.slip, candidate)
    return tuple(best.values())


def _verdict(
    answer: Answer, entry: Entry, fitting: tuple[Candidate, ...], rounding: RoundingRules
) -> Judged:
    """Rounded if it is the answer at another place, or rounding is the likeliest reason.

    And only if the value moved by no more than the policy lets rounding move it.
    """
    if entry.is_other_unit or not any(
        one.slip in ROUNDING_SLIPS and (place == 0 or (one.is_exact and one.is_usual))
        for place, one in enumerate(fitting)
    ):
        return Judged.WRONG
    if answer.is_clock:
        return Judged.ROUNDED
    moved = abs(entry.value - answer.exact)
    is_small = moved <= rounding.largest_share * answer.exact
    return Judged.ROUNDED if is_small else Judged.WRONG


ROUGH = Fraction(1, 20)
"""3 drops a minute are about a tenth of 28: 2.8 was rounded. Chosen by us."""

TIMES = {
    Fraction(10): "ten times",
    Fraction(1, 10): "a tenth of",
    Fraction(100): "a hundred times",
    Fraction(1, 100): "a hundredth of",
    Fraction(1000): "a thousand times",
    Fraction(1, 1000): "a thousandth of",
    Fraction(60): "60 times",
    Fraction(1, 60): "a sixtieth of",
    Fraction(24): "24 times",
    Fraction(1, 24): "1/24 of",
}


def _named(answer: Answer, entry: Entry, candidate: Candidate) -> NamedSlip:
    """A slip in a sentence, with the numbers in it."""
    entered, right = _entered_words(answer, entry), answer.right_words
    times = "" if answer.is_clock else TIMES.get(candidate.value / answer.exact, "")
    about = "about " if times and _is_rough(entry, candidate) else ""
    compared = f"is {about}{times} the right {right}" if times else f"instead of {right}"
    return NamedSlip(
        slip=candidate.slip,
        explanation=f"{entered} {compared}: {candidate.because}.",
        because=candidate.because,
        touches=candidate.touches,
    )


def _is_rough(entry: Entry, candidate: Candidate) -> bool:
    """Whether rounding moved an entry so far that the reader would stumble over "a tenth"."""
    return abs(entry.value - candidate.value) > ROUGH * candidate.value


def _entered_words(answer: Answer, entry: Entry) -> str:
    """What was entered, written safely, in the unit of the answer."""
    if answer.is_clock:
        return entry.typed.strip()
    return format_quantity(Quantity(value=entry.value, unit=answer.unit)).rstrip()


def _two(
    answer: Answer, entry: Entry, others: tuple[Other, ...], rounding: RoundingRules
) -> tuple[NamedSlip, ...]:
    """The slips of the pairs that fit, each once."""
    found: dict[Slip, NamedSlip] = {}
    for pair in pairs_that_fit(answer, entry, rounding, others):
        for one in _together(answer, entry, pair):
            found.setdefault(one.slip, one)
    return tuple(found.values())


def _together(answer: Answer, entry: Entry, pair: Pair) -> tuple[NamedSlip, ...]:
    entered, right = _entered_words(answer, entry), answer.right_words
    both = f"{entered} instead of {right} takes two slips"
    return tuple(
        NamedSlip(
            slip=one.slip,
            explanation=f"{both}: {one.because}; and {other.because}.",
            because=f"{one.because}; and {other.because}",
            touches=(*one.touches, *other.touches),
            takes_two=True,
        )
        for one, other in (pair, pair[::-1])
    )

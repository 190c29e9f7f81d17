"""Whether a value that a slip leads to is what was entered."""

from __future__ import annotations

from fractions import Fraction

from trainer.clinical.rounding import RoundingRules, round_half_up, truncate
from trainer.clinical.slips.answer import Answer
from trainer.clinical.slips.candidate import Candidate
from trainer.clinical.slips.entered import Entry

CLOSE = Fraction(1, 10**9)
"""Two values this close, as a share, differ by how many digits were written. Chosen by us."""
COARSE_SHARE = Fraction(1, 20)
"""A wrong value written to fewer places is known again if it moved by no more. Chosen by us."""
MOST_MOVED = 2
"""Half up to a place, a value that is not rounded to nothing is at most doubled."""
DAY_MIN = 24 * 60


def is_right(answer: Answer, entry: Entry, rounding: RoundingRules) -> bool:
    """Whether an entry is the answer, rounded by the policy or less far."""
    if entry.is_other_unit:
        return False
    if answer.is_clock:
        return _is_same_time(answer, entry, answer.exact)
    rounded = answer.rounded(answer.exact, rounding)
    if entry.value in {rounded, answer.exact, *answer.also}:
        return True
    rule = rounding.rule_for(answer.kind, answer.unit.text, answer.exact)
    is_finer = entry.step <= rule.step_for(answer.exact)
    return is_finer and is_written(entry, answer.exact)


def is_written(entry: Entry, value: Fraction) -> bool:
    """Whether the entry is this value, rounded half up to the place that was written."""
    if abs(entry.value - value) <= CLOSE * value:
        return True
    return entry.value == round_half_up(value, entry.step)


def fit(answer: Answer, entry: Entry, candidate: Candidate, rounding: RoundingRules) -> int | None:
    """How well a candidate fits an entry: 0 fully, 1 less finely written, None not at all."""
    value = candidate.value
    if answer.is_clock:
        return 0 if _is_same_time(answer, entry, value) else None
    if candidate.is_exact or value <= 0:
        return 0 if entry.value == value else None
    if not value <= entry.value * MOST_MOVED <= value * MOST_MOVED**2:
        return None
    rule = rounding.rule_for(answer.kind, answer.unit.text, value)
    own = rule.step_for(value)
    if entry.value == rule.apply(value) or (entry.step <= own and is_written(entry, value)):
        return 0
    return 1 if _is_coarse(entry, value, own) else None


def _is_coarse(entry: Entry, value: Fraction, own: Fraction) -> bool:
    """Whether a value was written to fewer places than the policy's, or cut off."""
    if abs(entry.value - value) > COARSE_SHARE * value:
        return False
    steps = {max(entry.step, own), entry.step, _significant_step(entry.value)}
    return any(entry.value in {round_half_up(value, s), truncate(value, s)} for s in steps)


def _significant_step(value: Fraction) -> Fraction:
    """One in the last digit that is not a zero, of a whole number; three digits at least."""
    step = Fraction(1)
    while value and (value / (step * 10)).denominator == 1 and value >= step * 1000:
        step *= 10
    return step


def _is_same_time(answer: Answer, entry: Entry, duration_h: Fraction) -> bool:
    """Whether the clock shows the entry after so many hours."""
    finish = int(((answer.start_min or 0) + duration_h * 60) // 1)
    return finish % DAY_MIN == entry.number

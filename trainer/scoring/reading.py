"""What a learner typed as a worked-out value, read as far as it can be read.

Read as `trainer diagnose` reads it (`clinical.slips.entered`): value and unit are told apart,
so a right number without its unit is a right number and a missing unit. What was typed is
never changed. Judging is `entries`.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical.slips.answer import Answer
from trainer.clinical.slips.entered import Entry, read_entry
from trainer.errors import QuantityError
from trainer.scoring.answers import unit_of_key
from trainer.scoring.explain import sentence
from trainer.scoring.findings import Key


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A typed value: in the key's unit, as finely as it was written.

    `value` is None if no number could be read; then `fault` says why and how to write it.
    `unit_fault` says what is wrong with the unit alone, `form_fault` what is wrong with the
    way the number is written; all three are whole sentences. `entry` is for judging the number:
    the same, as if a unit of another kind had not been written.
    """

    typed: str
    value: Fraction | None
    step: Fraction = Fraction(1)
    fault: str = ""
    unit_fault: str = ""
    form_fault: str = ""
    entry: Entry | None = None


def read(typed: str, key: Key) -> Reading:
    """The value typed for a key."""
    asked = Answer(kind=key.quantity, unit=unit_of_key(key), exact=key.exact)
    try:
        entry = read_entry(typed, asked)
    except QuantityError as fault:
        return Reading(typed=typed, value=None, fault=_said(fault))
    return Reading(
        typed=typed,
        value=entry.value,
        step=entry.step,
        unit_fault=sentence(entry.unit_fault),
        form_fault=sentence(entry.form_fault),
        entry=entry,
    )


def _said(fault: QuantityError) -> str:
    """The sentence of a fault, without the name of the value before it."""
    return sentence(str(fault).partition(": ")[2] or str(fault))

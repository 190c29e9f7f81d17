"""The slips in plain words: what comes out when, and what to ask a learner.

Two short phrases for each slip; the sentence with the numbers in it is `clinical.slips`'s.
"""

from __future__ import annotations

from trainer.clinical.slips.diagnose import NamedSlip
from trainer.clinical.slips.names import Slip

WHEN: dict[Slip, str] = {
    Slip.TENFOLD: "the decimal point moves by one place",
    Slip.HUNDREDFOLD: "the decimal point moves by two places",
    Slip.THOUSANDFOLD: "two units that are a thousand apart, such as mg and mcg, are mixed up",
    Slip.POUNDS: "pounds and kilograms are mixed up",
    Slip.PER_MINUTE: "a value per minute and one per hour are mixed up",
    Slip.WEIGHT_LEFT_OUT: "the weight is left out",
    Slip.WEIGHT_TWICE: "the weight is used twice",
    Slip.UPSIDE_DOWN: "a ratio is turned upside down",
    Slip.OTHER_CONCENTRATION: "another strength is taken than that of the container",
    Slip.PER_DAY: "a whole day and a part of it are mixed up",
    Slip.HOURS_FOR_MINUTES: "the time is left out or taken in the wrong unit",
    Slip.DROP_FACTOR: "drops and mL are mixed up",
    Slip.EARLY_ROUNDING: "something is rounded before the end",
    Slip.TRUNCATED: "digits are cut off that should be rounded",
    Slip.SWAPPED: "the value of another field is entered",
    Slip.DOSE_AS_RATE: "the dose is entered as the rate",
    Slip.SUPERSEDED: "an older order or an older weight is used",
    Slip.DIGITS: "a digit is lost, doubled or changes places",
    Slip.UNIT: "the number is written with another unit",
    Slip.WRITTEN_FORM: "the number is written in an unsafe form",
}
"""To stand after `this is what comes out when`."""

DID_YOU: dict[Slip, str] = {
    Slip.TENFOLD: "move the decimal point by one place",
    Slip.HUNDREDFOLD: "move the decimal point by two places",
    Slip.THOUSANDFOLD: "mix up two units that are a thousand apart, such as mg and mcg",
    Slip.POUNDS: "mix up pounds and kilograms",
    Slip.PER_MINUTE: "forget the 60 minutes",
    Slip.WEIGHT_LEFT_OUT: "leave the weight out",
    Slip.WEIGHT_TWICE: "use the weight twice",
    Slip.UPSIDE_DOWN: "turn a ratio upside down",
    Slip.OTHER_CONCENTRATION: "take another strength than that of the container",
    Slip.PER_DAY: "mix up a whole day and a part of it",
    Slip.HOURS_FOR_MINUTES: "leave the time out or take it in the wrong unit",
    Slip.DROP_FACTOR: "mix up drops and mL",
    Slip.EARLY_ROUNDING: "round before the end",
    Slip.TRUNCATED: "cut digits off",
    Slip.SWAPPED: "enter the value of another field",
    Slip.DOSE_AS_RATE: "enter the dose as the rate",
    Slip.SUPERSEDED: "use an older order or an older weight",
    Slip.DIGITS: "mistype a digit",
    Slip.UNIT: "mean another unit",
    Slip.WRITTEN_FORM: "write the number in an unsafe form",
}
"""To stand after `did you`."""

SAY_IT_ALOUD = (
    "Say the sum aloud from its first line: which value do you take first, and where does it stand?"
)
"""Where no slip is known: the way of thinking shows itself."""


AT_THE_KEYS = (
    "No single slip explains this, and it was worked out right: where did you look while you keyed "
    "it, and what did you hold it against before the start?"
)
"""Where a right result went wrong at the keys and no slip is known: the sum is not at fault."""


def comes_out(slips: tuple[NamedSlip, ...]) -> str:
    """A sentence that says when a value like this comes out."""
    if not slips:
        return "No single slip that is known explains this value."
    if slips[0].takes_two:
        return f"It takes two slips together to come out: {slips[0].because}."
    first, *more = _distinct(slips)
    or_else = f", or when {WHEN[more[0]]}" if more else ""
    return f"This is what comes out when {WHEN[first]}{or_else}."


def question(slips: tuple[NamedSlip, ...]) -> str:
    """What to ask: which of the two likeliest it was; the sum said aloud where none fits."""
    if not slips:
        return f"No single slip explains this. {SAY_IT_ALOUD}"
    names = _distinct(slips)
    if slips[0].takes_two:
        together = _partners(slips)
        return f"Did you {DID_YOU[together[0]]}, and also {DID_YOU[together[1]]}?"
    if len(names) < 2:
        return ""
    return f"Did you {DID_YOU[names[0]]}, or {DID_YOU[names[1]]}?"


def _distinct(slips: tuple[NamedSlip, ...]) -> tuple[Slip, ...]:
    """The slips that differ in what was done: the same deed under two names is one."""
    by_deed: dict[str, Slip] = {}
    for one in slips:
        by_deed.setdefault(one.because or one.slip, one.slip)
    return tuple(dict.fromkeys(by_deed.values()))


def _partners(slips: tuple[NamedSlip, ...]) -> tuple[Slip, Slip]:
    """The two slips of the likeliest pair, which stand next to each other."""
    return slips[0].slip, slips[1].slip

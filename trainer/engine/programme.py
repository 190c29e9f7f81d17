"""The give sentence: volume over duration at rate. Any two fix the third.

What is typed must lie on the ward's steps and in its range; what is worked out is
rounded half up to the step, once. If all three are typed they must agree.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache

from trainer.clinical.quantity import parse_duration
from trainer.clinical.rounding import format_number, round_half_up
from trainer.engine.amounts import MS_PER_H, motes_from_ml, ul_h_from_ml_h
from trainer.engine.reading import amount_in, sentence
from trainer.engine.refusals import Impossible, require
from trainer.engine.state import Programme
from trainer.errors import QuantityError
from trainer.scenario.model import PumpRules
from trainer.terms import Refusal

LONGEST_H = Fraction(10_000)
"""A longer duration is a slip of the finger. Chosen by us."""


def give(volume_text: str, duration_text: str, rate_text: str, rules: PumpRules) -> Programme | str:
    """The programme, or one sentence that says what is wrong with it and the mend.

    Args:
        volume_text: mL as typed, `80` or `80 mL`; empty to have it worked out.
        duration_text: `1 h 30 min`, `90 min`; empty to have it worked out.
        rate_text: mL/h as typed, `40` or `40 mL/h`; empty to have it worked out.
        rules: the ward's steps and ranges.
    """
    try:
        return programme_from(volume_text, duration_text, rate_text, rules)
    except Impossible as impossible:
        return impossible.text


@lru_cache(maxsize=1_024)
def programme_from(
    volume_text: str, duration_text: str, rate_text: str, rules: PumpRules
) -> Programme:
    """The same, for the rules of the bedside.

    Remembered: a page, a replay and a debrief read the same sentences again and again.

    Raises:
        Impossible: with the reason and the sentence.
    """
    volume = amount_in(volume_text, "mL", "volume") if volume_text.strip() else None
    duration = duration_h(duration_text) if duration_text.strip() else None
    rate = amount_in(rate_text, "mL/h", "rate") if rate_text.strip() else None
    for value, what in ((volume, "volume"), (duration, "duration"), (rate, "rate")):
        if value is not None and value <= 0:
            raise Impossible(Refusal.OUT_OF_RANGE, f"The {what} must be more than zero.")
    _check_typed(volume, rate, rules)
    volume, duration, rate = _completed(volume, duration, rate, rules)
    _check_range(volume, rate, rules)
    try:
        return Programme(
            volume=motes_from_ml(volume),
            rate_ul_h=ul_h_from_ml_h(rate),
            duration_ms=_whole_ms(duration),
        )
    except QuantityError as error:
        raise Impossible(Refusal.NOT_UNDERSTOOD, sentence(str(error))) from error


def _whole_ms(duration: Fraction) -> int:
    """A duration in hours as milliseconds, half up."""
    twice = 2 * duration.numerator * MS_PER_H
    return (twice + duration.denominator) // (2 * duration.denominator)


def duration_h(text: str) -> Fraction:
    """A duration in hours.

    Raises:
        Impossible: if it is no duration, is below zero or far too long.
    """
    if re.search("[-\N{MINUS SIGN}\N{EN DASH}]", text):
        raise Impossible(
            Refusal.NOT_UNDERSTOOD, "No part of a duration is below zero; write it without a minus."
        )
    try:
        hours = parse_duration(text).to("h")
    except QuantityError as error:
        raise Impossible(Refusal.NOT_UNDERSTOOD, _told(text, error)) from error
    require(
        hours <= LONGEST_H,
        Refusal.OUT_OF_RANGE,
        f"The duration is longer than {LONGEST_H} h; write a shorter one.",
    )
    return hours


def _told(text: str, error: QuantityError) -> str:
    """What is wrong with a duration. A part that is no number looks like a strange unit."""
    said = str(error)
    if any(sign in said for sign in ("in the unit", "not a unit", "number is missing")):
        return (
            f"The duration `{text.strip()[:30]}` cannot be read; write it as 1 h 30 min or 90 min."
        )
    return sentence(said)


def _check_typed(volume: Fraction | None, rate: Fraction | None, rules: PumpRules) -> None:
    for value, step, lowest, what, unit in (
        (volume, rules.volume_step_ml, rules.volume_step_ml, "volume", "mL"),
        (rate, rules.rate_step_ml_per_h, rules.lowest_rate_ml_per_h, "rate", "mL/h"),
    ):
        if value is not None and not _is_multiple(value, step):
            near = format_number(max(lowest, round_half_up(value, step)))
            raise Impossible(
                Refusal.OUT_OF_RANGE,
                f"The {what} goes in steps of {format_number(step)} {unit}; enter {near} {unit}.",
            )


def _is_multiple(value: Fraction, step: Fraction) -> bool:
    return (value.numerator * step.denominator) % (value.denominator * step.numerator) == 0


def _completed(
    volume: Fraction | None, duration: Fraction | None, rate: Fraction | None, rules: PumpRules
) -> tuple[Fraction, Fraction, Fraction]:
    """All three, in mL, h and mL/h."""
    if volume is not None and duration is not None:
        worked_out = round_half_up(volume / duration, rules.rate_step_ml_per_h)
        require(
            worked_out > 0,
            Refusal.OUT_OF_RANGE,
            f"So little over so long is less than {format_number(rules.lowest_rate_ml_per_h)} mL/h, "
            "the lowest rate; enter a larger volume or a shorter duration.",
        )
        if rate is not None and rate != worked_out:
            _check_agreement(volume, duration, rate)
        return volume, duration, worked_out if rate is None else rate
    if volume is not None and rate is not None:
        return volume, volume / rate, rate
    if duration is not None and rate is not None:
        worked_out = round_half_up(rate * duration, rules.volume_step_ml)
        require(
            worked_out > 0,
            Refusal.OUT_OF_RANGE,
            f"That gives less than {format_number(rules.volume_step_ml)} mL, the smallest volume; "
            "enter a higher rate or a longer duration.",
        )
        return worked_out, duration, rate
    raise Impossible(
        Refusal.NOT_UNDERSTOOD, "Enter two of volume, duration and rate; the third follows."
    )


def _check_agreement(volume: Fraction, duration: Fraction, rate: Fraction) -> None:
    """Typed values agree if the duration is right to the minute."""
    if round_half_up(volume / rate * 60, Fraction(1)) != round_half_up(duration * 60, Fraction(1)):
        raise Impossible(
            Refusal.OUT_OF_RANGE,
            f"{format_number(volume)} mL at {format_number(rate)} mL/h does not take the duration "
            "entered; leave one of the three empty.",
        )


def _check_range(volume: Fraction, rate: Fraction, rules: PumpRules) -> None:
    lowest, highest = rules.lowest_rate_ml_per_h, rules.highest_rate_ml_per_h
    if not lowest <= rate <= highest:
        raise Impossible(
            Refusal.OUT_OF_RANGE,
            f"{format_number(rate)} mL/h is outside the pump's range; "
            f"it runs from {format_number(lowest)} to {format_number(highest)} mL/h.",
        )
    if not 0 < volume <= rules.highest_volume_ml:
        raise Impossible(
            Refusal.OUT_OF_RANGE,
            f"{format_number(volume)} mL cannot be entered; "
            f"the most is {format_number(rules.highest_volume_ml)} mL.",
        )

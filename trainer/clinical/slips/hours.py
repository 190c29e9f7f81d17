"""Slips with time: minutes and hours, a day and a dose."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction

from trainer.clinical.relations import Part
from trainer.clinical.rounding import format_number
from trainer.clinical.slips.answer import Answer, symbols_of, units_of
from trainer.clinical.slips.candidate import Candidate, of_given, times
from trainer.clinical.slips.names import Slip
from trainer.clinical.units import Dimension, Unit

SIXTY = Fraction(60)
HOURS_A_DAY = Fraction(24)
DOSES = "doses_per_day"


def hour_slips(answer: Answer) -> Iterator[Candidate]:
    """Every slip with time."""
    if _has_time(answer):
        yield from _per_minute(answer)
        yield from _hours_for_minutes(answer)
        yield from _per_day(answer)
    yield from _one_of_several_doses(answer)
    yield from _whole_day_after_a_burn(answer)


def _has_time(answer: Answer) -> bool:
    return any(unit.power_of(Dimension.TIME) for unit in units_of(answer))


def _is_per_time(unit: Unit) -> bool:
    """Whether a unit is per minute or per hour."""
    return any(atom.symbol in {"min", "h", "s"} and power < 0 for atom, power in unit.powers)


def _per_minute(answer: Answer) -> Iterator[Candidate]:
    """A rate or a dose per minute for one per hour.

    Where nothing given is per time, a duration read wrongly is the plainer reason for the
    same factor of 60.
    """
    because = "a value per minute and one per hour were mixed up, a factor of 60"
    asked, *given = (_is_per_time(unit) for unit in units_of(answer))
    sixties = _timed(answer, SIXTY)
    plainer = set() if any(given) else {one.value for one in _wrong_hours(answer) if one.is_usual}
    for way, ratio in (("up", SIXTY), ("down", 1 / SIXTY)):
        usual = (asked or any(given)) and answer.exact * ratio not in plainer
        yield times(answer, Slip.PER_MINUTE, way, ratio, because, touches=sixties, is_usual=usual)
    for factor in answer.constants:
        if factor.name == "minutes per hour":
            twice = "60 min per h was applied the wrong way round"
            ratio = factor.factor_value**-2
            yield times(
                answer,
                Slip.PER_MINUTE,
                "turned",
                ratio,
                twice,
                touches=(factor.name,),
                is_usual=False,
            )


def _timed(answer: Answer, constant: Fraction) -> tuple[str, ...]:
    """The constant of time in the product; where it has none, the givens that are per time."""
    constants = tuple(one.name for one in answer.constants if one.value == constant)
    return constants or tuple(one.name for one in answer.own if _is_per_time(one.unit))


def duration_name(answer: Answer) -> str:
    """The name of the given that is a duration; empty if none is."""
    return answer.given_of(Dimension.TIME)


def _hours_for_minutes(answer: Answer) -> Iterator[Candidate]:
    slip = Slip.HOURS_FOR_MINUTES
    if answer.kind in {"duration", "finish"}:
        because = "hours and minutes were mixed up"
        for way, ratio in (("asked up", SIXTY), ("asked down", 1 / SIXTY)):
            yield times(answer, slip, way, ratio, because, touches=_timed(answer, SIXTY))
    yield from _wrong_hours(answer)
    name = duration_name(answer)
    text = answer.text_of(name)
    yield from _time_left_out(answer, name, text)
    yield from _minutes_as_hundredths(answer, name, text)


def _wrong_hours(answer: Answer) -> Iterator[Candidate]:
    """The duration given in minutes taken for hours, or the reverse."""
    name = duration_name(answer)
    duration = answer.given(name)
    if duration is None:
        return
    text = answer.text_of(name)
    in_minutes = duration.unit.text == "min"
    for longer in (True, False):
        meant = "minutes were taken for hours" if longer else "hours were taken for minutes"
        ratio = SIXTY if longer else 1 / SIXTY
        way, usual = f"duration {longer}", longer == in_minutes
        because = f"in {text}, {meant}"
        yield from of_given(
            answer, Slip.HOURS_FOR_MINUTES, name, ratio, because, way=way, is_usual=usual
        )


def _time_left_out(answer: Answer, name: str, text: str) -> Iterator[Candidate]:
    """The whole for the hourly: the time was not divided by (or multiplied with)."""
    duration = answer.given(name)
    if duration is None:
        return
    in_hours = duration.value * duration.unit.size
    numbers = {"hours": in_hours, "written": duration.value, "minutes": in_hours * 60}
    left_out = f"the time of {text} was left out: the whole was taken for a part of it"
    for unit, number in numbers.items():
        for way, ratio, because in (
            (f"left out {unit}", 1 / number, left_out),
            (f"twice {unit}", number, f"the time of {text} was used twice"),
        ):
            yield from of_given(
                answer, Slip.HOURS_FOR_MINUTES, name, ratio, because, way=way, is_usual=False
            )


HOURS_AND_MINUTES = re.compile(r"(\d+)\s*h\w*\s*(\d{1,2})\s*min\w*")


def _minutes_as_hundredths(answer: Answer, name: str, text: str) -> Iterator[Candidate]:
    """`9 h 30 min` as 9.30 h. Source: a published student answer."""
    match = HOURS_AND_MINUTES.fullmatch(text)
    duration = answer.given(name)
    if match is None or duration is None or not int(match[2]):
        return
    read = int(match[1]) + Fraction(int(match[2]), 100)
    ratio = read / (duration.value * duration.unit.size)
    because = f"{text} was written as {format_number(read)} h"
    slip = Slip.HOURS_FOR_MINUTES
    yield from of_given(answer, slip, name, ratio, because, way="hundredths")


def _per_day(answer: Answer) -> Iterator[Candidate]:
    """A day taken for an hour, or the other way."""
    usual = "day" in symbols_of(answer) or answer.has_maintenance
    because = "a value per day and one per hour were mixed up, a factor of 24"
    for way, ratio in (("up", HOURS_A_DAY), ("down", 1 / HOURS_A_DAY)):
        touched = _timed(answer, HOURS_A_DAY)
        yield times(answer, Slip.PER_DAY, way, ratio, because, touches=touched, is_usual=usual)


def _one_of_several_doses(answer: Answer) -> Iterator[Candidate]:
    """The dose of the day for one dose, or one divided once too often."""
    doses = answer.given(DOSES)
    if doses is None:
        return
    number = doses.value
    ways = (
        (1 / number, "the dose of the day was taken for one dose", True),
        (number, "one dose was divided by the doses of the day once more", False),
    )
    for ratio, because, usual in ways:
        said = f"{because} ({format_number(number)} doses a day)"
        way = f"doses {usual}"
        yield from of_given(answer, Slip.PER_DAY, DOSES, ratio, said, way=way, is_usual=usual)


def _whole_day_after_a_burn(answer: Answer) -> Iterator[Candidate]:
    """The fluid of 24 h after a burn for that of one of its halves."""
    parts = {part for part, _ in answer.asked.known} if answer.asked else set()
    if {Part.BURNED, Part.DURATION} <= parts:
        because = "the fluid of the whole 24 h was taken for that of half of them"
        name = (duration_name(answer),)
        yield times(answer, Slip.PER_DAY, "whole burn", Fraction(2), because, touches=name)

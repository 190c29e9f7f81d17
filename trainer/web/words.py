"""Engine amounts as words on a page: volumes, rates, durations, ward times.

Only for showing. Every number follows the writing rules of `clinical.rounding`.
"""

from __future__ import annotations

from fractions import Fraction

from trainer.clinical.rounding import format_number, round_half_up
from trainer.clinical.timebase import format_duration
from trainer.engine.amounts import MOTES_PER_ML, UL_H_PER_ML_H
from trainer.engine.state import Programme
from trainer.scenario.model import Scenario

TENTH = Fraction(1, 10)
THOUSANDTH = Fraction(1, 1000)
MINUTE_MS = 60_000
DAY_MIN = 24 * 60


def number(value: Fraction) -> str:
    """A number to a tenth.

    >>> number(Fraction(121, 3))
    '40.3'
    """
    return format_number(round_half_up(value, TENTH))


def ml(volume_motes: int) -> str:
    """A volume in mL to a tenth, without its unit.

    >>> ml(1_800_000_000)
    '0.5'
    """
    return number(Fraction(volume_motes, MOTES_PER_ML))


def rate(rate_ul_h: int) -> str:
    """A rate in mL/h, without its unit.

    >>> rate(56_400)
    '56.4'
    """
    return format_number(round_half_up(Fraction(rate_ul_h, UL_H_PER_ML_H), THOUSANDTH))


def sentence(programme: Programme) -> str:
    """A give sentence as it stands at the pump."""
    return (
        f"{ml(programme.volume)} mL over {format_duration(programme.duration_ms)} "
        f"at {rate(programme.rate_ul_h)} mL/h"
    )


def start_minute(scenario: Scenario) -> int:
    """Minutes after midnight on the ward clock at which the scenario begins."""
    hours, _, minutes = scenario.starts_at.partition(":")
    return int(hours) * 60 + int(minutes)


def ward_time(scenario: Scenario, at_ms: int) -> str:
    """The ward clock at a moment of the attempt: `09:42`."""
    minute = (start_minute(scenario) + at_ms // MINUTE_MS) % DAY_MIN
    return f"{minute // 60:02d}:{minute % 60:02d}"


def span(length_ms: int) -> str:
    """A length of time for planning: hours and minutes, under five minutes to the second.

    >>> span(4_000_000), span(185_400)
    ('1 h 6 min', '3 min 5 s')
    """
    step = MINUTE_MS if length_ms >= 5 * MINUTE_MS else 1_000
    return format_duration(length_ms // step * step)

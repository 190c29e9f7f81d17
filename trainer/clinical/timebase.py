"""Simulated time: whole milliseconds since the attempt began, and its writing.

Not here: wall-clock time, which stays out of the core.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import NewType

from trainer.clinical.quantity import parse_duration
from trainer.errors import QuantityError

SimMs = NewType("SimMs", int)
"""Milliseconds of simulated time, so that it cannot be taken for any other number."""

MS_PER_S = 1_000
MS_PER_MIN = 60_000
MS_PER_H = 3_600_000
MS_PER_DAY = 86_400_000


def parse_sim_duration(text: str, *, what: str = "duration") -> SimMs:
    """Milliseconds of a duration in words: `1 h 30 min`, `90 s`, `7.5 h`.

    >>> parse_sim_duration("1 h 30 min")
    5400000

    Raises:
        QuantityError: if it is no duration, or finer than a millisecond.
    """
    return ms_from_h(parse_duration(text, what=what).to("h"), what=what)


def ms_from_h(duration_h: Fraction, *, what: str = "duration") -> SimMs:
    """Milliseconds of exact hours.

    Raises:
        QuantityError: if it is no whole number of milliseconds.
    """
    ms = duration_h * MS_PER_H
    if ms.denominator != 1:
        raise QuantityError(f"{what}: finer than a millisecond; write whole seconds")
    return SimMs(ms.numerator)


def h_from_ms(duration_ms: int) -> Fraction:
    """Exact hours of so many milliseconds.

    >>> h_from_ms(5_400_000)
    Fraction(3, 2)
    """
    return Fraction(duration_ms, MS_PER_H)


def format_sim(at_ms: int) -> str:
    """A moment of simulated time as `HH:MM:SS`, the rest of a second dropped.

    >>> format_sim(5_400_000)
    '01:30:00'
    """
    sign, seconds = ("-" if at_ms < 0 else ""), abs(at_ms) // MS_PER_S
    return f"{sign}{seconds // 3600:02d}:{seconds // 60 % 60:02d}:{seconds % 60:02d}"


def parse_sim(text: str, *, what: str = "time") -> SimMs:
    """The moment that `format_sim` wrote.

    >>> parse_sim("01:30:00")
    5400000

    Raises:
        QuantityError: if it is not `HH:MM:SS`.
    """
    match = re.fullmatch(r"([0-9]{2,4}):([0-5][0-9]):([0-5][0-9])", text.strip())
    if not match:
        raise QuantityError(f"{what}: `{text[:20]}` is not HH:MM:SS; write 01:30:00")
    hours, minutes, seconds = (int(part) for part in match.groups())
    return SimMs(((hours * 60 + minutes) * 60 + seconds) * MS_PER_S)


def format_duration(duration_ms: int) -> str:
    """A duration in words, the rest of a second dropped: `1 h 30 min`.

    >>> format_duration(5_400_000), format_duration(45_000), format_duration(0)
    ('1 h 30 min', '45 s', '0 s')
    """
    total = abs(duration_ms) // MS_PER_S
    parts = ((total // 3600, "h"), (total // 60 % 60, "min"), (total % 60, "s"))
    words = " ".join(f"{count} {unit}" for count, unit in parts if count) or "0 s"
    return f"-{words}" if duration_ms < 0 and total else words

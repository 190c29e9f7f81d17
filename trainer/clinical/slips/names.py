"""The names of the slips. The value is what a report and the command line say."""

from __future__ import annotations

from enum import StrEnum


class Slip(StrEnum):
    """One way to come to a wrong value, or to write a right one wrongly."""

    TENFOLD = "tenfold"
    HUNDREDFOLD = "hundredfold"
    THOUSANDFOLD = "thousandfold"
    POUNDS = "pounds"
    PER_MINUTE = "per-minute"
    WEIGHT_LEFT_OUT = "weight-left-out"
    WEIGHT_TWICE = "weight-twice"
    UPSIDE_DOWN = "upside-down"
    OTHER_CONCENTRATION = "other-concentration"
    PER_DAY = "per-day"
    HOURS_FOR_MINUTES = "hours-for-minutes"
    DROP_FACTOR = "drop-factor"
    EARLY_ROUNDING = "early-rounding"
    TRUNCATED = "truncated"
    SWAPPED = "swapped"
    DOSE_AS_RATE = "dose-as-rate"
    SUPERSEDED = "superseded"
    DIGITS = "digits"
    UNIT = "unit"
    WRITTEN_FORM = "written-form"


ROUNDING_SLIPS = frozenset({Slip.EARLY_ROUNDING, Slip.TRUNCATED})
"""The value is right but for its rounding."""
FORM_SLIPS = frozenset({Slip.UNIT, Slip.WRITTEN_FORM})
"""The number may be right; what stands round it is not."""

"""The signs that ready behaviours move, each with the unit in which it is counted.

Facts of charting; common practice, no source. A sign of another name can be written in any
unit. For `trainer.scenario`, and for whoever prints a response.
"""

from __future__ import annotations

import re

UNITS: dict[str, str] = {
    "heart rate": "/min",
    "breathing": "/min",
    "blood pressure": "mmHg",
    "saturation": "%",
    "temperature": "°C",
    "consciousness": "",
    "glucose": "mmol/L",
    "potassium": "mmol/L",
    "urine": "mL/h",
    "capillary refill": "s",
    "weight": "kg",
    "fluid balance": "mL",
    "clotting time": "s",
}
"""The unit of each known sign; consciousness is counted in states, from alert to worst."""

DERIVED = ("urine", "fluid balance", "weight")
"""Signs that are computed whether or not the patient's list has them."""

CONSCIOUSNESS = ("alert", "voice", "pain", "unresponsive")
"""Consciousness as it is charted, from the best to the worst, counted from 0 (AVPU)."""

HIGHEST = 5_000
"""No known sign is charted with a larger number. Chosen by us."""

_NUMBERS = re.compile(r"(-?[0-9]+(?:\.[0-9]+)?)(?:\s*/\s*([0-9]+(?:\.[0-9]+)?))?")


def numbers_in(sign: str, text: str) -> tuple[str, ...]:
    """The numbers that a sign is written with; none if it is in words.

    >>> numbers_in("blood pressure", "90/50"), numbers_in("consciousness", "pain")
    (('90', '50'), ('2',))
    """
    if sign == "consciousness" and text in CONSCIOUSNESS:
        return (str(CONSCIOUSNESS.index(text)),)
    found = _NUMBERS.fullmatch(text.strip())
    return tuple(one for one in found.groups() if one) if found else ()

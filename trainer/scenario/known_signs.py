"""The signs that ready behaviours move, each with the unit in which it is counted.

Facts of charting; common practice, no source. A sign of another name can be written in any
unit. For `trainer.scenario`, and for whoever prints a response.
"""

from __future__ import annotations

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

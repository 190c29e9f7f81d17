"""Every check value is either answered by the trainer's own code or listed with the reason.

The rows stand in `check_values.json`; `published` says how they are read. One module per
topic answers them.
"""

from __future__ import annotations

from collections import Counter

import pytest

from tests.reference import (
    test_air_rows,
    test_alarm_signals,
    test_effect_rows,
    test_fluid_rows,
    test_gravity_rows,
    test_height_and_startup_rows,
    test_kinetics_rows,
    test_limit_rows,
    test_occlusion_rows,
    test_tubing_rows,
)
from tests.reference.published import ROWS, hold

COVERED: tuple[str, ...] = (
    *test_air_rows.ANSWERS,
    *test_alarm_signals.ANSWERS,
    *test_effect_rows.ANSWERS,
    *test_fluid_rows.ANSWERS,
    *test_gravity_rows.ANSWERS,
    *test_height_and_startup_rows.ANSWERS,
    *test_kinetics_rows.ANSWERS,
    *test_limit_rows.ANSWERS,
    *test_occlusion_rows.ANSWERS,
    *test_occlusion_rows.AS_BOUNDS,
    *test_occlusion_rows.COMPLIANCE_BOUNDS,
    *test_tubing_rows.ANSWERS,
)

NO_TREND = "alarms come at a threshold; no device that judges a trend of pressure is simulated"
NO_BORE = "resistance is data by gauge and set; tubes have volumes, no bore, length or viscosity"
NO_MIXING = "plug flow: fluids in tubing do not mix (declared simplification)"
NO_KIDNEY = "kidney function is no part of a patient; half-life and volume are given"
NO_TITRATION_TABLE = "what to do at a clotting time is a ward's order, not the trainer's"
NO_INACCURACY = "a pump of the trainer gives exactly its rate; accuracy is not simulated"
OWN_MELODY = "the page's pitches are its own; it does not play the melody of early editions"
ANOTHER_PART = "an example of an electronic part; the trainer's own spacing is ALM-14 and ALM-16"

NOT_COVERED: dict[str, str] = {
    "OCC-32": NO_TREND,
    "OCC-34": NO_TREND,
    "STA-04": "a primed line flows evenly at once; the last stiction of a plunger is left out",
    "POI-01": NO_BORE,
    "POI-02": NO_BORE,
    "POI-03": NO_BORE,
    "POI-04": NO_BORE,
    "AIR-05": "gas that leaves a fluid as it warms is not simulated; air comes by events",
    "AIR-09": NO_BORE,
    "DEA-02": NO_MIXING,
    "DEA-03": NO_MIXING,
    "MUL-02": "valves and compliances of two lines that share a dead volume are not simulated",
    "PK-11": NO_KIDNEY,
    "PK-22": NO_KIDNEY,
    "PK-34": "one effect site per drug: fast onset with a slow end needs more than one",
    "HEP-N3": NO_TITRATION_TABLE,
    "HEP-N4": NO_TITRATION_TABLE,
    "POT-04": "limits hold for one entry; amounts over a day are not added up",
    "ALM-20": ANOTHER_PART,
    "ALM-21": ANOTHER_PART,
    "ALM-22": "a pump that fails altogether, its alarm too, is not simulated",
    "ALM-25": OWN_MELODY,
    "ALM-26": OWN_MELODY,
    "ACC-02": NO_INACCURACY,
    "ACC-03": NO_INACCURACY,
}
"""Rows that the model does not cover, each with the reason."""


def test_every_row_is_answered_or_listed_with_a_reason() -> None:
    assert set(COVERED) | set(NOT_COVERED) == set(ROWS)
    assert all(NOT_COVERED.values())


def test_no_row_is_both_answered_and_listed_nor_answered_twice() -> None:
    assert not set(COVERED) & set(NOT_COVERED)
    assert {row: times for row, times in Counter(COVERED).items() if times > 1} == {}


def test_every_row_names_its_source_its_kind_and_how_it_was_got() -> None:
    for row in ROWS.values():
        assert row["source"]["title"], row["id"]
        assert row["kind"] in ("published", "derived", "limit"), row["id"]
        assert row["provenance"], row["id"]
        assert row["tolerance"], row["id"]


@pytest.mark.parametrize(
    ("row", "outside"), [("OCC-02", 86), ("ALM-08", 149), ("POT-02", 10.1), ("VAN-04", 199)]
)
def test_a_figure_outside_its_tolerance_is_seen(row: str, outside: float) -> None:
    with pytest.raises(AssertionError):
        hold(ROWS[row], outside)

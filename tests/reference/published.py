"""Published and derived check values, one row each, and how a figure is held against a row.

Rows come from `check_values.json`: what was measured or printed elsewhere, with its source
and tolerance. `kind` says what a row is: *published* (measured or printed), *derived*
(follows from what was read), *limit* (a rule of a standard, label or review).
`provenance` says how the row was got; where it says memory, it is from memory.

A module per topic answers its rows in a table `ANSWERS`: from a row to what the trainer's
own code says. No answer evaluates the formula that stands in the row.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

Row = dict[str, Any]
Answer = Callable[[Row], Any]

ROWS: dict[str, Row] = {
    row["id"]: row
    for row in json.loads(Path(__file__).with_name("check_values.json").read_text(encoding="utf-8"))
}


def rows(answers: Iterable[str]) -> pytest.MarkDecorator:
    """One test per row, named by its id."""
    return pytest.mark.parametrize("row", [pytest.param(ROWS[one], id=one) for one in answers])


def told(row: Row) -> str:
    """The row in words, for a failure."""
    source = row["source"]["title"]
    return f"{row['id']}, {row['topic']} ({row['kind']}; {row['provenance']}; {source})"


def hold(row: Row, found: Any) -> None:
    """The figure lies within the row's tolerance, every one of several figures too."""
    expected, tolerance = row["expected"], row["tolerance"]
    if isinstance(expected, list):
        assert len(found) == len(expected), told(row)
        pairs = list(zip(found, expected, strict=True))
    else:
        several = isinstance(found, (list, tuple))
        pairs = [(one, expected) for one in (found if several else (found,))]
    assert pairs, told(row)
    for one, other in pairs:
        assert _is_within(one, other, tolerance), f"{told(row)}: {other} wanted, {one} found"


def _is_within(found: Any, expected: Any, tolerance: dict[str, Any]) -> bool:
    if not isinstance(expected, (int, float)) and expected is not None:
        return bool(found == expected)
    value = float(found)
    if "range" in tolerance:
        least, most = tolerance["range"]
        return bool(least <= value <= most)
    if "max" in tolerance:
        return bool(value <= tolerance["max"])
    if "min" in tolerance:
        return bool(value >= tolerance["min"])
    assert expected is not None, "a row without a figure needs a range"
    allowed = tolerance["abs"] if "abs" in tolerance else tolerance["rel"] * abs(expected)
    return bool(abs(value - float(expected)) <= allowed * (1 + 1e-12))


def exact(value: Any) -> Fraction:
    """A number of a row as it is written."""
    return Fraction(str(value))


def given(row: Row, name: str) -> Fraction:
    """One of the row's given numbers, as it is written."""
    return exact(row["given"][name])

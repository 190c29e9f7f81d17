"""The solver against published calculation problems, each with its source.

The rows of `worked_examples.json` were taken from teaching sheets, textbooks, labels and
standards; each row names its own. `exact` is the exact answer to the row's data;
`published` what the source prints after its own rounding. A row whose printed answer does
not follow from its data stays, with the reason in its `note`.
"""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from trainer.clinical.problem import parse_problem
from trainer.clinical.rounding import exact_text, parse_exact, round_half_up, truncate
from trainer.clinical.solve import Solution, solve

ROWS: list[dict[str, Any]] = json.loads(
    Path(__file__).with_name("worked_examples.json").read_text(encoding="utf-8")
)
IRRATIONAL = {"WE-12-001"}
"""A square root without an end: the row gives eight digits of it."""


def solved(row: dict[str, Any]) -> Solution:
    return solve(parse_problem({key: row[key] for key in row if key in PROBLEM_KEYS}))


PROBLEM_KEYS = {"id", "find", "unit", "given", "lb_per_kg"}


def of(rows: list[dict[str, Any]]) -> pytest.MarkDecorator:
    return pytest.mark.parametrize("row", rows, ids=[row["id"] for row in rows])


def as_the_source_rounds(exact: Fraction, rounding: str) -> Fraction:
    manner, _, step = rounding.partition(":")
    if manner == "exact":
        return exact
    return {"nearest": round_half_up, "trunc": truncate}[manner](exact, Fraction(step))


RIGHT = [row for row in ROWS if row["agrees"]]
WRONG = [row for row in ROWS if not row["agrees"]]
NUMBERS = [row for row in ROWS if row["find"] != "finish"]
CLOCKS = [row for row in ROWS if row["find"] == "finish"]


def test_every_published_row_is_here_with_its_source() -> None:
    assert len(ROWS) == 125
    assert len({row["id"] for row in ROWS}) == 125
    assert all(row["source"] and row["grade"] and row["provenance"] for row in ROWS)


@of([row for row in NUMBERS if row["id"] not in IRRATIONAL])
def test_the_exact_answer_is_the_recomputed_one(row: dict[str, Any]) -> None:
    solution = solved(row)
    assert solution.exact == parse_exact(row["exact"]), row["source"]
    assert solution.unit == row["unit"]
    assert solution.exact_text == exact_text(parse_exact(row["exact"]))


@of([row for row in ROWS if row["id"] in IRRATIONAL])
def test_an_answer_without_an_end_has_the_digits_of_the_row(row: dict[str, Any]) -> None:
    solution = solved(row)
    assert solution.exact is not None
    assert round_half_up(solution.exact, Fraction(1, 10**8)) == Fraction(row["exact"])
    assert len(solution.exact_text.lstrip("0.")) >= 8


@of(CLOCKS)
def test_the_finish_is_the_printed_time_of_day(row: dict[str, Any]) -> None:
    solution = solved(row)
    assert solution.value_text == solution.exact_text == row["published"] == row["exact"]


@of([row for row in RIGHT if row["find"] != "finish"])
def test_the_printed_answer_is_the_exact_one_rounded_as_the_source_rounds(
    row: dict[str, Any],
) -> None:
    exact = solved(row).exact
    assert exact is not None
    assert as_the_source_rounds(exact, row["rounding"]) == Fraction(row["published"]), row["source"]


@of(WRONG)
def test_a_misprint_stays_and_does_not_follow_from_its_own_data(row: dict[str, Any]) -> None:
    """Why each is wrong stands in its note: a misprint, or no stated rounding reaches it."""
    exact = solved(row).exact
    assert exact is not None
    assert exact == parse_exact(row["exact"])
    assert as_the_source_rounds(exact, row["rounding"]) != Fraction(row["published"])
    assert row["published_answer_wrong"]
    assert "misprint" in row["note"] or "not reached by any stated rounding" in row["note"]


def test_these_are_the_rows_whose_printed_answer_is_wrong() -> None:
    """Dopamine table misprints, a maintenance rate of 68.5 for 68.33, 120 lb printed as 0.5 kg."""
    assert [row["id"] for row in WRONG] == [
        "WE-05-015",
        "WE-05-016",
        "WE-05-017",
        "WE-09-011",
        "WE-11-014",
    ]


@of([row for row in NUMBERS if row["find"] not in {"bsa"} and "rule" not in row["given"]])
def test_the_chain_multiplies_out_to_the_answer_and_its_units_cancel(row: dict[str, Any]) -> None:
    solution = solved(row)
    if solution.chain is None:
        assert "diluent" in row["given"]
        return
    assert solution.chain.exact == solution.exact
    left = [
        mark.symbol
        for term in solution.chain.terms()
        for mark in (*term.above_units, *term.below_units)
        if not mark.struck and mark.symbol != "doses"
    ]
    wanted = [atom.symbol for atom, power in solution.chain.unit.powers for _ in range(abs(power))]
    assert sorted(left) == sorted(wanted)


@of(ROWS)
def test_every_row_has_a_worked_solution_that_ends_in_its_answer(row: dict[str, Any]) -> None:
    solution = solved(row)
    assert len(solution.steps) >= 2
    last = solution.steps[-1].replace("\u2009", "")
    assert solution.value_text in last

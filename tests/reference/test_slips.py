"""Every published problem times every slip that changes its value: is the slip named?

The problems are those of `worked_examples.json`, each with its source there. The wrong
entries are made by `tests.bench.wrong_entries`, by changing the givens and solving again.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.bench.bench_slips import Tally, tallies, total
from tests.bench.wrong_entries import ROWS
from trainer.clinical.problem import parse_problem
from trainer.clinical.slips.answer import answer_of
from trainer.clinical.slips.diagnose import diagnose

pytestmark = pytest.mark.timeout(300)
FIRST_OF_A_HUNDRED = 95
LISTED_OF_A_HUNDRED = 99


@pytest.fixture(scope="module")
def found() -> dict[str, Tally]:
    return tallies()[0]


@pytest.fixture(scope="module")
def whole(found: dict[str, Tally]) -> Tally:
    return total(found)


def test_there_are_enough_cases_to_judge_by(found: dict[str, Tally], whole: Tally) -> None:
    assert whole.cases > 1500
    assert len(found) >= 18
    assert all(tally.cases >= 5 for tally in found.values())


def test_the_true_slip_is_first_where_the_numbers_make_it_unique(whole: Tally) -> None:
    assert whole.first * 100 >= FIRST_OF_A_HUNDRED * whole.unique


def test_the_true_slip_is_in_the_list(whole: Tally) -> None:
    assert whole.listed * 100 >= LISTED_OF_A_HUNDRED * whole.cases


def test_no_slip_is_missed_as_a_kind(found: dict[str, Tally]) -> None:
    for slip, tally in found.items():
        assert tally.listed * 100 >= 95 * tally.cases, slip
        assert tally.first * 100 >= 80 * tally.unique, slip


def test_no_wrong_entry_is_called_right(whole: Tally) -> None:
    assert whole.called_right == 0


@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_the_printed_answer_is_right_or_rounded_unless_it_is_a_misprint(
    row: dict[str, Any],
) -> None:
    entered = row["published"] if row["find"] == "finish" else f"{row['published']} {row['unit']}"
    verdict = diagnose(answer_of(parse_problem(row)), entered).verdict
    assert row["agrees"] is False or verdict in {"right", "rounded"}, row["source"]

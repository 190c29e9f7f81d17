"""The one-compartment formulas against published figures, each row with its source.

Rows come from `pharmacokinetics.json`: a university course (boomer.org), theophylline and
lidocaine teaching pages, and a textbook table. The formula text of a row is not run; each
row is answered by the trainer's own functions.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from trainer.clinical import kinetics
from trainer.clinical.powers import natural_log
from trainer.clinical.rounding import parse_exact, round_half_up
from trainer.engine.physics import chain

ROWS: list[dict[str, Any]] = json.loads(
    Path(__file__).with_name("pharmacokinetics.json").read_text(encoding="utf-8")
)
Given = dict[str, Fraction]
RATIO_OF_THE_SOURCE = Fraction("0.693")
"""The theophylline page writes 0.693 for ln 2; the row keeps that."""


def one(g: Given, at: Fraction) -> Fraction:
    return kinetics.level_of_one_infusion_mg_per_l(g["css"], g["k"], g["ti"], at)


def two(g: Given) -> Fraction:
    return one(g, g["t"]) + one(g, g["t"] - g["t2"])


ANSWERS: dict[str, Callable[[Given], Fraction]] = {
    "WE-17-001": lambda g: kinetics.elimination_per_h(g["half"]),
    "WE-17-003": lambda g: kinetics.steady_level_mg_per_l(
        g["k0"], kinetics.clearance_l_per_h(g["k"], g["V"])
    ),
    "WE-17-005": lambda g: kinetics.share_of_steady_state(g["n"]) * 100,
    "WE-17-007": lambda g: kinetics.share_of_steady_state(g["n"]) * 100,
    "WE-17-009": lambda g: kinetics.clearance_l_per_h(
        kinetics.elimination_per_h(g["half"], ln_2=RATIO_OF_THE_SOURCE), g["V"]
    ),
    "WE-17-011": lambda g: kinetics.loading_dose_mg(g["css"], g["V"]),
    "WE-17-013": lambda g: (
        kinetics.rate_for_level_mg_per_h(g["c"], g["cl"] * g["weight"] * 60 / 1000) / 60
    ),
    "WE-17-015": lambda g: one(g, g["t"]),
    "WE-17-017": lambda g: one(g, g["t"]),
    "WE-17-019": lambda g: one(g, g["t"]),
    "WE-17-021": two,
    "WE-17-023": two,
    "WE-17-027": lambda g: kinetics.amount_left_mg(g["d"], g["n"]),
    "WE-17-029": lambda g: kinetics.amount_left_mg(g["d"], g["n"]),
    "WE-17-031": lambda g: kinetics.peak_in_doses(g["k"]),
}
each_row = pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
LEVELS = [row for row in ROWS if "ti" in row["given"]]


def given_of(row: dict[str, Any]) -> Given:
    return {name: Fraction(str(entry["value"])) for name, entry in row["given"].items()}


def answer(row: dict[str, Any]) -> Fraction:
    return ANSWERS[row["id"]](given_of(row))


def test_every_published_row_is_answered_and_has_its_source() -> None:
    assert {row["id"] for row in ROWS} == set(ANSWERS)
    assert all(row["source"]["title"] for row in ROWS)


@each_row
def test_the_answer_is_the_recomputed_one(row: dict[str, Any]) -> None:
    """Exact where there is a fraction, to all printed digits where there is an exponential."""
    recomputed = row["recomputed_exact"]
    found, expected = answer(row), parse_exact(recomputed)
    has_end = "exp" not in row["formula"] and "ln" not in row["formula"]
    if has_end:
        assert found == expected
    else:
        assert (
            round_half_up(found, Fraction(1, 10 ** len(recomputed.partition(".")[2]))) == expected
        )


@each_row
def test_the_printed_figure_is_the_answer_rounded_as_the_source_rounds(row: dict[str, Any]) -> None:
    manner, _, step = row["rounding"].partition(":")
    printed = Fraction(str(row["published_answer"]))
    found = answer(row)
    assert row["agrees"]
    assert (found if manner == "exact" else round_half_up(found, Fraction(step))) == printed


def test_the_second_infusions_figure_is_also_the_sum_of_rounded_parts() -> None:
    """The textbook adds 0.30 and 2.21, each rounded; here both ways give 2.51."""
    row = next(row for row in ROWS if row["id"] == "WE-17-023")
    g = given_of(row)
    parts = (one(g, g["t"]), one(g, g["t"] - g["t2"]))
    rounded = sum((round_half_up(part, Fraction(1, 100)) for part in parts), Fraction(0))
    assert rounded == round_half_up(sum(parts, Fraction(0)), Fraction(1, 100)) == Fraction("2.51")


@pytest.mark.parametrize("row", LEVELS, ids=[row["id"] for row in LEVELS])
def test_the_engines_own_course_of_a_level_agrees(row: dict[str, Any]) -> None:
    """The engine's floats, stepped through the same infusions, to six digits.

    A distribution volume of 1 L makes amount and level one number; the rate is then k x css.
    """
    g = given_of(row)
    half_life_ms = round(natural_log(Fraction(2)) / g["k"] * 3_600_000)
    rate = float(g["k"] * g["css"])
    starts = [Fraction(0)] + ([g["t2"]] if "t2" in g else [])
    edges = sorted({g["t"], *(s for s in starts), *(s + g["ti"] for s in starts)})
    course = chain.chain_from(half_life_ms, 0, ())
    amount, now = 0.0, Fraction(0)
    for edge in (edge for edge in edges if now < edge <= g["t"]):
        runs = any(start <= now < start + g["ti"] for start in starts)
        arrived = rate * float(edge - now) if runs else 0.0
        elapsed_ms = round((edge - now) * 3_600_000)
        amount, _ = chain.later(course, (amount, 0.0), elapsed_ms, [(arrived, 0.0, 0)], 0.0)
        now = edge
    assert amount == pytest.approx(float(answer(row)), rel=1e-6)

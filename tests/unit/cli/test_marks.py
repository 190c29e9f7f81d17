"""`trainer marks`: an attempt's mark, and beside it the mark by another policy."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from tests.web.kept import keep, rehearsed
from trainer.cli.app import command_line
from trainer.errors import AttemptNotFound, ScenarioError, TrainerError
from trainer.paths import SCENARIOS
from trainer.store.database import address_in
from trainer.store.log import Log
from trainer.terms import TRAINING_NOTICE

WARD = (SCENARIOS / "policies/alder-ward.yaml").read_text(encoding="utf-8")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.delenv("DATABASE_URL", raising=False)
    keep(tmp_path / "own", rehearsed("model"))
    return tmp_path / "own"


def marks(folder: Path, *words: str) -> Result:
    return CliRunner().invoke(command_line(), ["marks", *words, "--data", str(folder)])


def a_policy(folder: Path, *changes: tuple[str, str]) -> str:
    text = WARD
    for old, new in changes:
        assert text.count(old) == 1
        text = text.replace(old, new)
    (folder / "other.yaml").write_text(text, encoding="utf-8")
    return str(folder / "other.yaml")


def test_an_attempts_gates_domains_and_objectives_are_printed(folder: Path):
    done = marks(folder, "first")
    assert done.exit_code == 0
    assert "By policy alder-ward, Alder Ward" in done.output
    assert "  gate must-pass: passed. All 13 must-pass items were met." in done.output
    assert "  gate all: passed. 100 % of the points; the bar is 80 %." in done.output
    assert "  gate verifying: no bar set." in done.output
    assert "  all: 34 of 34" in done.output
    assert "Find and mend a blocked line" in done.output
    assert TRAINING_NOTICE in done.output


def test_beside_it_stands_the_mark_by_another_policy_and_why_it_differs(folder: Path):
    other = a_policy(folder, ("hub_scrub: 15 s", "hub_scrub: 30 s"), ("least_items: 1", "least_items: 5"))  # fmt: skip
    done = marks(folder, "first", "--policy", other)
    assert done.exit_code == 0
    assert "  gate must-pass: passed | not passed" in done.output
    assert "  gate calculating: passed | not enough evidence" in done.output
    assert "the hub is scrubbed for: 15 s | 30 s" in done.output
    assert "  start.scrub-hub: right, unaided, 1 of 1 | wrong, not done, 0 of 1" in done.output
    assert "The hub was scrubbed for 15 s; this ward asks 30 s." in done.output


def test_by_the_same_rules_nothing_is_marked_otherwise(folder: Path):
    done = marks(folder, "first", "--policy", a_policy(folder))
    assert "The rules of marking agree." in done.output
    assert "Nothing is marked otherwise." in done.output


def test_nothing_is_written(folder: Path):
    def rows() -> int:
        log = Log(address_in(folder))
        try:
            return len(log.rows("first"))
        finally:
            log.close()

    before = rows()
    assert marks(folder, "first", "--policy", a_policy(folder)).exit_code == 0
    assert rows() == before


def test_an_attempt_that_is_not_there_is_told(folder: Path):
    assert isinstance(marks(folder, "nobody").exception, AttemptNotFound)


@pytest.mark.parametrize(
    ("file", "words"),
    [
        ("missing.yaml", "cannot be read"),
        (str(SCENARIOS / "fluid-by-gravity.yaml"), "is a scenario, not a policy"),
    ],
)
def test_a_file_that_is_no_policy_is_told(folder: Path, file: str, words: str):
    fault = marks(folder, "first", "--policy", file).exception
    assert isinstance(fault, TrainerError)
    assert words in str(fault)


def test_a_policy_with_a_fault_is_told_with_its_place(folder: Path):
    fault = marks(folder, "first", "--policy", a_policy(folder, ("all: 80 %", "all: 800 %"))).exception  # fmt: skip
    assert isinstance(fault, ScenarioError)
    assert "`800 %` is more than the whole; write 100 % or less" in str(fault)

"""`trainer diagnose`: a list of entries judged, each fault in its place."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from typer import Typer
from typer.testing import CliRunner

from trainer.cli.diagnose import diagnose
from trainer.paths import SCENARIOS
from trainer.terms import TRAINING_NOTICE

app = Typer()
app.command()(diagnose)
runner = CliRunner()

RATE = {"id": "a", "find": "rate", "unit": "mL/h", "given": {"volume": "1 L", "duration": "7 h"}}


def verdicts(text: str | bytes, *more: str) -> list[dict[str, Any]]:
    done = runner.invoke(app, ["--json", *more], input=text)
    assert done.exit_code == 0, done.stderr
    found: list[dict[str, Any]] = json.loads(done.stdout)
    return found


def test_each_entry_is_judged_under_its_id_in_order() -> None:
    right, wrong, rounded = verdicts(
        json.dumps(
            [
                {**RATE, "entered": "142.9 mL/h"},
                {**RATE, "id": "b", "entered": "1428.6 mL/h"},
                {**RATE, "id": "c", "entered": "143"},
            ]
        )
    )
    assert right == {"id": "a", "verdict": "right", "slips": []}
    assert (wrong["id"], wrong["verdict"]) == ("b", "wrong")
    assert set(wrong["slips"][0]) == {"slip", "explanation"}
    assert wrong["slips"][0]["slip"] == "tenfold"
    assert rounded["verdict"] == "rounded"
    assert rounded["slips"][0]["slip"] == "early-rounding"
    assert rounded["slips"][-1]["slip"] == "unit"


def test_others_are_read_and_used() -> None:
    (found,) = verdicts(
        json.dumps([{**RATE, "entered": "125 mL/h", "others": {"duration": ["8 h"]}}])
    )
    assert found["slips"][0]["slip"] == "superseded"
    assert "8 h" in found["slips"][0]["explanation"]


BAD: list[object] = [
    None, 5, [], {}, {"id": "n"}, RATE, {**RATE, "entered": 5}, {**RATE, "entered": ""},
    {**RATE, "entered": "12,5"}, {**RATE, "entered": "1e3"}, {**RATE, "unit": "cc/h", "entered": "1"},
    {**RATE, "entered": "1", "others": []}, {**RATE, "entered": "1", "others": {"weight": ["x"]}},
    {**RATE, "entered": "1", "given": {"volume": "1 L"}}, {**RATE, "entered": "1", "more": 1},
]  # fmt: skip


def test_one_bad_problem_does_not_stop_the_others() -> None:
    found = verdicts(json.dumps([*BAD, {**RATE, "entered": "142.9"}]))
    assert all(set(one) == {"id", "error"} and one["error"] for one in found[:-1])
    assert [one["id"] for one in found[:6]] == [None, None, None, None, "n", "a"]
    assert found[-1]["verdict"] == "right"


def test_the_entry_is_shown_in_the_refusal_as_it_was_typed() -> None:
    (found,) = verdicts(json.dumps([{**RATE, "entered": "12,5"}]))
    assert found["error"] == "entered: `12,5` has a decimal comma; write 12.5"


def test_a_key_that_stands_twice_is_told() -> None:
    text = json.dumps([{**RATE, "entered": "1", "others": {"weight": ["1 kg"]}}])
    doubled = text.replace('"weight"', '"weight": ["2 kg"], "weight"')
    (found,) = verdicts(doubled)
    assert found["error"] == "`weight` stands twice; leave one out"


def test_a_file_is_read_as_standard_input_is(tmp_path: Path) -> None:
    file = tmp_path / "entries.json"
    file.write_text(json.dumps([{**RATE, "entered": "142.9"}]), encoding="utf-8")
    assert verdicts("", str(file))[0]["verdict"] == "right"
    done = runner.invoke(app, ["--json", str(tmp_path / "none.json")])
    assert done.exit_code == 2
    assert "none.json cannot be read" in done.stderr


@pytest.mark.parametrize("text", [b"", b"{}", b"not json", b"\xff\xfe[", b"[" * 200_000])
def test_what_is_no_json_list_is_one_clear_message(text: bytes) -> None:
    done = runner.invoke(app, ["--json"], input=text)
    assert (done.exit_code, done.stdout) == (2, "")
    assert done.stderr.startswith("trainer diagnose: ")
    assert len(done.stderr.strip().splitlines()) == 1


def test_without_json_it_prints_sentences_and_the_training_notice() -> None:
    listed = [
        {**RATE, "entered": "1428.6 mL/h"},
        {**RATE, "id": "b", "entered": "999.9 mL/h"},
        {**RATE, "id": "c", "entered": "x"},
    ]
    done = runner.invoke(app, [], input=json.dumps(listed))
    lines = done.stdout.splitlines()
    assert lines[0] == "a: wrong"
    assert lines[1].startswith("  tenfold: 1428.6 mL/h is ten times the right")
    assert "  no slip that is known leads to it" in lines
    assert any(line.startswith("c: not judged: entered: ") for line in lines)
    assert lines[-1] == TRAINING_NOTICE


def test_a_policy_file_rounds_as_its_ward_does(tmp_path: Path) -> None:
    policy = tmp_path / "whole.yaml"
    shipped = (SCENARIOS / "policies" / "alder-ward.yaml").read_text(encoding="utf-8")
    policy.write_text(shipped.replace("to: 0.1 mL/h}", "to: 1 mL/h}", 1), encoding="utf-8")
    text = json.dumps([{**RATE, "entered": "143 mL/h"}])
    assert verdicts(text)[0]["verdict"] == "rounded"
    assert verdicts(text, "--policy", str(policy))[0]["verdict"] == "right"

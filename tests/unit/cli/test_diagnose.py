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


# --- what the numbers hide ------------------------------------------------------------

AT_60_KG = {
    "id": "sixty",
    "find": "rate",
    "unit": "mL/h",
    "given": {"dose": "5 mcg/kg/min", "weight": "60 kg", "concentration": "1.6 mg/mL"},
}


def test_a_patient_of_60_kg_hides_the_weight_behind_the_minutes() -> None:
    (found,) = verdicts(json.dumps([AT_60_KG]), "--readable")
    assert ["per-minute", "weight-left-out"] in [one["slips"] for one in found["hidden"]]


def test_what_was_entered_may_stand_there_and_is_not_needed() -> None:
    other = {**AT_60_KG, "id": "b", "given": {**AT_60_KG["given"], "weight": "37 kg"}}  # type: ignore[dict-item]
    first, second = verdicts(json.dumps([{**AT_60_KG, "entered": 5}, other]), "--readable")
    assert (first["id"], second["id"]) == ("sixty", "b")
    assert len(second["hidden"]) < len(first["hidden"])


def test_what_the_numbers_hide_is_told_in_sentences_too() -> None:
    done = runner.invoke(app, ["--readable"], input=json.dumps([AT_60_KG, {"id": "n"}]))
    lines = done.stdout.splitlines()
    assert lines[0] == "sixty: these slips cannot be told apart"
    assert any("`weight-left-out` cannot be told apart" in one for one in lines)
    assert any(one.startswith("n: not judged: given is missing") for one in lines)
    assert lines[-1] == TRAINING_NOTICE


# --- what may be typed ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("entered", "said"),
    [
        ("12,5", "`12,5` has a decimal comma; write 12.5"),
        ("1/2", "`1/2` is a fraction or ratio; write a decimal, such as 0.5"),
        ("1e3", "`1e3` is written with a power of ten; write it out, such as 1,000"),
        ("1e400 mL/h", "`1e400` is written with a power of ten; write it out, such as 1,000"),
        ("\uff15 mL/h", "`\uff15` has digits from another script; write 0 to 9"),
        ("\u0663 mL/h", "`\u0663` has digits from another script; write 0 to 9"),
        ("", "nothing is written; write a number and a unit, such as 5 mL/h"),
        ("mL/h", "a number is missing; write one before the unit, such as 5 mL/h"),
        ("-5 mL/h", "a value below zero makes no sense here; check it and write it without"),
        ("NaN", "`NaN` is not a value; write a number, such as 5 mL/h"),
        ("inf", "`inf` is not a value; write a number, such as 5 mL/h"),
        ("9" * 10_000, "`99999999999999999999…` is too long; write a number and a unit"),
    ],
)
def test_an_entry_that_cannot_be_read_is_refused_with_how_to_write_it(
    entered: str, said: str
) -> None:
    (found,) = verdicts(json.dumps([{**RATE, "entered": entered}]))
    assert found["error"].startswith(f"entered: {said}")


@pytest.mark.parametrize(
    ("entered", "verdict", "slips"),
    [
        ("142.9 ml/hr", "right", []),
        ("142.9", "right", ["unit"]),
        ("142.90 mL/h", "right", ["written-form"]),
        ("0142.9 mL/h", "right", ["written-form"]),
        ("142.9 mL", "wrong", ["unit"]),
        (".5 mL/h", "wrong", ["written-form"]),
    ],
)
def test_an_entry_that_can_be_read_is_judged_and_its_writing_told(
    entered: str, verdict: str, slips: list[str]
) -> None:
    (found,) = verdicts(json.dumps([{**RATE, "entered": entered}]))
    assert found["verdict"] == verdict
    assert [one["slip"] for one in found["slips"]][-len(slips) or 9 :] == slips

"""`trainer calc`: worked solutions for people, JSON for programs."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from typer import Typer
from typer.testing import CliRunner

from trainer.cli.calc import calc
from trainer.paths import SCENARIOS
from trainer.terms import TRAINING_NOTICE

app = Typer()
app.command()(calc)
runner = CliRunner()


def answers(text: str | bytes) -> list[dict[str, Any]]:
    done = runner.invoke(app, ["--json"], input=text)
    assert done.exit_code == 0, done.stderr
    found: list[dict[str, Any]] = json.loads(done.stdout)
    return found


RATE = {"id": "a", "find": "rate", "unit": "mL/h", "given": {"volume": "1 L", "duration": "7 h"}}


def test_it_prints_the_worked_solution_the_answer_and_the_training_notice() -> None:
    done = runner.invoke(
        app,
        [
            "rate",
            *("--dose", "5 mcg/kg/min"),
            *("--weight", "18.2 kg"),
            *("--concentration", "400 mg in 250 mL"),
        ],
    )
    assert done.exit_code == 0
    lines = done.stdout.splitlines()
    assert lines[0] == "rate = dose x weight / concentration"
    assert "= 3.4125 mL/h" in lines
    assert "rate: 3.4 mL/h" in lines
    assert lines[-1] == TRAINING_NOTICE


def test_the_unit_left_out_is_the_usual_one_of_the_drug_given() -> None:
    heparin = ["--rate", "10 mL/h", "--concentration", "25,000 units in 500 mL"]
    assert "dose: 500 units/h" in runner.invoke(app, ["dose", *heparin]).stdout
    drops = ["--rate", "125 mL/h", "--drop-factor", "20 gtt/mL"]
    assert "drip rate: 42 gtt/min" in runner.invoke(app, ["drip-rate", *drops]).stdout


def test_a_problem_that_cannot_be_solved_is_one_sentence_on_standard_error() -> None:
    done = runner.invoke(app, ["rate", "--volume", "1 L"])
    assert done.exit_code == 1
    assert done.stdout == ""
    assert done.stderr.startswith("trainer calc: duration is missing")


def test_no_question_at_all_says_what_there_is_to_ask() -> None:
    done = runner.invoke(app, [])
    assert done.exit_code == 2
    assert "say what to find: one of rate" in done.stderr


def test_a_json_list_is_answered_in_its_order() -> None:
    first, second = answers(json.dumps([RATE, {**RATE, "id": "b", "unit": "mL/min"}]))
    assert set(first) == {"id", "value", "unit", "exact", "steps"}
    assert (first["id"], first["value"], first["unit"], first["exact"]) == (
        "a",
        "142.9",
        "mL/h",
        "1000/7",
    )
    assert (second["id"], second["value"], second["exact"]) == ("b", "2.4", "50/21")


def test_one_bad_problem_does_not_stop_the_others() -> None:
    bad: list[object] = [
        None, 5, "x", [], {}, {"id": "n"}, {"id": 3}, {**RATE, "given": {"volume": 5}},
        {**RATE, "find": "speed"}, {**RATE, "unit": "cc/h"}, {**RATE, "more": 1},
        {"id": {"a": []}},
    ]  # fmt: skip
    found = answers(json.dumps([*bad, RATE]))
    assert len(found) == len(bad) + 1
    assert all(set(one) == {"id", "error"} and one["error"] for one in found[:-1])
    assert [one["id"] for one in found[:7]] == [None, None, None, None, None, "n", 3]
    assert found[-1]["exact"] == "1000/7"


def test_cautions_stand_at_the_end_of_the_steps() -> None:
    given = {"rule": "4-2-1", "weight": "22 kg"}
    (found,) = answers(json.dumps([{**RATE, "given": given}]))
    assert found["steps"][-1].startswith("caution: the rules differ")


def test_an_empty_list_is_an_empty_list() -> None:
    assert answers("[]") == []


def test_what_is_no_json_list_is_one_clear_message_and_exit_code_2() -> None:
    nested = b"[" * 200_000
    for text in (b"", b"{}", b"not json", b'"x"', b"\xff\xfe[", nested):
        done = runner.invoke(app, ["--json"], input=text)
        assert done.exit_code == 2, text[:20]
        assert done.stdout == ""
        assert done.stderr.startswith("trainer calc: ")
        assert len(done.stderr.strip().splitlines()) == 1


def test_a_byte_order_mark_and_odd_characters_do_no_harm() -> None:
    text = "\ufeff" + json.dumps([{**RATE, "id": "\ud800é"}])
    (found,) = answers(text.encode("utf-8"))
    assert found["exact"] == "1000/7"


def test_a_policy_file_rounds_as_its_ward_does(tmp_path: Path) -> None:
    policy = tmp_path / "whole.yaml"
    shipped = (SCENARIOS / "policies" / "alder-ward.yaml").read_text(encoding="utf-8")
    policy.write_text(shipped.replace("to: 0.1 mL/h}", "to: 1 mL/h}", 1), encoding="utf-8")
    asked = ["rate", "--volume", "1 L", "--duration", "7 h"]
    assert "rate: 142.9 mL/h" in runner.invoke(app, asked).stdout
    assert "rate: 143 mL/h" in runner.invoke(app, [*asked, "--policy", str(policy)]).stdout


def test_a_policy_file_that_is_not_there_is_one_sentence_on_standard_error() -> None:
    done = runner.invoke(app, ["rate", "--volume", "1 L", "--policy", "nowhere.yaml"])
    assert done.exit_code == 2
    assert "nowhere.yaml cannot be read" in done.stderr


def test_a_dose_by_weight_alone_is_answered_without_the_weight() -> None:
    def answer(dose: str) -> str:
        return runner.invoke(app, ["dose", "--dose", dose, "--weight", "18 kg"]).stdout

    assert "dose: 90 mcg/min" in answer("5 mcg/kg/min")
    assert "dose: 4500 mcg/h" in answer("250 mcg/kg/h")
    assert "dose: 180 mg" in answer("10 mg/kg")


def test_how_often_is_no_unit_and_the_mend_is_told() -> None:
    for words in ("5 mg daily", "5 mg BID", "5 mg q.i.d."):
        asked = ["volume", "--dose", words, "--concentration", "1 mg/mL"]
        assert "the dose of the day as mg/day" in runner.invoke(app, asked).stderr


def test_a_dose_that_no_patient_could_have_is_refused() -> None:
    asked = ["dose", "--dose", "5000000 mg/kg", "--weight", "18 kg"]
    assert "is absurd" in runner.invoke(app, asked).stderr


def test_a_volume_too_small_to_measure_is_refused() -> None:
    asked = ["rate", "--volume", "0.0000000000001 mL", "--duration", "1 h"]
    assert "is absurd" in runner.invoke(app, asked).stderr


def test_a_key_that_stands_twice_is_told_and_stops_no_other_problem() -> None:
    twice = (
        '{"id": "t", "find": "rate", "unit": "mL/h", "given": {"volume": "1 L", "volume": "2 L"}}'
    )
    outer = '{"id": "o", "find": "rate", "find": "volume", "unit": "mL/h", "given": {}}'
    first, second, third = answers(f"[{twice}, {outer}, {json.dumps(RATE)}]")
    assert first == {"id": "t", "error": "`volume` stands twice; leave one out"}
    assert second == {"id": "o", "error": "`find` stands twice; leave one out"}
    assert third["exact"] == "1000/7"


def test_a_number_of_thousands_of_digits_stops_no_other_problem() -> None:
    digits = "1" * 5000
    weight = f'{{"id": "w", "find": "rate", "unit": "mL/h", "given": {{"weight": {digits}}}}}'
    bare, long, good = answers(f"[{digits}, {weight}, {json.dumps(RATE)}]")
    assert bare["error"].startswith("a problem is an object")
    assert "too long" in long["error"]
    assert good["exact"] == "1000/7"

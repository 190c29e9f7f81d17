"""`trainer key`: the computed key of a scenario, by id or by file."""

from __future__ import annotations

from typer.testing import CliRunner

from trainer.cli.app import app
from trainer.paths import SCENARIOS
from trainer.terms import TRAINING_NOTICE

MAINTENANCE = "maintenance-and-a-bent-line"


def key(*words):
    return CliRunner().invoke(app, ["key", *words])


def test_the_key_is_printed_with_its_worked_solution_and_the_training_notice():
    result = key(MAINTENANCE)
    assert result.exit_code == 0
    assert "hourly rate: 54.8 mL/h (asked)" in result.output
    assert "10 kg x 4 + 7.4 kg x 2 = 54.8 mL/h" in result.output  # 17.4 kg by 4-2-1
    assert "The order names a weight of 15 kg; the patient weighs 17.4 kg." in result.output
    assert TRAINING_NOTICE in result.output


def test_a_file_is_read_as_well_as_an_id():
    path = str(SCENARIOS / f"{MAINTENANCE}.yaml")
    assert key(path).output == key(MAINTENANCE).output


def test_a_seed_gives_another_patient_and_always_the_same():
    varied = key(MAINTENANCE, "--seed", "3")
    assert varied.output == key(MAINTENANCE, "--seed", "3").output
    assert varied.output != key(MAINTENANCE).output


def test_an_unknown_scenario_is_told_in_a_sentence():
    result = key("nowhere")
    assert result.exit_code != 0
    assert "nowhere" in str(result.exception)


def test_a_negative_seed_is_refused():
    assert key(MAINTENANCE, "--seed", "-1").exit_code == 2

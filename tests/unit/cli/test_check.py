"""`trainer check`: every fault with its place and exit 1; one line per sound file and 0."""

import os
from dataclasses import replace
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from tests.unit.scenario.small_files import FORMULARY, POLICY, SCENARIO, changed, loaded, source
from trainer.cli.check import check, faults_in_use
from trainer.paths import SCENARIOS

APP = typer.Typer()
APP.command()(check)


def run(*paths: Path) -> tuple[int, list[str]]:
    result = CliRunner().invoke(APP, [str(path) for path in paths])
    assert result.exception is None or isinstance(result.exception, SystemExit)
    return result.exit_code, result.output.splitlines()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with a small scenario and its ward."""
    (tmp_path / "policies").mkdir()
    (tmp_path / "formularies").mkdir()
    (tmp_path / "policies" / "small-ward.yaml").write_text(POLICY)
    (tmp_path / "formularies" / "small-ward.yaml").write_text(FORMULARY)
    (tmp_path / "small.yaml").write_text(without_conduct(SCENARIO))
    return tmp_path


def without_conduct(scenario: str) -> str:
    return scenario[: scenario.index("conduct:\n")]


def write(folder: Path, old: str, new: str, *, scenario: str = without_conduct(SCENARIO)) -> Path:
    path = folder / "small.yaml"
    path.write_text(changed(scenario, old, new))
    return path


def test_a_sound_folder_gives_a_line_for_each_file_and_exit_code_0(folder: Path):
    code, lines = run(folder)
    assert code == 0
    assert lines == [
        f"{folder}/formularies/small-ward.yaml: a sound formulary, `small-ward`",
        f"{folder}/policies/small-ward.yaml: a sound policy, `small-ward`",
        f"{folder}/small.yaml: a sound scenario, `small`, with 0 scripted mistakes",
    ]


def test_a_shipped_scenario_is_sound_beside_its_ward():
    """All of them, file by file: `tests/scenarios/test_shipped.py`."""
    shipped = SCENARIOS / "infiltrated-hand.yaml"
    code, lines = run(shipped, SCENARIOS / "policies", SCENARIOS / "formularies")
    assert code == 0
    assert any(line.startswith(f"{shipped}: a sound scenario") for line in lines)


def test_every_fault_is_told_with_its_place_and_exit_code_1(folder: Path):
    path = write(folder, "age: 5 years", "age: old")
    code, lines = run(path)
    assert code == 1
    assert lines == [f"{path}:13:8: `old` is no age; write it so: `5 years` or `3 years 4 months`"]


def test_one_faulty_file_does_not_hide_the_others(folder: Path):
    write(folder, "age: 5 years", "age: old")
    code, lines = run(folder)
    assert code == 1
    assert len(lines) == 3


def test_a_key_that_cannot_be_computed_is_told_at_its_order():
    scenario = loaded()
    order = replace(scenario.order("dose"), dose=None, rate=None, least_ms=0)
    formulary = replace(
        scenario.formulary,
        drugs=tuple(replace(drug, least_duration_ms=0) for drug in scenario.formulary.drugs),
    )
    timeless = replace(scenario, orders=(scenario.orders[0], order), formulary=formulary)
    (fault,) = faults_in_use(timeless, source())
    assert (fault.line, fault.column) == (37, 5)
    assert fault.what.startswith("order `dose`: the duration cannot be computed")


def test_a_model_conduct_that_earns_too_little_is_told_with_what_is_short(folder: Path):
    path = folder / "small.yaml"
    path.write_text(changed(SCENARIO, "      - {until: {alarm: downstream occlusion}}\n", ""))
    code, lines = run(path)
    assert code == 1
    assert lines[0].startswith(f"{path}:65:5: the model conduct earns ")
    assert "short are " in lines[0]
    assert "start.start" in lines[0]


def test_a_conduct_that_waits_in_vain_is_told_at_its_place(folder: Path):
    path = write(
        folder,
        "{alarm: downstream occlusion}",
        "{alarm: air in line}",
        scenario=SCENARIO,
    )
    assert (
        f"{path}:65:5: conduct `model`, step 3: it waits for the alarm `air in line`"
        in (run(path)[1][0])
    )


def test_a_mistake_that_does_not_show_what_it_says_is_told(folder: Path):
    path = write(
        folder,
        "    leave_out: clean-hands\n",
        "    leave_out: clean-hands\n    shows: [start.scrub-hub]\n",
        scenario=SCENARIO,
    )
    assert any(
        line.startswith(
            f"{path}:71:5: the mistake `dirty` does not show `start.scrub-hub`; it shows"
        )
        for line in run(path)[1]
    )


def test_a_scenario_whose_ward_is_missing_is_told_with_its_own_faults(folder: Path):
    path = write(folder, "age: 5 years", "age: old")
    (folder / "policies" / "small-ward.yaml").unlink()
    lines = run(path)[1]
    assert len(lines) == 2
    assert "small-ward" in lines[0]
    assert lines[1].startswith(f"{path}:13:8: ")


def test_a_fault_of_a_shared_policy_is_told_once(folder: Path):
    policy = folder / "policies" / "small-ward.yaml"
    policy.write_text(changed(POLICY, "hours_at_once: 2 h", "hours_at_once: two"))
    (folder / "second.yaml").write_text((folder / "small.yaml").read_text())
    code, lines = run(folder)
    assert code == 1
    assert [line for line in lines if line.startswith(str(policy))] == [
        f"{policy}:8:16: a number is missing; write it so: `2 h`"
    ]
    waits = "this is not checked further before its ward is mended"
    assert lines[-2:] == [f"{folder}/{name}.yaml: {waits}" for name in ("second", "small")]


def test_a_policy_whose_id_is_not_its_files_name_is_told(folder: Path):
    policy = folder / "policies" / "small-ward.yaml"
    policy.write_text(changed(POLICY, "id: small-ward", "id: small"))
    fault = f"{policy}:3:5: the id is `small`, but scenarios name this file `small-ward`"
    for path in (policy, folder / "small.yaml"):
        assert run(path)[1][0].startswith(fault)


def test_a_pipe_is_told_and_not_waited_for(folder: Path):
    os.mkfifo(folder / "pipe.yaml")
    assert "no plain file" in run(folder / "pipe.yaml")[1][0]


def test_a_path_that_is_not_there_is_told(tmp_path: Path):
    missing = tmp_path / "nowhere.yaml"
    assert run(missing) == (1, [f"{missing}: there is no such file or folder; check the name"])


def test_a_folder_without_yaml_is_told(tmp_path: Path):
    assert run(tmp_path) == (
        1,
        [f"{tmp_path}: there is no YAML file in this folder; name one that holds some"],
    )


def test_a_file_that_is_not_utf_8_is_told(tmp_path: Path):
    path = tmp_path / "old.yaml"
    path.write_bytes(b"format: 1\nid: \xfc\n")
    line = f"{path}:2:5: this byte (0xFC) is not UTF-8; save the file as UTF-8"
    assert run(path) == (1, [line])


def test_several_paths_are_checked_in_turn(folder: Path, tmp_path: Path):
    missing = tmp_path / "nowhere.yaml"
    code, lines = run(folder / "small.yaml", missing)
    assert code == 1
    assert len(lines) == 2


def test_slips_that_the_numbers_hide_are_told_as_advice_and_are_no_fault():
    code, lines = run(SCENARIOS / "insulin-hour-by-hour.yaml")
    assert code == 0
    told = [line for line in lines if ": advice: " in line]
    assert any(
        "order `insulin`, hourly rate: `upside-down` cannot be seen" in line
        and line.endswith("; other numbers in the order, the weight or the container would tell")
        for line in told
    )
    place = told[0].split(": advice")[0].split(":")
    text = (SCENARIOS / "insulin-hour-by-hour.yaml").read_text().splitlines()
    assert "id: insulin" in text[int(place[1]) - 1]

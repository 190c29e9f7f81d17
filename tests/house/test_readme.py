"""README and DEVELOPERS say what is so."""

import re
from pathlib import Path

import pytest

import trainer
from trainer.cli.app import COMMANDS
from trainer.terms import AlarmKind, Refusal, Verb

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def shell_commands() -> list[str]:
    blocks = re.findall(r"```sh\n(.*?)```", README, flags=re.DOTALL)
    return [line for block in blocks for line in block.splitlines() if "pip install" in line]


def test_the_readme_has_exactly_two_set_up_commands():
    assert len(shell_commands()) == 2


def test_the_machine_that_checks_runs_the_test_command_of_the_readme():
    last = (ROOT / ".ci/run").read_text(encoding="utf-8").strip().splitlines()[-1]
    assert last == shell_commands()[1]


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_is_in_the_readme(name: str):
    assert f"trainer {name}" in README


def test_what_changed_begins_with_this_version():
    changed = README.split("## What changed", 1)[1]
    assert re.findall(r"^### (\S+)", changed, flags=re.MULTILINE)[0] == trainer.__version__


def test_every_act_alarm_and_refusal_is_in_a_document():
    words = DEVELOPERS + (ROOT / "scenarios/README.md").read_text(encoding="utf-8")
    missing = [
        term for kind in (Verb, AlarmKind, Refusal) for term in kind if str(term) not in words
    ]
    assert missing == []

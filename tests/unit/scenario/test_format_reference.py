"""`scenarios/README.md` tells the truth about the format."""

import re

import pytest

from tests.unit.scenario.small_files import loaded
from tests.unit.scenario.write_reference import every_block
from trainer.paths import SCENARIOS
from trainer.scenario.reference import SECTIONS, in_markers
from trainer.scenario.strict_yaml import read_document
from trainer.terms import SHAPES, Verb

KEYS_SHOWN = (
    "when", "tubing", "expect", "vary", "conduct", "signs", "supplies", "lines", "drugs", "responses",
    "objectives", "marking",
)  # fmt: skip
README = (SCENARIOS / "README.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", every_block())
def test_each_generated_table_is_what_the_schema_says(name: str):
    hint = "run: python -m tests.unit.scenario.write_reference"
    assert in_markers(README, name) == every_block()[name], hint


def test_no_marker_is_left_without_a_table():
    assert set(re.findall(r"<!-- begin (\S+) -->", README)) == set(every_block())


def test_every_key_has_words_of_its_own():
    for section in SECTIONS.values():
        for name, field in section.model_fields.items():
            assert field.description, f"{section.__name__}.{name}"
    assert "| a value |" not in README


def test_every_yaml_example_is_yaml():
    examples = re.findall(r"```yaml\n(.*?)```", README, re.DOTALL)
    assert examples
    for example in examples:
        for part in example.split("\nwhen: "):  # the list of triggers repeats its key
            text = part if part.startswith(KEYS_SHOWN) else f"when: {part}"
            read_document(text, "README.md")


def test_every_act_has_a_shape():
    assert set(SHAPES) == set(Verb)


def test_the_small_scenario_of_these_tests_is_sound():
    assert loaded().id == "small"

"""What YAML is read, and what is refused with its place."""

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from trainer.errors import ScenarioError
from trainer.scenario.places import Mark
from trainer.scenario.strict_yaml import (
    DECIMAL,
    DEEPEST,
    MOST_CHARACTERS,
    WHOLE,
    read_document,
)


def refusals(text: str) -> list[str]:
    with pytest.raises(ScenarioError) as caught:
        read_document(text, "x.yaml")
    return [str(fault).removeprefix("x.yaml:") for fault in caught.value.faults]


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("no", "no"),
        ("off", "off"),
        ("12:30", "12:30"),
        ("1_000", "1_000"),
        ("2026-02-03", "2026-02-03"),
        ("18.2 kg", "18.2 kg"),
        ("true", True),
        ("False", False),
        ("24", 24),
        ("-7", -7),
        ("0o17", 15),
        ("0x1F", 31),
        ("'24'", "24"),
        ('"true"', "true"),
        ("key:maintenance.rate", "key:maintenance.rate"),
        ("[a, 'b', 3]", ["a", "b", 3]),
        ("{b: c}", {"b": "c"}),
        (">\n  two\n  lines\n", "two lines\n"),
        ("ä°µ😀", "ä°µ😀"),
    ],
)
def test_core_values_are_read_and_nothing_is_guessed(written: str, read: object):
    assert read_document(f"a: {written}", "x.yaml").at(("a",)) == read


def test_every_value_and_key_has_its_place():
    document = read_document("a: 1\nlist:\n  - {b: two}\n", "x.yaml")
    assert document.mark(("list", 0, "b")) == Mark(3, 9)
    assert document.mark(("list", 0, "b"), key=True) == Mark(3, 6)


def test_the_place_of_what_is_missing_is_that_of_what_encloses_it():
    assert read_document("a: {b: 1}", "x.yaml").mark(("a", "c", 7)) == Mark(1, 4)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", ["1:1: this file is empty; begin it with `format: 1`"]),
        ("# only a note\n", ["1:1: this file is empty; begin it with `format: 1`"]),
        (
            "a: 1\nb: 2\na: 3\n",
            ["3:1: `a` stands twice here, first in line 1; keep one of the two"],
        ),
        (
            "a: &x [1]\nb: *x\n",
            [
                "1:4: `&x` names a value for use elsewhere; "
                "delete it and write the value out at each place",
                "2:4: `*x` stands for a value written elsewhere; write the value out here",
            ],
        ),
        (
            "a: !!int 3",
            [
                "1:4: `!!int` forces a kind of value; delete it; put quotes round what must stay text"
            ],
        ),
        (
            "a: !!python/object/apply:os.system [x]",
            [
                "1:4: `!!python/object/apply:os.system` forces a kind of value; "
                "delete it; put quotes round what must stay text"
            ],
        ),
        (
            "a: !mine {b: c}",
            [
                "1:4: `!mine` forces a kind of value; delete it; put quotes round what must stay text"
            ],
        ),
        (
            "a: 1\n---\nb: 2\n",
            [
                "3:1: here a second document begins; keep one document in a file and delete the `---`"
            ],
        ),
        (
            "a: 0.1",
            [
                "1:4: `0.1` is a bare number; write a physical value with its unit, "
                "such as 18.2 kg, or put it in quotes"
            ],
        ),
        (
            "a: .inf",
            [
                "1:4: `.inf` is a bare number; write a physical value with its unit, "
                "such as 18.2 kg, or put it in quotes"
            ],
        ),
        (
            "a:\nb: ~\n",
            [
                "1:3: nothing is written here; write a value, or leave the key out",
                "2:4: nothing is written here; write a value, or leave the key out",
            ],
        ),
        (
            "a: {b: one, two}",
            [
                "1:16: nothing is written here; put text with a comma in quotes, or leave the key out"
            ],
        ),
        ("a: 1\n\tb: 2\n", ["2:1: here is a tab; use spaces"]),
        ("a: x\x00y", ["1:5: here is a character that cannot be printed (U+0000); delete it"]),
        ("a: \ud800", ["1:4: here is a character that cannot be printed (U+D800); delete it"]),
        (
            "a: 1234567890123456",
            ["1:4: `1234567890123456…` has too many digits; write a smaller number"],
        ),
        ("[a, b]: c", ["1:1: a key must be a word; write `key: value`"]),
        (
            "a: b: c",
            [
                "1:5: a colon stands where it cannot; put the text in quotes, "
                "or check that this line is indented like its neighbours"
            ],
        ),
        ("a: 'b", ["1:4: the file ends inside a quoted text; close the quote"]),
        (
            "a: {b: c",
            [
                "1:4: a comma or a `}` is missing; close the braces, "
                "and put text that holds a comma or a colon in quotes"
            ],
        ),
        (
            "a: [b",
            [
                "1:4: a comma or a `]` is missing; close the brackets, "
                "and put text that holds a comma or a colon in quotes"
            ],
        ),
        ("a: @b", ["1:4: no value can begin with this character; put the text in quotes"]),
    ],
)
def test_what_is_refused_is_told_with_its_place(text: str, expected: list[str]):
    assert refusals(text) == expected


def test_an_alias_bomb_is_refused_before_it_goes_off():
    lines = ["a0: &a0 [x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 30)]
    assert refusals("\n".join(lines))[0].startswith("1:5: `&a0` names a value for use elsewhere")


def test_deep_nesting_is_refused():
    assert refusals("a: " + "[" * 40 + "]" * 40)[0].endswith(
        f"this is nested deeper than {DEEPEST} levels; make it flatter"
    )


def test_nesting_deeper_than_any_parser_bears_is_refused():
    assert len(refusals("[" * 60_000)) == 1


def test_nesting_up_to_the_limit_is_read():
    depth = DEEPEST - 1
    assert read_document("a: " + "[" * depth + "]" * depth, "x.yaml").at(("a", 0)) is not None


def test_a_huge_text_is_refused_unread():
    told = refusals("a: " + "x" * MOST_CHARACTERS)
    assert told == [
        "1:1: this file has 200003 characters; at most 200000 are read; "
        "split it into several scenarios"
    ]


def test_a_text_at_the_limit_is_read_in_time():
    text = "a:\n" + "  - {b: c}\n" * ((MOST_CHARACTERS - 3) // 11)
    assert len(text) <= MOST_CHARACTERS
    assert read_document(text, "x.yaml").at(("a", 0, "b")) == "c"


LETTERS = st.characters(codec="utf-8", exclude_categories=["C", "Zl", "Zp"])
WORDS = st.text(LETTERS, max_size=20).filter(  # numbers to us, text to an older YAML's writer
    lambda word: not (DECIMAL.fullmatch(word) or WHOLE.fullmatch(word))
)
TREES = st.recursive(
    WORDS | st.booleans() | st.integers(-(10**14), 10**14),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(WORDS, inner, max_size=4),
    max_leaves=20,
)


@given(TREES, st.booleans())
def test_what_a_yaml_writer_writes_is_read_back_the_same(tree: object, flow: bool):
    text = yaml.safe_dump({"a": tree}, default_flow_style=flow, allow_unicode=True)
    assert read_document(text, "x.yaml").at(("a",)) == tree


@given(st.text(max_size=200))
def test_any_text_is_read_or_refused_and_never_breaks(text: str):
    try:
        read_document(text, "x.yaml")
    except ScenarioError as error:
        faults = error.faults
    else:
        return
    assert faults
    assert all(fault.line >= 1 and fault.column >= 1 for fault in faults)

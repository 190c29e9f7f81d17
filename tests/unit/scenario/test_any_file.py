"""Whatever stands in a file, it is loaded or its faults are told: the loader never breaks."""

import json
from copy import deepcopy
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.unit.scenario.bedside_files import BEDSIDE, DRUGS, WARD, bedside
from tests.unit.scenario.small_files import FORMULARY, POLICY, SCENARIO, loaded, told
from trainer.scenario.strict_yaml import read_document
from trainer.terms import Verb

TREES: list[Any] = [read_document(text, "x.yaml").value for text in (SCENARIO, POLICY, FORMULARY)]
BEDSIDE_TREES: list[Any] = [
    read_document(text, "x.yaml").value for text in (BEDSIDE, WARD, DRUGS)
]  # with other drives, hydraulics and signs that answer
ODD: list[Any] = [
    "", "key", "0 mL", "5", "-1 kg", "1 h", "a b c", "start", "air", "model", "kink", "bag", "1", "2",
    True, 0, 7, 10**12, [], {}, [[]], ["a"], [{}], {"do": "start"}, {"a": {"b": []}}, "ü", "x" * 3000,
    {"id": "bag"}, [{"id": "bag"}, {"id": "bag"}], *(str(verb) for verb in list(Verb)[:5]),
]  # fmt: skip


def places(tree: Any, here: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The path of every part of a tree."""
    found = [here]
    parts = (
        tree.items()
        if isinstance(tree, dict)
        else enumerate(tree)
        if isinstance(tree, list)
        else ()
    )
    for key, part in parts:
        found += places(part, (*here, key))
    return found


def kinds_of_places(tree: Any) -> list[tuple[Any, ...]]:
    """The path of the first part of each kind: entries of one list are alike, keys are not."""
    first: dict[tuple[Any, ...], tuple[Any, ...]] = {}
    for place in places(tree)[1:]:
        first.setdefault(tuple("" if isinstance(key, int) else key for key in place), place)
    return list(first.values())


def with_odd(tree: Any, place: tuple[Any, ...], odd: Any, *, gone: bool) -> Any:
    """The tree with one part replaced by something odd, or taken away."""
    if not place:
        return odd
    tree = deepcopy(tree)
    inside = tree
    for key in place[:-1]:
        inside = inside[key]
    if gone:
        del inside[place[-1]]
    else:
        inside[place[-1]] = odd
    return tree


@st.composite
def odd_files(draw: st.DrawFn) -> list[str]:
    """Three sound files, with one to three parts replaced or taken away."""
    trees = list(draw(st.sampled_from([TREES, BEDSIDE_TREES])))
    for _ in range(draw(st.integers(1, 3))):
        number = draw(st.sampled_from([0, 0, 0, 1, 2]))
        place = draw(st.sampled_from(places(trees[number])))
        odd, gone = draw(st.sampled_from(ODD)), draw(st.booleans())
        trees[number] = with_odd(trees[number], place, odd, gone=gone)
    return [json.dumps(tree, ensure_ascii=False) for tree in trees]


def test_the_three_files_are_sound_before_anything_is_changed():
    assert loaded(*(json.dumps(tree) for tree in TREES)) == loaded()
    assert loaded(*(json.dumps(tree) for tree in BEDSIDE_TREES)) == bedside()


@given(odd_files())
def test_an_odd_file_is_loaded_or_its_faults_are_told(texts: list[str]):
    for line in told(*texts):
        assert "Input should" not in line
        assert line.count(":") >= 3


@pytest.mark.parametrize("place", places(TREES[0])[1:], ids=lambda place: ".".join(map(str, place)))
def test_no_part_of_a_scenario_can_be_anything(place: tuple[Any, ...]):
    """Every part has its kind: a part that is a list of lists of nothing is refused."""
    assert told(json.dumps(with_odd(TREES[0], place, [[[]]], gone=False)), POLICY, FORMULARY)


@pytest.mark.parametrize("number", range(3), ids=["scenario", "policy", "formulary"])
def test_no_part_of_a_bedside_can_be_anything(number: int):
    texts = [json.dumps(tree) for tree in BEDSIDE_TREES]
    for place in kinds_of_places(BEDSIDE_TREES[number]):
        texts[number] = json.dumps(with_odd(BEDSIDE_TREES[number], place, [[[]]], gone=False))
        assert told(*texts), place

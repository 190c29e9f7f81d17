"""Goldens: after every moment of a course, the state as one line of text.

A difference is clinical content: read it, then, if it is meant, run
`pytest --update-goldens`.
"""

from __future__ import annotations

from itertools import groupby
from pathlib import Path

import pytest

from tests.build import Bedside
from tests.replay.courses import COURSES
from trainer.engine.begin import initial_state
from trainer.engine.carry import carry
from trainer.engine.evolve import fold
from trainer.engine.notation import format_state
from trainer.engine.replay import audit

FOLDER = Path(__file__).parent / "goldens" / "courses"


def told(bedside: Bedside) -> str:
    """Each moment with its events' names, and the state after them; then the end."""
    state = initial_state(bedside.scenario)
    lines = [format_state(state)]
    for _, group in groupby(bedside.log, key=lambda event: event.at_ms):
        events = tuple(group)
        state = fold(state, events)
        names = " ".join(type(event).__name__ for event in events)
        lines += [f"# {names}", format_state(state)]
    return "\n".join([*lines, "# end", format_state(carry(state, bedside.now_ms)), ""])


@pytest.mark.parametrize("name", sorted(COURSES))
def test_a_course_goes_as_it_went_before(name, request):
    golden, text = FOLDER / f"{name}.txt", told(COURSES[name]())
    if request.config.getoption("--update-goldens"):
        FOLDER.mkdir(parents=True, exist_ok=True)
        golden.write_text(text, encoding="utf-8")
    assert text == golden.read_text(encoding="utf-8")


@pytest.mark.parametrize("name", sorted(COURSES))
def test_a_course_is_reproduced_by_its_inputs(name):
    bedside = COURSES[name]()
    assert audit(bedside.scenario, bedside.log) is None


def test_every_expected_file_belongs_to_a_course():
    assert {path.stem for path in FOLDER.iterdir()} == set(COURSES)

"""How the server's process is set up before it answers."""

from __future__ import annotations

import gc

import pytest

from trainer.cli.serve import VALUES_BETWEEN_SEARCHES, look_for_circles_seldom


@pytest.fixture
def _as_before():
    before = gc.get_threshold()
    yield
    gc.set_threshold(*before)


@pytest.mark.usefixtures("_as_before")
def test_circles_of_values_are_looked_for_seldom_but_still_looked_for():
    later = gc.get_threshold()[1:]
    look_for_circles_seldom()
    assert gc.get_threshold() == (VALUES_BETWEEN_SEARCHES, *later)
    assert gc.isenabled()

"""Lint, format and types hold for the whole tree."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.mark.timeout(300)
@pytest.mark.parametrize(
    "command",
    [("ruff", "check"), ("ruff", "format", "--check"), ("mypy",)],
    ids=lambda command: " ".join(command),
)
def test_the_tree_passes(command: tuple[str, ...]):
    done = subprocess.run(
        [sys.executable, "-m", *command], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr

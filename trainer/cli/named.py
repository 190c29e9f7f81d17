"""The scenario that a command names: by its file, or by its id among those found."""

from __future__ import annotations

from pathlib import Path

from trainer.errors import TrainerError
from trainer.live.library import Library, read_source
from trainer.paths import SCENARIOS
from trainer.scenario.load import load_scenario
from trainer.scenario.model import Scenario
from trainer.scoring.accept import variant


def scenario_named(name: str, seed: int) -> Scenario:
    """The variant of a scenario that a seed gives.

    Args:
        name: a path to a YAML file, or the id of a scenario that comes with the trainer.
        seed: 0 for the scenario as written.

    Raises:
        TrainerError: if it cannot be found, read or varied.
    """
    path = Path(name)
    scenario = load_scenario(read_source(path)) if path.is_file() else _shipped(name)
    return variant(scenario, seed)


def _shipped(name: str) -> Scenario:
    found = Library((SCENARIOS,)).find(name).scenario
    if found is None:
        raise TrainerError(f"`{name}` cannot be used; run `trainer check {name}`")
    return found

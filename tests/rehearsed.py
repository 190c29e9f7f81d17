"""The shipped scenarios, and what became of each of their conducts.

Many tests look at the same runs. In one process each scenario is read once, each conduct
rehearsed once and its log marked once; all of it is frozen, so that no test can change what
another one sees. That a second run gives the same is a test of its own
(`tests/replay/test_reports.py`).
"""

from __future__ import annotations

from functools import cache

from trainer.engine.events import Event
from trainer.live.library import Library
from trainer.paths import SCENARIOS
from trainer.scenario.model import Conduct, Scenario
from trainer.scoring.findings import Report
from trainer.scoring.rehearse import rehearse
from trainer.scoring.report import report

LIBRARY = Library((SCENARIOS,))
"""It remembers what it has read until a file changes."""
SHIPPED: dict[str, Scenario] = {
    one.id: one.scenario for one in LIBRARY.shelf().listings if one.scenario is not None
}
"""Every shipped scenario that can be used, by its id, as its author wrote it."""
RUNS = tuple((name, conduct.id) for name, one in SHIPPED.items() for conduct in one.conducts)
"""Every conduct of every shipped scenario; the first of each scenario is its model."""


def conduct_named(scenario_id: str, conduct_id: str) -> Conduct:
    return next(one for one in SHIPPED[scenario_id].conducts if one.id == conduct_id)


def model_of(scenario_id: str) -> Conduct:
    return SHIPPED[scenario_id].conducts[0]


@cache
def log_of(scenario_id: str, conduct_id: str) -> tuple[Event, ...]:
    """What happened in the run of a conduct."""
    return rehearse(SHIPPED[scenario_id], conduct_named(scenario_id, conduct_id))


@cache
def report_of(scenario_id: str, conduct_id: str) -> Report:
    """The debrief of the run of a conduct."""
    return report(SHIPPED[scenario_id], log_of(scenario_id, conduct_id))


def model_log(scenario_id: str) -> tuple[Event, ...]:
    return log_of(scenario_id, model_of(scenario_id).id)


def model_report(scenario_id: str) -> Report:
    return report_of(scenario_id, model_of(scenario_id).id)

"""`trainer rehearse`: a scripted run of a scenario, what happened in it, and its marks."""

from __future__ import annotations

from typing import Annotated

import typer

from trainer.cli.named import scenario_named
from trainer.errors import ProblemError
from trainer.scenario.model import Conduct, Scenario
from trainer.scoring.chronicle import event_lines
from trainer.scoring.rehearse import rehearse as run
from trainer.scoring.report import report
from trainer.scoring.telling import report_lines
from trainer.terms import TRAINING_NOTICE


def rehearse(
    scenario: Annotated[str, typer.Argument(help="A YAML file, or the id of a scenario.")],
    conduct: Annotated[str, typer.Option(help="A conduct's id; the model if left out.")] = "",
    seed: Annotated[int, typer.Option(min=0, help="Which variant; 0 is as written.")] = 0,
) -> None:
    """Run a scenario by itself and print what happened and the marks."""
    chosen = scenario_named(scenario, seed)
    lines = rehearsal_lines(chosen, conduct_named(chosen, conduct))
    for line in lines:
        typer.echo(line)
    typer.echo(TRAINING_NOTICE)


def conduct_named(scenario: Scenario, name: str) -> Conduct:
    """The conduct of that id, or the model conduct.

    Raises:
        ProblemError: if there is none, with those that there are.
    """
    if not scenario.conducts:
        raise ProblemError(f"scenario `{scenario.id}` has no conduct; add one under `conduct:`")
    if not name:
        return scenario.conducts[0]
    found = next((one for one in scenario.conducts if one.id == name), None)
    if found is None:
        known = ", ".join(one.id for one in scenario.conducts)
        raise ProblemError(f"there is no conduct `{name}`; there are {known}")
    return found


def rehearsal_lines(scenario: Scenario, conduct: Conduct) -> tuple[str, ...]:
    """What happened and the report, as lines of text."""
    events = run(scenario, conduct)
    return (
        f"{scenario.title}: {conduct.title}",
        "",
        *event_lines(scenario, events),
        "",
        *report_lines(report(scenario, events)),
        "",
    )

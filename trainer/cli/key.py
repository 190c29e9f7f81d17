"""`trainer key`: the computed right entries of a scenario, with their worked solutions."""

from __future__ import annotations

from typing import Annotated

import typer

from trainer.cli.named import scenario_named
from trainer.scenario.model import Order, Scenario
from trainer.scoring import explain
from trainer.scoring.accept import faults
from trainer.scoring.expect import order_keys
from trainer.scoring.findings import Key
from trainer.terms import TRAINING_NOTICE


def key(
    scenario: Annotated[str, typer.Argument(help="A YAML file, or the id of a scenario.")],
    seed: Annotated[int, typer.Option(min=0, help="Which variant; 0 is as written.")] = 0,
) -> None:
    """Print the computed key of a scenario with its worked solutions."""
    chosen = scenario_named(scenario, seed)
    lines = key_lines(chosen)
    for line in lines:
        typer.echo(line)
    typer.echo(TRAINING_NOTICE)


def key_lines(scenario: Scenario) -> tuple[str, ...]:
    """The whole key as lines of text.

    Raises:
        ProblemError: if it cannot be computed.
    """
    weight = explain.amount(scenario.patient.weight.value, scenario.patient.weight.unit.text)
    lines = [scenario.title, f"{scenario.patient.name}, {scenario.patient.age_text}, {weight}", ""]
    for order in scenario.orders:
        lines += _order_lines(scenario, order)
    lines += [f"Not to be used so: {told}" for told in faults(scenario)]
    return tuple(lines)


def _order_lines(scenario: Scenario, order: Order) -> list[str]:
    found = order_keys(scenario, order)
    lines = [f"{order.id}: {order.written}"]
    for one in found:
        lines += _quantity_lines(order, one)
    lines += [f"  Caution: {told}" for one in found for told in one.cautions]
    return [*lines, ""]


def _quantity_lines(order: Order, one: Key) -> list[str]:
    name = explain.QUANTITY_WORDS[one.quantity]
    asked = " (asked)" if one.quantity in order.ask else ""
    head = f"  {name}: {explain.amount(one.value, one.unit)}{asked}"
    return [head, *(f"      {line}" for line in one.worked)]

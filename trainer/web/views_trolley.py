"""The trolley: the containers to choose from, with what a look at each has shown."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.clinical.rounding import format_number
from trainer.engine.state import Container, State
from trainer.scenario.model import Supply
from trainer.terms import Verb
from trainer.web.deeds import Choice, Deed, deed


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyView:
    """One container as it stands or hangs there."""

    id: str
    label: str
    kind: str
    status: tuple[str, ...]
    looks: str
    deeds: tuple[Deed, ...]


def trolley_view(state: State) -> tuple[SupplyView, ...]:
    """Everything on the trolley, in the author's order."""
    return tuple(_supply(state, supply) for supply in state.scenario.supplies)


def _supply(state: State, supply: Supply) -> SupplyView:
    container = state.container(supply.id)
    return SupplyView(
        id=supply.id,
        label=supply.label,
        kind=f"{supply.kind}, {format_number(supply.volume_ml)} mL",
        status=_status(container),
        looks=_looks(supply) if container.inspected else "",
        deeds=(
            deed("Take it", Verb.CHOOSE, supply=supply.id),
            deed("Inspect it", Verb.INSPECT, supply=supply.id),
            deed("Label it", Verb.LABEL, supply=supply.id),
        ),
    )


def _looks(supply: Supply) -> str:
    if supply.looks:
        return supply.looks
    return "Clear, sealed and in date." if supply.fit else "Something is wrong with it."


def _status(container: Container) -> tuple[str, ...]:
    hung = f"hangs on line {container.hung_on}" if container.hung_on is not None else ""
    said = (
        (container.chosen and not hung, "taken"),
        (container.inspected, "inspected"),
        (container.labelled, "labelled"),
        (bool(hung), hung),
    )
    return tuple(text for is_so, text in said if is_so)


def hang_choices(state: State, kinds: frozenset[str] = frozenset()) -> tuple[Choice, ...]:
    """The containers as a list to choose from, in the words of their labels.

    Those of the kinds named come first, if any are.
    """
    supplies = sorted(state.scenario.supplies, key=lambda one: one.kind not in kinds)
    return tuple(Choice(value=one.id, text=one.label) for one in supplies)

"""What of a dose lies in the tubing when its volume is complete, and at the end, in words.

An intermittent dose is given only when it has left the tubing. What is left is counted
and told; nothing is judged here, since the author's plan says whether a flush was wanted.
"""

from __future__ import annotations

from fractions import Fraction

from trainer.engine import view
from trainer.engine.amounts import ml_from_motes, motes_from_ml
from trainer.engine.events import Event, VolumeComplete
from trainer.engine.state import State
from trainer.scenario.model import Order, Scenario
from trainer.scoring import explain
from trainer.scoring.expect import key as key_of
from trainer.scoring.findings import Key
from trainer.scoring.record import Standing

CONTINUOUS = "continuous"

LEAST_TOLD = motes_from_ml(Fraction("0.05"))
"""Less than this would be told as 0 mL. Chosen by us: half of the last place told."""


def told(
    scenario: Scenario,
    events: tuple[Event, ...],
    states: tuple[State, ...],
    stood: tuple[Standing, ...],
    all_keys: tuple[Key, ...],
) -> tuple[str, ...]:
    """A sentence for each dose of a drug of which something lay in the tubing.

    Args:
        scenario: the scenario.
        events: the log.
        states: the bedside after each event of the log.
        stood: which orders stood when.
        all_keys: the computed key.
    """
    found = (
        _told_of(scenario, events, states, one.order, all_keys)
        for one in stood
        if one.order.kind != CONTINUOUS and scenario.fluid(one.order.fluid).drug
    )
    return tuple(words for words in found if words)


def _told_of(
    scenario: Scenario,
    events: tuple[Event, ...],
    states: tuple[State, ...],
    order: Order,
    all_keys: tuple[Key, ...],
) -> str:
    volume = key_of(all_keys, order.id, "volume")
    ends = [
        state
        for event, state in zip(events, states, strict=True)
        if isinstance(event, VolumeComplete)
        and (event.line, event.role) == (order.line, order.role)
    ]
    if not ends or volume is None:
        return ""
    then, now = (lies_in_tubing(state, order.line, order.fluid) for state in (ends[0], states[-1]))
    if then < LEAST_TOLD:
        return ""
    share = explain.percent(ml_from_motes(then) / volume.value)
    when = explain.ward_clock(scenario.starts_at, ends[0].as_of_ms)
    return explain.joined(
        f"{order.title}: when its volume was complete at {when}, {explain.volume(then)} of it "
        f"({share} of the dose) still lay in the tubing.",
        f"At the end {explain.volume(now)} lay there."
        if now >= LEAST_TOLD
        else "By the end it had left the tubing.",
    )


def lies_in_tubing(state: State, line_number: int, fluid: str) -> int:
    """How much of a fluid lies in a line's chambers and tubing, in motes."""
    return dict(view.residual(state.line(line_number))).get(fluid, 0)

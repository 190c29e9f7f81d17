"""Fluid that ran otherwise than the right entries said, though nobody keyed it wrong.

Too much reached the vein, or a volume that the pump counted never came: the wrong
container ran, a clamp stood open or shut. What a wrong entry explains is `keyed`'s.
"""

from __future__ import annotations

from fractions import Fraction

from trainer.engine.amounts import ml_from_motes
from trainer.engine.events import Event, VolumeComplete
from trainer.engine.state import State
from trainer.scenario.model import Order, Scenario
from trainer.scoring import explain
from trainer.scoring.delivered import Moment
from trainer.scoring.expect import key as key_of
from trainer.scoring.findings import Delivered, Finding, Key
from trainer.terms import Domain, Verdict

TOO_MUCH = (
    "The values entered were right, and still more ran than was ordered: "
    "look at which container ran and for how long."
)
TOO_LITTLE = (
    "The values entered were right and the pump counted the volume as given, but it did not "
    "come from this container: look at clamps, heights and the site."
)


def findings(
    scenario: Scenario,
    events: tuple[Event, ...],
    course: tuple[Moment, ...],
    given: tuple[Delivered, ...],
    entry_findings: tuple[Finding, ...],
    all_keys: tuple[Key, ...],
) -> tuple[Finding, ...]:
    """A finding for each order whose fluid ran otherwise than the right entries said.

    Too much: more than what rounding may move (the policy's largest share) and what lay in
    the tubing at the beginning. Too little: the pump counted the volume as given, and the
    vein and the tubing do not hold it. Where the values keyed for the order were wrong
    already, that finding stands alone.
    """
    blamed = {
        one.id.split(".")[1]
        for one in entry_findings
        if one.domain is Domain.ENTERING and one.verdict is Verdict.WRONG
    }
    share = scenario.policy.rounding.largest_share
    complete = _counted_as_given(events, course)
    found = []
    for one in given:
        order = scenario.order(one.order)
        if one.order in blamed:
            continue
        lay_ml = _in_tubing(course[0].state, order)
        if one.given_ml > one.ordered_ml * (1 + share) + lay_ml:
            found.append(_astray(one, TOO_MUCH, course, all_keys))
        elif one.order in complete and _arrived_ml(one, course, order) < one.ordered_ml * (
            1 - share
        ):
            found.append(_astray(one, TOO_LITTLE, course, all_keys))
    return tuple(found)


def _counted_as_given(events: tuple[Event, ...], course: tuple[Moment, ...]) -> frozenset[str]:
    """The orders whose programme the pump brought to its end."""
    return frozenset(
        course[index].serves.get(event.line, "")
        for index, event in enumerate(events)
        if isinstance(event, VolumeComplete)
    )


def _arrived_ml(one: Delivered, course: tuple[Moment, ...], order: Order) -> Fraction:
    """What reached the vein or the tissue, and what is on its way in the tubing."""
    state = course[-1].state
    tissue = next((volume for name, volume in state.ledger.tissue if name == order.fluid), 0)
    return one.given_ml + ml_from_motes(tissue) + _in_tubing(state, order)


def _in_tubing(state: State, order: Order) -> Fraction:
    """The order's fluid between join and vein, in mL."""
    line = state.line(order.line)
    plugs = (*line.above, *line.below)
    return ml_from_motes(sum(plug.volume for plug in plugs if plug.fluid == order.fluid))


def _astray(
    one: Delivered, reason: str, course: tuple[Moment, ...], all_keys: tuple[Key, ...]
) -> Finding:
    key = key_of(all_keys, one.order, "volume")
    asked, given = explain.rounded_ml(one.ordered_ml), explain.rounded_ml(one.given_ml)
    return Finding(
        id=f"delivered.{one.order}",
        verdict=Verdict.WRONG,
        domain=Domain.WATCHING,
        title=f"{one.title}: {given} reached the vein; ordered: {asked}",
        reason=reason,
        at_ms=course[-1].state.as_of_ms,
        plan="delivered",
        expected=asked,
        actual=given,
        worked=key.worked if key else (),
        chain=key.chain if key else None,
        critical=True,
    )

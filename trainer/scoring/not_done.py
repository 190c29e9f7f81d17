"""The finding for a value that an order wants at its line and that nobody put there."""

from __future__ import annotations

from fractions import Fraction

from trainer.scenario.model import Order
from trainer.scoring import explain
from trainer.scoring.findings import Finding, Key
from trainer.terms import Domain, Verdict

PLAN = "entry"


def not_done(order: Order, key: Key, name: str, *, title: str, reason: str, due: bool) -> Finding:
    """A miss if the order was due, and else that it was not needed; a point if it was due.

    Args:
        order: the order.
        key: the right value.
        name: the last part of the finding's id: `keyed-rate`, `set-drip-rate`.
        title: what was not done, after the order's own title.
        reason: why it is told.
        due: whether the order stood to the end.
    """
    return Finding(
        id=f"{PLAN}.{order.id}.{name}",
        verdict=Verdict.MISSED if due else Verdict.NOT_NEEDED,
        domain=Domain.ENTERING,
        title=f"{order.title}, {title}",
        reason=reason,
        at_ms=None,
        plan=PLAN,
        expected=explain.amount(key.value, key.unit),
        worked=key.worked,
        chain=key.chain,
        most=Fraction(int(due)),
        order=order.id,
        quantity=key.quantity,
    )

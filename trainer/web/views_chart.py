"""The chart: orders, what to work out, signs as last looked at, and the flowsheet."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from trainer.engine.events import Acted, Event
from trainer.engine.state import OrderState, State
from trainer.scenario.model import Order, Scenario
from trainer.terms import Param, Verb
from trainer.web import words
from trainer.web.deeds import Choice, Deed, deed
from trainer.web.phrases import QUANTITIES

CHARTED = (
    "what runs",
    "volume given",
    "rate change",
    "interruption",
    "site",
    "completion",
    "changed order",
    "intake",
)
"""What is commonly charted about an infusion (common practice, no source)."""

TAUGHT = ("what runs and why", "do not touch the clamps", "call if it hurts or swells")
"""What patient and family are commonly told (common practice, no source)."""

WHO = ("prescriber", "charge nurse", "pharmacist", "family")


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderView:
    """One order on the chart and what was done with it."""

    id: str
    title: str
    written: str
    by: str
    stands: bool
    standing: str
    checked: tuple[str, ...]
    deeds: tuple[Deed, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkView:
    """One thing to work out for an order."""

    id: str
    order: str
    what: str
    title: str
    example: str
    order_title: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A line of a list: when and what."""

    time: str
    text: str


def orders_view(state: State, events: Iterable[Event]) -> tuple[OrderView, ...]:
    """The orders given so far, the newest first; those that ended last."""
    done = _checks(state.scenario, events)
    given = [one for one in state.orders if one.from_ms is not None]
    given.sort(key=lambda one: (one.until_ms is not None, -(one.from_ms or 0)))
    return tuple(_order(state.scenario, one, done.get(one.id, ())) for one in given)


def _order(scenario: Scenario, one: OrderState, checked: tuple[str, ...]) -> OrderView:
    order = scenario.order(one.id)
    since = words.ward_time(scenario, one.from_ms or 0)
    if one.until_ms is None:
        standing = f"stands since {since}" if one.from_ms else "stands"
    else:
        standing = f"ended at {words.ward_time(scenario, one.until_ms)}"
    return OrderView(
        id=order.id,
        title=order.title,
        written=order.written,
        by=order.by,
        stands=one.until_ms is None,
        standing=standing,
        checked=checked,
        deeds=_order_deeds(order.id) if one.until_ms is None else (),
    )


def _order_deeds(order: str) -> tuple[Deed, ...]:
    return (
        deed("Check it against the patient", Verb.VERIFY_ORDER, order=order),
        deed("Question it", Verb.QUESTION_ORDER, order=order),
        deed("Read it back", Verb.READ_BACK, order=order),
    )


_CHECKS = {
    Verb.VERIFY_ORDER: "checked",
    Verb.QUESTION_ORDER: "questioned",
    Verb.READ_BACK: "read back",
}


def _checks(scenario: Scenario, events: Iterable[Event]) -> dict[str, tuple[str, ...]]:
    """What the learner did with each order: `checked 08:52`."""
    found: dict[str, dict[str, None]] = {}
    for event in events:
        if isinstance(event, Acted) and event.action.verb in _CHECKS:
            text = f"{_CHECKS[event.action.verb]} {words.ward_time(scenario, event.at_ms)}"
            found.setdefault(event.action.get(Param.ORDER), {})[text] = None
    return {order: tuple(texts) for order, texts in found.items()}


_EXAMPLES = {
    "rate": "mL/h",
    "volume": "mL",
    "duration": "h or min",
    "dose": "mg",
    "drip_rate": "drops/min",
}


_USUAL = {
    "continuous": ("rate", "volume"),
    "intermittent": ("dose", "volume", "rate"),
    "bolus": ("volume", "rate"),
}
"""What is usually worked out for a kind of order (common practice, no source)."""


def work_view(state: State) -> tuple[WorkView, ...]:
    """What there is to work out for each order that stands: what it asks, those orders first.

    For an order that asks nothing, the usual quantities of its kind: they may be noted, and
    cost nothing.
    """
    scenario = state.scenario
    standing = [one for one in state.orders if one.from_ms is not None and one.until_ms is None]
    standing.sort(key=lambda one: not scenario.order(one.id).ask)
    return tuple(
        WorkView(
            id=f"work-{one.id}-{what}".replace(" ", "-"),
            order=one.id,
            what=what,
            title=QUANTITIES.get(what, what.capitalize()),
            example=_EXAMPLES.get(what, "with its unit"),
            order_title=scenario.order(one.id).title,
        )
        for one in standing
        for what in _to_work_out(scenario.order(one.id))
    )


def _to_work_out(order: Order) -> tuple[str, ...]:
    return order.ask or _USUAL.get(order.kind, ())


def worked_view(state: State, events: Iterable[Event]) -> tuple[Row, ...]:
    """What the learner worked out, as typed, the newest first."""
    scenario = state.scenario
    titles = {order.id: order.title for order in scenario.orders}
    rows = [
        Row(
            time=words.ward_time(scenario, event.at_ms),
            text=_worked(titles, event),
        )
        for event in events
        if isinstance(event, Acted) and event.action.verb is Verb.CALCULATE
    ]
    return tuple(reversed(rows))


def _worked(titles: dict[str, str], event: Acted) -> str:
    action = event.action
    what = action.get(Param.WHAT)
    order = titles.get(action.get(Param.ORDER), action.get(Param.ORDER))
    sure = action.get(Param.SURE)
    tail = f" ({sure})" if sure else ""
    return f"{QUANTITIES.get(what, what)}, {order}: {action.get(Param.ENTERED)}{tail}"


def flowsheet_view(state: State, events: Iterable[Event]) -> tuple[Row, ...]:
    """What was charted, in the order of its times."""
    return tuple(
        Row(
            time=words.ward_time(state.scenario, event.at_ms),
            text=_charted(event),
        )
        for event in events
        if isinstance(event, Acted) and event.action.verb is Verb.CHART
    )


def _charted(event: Acted) -> str:
    line, text = event.action.get(Param.LINE), event.action.get(Param.TEXT)
    where = f", line {line}" if line else ""
    tail = f": {text}" if text else ""
    return f"{event.action.get(Param.WHAT).capitalize()}{where}{tail}"


def _with_authored(fixed: tuple[str, ...], scenario: Scenario, verb: Verb) -> tuple[Choice, ...]:
    """The common list and what this scenario's author also named, in one order."""
    plans = (scenario.plan, *(event.plan for event in scenario.events))
    patterns = [
        pattern
        for plan in plans
        for pattern in (
            *(step.pattern for step in plan.steps),
            *(never.pattern for never in plan.nevers),
        )
    ]
    named = [
        text
        for pattern in patterns
        if pattern.verb is verb
        for name, text in pattern.params
        if name == Param.WHAT
    ]
    texts = sorted({*fixed, *named})
    return tuple(Choice(value=text, text=text) for text in texts)


def chart_choices(scenario: Scenario) -> tuple[Choice, ...]:
    """What can be charted."""
    return _with_authored(CHARTED, scenario, Verb.CHART)


def teach_choices(scenario: Scenario) -> tuple[Choice, ...]:
    """What can be explained to patient and family."""
    return _with_authored(TAUGHT, scenario, Verb.TEACH)


def who_choices(scenario: Scenario) -> tuple[Choice, ...]:
    """Whom the learner can tell."""
    plans = (scenario.plan, *(event.plan for event in scenario.events))
    named = [
        text
        for plan in plans
        for step in plan.steps
        if step.pattern.verb is Verb.NOTIFY
        for name, text in step.pattern.params
        if name == Param.WHO
    ]
    return tuple(Choice(value=text, text=text) for text in dict.fromkeys((*WHO, *named)))

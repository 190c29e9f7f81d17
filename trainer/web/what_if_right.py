"""The right value for an act that a computed key stands for: worked out, or keyed at the pump.

Only a look-up: the key was computed in `scoring`, and typed as a learner would type it.
"""

from __future__ import annotations

from trainer.engine.events import Event
from trainer.scenario.model import Scenario
from trainer.scoring.expect import key as key_of
from trainer.scoring.explain import quantity_named
from trainer.scoring.findings import Report
from trainer.scoring.record import Deed, standing_at, standings
from trainer.scoring.rehearse import key_text
from trainer.terms import Domain, Param, Role, Verb

KEYED = ("volume", "duration", "rate")
Typed = tuple[tuple[str, str], ...]


def right_values(
    scenario: Scenario, events: tuple[Event, ...], report: Report, done: Deed
) -> Typed:
    """The parameters of an act that the key knows, as they should have been; empty if none."""
    if done.action.verb is Verb.CALCULATE:
        return _worked_out(report, done)
    if done.action.verb is Verb.ENTER:
        return _keyed(scenario, events, report, done)
    return ()


def _worked_out(report: Report, done: Deed) -> Typed:
    quantity = quantity_named(done.action.get(Param.WHAT))
    key = key_of(report.keys, done.action.get(Param.ORDER).strip(), quantity)
    return ((str(Param.ENTERED), key_text(key, with_unit=True)),) if key else ()


def _keyed(scenario: Scenario, events: tuple[Event, ...], report: Report, done: Deed) -> Typed:
    """Of what was keyed, each part by its key; the rate where only it has one.

    At most two of the three are named, since the third follows.
    """
    order = _order_served(scenario, events, report, done)
    found = {name: key_of(report.keys, order, name) for name in KEYED}
    keyed = [name for name in KEYED if done.action.get(Param(name)).strip()]
    names = [name for name in keyed if found[name] is not None]
    if not names and found["rate"] is not None:
        names = ["rate"]
    if not names:
        return ()
    if len(keyed) == 3:
        names = [name for name in names if name != "duration"]
    right = {
        name: key_text(key, with_unit=False) for name in names if (key := found[name]) is not None
    }
    others = {name: "" for name in keyed if name not in right and len(keyed) == 3}
    return tuple({**others, **right}.items())


def _order_served(scenario: Scenario, events: tuple[Event, ...], report: Report, done: Deed) -> str:
    """The order that a programme was keyed for: as a finding says, or the only one it can be."""
    for finding in report.findings:
        if finding.deed == done.index and finding.order:
            return finding.order
    line, role = done.action.get(Param.LINE).strip(), done.action.get(Param.ROLE).strip()
    if not line.isdecimal() or role not in {str(one) for one in Role}:
        return ""
    stood = standings(scenario, events)
    ids = [one.id for one in standing_at(stood, done.index, int(line), Role(role))]
    told = [
        order
        for order in ids
        for finding in report.findings
        if finding.domain is Domain.ENTERING
        and finding.at_ms == done.at_ms
        and f".{order}." in finding.id
    ]
    return next(iter((*told, *ids)), "")

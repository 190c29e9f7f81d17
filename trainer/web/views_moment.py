"""One moment of an attempt as the debrief shows it: what was true, what had been looked at.

Views only. The state comes from `engine.replay.state_at`.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical.rounding import format_number, round_half_up
from trainer.engine import view
from trainer.engine.state import AccessState, Inlet, Line, State
from trainer.scenario.model import Scenario
from trainer.scoring import explain
from trainer.scoring.course import Course
from trainer.scoring.into_vein import LEAST_TOLD
from trainer.scoring.marks import ActMark
from trainer.terms import Clamp, Site
from trainer.web import phrases, words

ACTS_BEFORE = 4
"""How many acts before the moment are listed. Chosen by us: what one still has in mind."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FactView:
    """One thing about the moment: its name, what was true, what had been seen of it."""

    name: str
    true: str
    seen: str = ""  # empty: nothing was to be looked at here
    unseen: bool = False  # it mattered and nobody had looked since it changed


@dataclass(frozen=True, slots=True, kw_only=True)
class MomentLineView:
    """One line at the moment."""

    name: str
    running: str
    facts: tuple[FactView, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MomentAlarmView:
    """An alarm that was on."""

    priority: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MomentView:
    """The card "At 09:38 the bedside looked like this"."""

    at_ms: int
    clock: str
    since: str  # "48 min after the beginning"
    headline: str  # a finding or event at this very moment, if there is one
    earlier_href: str
    later_href: str
    earlier_ms: int
    later_ms: int
    alarms: tuple[MomentAlarmView, ...]
    lines: tuple[MomentLineView, ...]
    patient: tuple[FactView, ...]
    orders: tuple[str, ...]
    acts: tuple[tuple[str, str], ...]  # ward clock, what was done


def line_views(state: State) -> tuple[MomentLineView, ...]:
    """Every line as it was."""
    return tuple(_line(state, line) for line in state.lines)


def _line(state: State, line: Line) -> MomentLineView:
    pump = line.pump
    programme = pump.secondary if pump.source == "secondary" else pump.primary
    running = phrases.RUNNING_WORDS[pump.running]
    rate = pump.rate_ul_h
    entered = pump.entered_secondary or pump.entered_primary
    facts = [
        FactView(name="programmed", true=words.sentence(programme) if programme else "nothing yet"),
        FactView(name="given of it", true=f"{words.ml(_given(line))} mL"),
        FactView(name="pressure below the pump", true=_pressure(state, line)),
        FactView(name="container", true=_container(state, line.primary)),
    ]
    if entered:
        facts.insert(1, FactView(name="entered, not started", true=words.sentence(entered)))
    if line.secondary is not None and line.secondary.container:
        facts.append(FactView(name="secondary container", true=_container(state, line.secondary)))
    closed = _closed(line)
    if closed:
        facts.append(FactView(name="clamps", true=closed))
    for where, reason in (("below", line.blocked_below), ("above", line.blocked_above)):
        if reason:
            facts.append(FactView(name=f"blocked {where} the pump", true=reason))
    return MomentLineView(
        name=f"Line {line.number}",
        running=f"{running} at {words.rate(rate)} mL/h" if rate else running,
        facts=tuple(facts),
    )


def _given(line: Line) -> int:
    given = (
        line.pump.given_secondary if line.pump.source == "secondary" else line.pump.given_primary
    )
    return given


def _pressure(state: State, line: Line) -> str:
    value = round_half_up(Fraction(view.pressure_mmhg(state, line.number)), Fraction(1))
    limit = state.scenario.policy.pump.pressure_alarm_mmhg
    return f"{format_number(value)} mmHg, alarm at {format_number(limit)}"


def _container(state: State, inlet: Inlet) -> str:
    if not inlet.container:
        return "none hung"
    label = state.scenario.supply(inlet.container).label
    return f"{label}, {words.ml(state.container(inlet.container).left)} mL left"


def _closed(line: Line) -> str:
    """Which clamps were closed, in words; empty if none."""
    inlets = ((Clamp.PRIMARY, line.primary), (Clamp.SECONDARY, line.secondary))
    names = [
        str(clamp)
        for clamp, inlet in inlets
        if inlet is not None and inlet.container and not inlet.clamp_open
    ]
    names += [] if line.patient_clamp_open else [str(Clamp.PATIENT)]
    return f"{' and '.join(names)} closed" if names else ""


def alarm_views(state: State) -> tuple[MomentAlarmView, ...]:
    """The alarms that were on, most urgent first."""
    rank = {"high": 0, "medium": 1, "low": 2}
    return tuple(
        MomentAlarmView(
            priority=str(one.priority),
            text=f"{phrases.PRIORITY_WORDS[one.priority]}: "
            f"{phrases.alarm_title(one.kind, one.line).lower()}"
            + ("" if one.cause_present else " (cause gone, not reset)"),
        )
        for one in sorted(state.alarms, key=lambda one: (rank[one.priority], one.raised_ms))
    )


def patient_views(state: State) -> tuple[FactView, ...]:
    """Sites, signs and air in the vein, as they were and as they had last been seen."""
    sites = tuple(_site(state.scenario, access, state.as_of_ms) for access in state.access)
    seen = dict(state.signs_seen)
    units = {sign.name: sign.unit for sign in state.scenario.patient.signs}
    signs = tuple(
        FactView(
            name=name,
            true=f"{value} {units.get(name, '')}".strip(),
            seen=f"last seen {seen[name]}" if name in seen else "not looked at",
            unseen=seen.get(name) not in (None, value),
        )
        for name, value in state.signs
    )
    return (*sites, *signs, *_air_in_vein(state))


def _air_in_vein(state: State) -> tuple[FactView, ...]:
    """The air that had reached the vein by then, if there was any to tell."""
    volume = state.ledger.air_in_vein
    if volume < LEAST_TOLD:
        return ()
    return (FactView(name="air that had reached the vein", true=explain.volume(volume)),)


def _site(scenario: Scenario, access: AccessState, at_ms: int) -> FactView:
    name = next(one.name for one in scenario.patient.access if one.id == access.id)
    if access.seen_ms is None:
        return FactView(
            name=f"site, {name}",
            true=str(access.site),
            seen="not looked at yet",
            unseen=access.site is not Site.PATENT,
        )
    minutes = (at_ms - access.seen_ms) // words.MINUTE_MS
    when = "just now" if minutes < 1 else f"{minutes} min before"
    return FactView(name=f"site, {name}", true=str(access.site), seen=f"looked at {when}")


def orders_standing(state: State) -> tuple[str, ...]:
    """The orders that stood, by title."""
    return tuple(
        state.scenario.order(one.id).title
        for one in state.orders
        if one.from_ms is not None and one.until_ms is None
    )


def acts_before(scenario: Scenario, course: Course, at_ms: int) -> tuple[tuple[str, str], ...]:
    """The last few acts up to the moment, latest first."""
    before = [act for act in course.acts if act.at_ms <= at_ms][-ACTS_BEFORE:]
    return tuple(
        (words.ward_time(scenario, act.at_ms), told(scenario, act)) for act in before[::-1]
    )


def told(scenario: Scenario, act: ActMark) -> str:
    """One act in words, with why it was impossible if it was."""
    done = phrases.did(scenario, act.action)
    return f"{done}. Not possible: {act.refused}" if act.refused else done

"""One moment of an attempt as the debrief shows it: what was true, what had been looked at.

Views only. The state comes from `engine.replay.state_at`.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical.rounding import format_number, round_half_up
from trainer.engine import drive, power, site, view
from trainer.engine import signs as truly
from trainer.engine.amounts import ml_h_from_ul_h
from trainer.engine.state import AccessState, Inlet, Line, State
from trainer.scenario.model import Scenario
from trainer.scoring import explain
from trainer.scoring.course import Course
from trainer.scoring.into_vein import LEAST_TOLD
from trainer.scoring.marks import ActMark
from trainer.terms import Clamp, Drive, Site
from trainer.web import phrases, words
from trainer.web.stations import runs_by_gravity
from trainer.web.tones import tones
from trainer.web.views_contents import lying

LEAST_AIR_ML = Fraction(1, 20)
"""Less air than this would be told as 0 mL. Half of the last place told."""

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
    """A line's facts: what drives it, what hangs there, and whatever was out of order."""
    pump = () if line.drive is Drive.GRAVITY else _pump_facts(state, line)
    facts = (*pump, *_hanging(state, line), *_in_the_way(line), *_lying_there(state, line))
    return MomentLineView(name=f"Line {line.number}", running=_running(state, line), facts=facts)


def _running(state: State, line: Line) -> str:
    """What ran, and how fast; by gravity also in drops."""
    flow = drive.flow_ul_h(state, line)
    if line.drive is not Drive.GRAVITY and not runs_by_gravity(state, line):
        words_for = phrases.RUNNING_WORDS[line.pump.running]
        rate = line.pump.rate_ul_h
        return f"{words_for} at {words.rate(rate)} mL/h" if rate else words_for
    if not flow:
        return "standing"
    drops = format_number(round_half_up(view.drops_per_min(state, line.number), Fraction(1)))
    how = "dripping" if line.drive is Drive.GRAVITY else "running freely, outside its pump,"
    return f"{how} at {words.number(ml_h_from_ul_h(flow))} mL/h, {drops} drops/min"


def _pump_facts(state: State, line: Line) -> tuple[FactView, ...]:
    """What the pump had been told and felt."""
    pump = line.pump
    programme = pump.secondary if pump.source == "secondary" else pump.primary
    entered = pump.entered_secondary or pump.entered_primary
    waiting = (
        (FactView(name="entered, not started", true=words.sentence(entered)),) if entered else ()
    )
    return (
        FactView(name="programmed", true=words.sentence(programme) if programme else "nothing yet"),
        *waiting,
        FactView(name="given of it", true=f"{words.ml(_given(line))} mL"),
        FactView(name="pressure below the pump", true=_pressure(state, line)),
        *_power(state, line),
    )


def _power(state: State, line: Line) -> tuple[FactView, ...]:
    if not power.is_on_battery(state, line):
        return ()
    left = words.span(power.left_ms(state, line))
    return (FactView(name="power", true=f"battery, {left} left"),)


def _hanging(state: State, line: Line) -> tuple[FactView, ...]:
    """Containers and what shut them off."""
    facts = [FactView(name="container", true=_container(state, line.primary))]
    if line.secondary is not None and line.secondary.container:
        facts.append(FactView(name="secondary container", true=_container(state, line.secondary)))
    if line.drive is Drive.GRAVITY and line.primary.clamp_open:
        opening = words.number(Fraction(line.primary.opening, 10))
        facts.append(FactView(name="roller clamp", true=f"{opening} % open"))
    closed = _closed(line)
    return (*facts, FactView(name="clamps", true=closed)) if closed else tuple(facts)


def _in_the_way(line: Line) -> tuple[FactView, ...]:
    """What held the fluid back, or let it astray."""
    found = (
        ("blocked below the pump", line.blocked_below),
        ("blocked above the pump", line.blocked_above),
        ("narrowed below the pump", line.narrowed_below),
        ("the set", "lay wrong in the pump" if line.set_slipped else ""),
        ("check valve", "" if line.valve_works else "let fluid run back"),
    )
    return tuple(FactView(name=name, true=true) for name, true in found if true)


def _lying_there(state: State, line: Line) -> tuple[FactView, ...]:
    """Drugs in the tubing, and air."""
    scenario = state.scenario
    drugs = tuple(
        FactView(name="in the tubing", true=f"{one.volume} mL of {one.name}")
        for one in lying(scenario, line, tones(scenario))
    )
    air = view.air_ml(line)
    told = f"{words.number(air)} mL" if air >= LEAST_AIR_ML else ""
    return (*drugs, FactView(name="air in the tubing", true=told)) if told else drugs


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
    sites = tuple(_site(state, access) for access in state.access)
    seen = dict(state.signs_seen)
    units = {sign.name: sign.unit for sign in state.scenario.patient.signs}
    signs = tuple(
        FactView(
            name=name,
            true=f"{value} {units.get(name, '')}".strip(),
            seen=f"last seen {seen[name]}" if name in seen else "not looked at",
            unseen=seen.get(name) not in (None, value),
        )
        for name, value in truly.all_now(state)
    )
    return (*sites, *signs, *_air_in_vein(state))


def _air_in_vein(state: State) -> tuple[FactView, ...]:
    """The air that had reached the vein by then, if there was any to tell."""
    volume = state.ledger.air_in_vein
    if volume < LEAST_TOLD:
        return ()
    return (FactView(name="air that had reached the vein", true=explain.volume(volume)),)


def _site(state: State, access: AccessState) -> FactView:
    name = next(one.name for one in state.scenario.patient.access if one.id == access.id)
    true = _truly(state, access)
    if access.seen_ms is None:
        return FactView(
            name=f"site, {name}",
            true=true,
            seen="not looked at yet",
            unseen=access.site is not Site.PATENT,
        )
    minutes = (state.as_of_ms - access.seen_ms) // words.MINUTE_MS
    when = "just now" if minutes < 1 else f"{minutes} min before"
    return FactView(name=f"site, {name}", true=true, seen=f"looked at {when}")


def _truly(state: State, access: AccessState) -> str:
    """What was true of a site: its grade, and what had gone beside the vein."""
    grade = site.grade_of(state, access)
    beside = f"{words.ml(access.tissue)} mL in the tissue" if access.tissue else ""
    parts = (str(access.site), f"grade {grade}" if grade else "", beside)
    return ", ".join(part for part in parts if part)


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

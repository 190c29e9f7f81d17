"""What runs in a line, as text: the counters, and what the pump was told.

A gravity line has no pump that could tell: its counters show what was counted last.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical.rounding import format_number, round_half_up
from trainer.clinical.timebase import format_duration
from trainer.engine import power
from trainer.engine.amounts import time_to_move
from trainer.engine.blend import name_of
from trainer.engine.counting import programme_of
from trainer.engine.events import Acted, Entered, Event, Perceived
from trainer.engine.figures import MOTES_PER_UL
from trainer.engine.state import AlarmState, Line, Programme, Pump, State
from trainer.terms import Drive, Param, Role, Running, Verb
from trainer.web import words
from trainer.web.phrases import RUNNING_WORDS
from trainer.web.stations import runs_by_gravity

NOTHING = ""
"""No value: the page shows a dash."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Counter:
    """One value with its name; `show` is the name by which the script moves it."""

    name: str
    value: str
    tail: str
    show: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunningView:
    """The running values of a line. Those for the script are whole microlitres."""

    number: str
    title: str
    state: str
    state_cls: str
    counters: tuple[Counter, ...]
    in_force: tuple[str, ...]
    waiting: tuple[str, ...]
    nothing: str  # what is said while nothing is in force and nothing waits
    power: str
    battery: str  # how long it lasts; empty on the mains
    anchor_ms: str
    pump_ul_h: str
    given_ul: str
    to_give_ul: str
    is_counting: bool


def running_view(
    state: State, number: int, events: Sequence[Event] = (), *, in_practice: bool = True
) -> RunningView:
    """What runs in line `number`. Only in practice a count is turned into mL/h."""
    line = state.line(number)
    pump = line.pump
    programme, given = programme_of(pump)
    volume = programme.volume if programme else 0
    by_gravity = line.drive is Drive.GRAVITY
    left = _time_left(pump, max(volume - given, 0))
    return RunningView(
        number=str(number),
        title=_title(state, line),
        state=_state_words(state, line),
        state_cls=_state_cls(state, line),
        counters=_counted(state, line, events, in_practice=in_practice)
        if by_gravity
        else _counters(pump, left),
        in_force=_sentences(state, number, events, (pump.primary, pump.secondary)),
        waiting=_sentences(state, number, events, (pump.entered_primary, pump.entered_secondary)),
        nothing=_BY_HAND if by_gravity else "Nothing entered yet.",
        power=_power(state, line),
        battery=_battery(state, line),
        anchor_ms=str(state.as_of_ms),
        pump_ul_h=str(pump.rate_ul_h),
        given_ul=str(given // MOTES_PER_UL),
        to_give_ul=str(volume // MOTES_PER_UL),
        is_counting=bool(left),
    )


_BY_HAND = "No pump: the height of the container and the roller clamp set the flow."


def _counters(pump: Pump, left: str) -> tuple[Counter, ...]:
    programme, given = programme_of(pump)
    of = f" of {words.ml(programme.volume)}" if programme else ""
    return (
        Counter(name="Rate", value=words.rate(pump.rate_ul_h), tail=" mL/h"),
        Counter(name="Given", value=words.ml(given), tail=f"{of} mL", show="given"),
        Counter(name="Time left", value=left or NOTHING, tail="", show="left"),
    )


def _state_words(state: State, line: Line) -> str:
    """What the pump is doing, or what height alone does."""
    if not runs_by_gravity(state, line):
        return "standing" if line.drive is Drive.GRAVITY else RUNNING_WORDS[line.pump.running]
    return "dripping" if line.drive is Drive.GRAVITY else "running freely, outside its pump"


def _time_left(pump: Pump, left_motes: int) -> str:
    """How long the programme in force still takes; empty if it does not run."""
    if pump.running is not Running.INFUSING or not pump.rate_ul_h:
        return ""
    return format_duration(time_to_move(left_motes, pump.rate_ul_h))


def _title(state: State, line: Line) -> str:
    """The line's number and what runs in it: `Line 1 · maintenance bag`."""
    if not line.primary.container:
        none = "no syringe yet" if line.drive is Drive.SYRINGE else "nothing hung yet"
        return f"Line {line.number} · {none}"
    fluid = state.container(line.primary.container).fluid
    return f"Line {line.number} · {name_of(state.scenario, fluid)}"


def alarm_of(state: State, number: int) -> AlarmState | None:
    """The first alarm of a line that stands in the state."""
    return next((alarm for alarm in state.alarms if alarm.line == number), None)


def _state_cls(state: State, line: Line) -> str:
    alarm = alarm_of(state, line.number)
    if alarm:
        return f"is-{alarm.priority}"
    runs = line.pump.running is Running.INFUSING
    return "is-running" if runs or runs_by_gravity(state, line) else "is-still"


def _sentences(
    state: State, number: int, events: Sequence[Event], both: tuple[Programme | None, ...]
) -> tuple[str, ...]:
    """Primary and secondary as they stand at the pump, each with the fluid that it was told."""
    return tuple(
        f"{role.capitalize()}: {words.sentence(one)}{_told(state, number, events, role, one)}"
        for role, one in zip(Role, both, strict=True)
        if one
    )


def _told(
    state: State, number: int, events: Sequence[Event], role: Role, programme: Programme
) -> str:
    """The fluid that was named when a programme was entered; empty if none was."""
    for event in reversed(events):
        if not isinstance(event, Entered) or (event.line, event.role) != (number, role):
            continue
        if event.programme == programme:
            return f" of {name_of(state.scenario, event.fluid)}" if event.fluid else ""
    return ""


# --- power ----------------------------------------------------------------------------


def _power(state: State, line: Line) -> str:
    """Where the pump's power comes from; empty for a line without a pump."""
    if not power.has_pump(line):
        return ""
    if not power.is_on_battery(state, line):
        return "on the mains"
    why = "mains failed" if line.plugged_in else "not plugged in"
    left_ms = power.left_ms(state, line)
    return f"on battery, {why}" if left_ms else f"no power: {why}, battery spent"


def _battery(state: State, line: Line) -> str:
    """How long the battery lasts; empty on the mains, or when it is spent."""
    left_ms = power.left_ms(state, line) if power.is_on_battery(state, line) else 0
    return words.span(left_ms) if left_ms else ""


# --- drops as they were counted -------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Count:
    """Drops that the learner counted."""

    at_ms: int
    drops: int
    seconds: int

    @property
    def per_min(self) -> Fraction:
        """Drops a minute by this count."""
        return Fraction(self.drops * 60, self.seconds)


def last_count(events: Sequence[Event], number: int) -> Count | None:
    """The last drops that were counted at a line's primary chamber."""
    for place in range(len(events) - 2, -1, -1):
        acted, then = events[place], events[place + 1]
        if not isinstance(acted, Acted) or acted.action.verb is not Verb.COUNT_DROPS:
            continue
        action = acted.action
        is_ours = action.get(Param.LINE).strip() == str(number)
        if is_ours and action.get(Param.ROLE) != Role.SECONDARY and isinstance(then, Perceived):
            return _count_in(then, action.get(Param.SECONDS))
    return None


def _count_in(perceived: Perceived, seconds: str) -> Count | None:
    """The number that a count told; None if it told none."""
    drops = re.search(r"(\d+) drops?\b", perceived.text)
    lasted = re.match(r"\s*(\d+)", seconds)
    if lasted is None:
        return None
    told = int(drops[1]) if drops else 0
    return Count(at_ms=perceived.at_ms, drops=told, seconds=int(lasted[1]))


def _counted(
    state: State, line: Line, events: Sequence[Event], *, in_practice: bool
) -> tuple[Counter, ...]:
    """The last count, and in practice what it comes to in mL/h by the set's drops per mL."""
    factor = state.scenario.line(line.number).drop_factor
    per_ml = Counter(name="The set", value=format_number(factor), tail=" drops/mL")
    count = last_count(events, line.number)
    if count is None:
        return (Counter(name="Drops counted", value=NOTHING, tail=""), per_ml)
    per_min = format_number(round_half_up(count.per_min, Fraction(1)))
    by_it = format_number(round_half_up(count.per_min * 60 / factor, Fraction(1)))
    at = f" drops/min at {words.ward_time(state.scenario, count.at_ms)}"
    counted = Counter(name="Counted", value=per_min, tail=at)
    as_rate = Counter(name="By that count", value=by_it, tail=" mL/h")
    return (counted, as_rate, per_ml) if in_practice else (counted, per_ml)

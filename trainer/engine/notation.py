"""A state as one line of text: for tests, error texts and bug reports.

`t=00:12:30.000 line1 infusing 56.4 mL/h given=11.75 left=470.2 ...`: the moment, each
line with its pump, what it gave, what is left and what lies in its tubing, where fluid
went, alarms. Volumes are mL. Written for reading; it is not read back.
"""

from __future__ import annotations

from trainer.clinical.rounding import exact_text, format_number
from trainer.engine.amounts import ml_from_motes, ml_h_from_ul_h
from trainer.engine.path import inlet_of, left_in_container
from trainer.engine.state import AlarmState, Inlet, Line, State
from trainer.engine.tubing import Plugs
from trainer.terms import Role


def format_state(state: State) -> str:
    """The whole state in one line."""
    parts = [f"t={format_moment(state.as_of_ms)}"]
    parts += [_line(state, line) for line in state.lines]
    parts.append(f"vein={_sums(state.ledger.vein)}")
    parts += [
        f"{name}={_sums(sums)}"
        for name, sums in (("tissue", state.ledger.tissue), ("waste", state.ledger.waste))
        if sums
    ]
    if state.ledger.air_in_vein:
        parts.append(f"air_in_vein={_ml(state.ledger.air_in_vein)}")
    parts.append(f"alarms={','.join(_alarm(alarm) for alarm in state.alarms) or '-'}")
    if state.ended:
        parts.append("ended")
    return " ".join(parts)


def format_moment(at_ms: int) -> str:
    """A moment since the beginning.

    >>> format_moment(750_000)
    '00:12:30.000'
    """
    seconds, thousandths = divmod(at_ms, 1_000)
    minutes, second = divmod(seconds, 60)
    hour, minute = divmod(minutes, 60)
    return f"{hour:02d}:{minute:02d}:{second:02d}.{thousandths:03d}"


def _ml(motes: int) -> str:
    return format_number(ml_from_motes(motes), plain=True)


def _line(state: State, line: Line) -> str:
    pump = line.pump
    rate = exact_text(ml_h_from_ul_h(pump.rate_ul_h))
    given = pump.given_primary if pump.source is Role.PRIMARY else pump.given_secondary
    parts = [
        f"line{line.number} {pump.running.value} {rate} mL/h {pump.source.value}",
        f"given={_ml(given)}",
        f"total={_ml(pump.total)}",
        *(_inlet(state, line, role) for role in Role if inlet_of(line, role) is not None),
        f"above={_plugs(line.above)}",
        f"below={_plugs(line.below)}",
        *_flags(line),
    ]
    return " ".join(parts)


def _inlet(state: State, line: Line, role: Role) -> str:
    inlet = inlet_of(line, role) or line.primary
    left = _ml(left_in_container(state.containers, inlet))
    marks = _marks(inlet)
    return f"{role.value}={left}+{_ml(inlet.chamber)}[{_plugs(inlet.contents)}]{marks}"


def _marks(inlet: Inlet) -> str:
    return ("" if inlet.clamp_open else "|") + ("" if inlet.joined else "!")


def _plugs(plugs: Plugs) -> str:
    return "/".join(f"{plug.fluid}:{_ml(plug.volume)}" for plug in plugs) or "-"


def _flags(line: Line) -> list[str]:
    named: tuple[tuple[str, object], ...] = (
        ("unloaded", not line.loaded),
        ("unconnected", not line.connected),
        ("patient-clamp-closed", not line.patient_clamp_open),
        ("blocked-above", line.blocked_above),
        ("blocked-below", line.blocked_below),
        ("primary-low", line.primary_lowered),
        ("valve-stuck", not line.valve_works),
    )
    flags = [name for name, is_so in named if is_so]
    if line.stored:
        flags.append(f"stored={_ml(line.stored)}")
    if line.drawn:
        flags.append(f"drawn={_ml(line.drawn)}")
    return flags


def _sums(sums: tuple[tuple[str, int], ...]) -> str:
    return "/".join(f"{fluid}:{_ml(volume)}" for fluid, volume in sorted(sums)) or "-"


def _alarm(alarm: AlarmState) -> str:
    state = "" if alarm.cause_present else "(latched)"
    return f"{alarm.kind.value}@{alarm.line}{state}"

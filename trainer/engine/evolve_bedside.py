"""What events of pump and power, of catheters and of fluids that meet change in the state."""

from __future__ import annotations

from typing import assert_never

from trainer.engine import air_watch, power
from trainer.engine.copying import changed
from trainer.engine.downstream import rest_moved
from trainer.engine.events import (
    ArmMoved,
    BatteryReached,
    BubblePassed,
    CatheterRemoved,
    FluidsMet,
    LimitOverridden,
    LineNarrowed,
    PluggedIn,
    PowerChanged,
    Resited,
    SetSlipped,
    SiteChanged,
    Unloaded,
    ValveStuck,
    VeinPressureChanged,
)
from trainer.engine.putting import put_line
from trainer.engine.site import access_state, with_access
from trainer.engine.state import AccessState, Line, State
from trainer.terms import Site

CatheterEvent = SiteChanged | CatheterRemoved | Resited | ArmMoved | VeinPressureChanged
BedsideLineEvent = (
    Unloaded
    | PluggedIn
    | LimitOverridden
    | LineNarrowed
    | BubblePassed
    | BatteryReached
    | FluidsMet
    | ValveStuck
    | SetSlipped
)
BedsideEvent = CatheterEvent | BedsideLineEvent | PowerChanged


def bedside_after(state: State, event: BedsideEvent) -> State:
    """After something changed at a catheter, at a pump's set or in its power."""
    if isinstance(event, PowerChanged):
        lines = tuple(power.recounted(state, line) for line in state.lines)
        return changed(state, lines=lines, mains_on=event.mains_on)
    if isinstance(event, BedsideLineEvent):
        return put_line(state, _line_after(state, state.line(event.line), event))
    access = access_state(state, event.access)
    if access is None:
        return state
    later = _access_after(access, event)
    return _rested(with_access(state, later), access, later)


def _rested(state: State, before: AccessState, after: AccessState) -> State:
    """The lines on a catheter after its height or its vein's pressure may have changed."""
    pressure_u = after.pressure_u - before.pressure_u
    rise_mm = after.height_mm - before.height_mm
    if not pressure_u and not rise_mm:
        return state
    lines = tuple(
        rest_moved(state.figures, line, pressure_u=pressure_u, rise_mm=rise_mm)
        if line.access == after.id
        else line
        for line in state.lines
    )
    return changed(state, lines=lines)


def _access_after(access: AccessState, event: CatheterEvent) -> AccessState:
    match event:
        case SiteChanged():
            return changed(access, site=event.site, grade=event.grade)
        case CatheterRemoved():
            left = access.grade if access.site is Site.INFILTRATED else 0
            return changed(access, site=Site.REMOVED, grade=left)
        case Resited():  # another vein: nothing of it has been looked at
            return changed(
                access,
                site=Site.PATENT,
                grade=0,
                tissue=0,
                tissue_fluids=(),
                seen="",
                seen_ms=None,
            )
        case ArmMoved():
            return changed(access, height_mm=event.height_mm)
        case VeinPressureChanged():
            return changed(access, pressure_u=event.pressure_u)
        case _:
            assert_never(event)


def _line_after(state: State, line: Line, event: BedsideLineEvent) -> Line:
    match event:
        case Unloaded():
            return changed(line, loaded=False, set_slipped=False)
        case SetSlipped():
            return changed(line, set_slipped=True)
        case PluggedIn():
            return changed(
                line,
                plugged_in=True,
                battery_ms=event.battery_ms,
                battery_as_of_ms=event.at_ms,
            )
        case BatteryReached():
            return changed(line, battery_ms=event.left_ms, battery_as_of_ms=event.at_ms)
        case LimitOverridden():
            return line
        case LineNarrowed():
            return changed(
                line,
                narrowed_below=event.reason,
                narrowed_mend=event.mend,
                narrowed_u=event.resistance_u,
                narrowed_ms=event.time_constant_ms,
            )
        case BubblePassed():
            return air_watch.with_bubble(state.scenario.policy.pump, line, event)
        case FluidsMet():
            return changed(line, fluids_met=(*line.fluids_met, (event.first, event.second)))
        case ValveStuck():
            return changed(line, valve_works=False)
        case _:
            assert_never(event)

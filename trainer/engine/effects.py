"""What an authored event does to the bedside, as events of the engine."""

from __future__ import annotations

from fractions import Fraction
from math import ceil

from trainer.engine import running_down
from trainer.engine.alarms import raised
from trainer.engine.amounts import MOTES_PER_ML
from trainer.engine.begin import millimetres
from trainer.engine.downstream import narrowing_ms
from trainer.engine.events import (
    AirEntered,
    ArmMoved,
    Cued,
    Event,
    EventCame,
    LineBlocked,
    LineFreed,
    LineNarrowed,
    OrderEnded,
    OrderGiven,
    Said,
    SetSlipped,
    SignChanged,
    SignDrifts,
    SiteChanged,
    Stopped,
    ValveStuck,
    VeinPressureChanged,
)
from trainer.engine.figures import millionths
from trainer.engine.freeing import NEW_SET
from trainer.engine.path import flowing_inlet_of, is_infusing
from trainer.engine.site import access_state
from trainer.engine.state import AccessState, Line, State
from trainer.engine.tubing import volume_of
from trainer.errors import EngineError
from trainer.scenario.model import AuthoredEvent, Effect
from trainer.terms import AlarmKind, CueKind, Drive, Happening, Site, Where

BY_ALARM = "alarm"
BY_SCENARIO = "scenario"
"""Who gave a cue that no one asked for."""

ON_ACCESS = (
    Happening.SITE_CHANGES,
    Happening.ARM_MOVES,
    Happening.VEIN_PRESSURE_CHANGES,
)
ON_LINE = (
    Happening.LINE_BLOCKED,
    Happening.LINE_FREED,
    Happening.LINE_NARROWS,
    Happening.AIR_ENTERS,
    Happening.VALVE_STICKS,
    Happening.SET_SLIPS,
)


def came(state: State, event: AuthoredEvent, at_ms: int) -> tuple[Event, ...]:
    """The authored event, and what it does, at this moment."""
    first = event.effects[0].happening if event.effects else Happening.CALL
    done: list[Event] = [EventCame(at_ms=at_ms, event=event.id, happening=first)]
    for effect in event.effects:
        done.extend(_of(state, effect, at_ms))
    return tuple(done)


def _of(state: State, effect: Effect, at_ms: int) -> tuple[Event, ...]:
    if effect.happening in ON_LINE:
        line = next((one for one in state.lines if one.number == effect.line), None)
        return _on_line(state, line, effect, at_ms) if line else ()
    if effect.happening in ON_ACCESS:
        access = access_state(state, effect.access)
        return _on_access(access, effect, at_ms) if access else ()
    match effect.happening:
        case Happening.CALL | Happening.CUE:
            return _told(effect, at_ms)
        case Happening.ORDER_GIVEN:
            return _order_given(state, effect.order, at_ms)
        case Happening.ORDER_ENDED:
            return (OrderEnded(at_ms=at_ms, order=effect.order),)
        case Happening.SIGN_CHANGES:
            return (SignChanged(at_ms=at_ms, sign=effect.sign, value=effect.value),)
        case Happening.SIGN_DRIFTS:
            return _drift(effect, at_ms)
        case Happening.POWER_FAILS:
            return running_down.mains_changed(state, mains_on=False, at_ms=at_ms)
        case Happening.POWER_RETURNS:
            return running_down.mains_changed(state, mains_on=True, at_ms=at_ms)
        case _:
            raise EngineError(f"{effect.happening.value} has no effect on the bedside")


def _told(effect: Effect, at_ms: int) -> tuple[Event, ...]:
    """Somebody calls or comes, or the scenario gives a cue."""
    if effect.happening is Happening.CALL:
        return (Said(at_ms=at_ms, who=effect.who, text=effect.text),)
    kind = effect.cue or CueKind.REALITY
    return (Cued(at_ms=at_ms, kind=kind, step=effect.step, text=effect.text, by=BY_SCENARIO),)


def _drift(effect: Effect, at_ms: int) -> tuple[Event, ...]:
    """A sign goes its way from now on; without a half-time it is there at once."""
    if effect.half_ms <= 0:
        return (SignChanged(at_ms=at_ms, sign=effect.sign, value=effect.value),)
    return (SignDrifts(at_ms=at_ms, sign=effect.sign, value=effect.value, half_ms=effect.half_ms),)


# --- at a catheter --------------------------------------------------------------------


def _on_access(access: AccessState, effect: Effect, at_ms: int) -> tuple[Event, ...]:
    match effect.happening:
        case Happening.ARM_MOVES:
            height_mm = millimetres(effect.height_cm or Fraction(0))
            return (ArmMoved(at_ms=at_ms, access=access.id, height_mm=height_mm),)
        case Happening.VEIN_PRESSURE_CHANGES:
            pressure_u = millionths(effect.pressure_mmhg or Fraction(0))
            return (VeinPressureChanged(at_ms=at_ms, access=access.id, pressure_u=pressure_u),)
        case _:
            return _site(access, effect, at_ms)


def _site(access: AccessState, effect: Effect, at_ms: int) -> tuple[Event, ...]:
    """Nothing befalls a catheter that is out, until a new one lies."""
    if access.site is Site.REMOVED:
        return ()
    site = effect.site or Site.PATENT
    return (SiteChanged(at_ms=at_ms, access=access.id, site=site, grade=effect.grade),)


# --- on a line ------------------------------------------------------------------------


def _on_line(state: State, line: Line, effect: Effect, at_ms: int) -> tuple[Event, ...]:
    match effect.happening:
        case Happening.AIR_ENTERS if effect.where is Where.DOWNSTREAM:
            return _air_below(line, effect, at_ms)
        case Happening.AIR_ENTERS:
            return _air_above(state, line, effect, at_ms)
        case Happening.LINE_FREED:
            return _freed(line, effect, at_ms)
        case Happening.LINE_NARROWS:
            return _narrowed(state, line, effect, at_ms)
        case Happening.VALVE_STICKS:
            return (ValveStuck(at_ms=at_ms, line=line.number),) if line.valve_works else ()
        case Happening.SET_SLIPS:
            return _slipped(state, line, at_ms)
        case _:
            return _blocked(line, effect, at_ms)


def _blocked(line: Line, effect: Effect, at_ms: int) -> tuple[Event, ...]:
    """Something new holds the fluid back; nothing, where the line is clogged for good."""
    where = effect.where or Where.DOWNSTREAM
    if where is Where.DOWNSTREAM and line.blocked_below_mend is NEW_SET:
        return ()
    return (
        LineBlocked(
            at_ms=at_ms,
            line=line.number,
            where=where,
            reason=effect.reason or "something holds the fluid back",
            mend=effect.mend,
        ),
    )


def _freed(line: Line, effect: Effect, at_ms: int) -> tuple[Event, ...]:
    """Blocks on one side, or both; a narrowing below goes with them."""
    sides = (effect.where,) if effect.where else tuple(Where)
    freed = [
        LineFreed(at_ms=at_ms, line=line.number, where=side)
        for side in sides
        if (line.blocked_below if side is Where.DOWNSTREAM else line.blocked_above)
    ]
    if line.narrowed_below and Where.DOWNSTREAM in sides:
        below = Where.DOWNSTREAM
        freed.append(LineFreed(at_ms=at_ms, line=line.number, where=below, narrowing=True))
    return tuple(freed)


def _narrowed(state: State, line: Line, effect: Effect, at_ms: int) -> tuple[Event, ...]:
    """What narrows a line, with its time constant R x C."""
    resistance_u = millionths(effect.resistance or Fraction(0))
    if resistance_u <= 0:
        return ()
    return (
        LineNarrowed(
            at_ms=at_ms,
            line=line.number,
            reason=effect.reason or "something presses on the tubing",
            mend=effect.mend,
            resistance_u=resistance_u,
            time_constant_ms=narrowing_ms(state.figures, line, resistance_u),
        ),
    )


def _slipped(state: State, line: Line, at_ms: int) -> tuple[Event, ...]:
    """The set lies wrong: the pump stops and tells so. Nothing, if it lies in no pump."""
    if line.drive is Drive.GRAVITY or not line.loaded or line.set_slipped:
        return ()
    stop = (Stopped(at_ms=at_ms, line=line.number, by=BY_ALARM),) if is_infusing(line) else ()
    slipped = SetSlipped(at_ms=at_ms, line=line.number)
    return slipped, *stop, *raised(state, AlarmKind.CHECK_SET, line.number, at_ms)


def _air_above(state: State, line: Line, effect: Effect, at_ms: int) -> tuple[Event, ...]:
    """Air at the join, as far from the detector as the tubing above the pump allows.

    As much fluid goes back toward the container, so the bubble ends where the tubing
    between join and pump begins. Without such tubing it lies in the flowing inlet.
    """
    inlet = flowing_inlet_of(state.containers, line)
    return _air(line, effect, volume_of(line.above) or volume_of(inlet.contents), at_ms)


def _air_below(line: Line, effect: Effect, at_ms: int) -> tuple[Event, ...]:
    """Air just below the pump, where no detector sees it; as much fluid leaks away."""
    return _air(line, effect, volume_of(line.below), at_ms)


def _air(line: Line, effect: Effect, room: int, at_ms: int) -> tuple[Event, ...]:
    volume = min(ceil((effect.volume_ml or 0) * MOTES_PER_ML), room)
    if volume <= 0:
        return ()
    return (
        AirEntered(
            at_ms=at_ms,
            line=line.number,
            volume=volume,
            ahead=room - volume,
            where=effect.where or Where.UPSTREAM,
        ),
    )


def _order_given(state: State, order_id: str, at_ms: int) -> tuple[Event, ...]:
    given = OrderGiven(at_ms=at_ms, order=order_id)
    replaced = next((one.supersedes for one in state.scenario.orders if one.id == order_id), "")
    stands = any(
        one.id == replaced and one.from_ms is not None and one.until_ms is None
        for one in state.orders
    )
    if replaced and stands:
        return OrderEnded(at_ms=at_ms, order=replaced), given
    return (given,)

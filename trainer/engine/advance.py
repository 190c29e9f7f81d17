"""What time alone brings: from happening to happening, no ticks.

`advance` finds the earliest happenings, makes their events (the condition, what the pump
does about it, the alarm, the author's events), folds them and goes on. Everything up to
and including `until_ms` is told. The state given is not moved: advancing in two steps
gives the same events as in one.
"""

from __future__ import annotations

from trainer.engine import air_watch, running_down
from trainer.engine.alarms import ended, is_sucked, raised
from trainer.engine.carry import carry
from trainer.engine.consequences import settled
from trainer.engine.effects import came
from trainer.engine.events import (
    AirReachedDetector,
    ChamberDrained,
    ContainerEmptied,
    Event,
    Finished,
    FrontReachedVein,
    NearComplete,
    PressureReachedLimit,
    ResultCame,
    SoundResumed,
    Stopped,
    SuctionReachedLimit,
    VolumeComplete,
)
from trainer.engine.happenings import next_of
from trainer.engine.path import bubble_above, is_infusing
from trainer.engine.state import Line, State
from trainer.engine.triggers import met
from trainer.engine.tubing import leading_run
from trainer.engine.upcoming import Kind, Upcoming
from trainer.engine.upstream import ahead
from trainer.errors import EngineError
from trainer.terms import AlarmKind, Drive, Role, Running

BY_ALARM = "alarm"
BY_TIME = "time"


def advance(state: State, until_ms: int) -> tuple[Event, ...]:
    """Every event that time brings after the state's moment, `until_ms` included."""
    return advanced(state, until_ms)[1]


def advanced(
    state: State, until_ms: int, trail: list[State] | None = None
) -> tuple[State, tuple[Event, ...]]:
    """The state at the last of these events, and the events.

    Onto `trail`, where one is kept, goes the state after each of them.
    """
    found: list[Event] = []
    due = next_of(state, until_ms)
    while due and due[0].at_ms <= until_ms:
        state, events = _taken(state, due, trail)
        found.extend(events)
        due = next_of(state, until_ms)
    return state, tuple(found)


def next_happening_ms(state: State) -> int | None:
    """When the next thing happens by itself; None once the attempt has ended."""
    due = next_of(state)
    return due[0].at_ms if due else None


def _taken(
    state: State, due: list[Upcoming], trail: list[State] | None
) -> tuple[State, list[Event]]:
    """All happenings of one moment, in their order, with what follows from each."""
    state = carry(state, due[0].at_ms)
    found: list[Event] = []
    for one in due:
        if not state.ended:
            state, events = settled(state, _events_of(state, one), trail)
            found.extend(events)
    return state, found


def _events_of(state: State, one: Upcoming) -> tuple[Event, ...]:
    if one.kind in (Kind.TRIGGER_MET, Kind.EVENT_DUE):
        return _authored(state, one)
    if one.kind is Kind.SOUND_RESUMES:
        is_paused = state.sound_paused_until_ms is not None
        return (SoundResumed(at_ms=one.at_ms),) if is_paused else ()
    if one.kind is Kind.TIME_UP:
        return (Finished(at_ms=one.at_ms, by=BY_TIME),)
    if one.kind is Kind.RESULT_DUE:
        return _result(state, one)
    line = state.line(one.line)
    if one.kind is Kind.BATTERY:
        return running_down.reached(state, line)
    if one.kind is Kind.BUBBLE_PASSES:
        return air_watch.passed(state, line, line.pump.rate_ul_h)
    if one.kind in (Kind.NEAR_COMPLETE, Kind.VOLUME_COMPLETE, Kind.REMINDER):
        return _of_programme(state, line, one)
    return _of_fluid(state, line, one)


def _result(state: State, one: Upcoming) -> tuple[Event, ...]:
    """What a measurement showed, at the moment at which its sample was taken."""
    due = (sample for sample in state.samples if sample.sign == one.event)
    sample = min(due, key=lambda sample: sample.due_ms)
    return (
        ResultCame(at_ms=one.at_ms, sign=sample.sign, value=sample.value, taken_ms=sample.taken_ms),
    )


def _authored(state: State, one: Upcoming) -> tuple[Event, ...]:
    """The author's event, unless something of this same moment made it come already."""
    waiting = next(event for event in state.events if event.id == one.event)
    if waiting.came_ms is not None:
        return ()
    event = state.scenario.event(one.event)
    if one.kind is Kind.EVENT_DUE:
        return came(state, event, one.at_ms)
    return met(state, event, one.at_ms) if waiting.due_ms is None else ()


def _of_programme(state: State, line: Line, one: Upcoming) -> tuple[Event, ...]:
    at_ms, number = one.at_ms, one.line
    if one.kind is Kind.NEAR_COMPLETE:
        near = NearComplete(at_ms=at_ms, line=number)
        return near, *raised(state, AlarmKind.INFUSION_NEAR_COMPLETE, number, at_ms)
    if one.kind is Kind.REMINDER:
        return raised(state, AlarmKind.ATTENTION_REMINDER, number, at_ms)
    return (
        _completed(state, line, at_ms),
        *ended(state, AlarmKind.INFUSION_NEAR_COMPLETE, number),
        *raised(state, AlarmKind.INFUSION_COMPLETE, number, at_ms),
    )


def _completed(state: State, line: Line, at_ms: int) -> VolumeComplete:
    """Hand back to the primary if it has volume left, else keep the vein open or stop."""
    pump = line.pump
    hand_back = (
        pump.source is Role.SECONDARY
        and pump.primary is not None
        and pump.given_primary < pump.primary.volume
    )
    then = Running.INFUSING if hand_back else state.figures.at_end
    if then is Running.KEEPING_OPEN and not state.figures.keep_open_ul_h:
        then = Running.COMPLETE
    return VolumeComplete(
        at_ms=at_ms, line=line.number, role=pump.source, then=then, hand_back=hand_back
    )


def _of_fluid(state: State, line: Line, one: Upcoming) -> tuple[Event, ...]:
    at_ms, number = one.at_ms, one.line
    match one.kind:
        case Kind.FRONT_AT_VEIN:
            return (FrontReachedVein(at_ms=at_ms, line=number, fluid=_leaving(state, line)),)
        case Kind.CONTAINER_EMPTY:
            return _container_emptied(state, line, one)
        case Kind.CHAMBER_DRAINED:
            if line.drive is Drive.SYRINGE:  # it has none; it is empty, and that was told
                return ()
            return (ChamberDrained(at_ms=at_ms, line=number, role=one.role),)
        case Kind.PRESSURE_LIMIT:
            limit = PressureReachedLimit(at_ms=at_ms, line=number, stored=line.stored)
            return limit, *_stopped(state, line, AlarmKind.DOWNSTREAM_OCCLUSION)
        case Kind.SUCTION_LIMIT:
            return _sucked(state, line)
        case Kind.AIR_AT_DETECTOR:
            bubble = bubble_above(state.containers, line, 1)
            air = AirReachedDetector(at_ms=at_ms, line=number, volume=bubble[1] if bubble else 0)
            return air, *_stopped(state, line, AlarmKind.AIR_IN_LINE)
        case _:
            raise EngineError(f"{one.kind.name} is no happening of a line's fluid")


def _sucked(state: State, line: Line) -> tuple[Event, ...]:
    """The tubing is drawn narrow; or a closed bottle gives no more, and another may."""
    drawn = SuctionReachedLimit(at_ms=state.as_of_ms, line=line.number, drawn=line.drawn)
    if not is_sucked(state, line):
        return (drawn,)
    return drawn, *_stopped(state, line, AlarmKind.UPSTREAM_OCCLUSION)


def _container_emptied(state: State, line: Line, one: Upcoming) -> tuple[Event, ...]:
    """A drop sensor tells at once that the primary gives no more drops.

    A syringe's pump feels its plunger at the end; a gravity line has nobody to tell.
    """
    emptied = ContainerEmptied(at_ms=one.at_ms, line=line.number, role=one.role)
    is_told = state.figures.drop_sensor or line.drive is Drive.SYRINGE
    if one.role is Role.PRIMARY and is_told and is_infusing(line):
        return emptied, *_stopped(state, line, AlarmKind.CONTAINER_EMPTY)
    return (emptied,)


def _leaving(state: State, line: Line) -> str:
    return leading_run(line.below, *ahead(state.containers, line, line.pump.rate_ul_h, 1))[0]


def _stopped(state: State, line: Line, kind: AlarmKind) -> tuple[Event, ...]:
    """The pump stops and alarms."""
    stop = Stopped(at_ms=state.as_of_ms, line=line.number, by=BY_ALARM)
    alarm = raised(state, kind, line.number, state.as_of_ms)
    return (stop, *alarm) if is_infusing(line) else alarm

"""Events with all that follows from them at the same moment.

One batch of events is folded; what it brings at once (authored events it triggers,
pressure let go when a way opens, alarms whose cause is gone, fluids that meet) is added and
folded too, until nothing more follows. Each such thing can follow only once, so it ends.
"""

from __future__ import annotations

from trainer.engine import meeting
from trainer.engine.alarms import review
from trainer.engine.carry import site_of
from trainer.engine.downstream import released
from trainer.engine.events import Event, PressureReleased
from trainer.engine.evolve import evolve
from trainer.engine.state import State
from trainer.engine.triggers import met_by_events
from trainer.terms import Site


def settled(
    state: State, events: tuple[Event, ...], trail: list[State] | None = None
) -> tuple[State, tuple[Event, ...]]:
    """The state after these events and their consequences, and all events in order.

    Onto `trail`, where one is kept, goes the state after each of them.
    """
    done: list[Event] = []
    waiting = list(events)
    while waiting:
        for event in waiting:
            state = evolve(state, event)
            if trail is not None:
                trail.append(state)
        done.extend(waiting)
        waiting = [*met_by_events(state, waiting)] or [
            *_released(state),
            *review(state),
            *meeting.met(state),
        ]
    return state, tuple(done)


def _released(state: State) -> tuple[Event, ...]:
    """What stood under pressure goes at once when its way opens."""
    return tuple(
        PressureReleased(
            at_ms=state.as_of_ms,
            line=line.number,
            volume=volume,
            into_vein=line.connected,
            site=site_of(state, line) if line.connected else Site.PATENT,
        )
        for line in state.lines
        if line.stored != line.rest and (volume := released(state.access, line))
    )

"""Acts at the pump's set and plug, and with the catheter itself."""

from __future__ import annotations

from trainer.engine import power
from trainer.engine.actions import Action
from trainer.engine.events import (
    CatheterRemoved,
    Event,
    PluggedIn,
    Resited,
    Unloaded,
)
from trainer.engine.path import is_infusing
from trainer.engine.reading import access_of, line_of
from trainer.engine.refusals import require
from trainer.engine.state import AccessState, State
from trainer.terms import Refusal, Site, Verb

Events = tuple[Event, ...]


def unload(state: State, action: Action) -> Events:
    """Take the set, or the syringe, out of the pump. Whether it then runs, physics says."""
    line = line_of(state, action)
    require(
        line.loaded, Refusal.NOT_LOADED, "Nothing lies in the pump; there is nothing to take out."
    )
    require(
        not is_infusing(line),
        Refusal.RUNNING,
        "The pump is running; stop it before the set is taken out.",
    )
    return (Unloaded(at_ms=state.as_of_ms, line=line.number),)


def plug_in(state: State, action: Action) -> Events:
    """Put the pump's plug into the mains."""
    line = line_of(state, action)
    require(
        power.has_pump(line),
        Refusal.NOTHING_THERE,
        f"Line {line.number} runs by gravity; there is no pump to plug in.",
    )
    require(not line.plugged_in, Refusal.ALREADY_DONE, "The pump is plugged in already.")
    left_ms = power.left_ms(state, line)
    return (PluggedIn(at_ms=state.as_of_ms, line=line.number, battery_ms=left_ms),)


def remove_catheter(state: State, action: Action) -> Events:
    """Take a catheter out; its lines must be off it first."""
    access = access_of(state, action)
    require(
        access.site is not Site.REMOVED,
        Refusal.ALREADY_DONE,
        "The catheter is out already; a new one can be placed.",
    )
    _refuse_connected(state, access)
    return (CatheterRemoved(at_ms=state.as_of_ms, access=access.id),)


def resite(state: State, action: Action) -> Events:
    """Place a new catheter in another vein; one that still lies comes out with it."""
    access = access_of(state, action)
    _refuse_connected(state, access)
    at_ms = state.as_of_ms
    resited = Resited(at_ms=at_ms, access=access.id)
    if access.site is Site.REMOVED:
        return (resited,)
    return CatheterRemoved(at_ms=at_ms, access=access.id), resited


def _refuse_connected(state: State, access: AccessState) -> None:
    on_it = [line for line in state.lines if line.access == access.id and line.connected]
    running = [line.number for line in on_it if is_infusing(line)]
    require(
        not running,
        Refusal.RUNNING,
        f"Line {', '.join(map(str, running))} still runs into this catheter; "
        "stop it and disconnect it first.",
    )
    require(
        not on_it,
        Refusal.IN_USE,
        f"Line {', '.join(str(line.number) for line in on_it)} is connected to this catheter; "
        "disconnect it first.",
    )


ACTS = {
    Verb.UNLOAD: unload,
    Verb.PLUG_IN: plug_in,
    Verb.REMOVE_CATHETER: remove_catheter,
    Verb.RESITE: resite,
}

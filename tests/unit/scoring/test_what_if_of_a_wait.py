"""A wait and a leap of the ward clock: what a what-if can say of them, and what it cannot."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.build import MINUTE, Bedside, a_scenario, an_order
from trainer.clinical.quantity import parse_quantity
from trainer.engine.actions import act
from trainer.engine.begin import initial_state
from trainer.engine.carry import carry
from trainer.engine.decide import finish
from trainer.engine.events import Acted, Event
from trainer.engine.evolve import fold
from trainer.errors import NoSuchChange
from trainer.live.attempt import engine_events, leap, what_follows
from trainer.scoring.what_if import Change, what_if
from trainer.store.records import Leapt, Record
from trainer.terms import Verb

SCENARIO = a_scenario(orders=(an_order(rate=parse_quantity("40 mL/h")),))


def a_bedside_with_a_wait() -> tuple[Event, ...]:
    """400 mL/h started, half an hour waited, stopped."""
    bedside = Bedside(SCENARIO)
    bedside.run(rate="400", volume="400")
    bedside.do(Verb.WAIT, length="30 min")
    bedside.wait(30 * MINUTE)
    bedside.do(Verb.STOP, line="1")
    ended = finish(bedside.state, at_ms=bedside.now_ms, by="learner")
    return (*bedside.log, *ended)


def place_of(log: tuple[Event, ...], verb: Verb) -> int:
    return next(n for n, e in enumerate(log) if isinstance(e, Acted) and e.action.verb is verb)


@pytest.mark.parametrize(
    "change",
    [
        Change(deed=0, how="left out"),
        Change(deed=0, how="moved", at_ms=MINUTE),
        Change(deed=0, how="changed", params=(("length", "5 min"),)),
    ],
    ids=lambda change: change.how,
)
def test_a_wait_is_not_said_to_have_made_no_difference(change):
    """Shortened or left out it would bring nothing forward: the acts have moments of their own."""
    log = a_bedside_with_a_wait()
    with pytest.raises(NoSuchChange, match=r"let time pass.*Ask about one of those acts"):
        what_if(SCENARIO, log, replace(change, deed=place_of(log, Verb.WAIT)))


def test_the_act_after_a_wait_tells_what_less_waiting_would_have_done():
    log = a_bedside_with_a_wait()
    stop = place_of(log, Verb.STOP)
    found = what_if(SCENARIO, log, Change(deed=stop, how="moved", at_ms=5 * MINUTE))
    given = {one.name: one for one in found.differences}
    assert found.events != log
    assert any("mL" in one.was and "mL" in one.then for one in given.values())


def test_leaps_and_waits_of_the_ward_clock_are_run_again_as_they_were():
    """The engine's events carry their moments; how the ward clock came there changes nothing."""
    state, records, now_ms = initial_state(SCENARIO), list[Record](), 0

    def take(new: tuple[Record, ...], until_ms: int) -> None:
        nonlocal state, now_ms
        records.extend(new)
        state = fold(state, engine_events(new))
        now_ms = max(until_ms, *(r.to_ms for r in new if isinstance(r, Leapt)), state.as_of_ms)
        state = carry(state, now_ms)

    for verb, params in (
        (Verb.ENTER, {"line": "1", "role": "primary", "volume": "400", "rate": "400"}),
        (Verb.START, {"line": "1"}),
        (Verb.WAIT, {"length": "10 min"}),
    ):
        take(what_follows(state, act(verb, **params), now_ms, "learner"), 0)
    take(leap(state, now_ms, now_ms + 20 * MINUTE), 0)
    take(what_follows(state, act(Verb.STOP, line="1"), now_ms, "learner"), 0)
    log = engine_events((*records, *finish(state, at_ms=now_ms, by="learner")))
    start = place_of(log, Verb.START)
    same = what_if(SCENARIO, log, Change(deed=start, how="moved", at_ms=log[start].at_ms))
    assert same.events == log
    assert same.differences == ()
    without = what_if(SCENARIO, log, Change(deed=start, how="left out"))
    assert without.events[-1].at_ms == 30 * MINUTE
    assert sum(volume for _, volume in without.states[-1].ledger.vein) == 0

"""A cue is asked for in practice, is recorded before it is told, and never given in a test."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from pathlib import Path

import pytest

from tests.unit.live.ward_folder import HandClock
from trainer.engine.actions import act
from trainer.engine.events import Cued
from trainer.engine.replay import audit
from trainer.errors import AttemptClosed, NoCue
from trainer.live.library import Library
from trainer.live.ward import Ward
from trainer.store.database import address_in
from trainer.store.log import Log
from trainer.terms import Verb

BENT_LINE = "maintenance-and-a-bent-line"


@pytest.fixture
def ward(tmp_path: Path):
    log = Log(address_in(tmp_path))
    yield Ward(log, Library(), HandClock())
    log.close()


def cues(events) -> list[Cued]:
    return [event for event in events if isinstance(event, Cued)]


def test_cues_help_with_what_is_open_and_most_urgent(ward: Ward):
    async def asked():
        attempt = await ward.begin(BENT_LINE)
        await ward.cue(attempt, actor="learner")
        await ward.act(attempt, act(Verb.IDENTIFY_PATIENT), actor="learner")
        return await ward.cue(attempt, actor="learner")

    glimpse = asyncio.run(asked())
    first, second = cues(glimpse.events)
    assert (first.step, first.by) == ("start.identify-patient", "learner")
    assert second.step == "start.question-order"
    assert second.text.startswith("Her mother says")
    assert audit(glimpse.state.scenario, glimpse.events) is None


def test_a_double_click_is_one_cue_and_a_reload_keeps_it(ward: Ward):
    async def asked_twice():
        attempt = await ward.begin(BENT_LINE)
        for _ in range(2):
            await ward.cue(attempt, actor="learner", token="one press")
        await ward.close()
        return await ward.events(attempt)

    assert len(cues(asyncio.run(asked_twice()))) == 1


def test_when_nothing_is_open_there_is_no_cue_and_nothing_is_recorded(ward: Ward):
    async def asked_until_there_is_none():
        attempt = await ward.begin(BENT_LINE)
        count = 0
        try:
            while count < 200:
                await ward.cue(attempt, actor="learner")
                count += 1
        except NoCue as none:
            return str(none), count, await ward.events(attempt)
        return "", count, ()

    words, count, events = asyncio.run(asked_until_there_is_none())
    assert words == "Nothing is open just now that has a cue left."
    assert len(cues(events)) == count > 10


def test_after_the_end_there_is_none(ward: Ward):
    async def asked():
        attempt = await ward.begin(BENT_LINE)
        await ward.finish(attempt, actor="learner")
        await ward.cue(attempt, actor="learner")

    with pytest.raises(AttemptClosed):
        asyncio.run(asked())


def test_in_a_test_none_is_given(ward: Ward):
    async def asked():
        attempt = await ward.begin(BENT_LINE)
        known = await ward._attempt(attempt)
        known.opened = replace(known.opened, purpose="summative")
        await ward.cue(attempt, actor="learner")

    with pytest.raises(NoCue, match="In a test no cues are given"):
        asyncio.run(asked())

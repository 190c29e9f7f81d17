"""Attempts in progress: every change recorded before it is shown, and resumed from there."""

from __future__ import annotations

import asyncio
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.unit.live.ward_folder import HandClock, a_folder
from trainer.engine.actions import act
from trainer.engine.events import Acted, LineBlocked, Refused, Said, SiteChanged
from trainer.errors import (
    AttemptClosed,
    AttemptNotFound,
    NothingAhead,
    ScenarioNotFound,
    SequenceTaken,
    StoreUnavailable,
)
from trainer.live.library import Library
from trainer.live.ward import FORGET_AFTER_MS, Glimpse, Ward
from trainer.store.log import Log
from trainer.store.records import ClockHeld, Leapt, Opened, Pace, PaceSet
from trainer.terms import Running, Verb

STOP = act(Verb.STOP, line="1")
HANDS = act(Verb.CLEAN_HANDS)


@pytest.fixture
def library(tmp_path: Path) -> Library:
    return Library((a_folder(tmp_path, "night"),))


@pytest.fixture
def address(tmp_path: Path) -> str:
    return f"sqlite:///{tmp_path / 'trainer.sqlite'}"


@pytest.fixture
def log(address: str) -> Iterator[Log]:
    log = Log(address, patience_s=0.2)
    yield log
    log.close()


@pytest.fixture
def clock() -> HandClock:
    return HandClock()


@pytest.fixture
def ward(log: Log, library: Library, clock: HandClock) -> Ward:
    return Ward(log, library, clock)


@pytest.fixture
def runner() -> Iterator[asyncio.Runner]:
    with asyncio.Runner() as runner:
        yield runner


@pytest.fixture
def run(runner):
    return runner.run


@pytest.fixture
def attempt(run, ward: Ward):
    """An attempt that has just been looked at: its ward clock runs."""
    attempt = run(ward.begin("night", learner="Ida"))
    run(ward.look(attempt))
    return attempt


def kinds(glimpse: Glimpse, log: Log) -> list[str]:
    return [row.kind for row in log.rows(glimpse.attempt)]


# --- beginning ----------------------------------------------------------------------


def test_an_attempts_id_can_stand_in_a_command_and_in_an_address(ward, run):
    names = [run(ward.begin("night")) for _ in range(20)]
    assert all(name.isalnum() and name.isascii() for name in names)
    assert len(set(names)) == 20


def test_the_first_row_holds_all_that_a_replay_needs(ward, run, log):
    attempt = run(ward.begin("night", seed=4, learner="Ida"))
    opened = log.read(attempt)[0].record
    assert isinstance(opened, Opened)
    assert (opened.seed, opened.learner, opened.scenario) == (4, "Ida", "night")
    source = ward.library.find("night").source
    assert source is not None
    assert (opened.scenario_text, opened.policy_text) == (source.text, source.policy_text)
    assert opened.formulary_text == source.formulary_text


def test_the_log_does_not_tell_where_files_lay_on_someones_computer(attempt, log, tmp_path):
    assert str(tmp_path) not in log.rows(attempt)[0].payload


def test_an_attempts_name_cannot_be_guessed(ward, run):
    names = {run(ward.begin("night")) for _ in range(5)}
    assert len(names) == 5
    assert min(map(len, names)) >= 16


def test_the_seed_varies_the_patient_and_is_kept(ward, run, log, library, clock):
    attempt = run(ward.begin("night", seed=4, learner="Ida"))
    weight = run(ward.look(attempt)).state.scenario.patient.weight
    again = run(Ward(log, library, clock).look(attempt)).state.scenario.patient.weight
    as_written = run(ward.look(run(ward.begin("night")))).state.scenario.patient.weight
    assert weight == again
    assert weight != as_written


def test_an_unknown_scenario_or_attempt_is_told(ward, run):
    with pytest.raises(ScenarioNotFound):
        run(ward.begin("day"))
    with pytest.raises(AttemptNotFound):
        run(ward.look("nobody"))
    with pytest.raises(AttemptNotFound):
        run(ward.act("nobody", STOP, actor="Ida"))


def test_an_attempt_goes_on_with_the_text_it_began_with(ward, run, attempt, library, log, clock):
    path = library.find("night").path
    path.write_text(path.read_text().replace("Runa Tell", "Someone Else"))
    after = run(Ward(log, library, clock).look(attempt))
    assert after.state.scenario.patient.name == "Runa Tell"


# --- time ---------------------------------------------------------------------------


def test_time_brings_what_is_due_and_records_it_before_it_shows(ward, run, attempt, clock, log):
    assert run(ward.look(attempt)).next_ms == 120_000
    clock.forward(s=55)
    run(ward.look(attempt))
    clock.forward(s=55)
    run(ward.look(attempt))
    clock.forward(s=55)
    glimpse = run(ward.look(attempt))
    assert glimpse.at_ms == 165_000
    said = [e.record for e in log.read(attempt) if isinstance(e.record, Said)]
    assert [(one.at_ms, one.who) for one in said] == [(120_000, "the mother")]
    assert glimpse.state.messages[-1].text == "Is all well?"


def test_the_state_shown_is_carried_to_now(ward, run, attempt, clock):
    before = run(ward.look(attempt)).state.container("bag").left
    clock.forward(s=36)
    after = run(ward.look(attempt)).state
    assert after.as_of_ms == 36_000
    assert before - after.container("bag").left == 56_000 * 36_000  # 56 mL/h for 36 s, in motes


def test_the_ward_clock_passes_midnight(ward, run, attempt, clock):
    assert run(ward.look(attempt)).ward_clock == "23:50:00"
    run(ward.set_pace(attempt, Pace.X60, actor="Ida"))
    clock.forward(s=11)
    assert run(ward.look(attempt)).ward_clock == "00:01:00"


def test_a_change_of_pace_is_recorded_and_holds_after_a_reload(
    ward, run, attempt, clock, log, library
):
    clock.forward(s=10)
    run(ward.set_pace(attempt, Pace.X5, actor="Ida"))
    assert log.read(attempt)[-1].record == PaceSet(at_ms=10_000, pace=Pace.X5)
    other = Ward(log, library, clock)
    assert run(other.look(attempt)).pace is Pace.X5
    clock.forward(s=2)
    assert run(other.look(attempt)).at_ms == 20_000


def test_a_leap_goes_to_the_next_happening_and_is_recorded(ward, run, attempt, clock, log):
    clock.forward(s=10)
    glimpse = run(ward.leap(attempt, actor="Ida"))
    assert glimpse.at_ms == 120_000
    assert isinstance(glimpse.state.messages[-1].text, str)
    assert Leapt(at_ms=10_000, to_ms=120_000) in [e.record for e in log.read(attempt)]
    clock.forward(s=3)
    assert run(ward.look(attempt)).at_ms == 123_000


def test_leaps_lead_through_everything_but_never_to_the_end(ward, run, attempt, log):
    run(ward.set_pace(attempt, Pace.HELD, actor="Ida"))

    def leap_on():
        for _ in range(50):
            run(ward.leap(attempt, actor="Ida"))

    with pytest.raises(NothingAhead):
        leap_on()
    assert not run(ward.look(attempt)).ended


def test_a_wait_moves_the_ward_clock(ward, run, attempt, log):
    glimpse = run(ward.act(attempt, act(Verb.WAIT, length="1 min"), actor="Ida"))
    assert glimpse.at_ms == 60_000
    assert Leapt(at_ms=0, to_ms=60_000) in [e.record for e in log.read(attempt)]


def test_a_wait_ends_when_someone_speaks(ward, run, attempt):
    glimpse = run(ward.act(attempt, act(Verb.WAIT, length="20 min"), actor="Ida"))
    assert glimpse.at_ms == 120_000


def test_a_wait_that_cannot_be_read_moves_nothing(ward, run, attempt, log):
    glimpse = run(ward.act(attempt, act(Verb.WAIT, length="a while"), actor="Ida"))
    assert glimpse.at_ms == 0
    assert "leapt" not in kinds(glimpse, log)


def test_the_ward_clock_holds_when_nobody_has_looked_for_a_minute(ward, run, attempt, clock):
    run(ward.look(attempt))
    clock.forward(s=4_000)
    assert run(ward.look(attempt)).at_ms == 60_000
    clock.forward(s=5)
    assert run(ward.look(attempt)).at_ms == 65_000


def test_time_is_up_at_the_scenarios_end(ward, run, attempt, clock, log):
    run(ward.set_pace(attempt, Pace.X60, actor="Ida"))
    clock.forward(s=59)
    glimpse = run(ward.look(attempt))
    assert (glimpse.ended, glimpse.at_ms) == (True, 1_800_000)
    rows = len(log.rows(attempt))
    clock.forward(s=59)
    assert run(ward.look(attempt)).at_ms == 1_800_000
    assert len(log.rows(attempt)) == rows


# --- acting -------------------------------------------------------------------------


def test_an_act_is_on_disk_when_its_answer_comes(ward, run, attempt, clock, address):
    clock.forward(s=10)
    glimpse = run(ward.act(attempt, STOP, actor="Ida"))
    assert glimpse.state.line(1).pump.running is Running.STOPPED
    with sqlite3.connect(address.removeprefix("sqlite:///")) as other:
        rows = other.execute("SELECT kind, at_ms FROM log WHERE attempt = ?", (attempt,)).fetchall()
    other.close()
    assert rows[1:] == [("acted", 10_000), ("stopped", 10_000)]
    assert glimpse.sequence == 3


def test_an_impossible_act_is_recorded_as_refused(ward, run, attempt, log):
    run(ward.act(attempt, STOP, actor="Ida"))
    run(ward.act(attempt, STOP, actor="Ida"))
    assert isinstance(log.read(attempt)[-1].record, Refused)


def test_a_double_click_counts_once(ward, run, attempt, log):
    async def click_twice():
        clicks = (ward.act(attempt, HANDS, actor="Ida", token="t") for _ in range(2))
        return await asyncio.gather(*clicks)

    first, second = run(click_twice())
    assert first.sequence == second.sequence
    assert kinds(first, log).count("acted") == 1


def test_a_retry_after_a_restart_counts_once(ward, run, attempt, log, library, clock):
    run(ward.act(attempt, HANDS, actor="Ida", token="t"))
    run(Ward(log, library, clock).act(attempt, HANDS, actor="Ida", token="t"))
    assert sum(isinstance(e.record, Acted) for e in log.read(attempt)) == 1


def test_two_servers_take_turns_and_both_acts_stand(ward, run, attempt, log, library, clock):
    other = Ward(log, library, clock)
    run(other.look(attempt))
    run(ward.act(attempt, STOP, actor="Ida"))
    glimpse = run(other.act(attempt, STOP, actor="Ida"))
    assert isinstance(log.read(attempt)[-1].record, Refused)  # decided on what was true then
    assert run(ward.look(attempt)).sequence == glimpse.sequence


def test_a_token_sent_to_two_servers_counts_once(ward, run, attempt, log, library, clock):
    other = Ward(log, library, clock)
    run(other.look(attempt))
    run(ward.act(attempt, HANDS, actor="Ida", token="t"))
    glimpse = run(other.act(attempt, HANDS, actor="Ida", token="t"))
    assert kinds(glimpse, log).count("acted") == 1


def test_an_act_from_a_page_that_is_out_of_date_can_be_turned_away(ward, run, attempt, log):
    seen = run(ward.look(attempt)).sequence
    run(ward.act(attempt, HANDS, actor="Ida", seen=seen))
    with pytest.raises(SequenceTaken, match="since this page was drawn"):
        run(ward.act(attempt, STOP, actor="Ida", seen=seen))
    assert "stopped" not in [row.kind for row in log.rows(attempt)]


def test_what_time_brings_does_not_put_a_page_out_of_date(ward, run, attempt, clock):
    run(ward.set_pace(attempt, Pace.X60, actor="Ida"))
    seen = run(ward.look(attempt)).sequence
    clock.forward(s=3)
    assert run(ward.act(attempt, HANDS, actor="Ida", seen=seen)).sequence > seen + 1


def test_sixteen_acts_at_once_on_one_attempt_all_stand(ward, run, attempt, log):
    async def all_at_once():
        await asyncio.gather(
            *(ward.act(attempt, HANDS, actor="Ida", token=str(n)) for n in range(16))
        )

    run(all_at_once())
    assert [row.kind for row in log.rows(attempt)].count("acted") == 16


def test_the_instructor_makes_an_event_come(ward, run, attempt, log):
    run(ward.inject(attempt, "swelling", actor="the instructor"))
    entries = log.read(attempt)
    assert any(isinstance(entry.record, SiteChanged) for entry in entries)
    assert entries[1].actor == "the instructor"


def test_after_the_end_nothing_is_added(ward, run, attempt, log):
    glimpse = run(ward.finish(attempt, actor="Ida"))
    assert glimpse.ended
    assert log.attempts("Ida")[0].ended_at is not None
    for late in (
        lambda: ward.act(attempt, STOP, actor="Ida"),
        lambda: ward.set_pace(attempt, Pace.X5, actor="Ida"),
        lambda: ward.leap(attempt, actor="Ida"),
        lambda: ward.finish(attempt, actor="Ida"),
    ):
        with pytest.raises(AttemptClosed):
            run(late())
    assert log.last_sequence(attempt) == glimpse.sequence


# --- faults and memory --------------------------------------------------------------


def test_a_locked_database_is_told_nothing_is_shown_and_the_next_act_works(
    ward, run, attempt, address, log
):
    run(ward.look(attempt))
    other = sqlite3.connect(address.removeprefix("sqlite:///"), isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(StoreUnavailable):
        run(ward.act(attempt, STOP, actor="Ida", token="t"))
    assert run(ward.look(attempt)).state.line(1).pump.running is Running.INFUSING
    other.execute("ROLLBACK")
    other.close()
    glimpse = run(ward.act(attempt, STOP, actor="Ida", token="t"))
    assert kinds(glimpse, log) == ["opened", "acted", "stopped"]


def test_a_killed_server_goes_on_where_the_log_ends(ward, run, attempt, clock, log, library):
    clock.forward(s=20)
    before = run(ward.act(attempt, STOP, actor="Ida"))
    clock.forward(s=30)
    after = run(Ward(log, library, clock).look(attempt))
    assert after.at_ms == 20_000
    assert after.state == before.state
    assert after.sequence == before.sequence


def test_a_server_that_ends_in_order_keeps_the_ward_clocks_place(
    ward, run, attempt, clock, log, library
):
    clock.forward(s=30)
    run(ward.look(attempt))
    run(ward.close())
    assert log.read(attempt)[-1].record == ClockHeld(at_ms=30_000, reason="the server ended")
    clock.forward(s=900)
    after = Ward(log, library, clock)
    assert run(after.look(attempt)).at_ms == 30_000


def test_an_attempt_left_alone_is_forgotten_and_found_again(ward, run, attempt, clock, log):
    clock.forward(s=5)
    run(ward.look(attempt))
    clock.forward(ms=FORGET_AFTER_MS + 1)
    other = run(ward.begin("night", learner="Olu"))
    run(ward.look(other))
    assert list(ward._attempts) == [other]
    assert log.read(attempt)[-1].record == ClockHeld(at_ms=65_000, reason="nobody watched")
    assert run(ward.look(attempt)).at_ms == 65_000


def test_each_learner_has_a_list(ward, run, attempt):
    run(ward.begin("night", learner="Olu"))
    assert [line.id for line in run(ward.attempts_of("Ida"))] == [attempt]


def test_the_events_are_the_engines_alone(ward, run, attempt):
    run(ward.set_pace(attempt, Pace.X5, actor="Ida"))
    run(ward.act(attempt, STOP, actor="Ida"))
    assert [type(event).__name__ for event in run(ward.events(attempt))] == ["Acted", "Stopped"]


# --- streams ------------------------------------------------------------------------


def test_a_stream_begins_with_the_attempt_as_it_is_and_tells_each_change(ward, run, attempt):
    async def watch():
        stream = ward.subscribe(attempt)
        seen = [(await anext(stream)).sequence]
        await ward.act(attempt, STOP, actor="Ida")
        seen.append((await anext(stream)).sequence)
        await stream.aclose()
        return seen

    assert run(watch()) == [1, 3]


def test_a_second_window_hears_of_the_first_ones_act(ward, run, attempt):
    async def watch():
        first, second = ward.subscribe(attempt), ward.subscribe(attempt)
        await anext(first)
        await anext(second)
        await ward.act(attempt, STOP, actor="Ida")
        seen = await anext(second)
        await first.aclose()
        await second.aclose()
        return seen

    assert run(watch()).state.line(1).pump.running is Running.STOPPED


def test_a_slow_page_gets_the_last_state_and_no_backlog(ward, run, attempt):
    async def watch():
        stream = ward.subscribe(attempt)
        await anext(stream)
        for _ in range(20):
            await ward.act(attempt, HANDS, actor="Ida")
        sequence = (await anext(stream)).sequence
        waiting = asyncio.ensure_future(anext(stream))
        await asyncio.sleep(0.05)
        is_idle = not waiting.done()
        waiting.cancel()
        return sequence, is_idle

    assert run(watch()) == (41, True)


def test_a_watched_attempt_wakes_for_its_next_happening(log, library, run):
    """Against the real clock: two minutes at sixty times the pace are two seconds."""

    async def watch():
        ward = Ward(log, library)
        attempt = await ward.begin("night", learner="Ida")
        await ward.set_pace(attempt, Pace.X60, actor="Ida")
        stream = ward.subscribe(attempt)
        await anext(stream)
        glimpse = await asyncio.wait_for(anext(stream), timeout=5)
        await stream.aclose()
        return glimpse

    glimpse = run(watch())
    assert glimpse.state.messages[-1].at_ms == 120_000
    assert glimpse.at_ms < 240_000


def test_while_a_stream_is_open_the_ward_clock_does_not_hold(ward, run, attempt, clock):
    async def watch():
        stream = ward.subscribe(attempt)
        await anext(stream)
        clock.forward(s=600)
        glimpse = await ward.look(attempt)
        await stream.aclose()
        return glimpse.at_ms

    assert run(watch()) == 600_000


def test_the_line_bends_on_time_for_everyone(ward, run, attempt, clock, log):
    run(ward.set_pace(attempt, Pace.X10, actor="Ida"))
    clock.forward(s=35)
    run(ward.look(attempt))
    bent = [e.record for e in log.read(attempt) if isinstance(e.record, LineBlocked)]
    assert [one.at_ms for one in bent] == [300_000]


def test_streams_end_at_once_when_the_server_closes(ward, run, attempt):
    async def watch():
        stream = ward.subscribe(attempt)
        seen = [await anext(stream)]
        ward.close_streams()
        seen += [glimpse async for glimpse in stream]
        late = [glimpse async for glimpse in ward.subscribe(attempt)]
        return seen + late

    assert len(run(watch())) == 1


def test_an_unknown_attempt_has_no_stream(ward, run):
    async def watch():
        await anext(ward.subscribe("nobody"))

    with pytest.raises(AttemptNotFound):
        run(watch())

"""What the log promises, on each kind of database."""

from __future__ import annotations

import asyncio
from concurrent.futures import ThreadPoolExecutor

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from tests.unit.store.rows import MORNING, an_append, an_opening, hands_cleaned, opened_attempt
from trainer.engine.events import Finished
from trainer.errors import AttemptNotFound, LogDamaged, SequenceTaken, StoreError, UnknownEvent
from trainer.store.log import Log
from trainer.store.records import Appended, Pace, PaceSet


def test_what_was_appended_is_read_back_in_order(log):
    opened_attempt(log)
    assert log.append_now(an_append("first", 1, token="t")) == Appended(3)
    entries = log.read("first")
    assert [entry.sequence for entry in entries] == [1, 2, 3]
    assert tuple(entry.record for entry in entries) == (an_opening(), *hands_cleaned())
    assert [entry.token for entry in entries] == ["", "t", ""]
    assert entries[0].recorded_at == MORNING


def test_what_time_brought_carries_no_actor_and_no_token(log):
    opened_attempt(log)
    by_time = PaceSet(at_ms=6_000, pace=Pace.X5)
    came = hands_cleaned(4_000)[1]
    log.append_now(an_append("first", 1, came, by_time, token="t"))
    rows = log.rows("first")[1:]
    assert [(row.actor, row.token) for row in rows] == [("", ""), ("Ida", "t")]


def test_a_token_counts_once(log):
    opened_attempt(log)
    first = log.append_now(an_append("first", 1, token="t"))
    again = log.append_now(an_append("first", first.sequence, token="t"))
    assert again == Appended(2, repeated=True)
    assert log.last_sequence("first") == 3


def test_a_token_of_another_attempt_does_not_count(log):
    for attempt in ("first", "second"):
        opened_attempt(log, attempt)
        assert log.append_now(an_append(attempt, 1, token="t")).repeated is False


def test_whoever_appends_second_is_told(log):
    opened_attempt(log)
    log.append_now(an_append("first", 1))
    with pytest.raises(SequenceTaken, match="row 3"):
        log.append_now(an_append("first", 1))
    assert log.last_sequence("first") == 3


def test_a_gap_is_refused(log):
    opened_attempt(log)
    with pytest.raises(SequenceTaken):
        log.append_now(an_append("first", 5))
    assert log.last_sequence("first") == 1


def test_all_rows_of_an_append_are_written_or_none(log):
    opened_attempt(log)
    log.append_now(an_append("first", 1, token="t"))
    records = (*hands_cleaned(6_000), *hands_cleaned(7_000))
    assert log.append_now(an_append("first", 3, *records, token="t")).repeated
    assert log.last_sequence("first") == 3


def test_one_refused_append_does_not_take_its_neighbours_along(log):
    for attempt in ("first", "second", "third"):
        opened_attempt(log, attempt)
    futures = [
        log.submit(an_append("first", 1)),
        log.submit(an_append("second", 9)),
        log.submit(an_append("first", 1)),
        log.submit(an_append("third", 1)),
    ]
    errors = [future.exception() for future in futures]
    assert [type(error) for error in errors] == [
        type(None),
        SequenceTaken,
        SequenceTaken,
        type(None),
    ]


def test_sixteen_writers_in_one_process_lose_nothing(log):
    names = [f"attempt {number}" for number in range(16)]

    async def write(name: str) -> None:
        await log.append(an_append(name, 0, an_opening(name)))
        for done in range(20):
            await log.append(an_append(name, 1 + 2 * done, token=str(done)))

    async def write_all() -> None:
        await asyncio.gather(*(write(name) for name in names))

    asyncio.run(write_all())
    assert {log.last_sequence(name) for name in names} == {41}


@pytest.mark.parametrize("kind", ["sqlite", "postgres"])
def test_two_servers_on_one_attempt_take_turns_without_gap_or_loss(kind, request):
    address = request.getfixturevalue(kind)
    logs = [Log(address), Log(address)]
    opened_attempt(logs[0])

    def write(log: Log) -> int:
        turns = 0
        while turns < 25:
            try:
                log.append_now(an_append("first", log.last_sequence("first")))
                turns += 1
            except SequenceTaken:
                continue
        return turns

    with ThreadPoolExecutor(2) as pool:
        assert list(pool.map(write, logs)) == [25, 25]
    assert len(logs[0].read("first")) == 1 + 2 * 50
    for log in logs:
        log.close()


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE log SET actor = 'someone else'",
        "DELETE FROM log WHERE sequence = 2",
        "INSERT INTO log SELECT attempt, 7, at_ms, kind, version, payload, actor, NULL, recorded_at"
        " FROM log WHERE sequence = 2",
    ],
    ids=["change", "remove", "gap"],
)
def test_the_database_itself_refuses_to_alter_the_log(log, statement):
    opened_attempt(log)
    log.append_now(an_append("first", 1))
    with pytest.raises(DBAPIError, match="the log is"), log._engine.begin() as connection:
        connection.execute(text(statement))
    assert len(log.read("first")) == 3


@pytest.mark.parametrize(("sequence", "token"), [(2, None), (4, "t")], ids=["row", "token"])
def test_a_row_cannot_be_replaced(file_log, sequence, token):
    opened_attempt(file_log)
    file_log.append_now(an_append("first", 1, token="t"))
    row = {"sequence": sequence, "token": token}
    with pytest.raises(DBAPIError, match="the log is"), file_log._engine.begin() as connection:
        connection.execute(
            text(
                "INSERT OR REPLACE INTO log VALUES "
                "('first', :sequence, 0, 'noted', 1, '{}', '', :token, '')"
            ),
            row,
        )
    assert [row.kind for row in file_log.rows("first")] == ["opened", "acted", "noted"]


def test_the_list_of_attempts_follows_the_log(log):
    opened_attempt(log, "first", "Ida")
    opened_attempt(log, "second", "Olu")
    log.append_now(an_append("first", 1, Finished(at_ms=9, by="learner")))
    assert [(line.id, line.ended_at) for line in log.attempts("Ida")] == [("first", MORNING)]
    assert [(line.id, line.ended_at) for line in log.attempts()] == [
        ("first", MORNING),
        ("second", None),
    ]


def test_the_list_can_be_made_anew_from_the_log(log):
    opened_attempt(log, "first", "Ida")
    log.append_now(an_append("first", 1, Finished(at_ms=9, by="learner")))
    opened_attempt(log, "second", "Olu")
    before = log.attempts()
    with log._engine.begin() as connection:
        connection.execute(text("DELETE FROM attempts"))
    assert log.attempts() == ()
    log.rebuild_index()
    assert log.attempts() == before


@pytest.mark.parametrize("name", ["nobody", "", "a\x00b", "x" * 10_000, "\ud800"])
def test_an_unknown_attempt_is_told_as_such(log, name):
    with pytest.raises(AttemptNotFound, match="choose one from the list"):
        log.read(name)


@pytest.mark.parametrize("token", ["a\x00b", "x" * 201, "\ud800"])
def test_a_token_that_no_page_of_ours_makes_is_refused(log, token):
    opened_attempt(log)
    with pytest.raises(StoreError, match="reload the page"):
        log.append_now(an_append("first", 1, token=token))


@pytest.fixture
def unguarded(file_log):
    """A log whose rows someone can alter by other means: the triggers are gone."""
    opened_attempt(file_log)
    file_log.append_now(an_append("first", 1))
    with file_log._engine.begin() as connection:
        for name in ("log_row_stays", "log_row_remains", "log_row_is_next"):
            connection.execute(text(f"DROP TRIGGER {name}"))
    return file_log


@pytest.mark.parametrize(
    ("statement", "message"),
    [
        ("DELETE FROM log WHERE sequence = 2", "row 2 is missing"),
        ("DELETE FROM log WHERE sequence = 1", "row 1 is missing"),
        ("UPDATE log SET payload = '{\"ver' WHERE sequence = 3", "row 3: .*cannot be read"),
        ("UPDATE log SET at_ms = 1 WHERE sequence = 3", "row 3 lies before"),
        ("UPDATE log SET recorded_at = 'noon' WHERE sequence = 3", "row 3: 'noon'"),
        (
            "UPDATE log SET payload = replace(payload, 'id: ward', 'id: bard') WHERE sequence = 1",
            "row 1: the policy's text is not the one that was stored",
        ),
        ("UPDATE log SET kind = 'noted', payload = '{\"verb\":\"start\"}'", "its opening"),
    ],
    ids=["gap", "first row gone", "broken", "back in time", "no date", "hash", "no opening"],
)
def test_damage_is_told_with_its_place(unguarded, statement, message):
    with unguarded._engine.begin() as connection:
        connection.execute(text(statement))
    with pytest.raises(LogDamaged, match=message):
        unguarded.read("first")


def test_a_row_of_a_newer_trainer_is_not_guessed_at(unguarded):
    with unguarded._engine.begin() as connection:
        connection.execute(text("UPDATE log SET version = 9 WHERE sequence = 3"))
    with pytest.raises(UnknownEvent, match="row 3"):
        unguarded.read("first")


def test_a_database_file_is_written_ahead_and_fully_synchronised(file_log):
    with file_log._engine.connect() as connection:
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"
        assert connection.exec_driver_sql("PRAGMA synchronous").scalar() == 2  # FULL
        assert connection.exec_driver_sql("PRAGMA recursive_triggers").scalar() == 1

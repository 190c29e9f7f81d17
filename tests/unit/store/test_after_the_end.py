"""Rows after the end of an attempt: in the same log, under the same promises."""

from __future__ import annotations

import pytest
from sqlalchemy import text

from tests.unit.store.rows import MORNING, an_append, opened_attempt
from trainer.engine.events import Finished
from trainer.errors import SequenceTaken
from trainer.store.export import exported_lines, read_export
from trainer.store.log import Log
from trainer.store.records import Appended, Redone, Reflected, Remarked, hash_of

REFLECTED = Reflected(at_ms=9, question="have-back", text='Zeile 1\n<b>"no markup"</b> \u2013 ü')
REDONE = Redone(
    at_ms=9, order="maintenance", quantity="rate", seed=7, entered="56,4", sure="guess", right=False
)
REMARKED = Remarked(
    at_ms=9,
    policy_path="policies/ward.yaml",
    policy_text="id: w\n",
    policy_sha256=hash_of("id: w\n"),
)


def an_ended_attempt(log: Log) -> None:
    opened_attempt(log)
    log.append_now(an_append("first", 1, Finished(at_ms=9, by="learner")))


def test_what_is_kept_after_the_end_is_read_back_as_it_was(log):
    an_ended_attempt(log)
    log.append_now(an_append("first", 2, REFLECTED, token="a"))
    log.append_now(an_append("first", 3, REDONE, REMARKED, token="b"))
    assert [entry.record for entry in log.read("first")[2:]] == [REFLECTED, REDONE, REMARKED]
    assert [(row.actor, row.token) for row in log.rows("first")[2:]] == [
        ("Ida", "a"),
        ("Ida", "b"),
        ("Ida", ""),
    ]


def test_a_token_counts_once_after_the_end_too(log):
    an_ended_attempt(log)
    log.append_now(an_append("first", 2, REFLECTED, token="a"))
    again = log.append_now(an_append("first", 3, REFLECTED, token="a"))
    assert again == Appended(3, repeated=True)
    assert log.last_sequence("first") == 3


def test_the_second_of_two_windows_is_told_after_the_end_too(log):
    an_ended_attempt(log)
    log.append_now(an_append("first", 2, REFLECTED))
    with pytest.raises(SequenceTaken):
        log.append_now(an_append("first", 2, REDONE))


def test_the_list_says_the_same_end_whatever_was_kept_later(log):
    an_ended_attempt(log)
    log.append_now(an_append("first", 2, REFLECTED, REMARKED))
    before = log.attempts()
    with log._engine.begin() as connection:
        connection.execute(text("DELETE FROM attempts"))
    log.rebuild_index()
    assert log.attempts() == before
    assert before[0].ended_at == MORNING


def test_an_export_holds_it_and_is_read_back(log):
    an_ended_attempt(log)
    log.append_now(an_append("first", 2, REFLECTED, REDONE, REMARKED))
    lines = "\n".join(exported_lines("first", log.rows("first")))
    records = tuple(entry.record for entry in read_export(lines, "a.jsonl").entries)
    assert records == tuple(entry.record for entry in log.read("first"))

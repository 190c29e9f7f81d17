"""An exported attempt re-run: the same events, or the first difference."""

from __future__ import annotations

import asyncio
import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from tests.unit.live.ward_folder import HandClock, a_folder
from trainer.cli.app import command_line
from trainer.engine.actions import act
from trainer.errors import LogDamaged, QuantityError, UnknownEvent
from trainer.live.library import Library
from trainer.live.ward import Ward
from trainer.store.database import address_in
from trainer.store.log import Log
from trainer.store.records import Pace
from trainer.terms import Verb


async def a_played_attempt(ward: Ward, clock: HandClock) -> str:
    """Some acts, a change of pace, a wait, a bent line with its alarm, an end."""
    attempt = await ward.begin("night", seed=3, learner="Ida")
    await ward.look(attempt)
    clock.forward(s=20)
    await ward.act(attempt, act(Verb.LOOK_AT_SITE, access="left-hand"), actor="Ida", token="a")
    await ward.act(attempt, act(Verb.WAIT, length="3 min"), actor="Ida", token="b")
    await ward.set_pace(attempt, Pace.X10, actor="Ida")
    await ward.leap(attempt, actor="Ida")
    await ward.inject(attempt, "swelling", actor="the instructor")
    clock.forward(s=50)
    await ward.act(attempt, act(Verb.FOLLOW_LINE, line="1"), actor="Ida", token="c")
    await ward.act(attempt, act(Verb.STOP, line="1"), actor="Ida", token="d")
    await ward.finish(attempt, actor="Ida")
    return attempt


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "own"


@pytest.fixture
def attempt(tmp_path: Path, folder: Path) -> str:
    folder.mkdir()
    log, clock = Log(address_in(folder)), HandClock()
    ward = Ward(log, Library((a_folder(tmp_path, "night"),)), clock)
    attempt = asyncio.run(a_played_attempt(ward, clock))
    log.close()
    return attempt


@pytest.fixture
def exported(attempt: str, folder: Path, tmp_path: Path, monkeypatch) -> Path:
    monkeypatch.delenv("DATABASE_URL", raising=False)
    file = tmp_path / "attempt.jsonl"
    done = CliRunner().invoke(
        command_line(), ["export", attempt, "-o", str(file), "--data", str(folder)]
    )
    assert done.exit_code == 0, done.output
    return file


def replayed(file: Path, *more: str):
    return CliRunner().invoke(command_line(), ["replay", str(file), *more])


def alter(file: Path, number: int, **changes: object) -> None:
    """Change the payload of one line."""
    lines = file.read_text().splitlines()
    row = json.loads(lines[number - 1])
    row["payload"].update(changes)
    lines[number - 1] = json.dumps(row)
    file.write_text("\n".join(lines) + "\n")


def line_of(file: Path, kind: str) -> int:
    kinds = [json.loads(line)["kind"] for line in file.read_text().splitlines()]
    return kinds.index(kind) + 1


def test_the_attempts_are_listed(attempt, folder):
    done = CliRunner().invoke(command_line(), ["attempts", "--data", str(folder)])
    assert attempt in done.output
    assert "ended  Ida  A quiet night" in done.output


def test_an_export_begins_with_the_opening_and_holds_every_row(exported):
    rows = [json.loads(line) for line in exported.read_text().splitlines()]
    assert rows[0]["kind"] == "opened"
    assert [row["sequence"] for row in rows] == list(range(1, len(rows) + 1))
    assert {"pace_set", "leapt", "line_blocked", "alarm_raised", "finished"} <= {
        row["kind"] for row in rows
    }


def test_an_attempt_as_it_was_reproduces(exported):
    done = replayed(exported)
    assert done.exit_code == 0, done.output
    assert "all reproduced" in done.output


def test_a_byte_order_mark_that_an_editor_put_first_does_no_harm(exported):
    exported.write_text("\ufeff" + exported.read_text())
    assert replayed(exported).exit_code == 0


def test_an_altered_outcome_does_not_reproduce_and_both_texts_are_shown(exported):
    alter(exported, line_of(exported, "perceived"), text="All is well.")
    done = replayed(exported)
    assert done.exit_code == 1
    assert "it does not reproduce" in done.output
    assert "recorded:  Perceived" in done.output
    assert "All is well." in done.output
    assert "re-run:    Perceived" in done.output


def test_an_altered_act_does_not_reproduce(exported):
    stop = (
        exported.read_text()
        .splitlines()
        .index(next(line for line in exported.read_text().splitlines() if '"verb": "stop"' in line))
    )
    alter(exported, stop + 1, action={"verb": "clean hands", "params": []})
    assert replayed(exported).exit_code == 1


def test_a_row_taken_out_is_told_with_its_number(exported):
    lines = exported.read_text().splitlines()
    del lines[4]
    exported.write_text("\n".join(lines))
    done = replayed(exported)
    assert isinstance(done.exception, LogDamaged)
    assert "row 5 is missing" in str(done.exception)


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"", "is empty"),
        (b"\xff\xfe", "not a text file in UTF-8"),
        (b"this is no export\n", "row 1 cannot be read"),
        (b"[1]\n", "row 1 cannot be read"),
        (b'{"attempt":"a","sequence":"1"}\n', "row 1 cannot be read ('sequence' is missing"),
        (b'{"attempt":"a","sequence":' + b"9" * 5_000 + b"}\n", "a number in it has 5000 digits"),
        (b"[" * 100_000, "row 1 cannot be read"),
    ],
    ids=["empty", "bytes", "words", "list", "field", "huge number", "deep"],
)
def test_a_file_that_is_no_export_is_told_with_the_mend(tmp_path, content, message):
    file = tmp_path / "attempt.jsonl"
    file.write_bytes(content)
    done = replayed(file)
    assert isinstance(done.exception, LogDamaged)
    assert message in str(done.exception)
    assert "export" in str(done.exception)


def test_a_text_that_was_altered_is_told(exported):
    alter(exported, 1, policy_text="id: another\n")
    done = replayed(exported)
    assert "the policy's text is not the one that was stored" in str(done.exception)


def test_a_missing_file_is_told(tmp_path):
    assert "check its name" in str(replayed(tmp_path / "nothing.jsonl").exception)


def test_two_attempts_in_one_file_are_told(exported):
    lines = exported.read_text().splitlines()
    lines[-1] = lines[-1].replace('{"attempt": "', '{"attempt": "x')
    exported.write_text("\n".join(lines))
    assert "2 attempts" in str(replayed(exported).exception)


def test_a_newer_trainers_event_is_told(exported):
    text = exported.read_text().replace('"kind": "perceived"', '"kind": "dreamt"')
    exported.write_text(text)
    assert isinstance(replayed(exported).exception, UnknownEvent)


def test_another_engine_version_is_told_and_the_replay_goes_on(exported):
    alter(exported, 1, engine_version=999)
    done = replayed(exported)
    assert done.exit_code == 0
    assert "recorded with engine version 999" in done.output


def test_the_bedside_at_a_time_of_the_ward_clock(exported):
    done = replayed(exported, "--at", "23:56")
    assert done.exit_code == 0
    assert "00:06:00" in done.output


def test_a_time_that_is_none_is_told_with_when_the_clock_began(exported):
    done = replayed(exported, "--at", "half past")
    assert isinstance(done.exception, QuantityError)
    assert "the ward clock began at 23:50" in str(done.exception)

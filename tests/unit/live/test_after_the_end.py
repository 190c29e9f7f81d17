"""What is kept with an attempt after its end: only then, once, in two windows, for good."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.unit.live.ward_folder import HandClock, a_folder
from tests.unit.store.conftest import postgres, postgres_cluster
from trainer.cli.rerun import reproduces
from trainer.engine.actions import act
from trainer.errors import AttemptNotFound, AttemptOpen
from trainer.live.library import Library
from trainer.live.ward import Ward
from trainer.store.export import exported_lines
from trainer.store.log import Log
from trainer.store.records import Redone, Reflected, Remarked, hash_of
from trainer.terms import Verb

__all__ = ["postgres", "postgres_cluster"]  # fixtures of the store's own tests

WELL = Reflected(at_ms=0, question="went-well", text="I looked at the site first.")
BACK = Reflected(at_ms=0, question="have-back", text="The start.")
AGAIN = Redone(
    at_ms=0, order="maintenance", quantity="rate", seed=7, entered="56", sure="", right=True
)
OTHER_RULES = Remarked(
    at_ms=0, policy_path="policies/w.yaml", policy_text="id: w", policy_sha256=hash_of("id: w")
)
STOP = act(Verb.STOP, line="1")


@pytest.fixture(params=["sqlite", "postgres"])
def address(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'trainer.sqlite'}"
    return str(request.getfixturevalue("postgres"))


@pytest.fixture
def library(tmp_path: Path) -> Library:
    return Library((a_folder(tmp_path, "night"),))


@pytest.fixture
def clock() -> HandClock:
    return HandClock()


@pytest.fixture
def log(address: str) -> Iterator[Log]:
    log = Log(address, patience_s=0.5)
    yield log
    log.close()


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
def attempt(run, ward: Ward, clock: HandClock):
    """An attempt that ended after twenty seconds."""
    attempt = run(ward.begin("night", learner="Ida"))
    run(ward.look(attempt))
    clock.forward(s=20)
    run(ward.act(attempt, STOP, actor="Ida", token="stop"))
    run(ward.finish(attempt, actor="Ida"))
    return attempt


def kept(run, ward: Ward, attempt: str) -> list[object]:
    return [entry.record for entry in run(ward.after(attempt))]


def test_before_the_end_nothing_of_the_kind_is_kept(ward, run, log):
    attempt = run(ward.begin("night", learner="Ida"))
    run(ward.look(attempt))
    with pytest.raises(AttemptOpen, match="end it first"):
        run(ward.add_after(attempt, WELL, actor="Ida"))
    assert log.last_sequence(attempt) == 1


def test_an_attempt_that_never_was_is_told(ward, run):
    with pytest.raises(AttemptNotFound):
        run(ward.add_after("nobody", WELL, actor="Ida"))


def test_time_that_is_up_is_an_end_too(ward, run, clock):
    attempt = run(ward.begin("night", learner="Ida"))
    run(ward.look(attempt))
    run(ward.act(attempt, act(Verb.WAIT, length="29 min"), actor="Ida"))
    while not run(ward.look(attempt)).ended:
        clock.forward(s=50)
    run(ward.add_after(attempt, WELL, actor="Ida"))
    assert len(kept(run, ward, attempt)) == 1


def test_it_stands_at_the_moment_of_the_end_however_late_it_is_kept(ward, run, attempt, clock):
    clock.forward(s=5_000)
    run(ward.add_after(attempt, WELL, BACK, actor="Ida"))
    run(ward.add_after(attempt, AGAIN, actor="Ida"))
    run(ward.add_after(attempt, OTHER_RULES, actor="Ida"))
    entries = run(ward.after(attempt))
    assert [type(one.record) for one in entries] == [Reflected, Reflected, Redone, Remarked]
    assert {one.record.at_ms for one in entries} == {20_000}
    assert {one.actor for one in entries} == {"Ida"}
    assert entries[0].recorded_at > run(ward.entries(attempt))[0].recorded_at


def test_state_and_events_do_not_know_it(ward, run, attempt):
    before = run(ward.look(attempt))
    after = run(ward.add_after(attempt, WELL, AGAIN, OTHER_RULES, actor="Ida"))
    assert (after.state, after.events, after.at_ms) == (before.state, before.events, before.at_ms)
    assert after.sequence == before.sequence + 3


def test_a_double_click_is_kept_once(ward, run, attempt):
    for _ in range(2):
        run(ward.add_after(attempt, WELL, actor="Ida", token="press"))
    assert len(kept(run, ward, attempt)) == 1


def test_a_double_click_on_two_servers_is_kept_once(ward, run, attempt, log, library, clock):
    other = Ward(log, library, clock)
    run(other.look(attempt))
    run(ward.add_after(attempt, WELL, actor="Ida", token="press"))
    run(other.add_after(attempt, WELL, actor="Ida", token="press"))
    assert len(kept(run, ward, attempt)) == 1


def test_two_windows_on_two_servers_lose_nothing(ward, run, attempt, log, library, clock):
    other = Ward(log, library, clock)

    async def both():
        await other.look(attempt)
        await asyncio.gather(
            *(
                server.add_after(attempt, AGAIN, actor="Ida", token=f"{name}-{count}")
                for count in range(6)
                for name, server in (("one", ward), ("two", other))
            )
        )

    run(both())
    assert len(kept(run, ward, attempt)) == 12


def test_a_new_server_finds_it_and_goes_on(ward, run, attempt, log, library, clock):
    run(ward.add_after(attempt, WELL, actor="Ida", token="press"))
    run(ward.close())
    again = Ward(log, library, clock)
    run(again.add_after(attempt, WELL, actor="Ida", token="press"))
    run(again.add_after(attempt, BACK, actor="Ida"))
    texts = [one.text for one in kept(run, again, attempt) if isinstance(one, Reflected)]
    assert texts == [WELL.text, BACK.text]
    assert run(again.look(attempt)).ended


def test_an_export_of_it_is_read_and_runs_again(ward, run, attempt, log, tmp_path):
    run(ward.add_after(attempt, WELL, AGAIN, OTHER_RULES, actor="Ida"))
    file = tmp_path / "attempt.jsonl"
    lines = exported_lines(attempt, log.rows(attempt))
    file.write_text("".join(f"{line}\n" for line in lines), encoding="utf-8")
    assert reproduces(file, at="23:50")


def test_nothing_to_keep_keeps_nothing(ward, run, attempt, log):
    before = log.last_sequence(attempt)
    run(ward.add_after(attempt, actor="Ida"))
    assert log.last_sequence(attempt) == before

"""Attempts that are already in the record when a page is asked for."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from starlette.testclient import TestClient

from tests.rehearsed import LIBRARY, log_of
from trainer.engine.events import Event
from trainer.live.attempt import opened_record, scenario_of
from trainer.paths import SCENARIOS
from trainer.scoring.accept import NEWEST_VARIATION
from trainer.scoring.rehearse import rehearse
from trainer.store.database import address_in
from trainer.store.log import Log
from trainer.store.records import Append
from trainer.web import learner
from trainer.web.app import create_app
from trainer.web.settings import Settings

BENT_LINE = "maintenance-and-a-bent-line"
IDA, OTTO = "a" * 32, "b" * 32
"""Two learners, as their cookies name them."""
BEGUN = datetime(2026, 11, 24, 9, 30, tzinfo=UTC)


def rehearsed(conduct: str, *, scenario: str = BENT_LINE, seed: int = 0) -> tuple[Event, ...]:
    """The log of a scripted run of a shipped scenario."""
    if seed == 0:
        return log_of(scenario, conduct)
    source = LIBRARY.find(scenario).source
    assert source is not None
    found = scenario_of(source, seed, NEWEST_VARIATION)
    return rehearse(found, next(one for one in found.conducts if one.id == conduct))


def keep(
    folder: Path,
    events: tuple[Event, ...],
    *,
    name: str = "first",
    owner: str = IDA,
    scenario: str = BENT_LINE,
    seed: int = 0,
) -> str:
    """Put an attempt into the record of a folder and give its id."""
    source = LIBRARY.find(scenario).source
    assert source is not None
    folder.mkdir(parents=True, exist_ok=True)
    log = Log(address_in(folder))
    try:
        records = (opened_record(source, seed, owner), *events)
        log.append_now(
            Append(attempt=name, after=0, records=records, actor=owner, recorded_at=BEGUN)
        )
    finally:
        log.close()
    return name


@contextmanager
def browsing(folder: Path, who: str = "", *, scenarios: Path | None = None) -> Iterator[TestClient]:
    """The trainer's pages over a folder, as a learner sees them (empty: a stranger)."""
    app = create_app(Settings(folder=folder, scenarios=scenarios or SCENARIOS))
    cookies = {learner.COOKIE: learner.sign(app.state.secret, who)} if who else {}
    with TestClient(app, cookies=cookies) as client:
        if scenarios is None:
            app.state.ward.library = LIBRARY  # the shipped scenarios are read once, not by each
        yield client

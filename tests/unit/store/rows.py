"""Readable rows for the log's tests: fixed values, nothing invented along the way."""

from __future__ import annotations

from datetime import UTC, datetime

from trainer.engine.actions import act
from trainer.engine.events import Acted, Event, Noted
from trainer.store.log import Log
from trainer.store.records import Append, Appended, Opened, Record, hash_of
from trainer.terms import Verb

MORNING = datetime(2030, 4, 2, 8, 50, tzinfo=UTC)


def an_opening(learner: str = "Ida", title: str = "Maintenance fluid") -> Opened:
    scenario, policy, formulary = "id: one\n", "id: ward\n", "id: fluids\n"
    return Opened(
        at_ms=0,
        learner=learner,
        scenario="one",
        title=title,
        seed=7,
        engine_version=1,
        scenario_format=1,
        trainer_version="0.1.0",
        scenario_path="one.yaml",
        scenario_text=scenario,
        scenario_sha256=hash_of(scenario),
        policy_path="policies/ward.yaml",
        policy_text=policy,
        policy_sha256=hash_of(policy),
        formulary_path="formularies/fluids.yaml",
        formulary_text=formulary,
        formulary_sha256=hash_of(formulary),
    )


def hands_cleaned(at_ms: int = 5_000, actor: str = "Ida") -> tuple[Event, ...]:
    return (
        Acted(at_ms=at_ms, action=act(Verb.CLEAN_HANDS), actor=actor),
        Noted(at_ms=at_ms, verb=Verb.CLEAN_HANDS),
    )


def an_append(
    attempt: str, after: int, *records: Record, token: str = "", actor: str = "Ida"
) -> Append:
    return Append(
        attempt=attempt,
        after=after,
        records=records or hands_cleaned(),
        actor=actor,
        recorded_at=MORNING,
        token=token,
    )


def opened_attempt(log: Log, attempt: str = "first", learner: str = "Ida") -> Appended:
    return log.append_now(an_append(attempt, 0, an_opening(learner), actor=learner))

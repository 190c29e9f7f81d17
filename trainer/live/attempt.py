"""One attempt in memory: what its log says, and where its ward clock stands.

Opening, restoring from the log, taking up what was appended. Nothing here waits, writes
or reads a clock; `live.ward` does. What time, a leap or a wait brings is computed here
from the engine's functions.
"""

from __future__ import annotations

import asyncio
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path

from trainer import __version__
from trainer.clinical.timebase import parse_sim_duration
from trainer.engine.actions import Action
from trainer.engine.advance import advance
from trainer.engine.begin import initial_state
from trainer.engine.carry import carry
from trainer.engine.decide import decide
from trainer.engine.events import (
    Acted,
    AlarmRaised,
    Cued,
    Event,
    Finished,
    Injected,
    OrderGiven,
    Refused,
    ResultCame,
    Said,
    SoundResumed,
    VolumeComplete,
)
from trainer.engine.evolve import fold
from trainer.engine.state import State
from trainer.engine.version import ENGINE_VERSION
from trainer.errors import NothingAhead, QuantityError
from trainer.live.pacing import Pacing
from trainer.scenario.load import load_scenario
from trainer.scenario.model import Scenario
from trainer.scenario.source import ScenarioText
from trainer.scoring.accept import NEWEST_VARIATION, variant
from trainer.store.records import (
    AfterRecord,
    ClockHeld,
    ClockRecord,
    Entry,
    Leapt,
    Opened,
    PaceSet,
    Record,
    hash_of,
)
from trainer.terms import Param, Verb


@dataclass(slots=True, kw_only=True)
class Attempt:
    """What the server remembers of an attempt. Changed only under its lock.

    `state` is true at the last row; `events` holds the engine's events, `tokens` what
    clients have sent; `last_deed` is the sequence of the last thing that someone did.
    """

    id: str
    opened: Opened
    state: State
    pacing: Pacing
    sequence: int
    at_ms: int  # as far as the log goes: the last row, or where a leap ended
    last_deed: int = 1
    events: list[Event] = field(default_factory=list)
    tokens: set[str] = field(default_factory=set)
    lock: asyncio.Lock = field(default_factory=asyncio.Lock)
    streams: set[asyncio.Queue[bool]] = field(default_factory=set)
    timer: asyncio.TimerHandle | None = None

    def moment_ms(self, wall_ms: int) -> int:
        """The simulated moment now: never before the last row, never after the end."""
        if self.state.ended:
            return self.state.as_of_ms
        now_ms = max(self.pacing.moment_ms(wall_ms), self.at_ms)
        return min(now_ms, self.state.scenario.ends_ms)

    def take_up(self, records: tuple[Record, ...], state: State, wall_ms: int) -> None:
        """Remember records that have been appended, and the state that they lead to."""
        for record in records:
            self.sequence += 1
            self.at_ms = max(self.at_ms, record.at_ms)
            self._note(record, wall_ms)
        self.state = state

    def _note(self, record: Record, wall_ms: int) -> None:
        if isinstance(record, Acted | Injected | Cued | PaceSet | Leapt):
            self.last_deed = self.sequence
        if isinstance(record, PaceSet):
            self.pacing = replace(self.pacing.moved(record.at_ms, wall_ms), pace=record.pace)
        elif isinstance(record, Leapt):
            self.pacing = self.pacing.moved(record.to_ms, wall_ms)
            self.at_ms = record.to_ms
        elif not isinstance(record, Opened | ClockHeld | AfterRecord):
            self.events.append(record)


@lru_cache(maxsize=64)
def scenario_of(source: ScenarioText, seed: int, variation: int) -> Scenario:
    """The scenario of three texts with the numbers of a seed (0: as written).

    Args:
        source: the scenario's, policy's and formulary's text.
        seed: which numbers.
        variation: which way of drawing the seed was made for (`Opened.variation`).

    Raises:
        ScenarioError: if the texts have faults.
        UnknownEvent: if this trainer does not know the variation.
    """
    return variant(load_scenario(source), seed, variation)


def opened_record(source: ScenarioText, seed: int, learner: str) -> Opened:
    """The first row of a new attempt. Whose computer the files lay on is left out.

    Raises:
        ScenarioError: if the texts have faults.
    """
    scenario = scenario_of(source, seed, NEWEST_VARIATION)
    return Opened(
        at_ms=0,
        learner=learner,
        scenario=scenario.id,
        title=scenario.title,
        seed=seed,
        engine_version=ENGINE_VERSION,
        scenario_format=scenario.format,
        trainer_version=__version__,
        scenario_path=Path(source.path).name,
        scenario_text=source.text,
        scenario_sha256=hash_of(source.text),
        policy_path=f"policies/{Path(source.policy_path).name}",
        policy_text=source.policy_text,
        policy_sha256=hash_of(source.policy_text),
        formulary_path=f"formularies/{Path(source.formulary_path).name}",
        formulary_text=source.formulary_text,
        formulary_sha256=hash_of(source.formulary_text),
        variation=NEWEST_VARIATION,
    )


def restored(attempt_id: str, entries: tuple[Entry, ...], wall_ms: int) -> Attempt:
    """An attempt as its log says; its ward clock goes on where the log ends."""
    opened = entries[0].record
    assert isinstance(opened, Opened)
    scenario = scenario_of(opened.source, opened.seed, opened.variation)
    state = initial_state(scenario)
    attempt = Attempt(
        id=attempt_id,
        opened=opened,
        state=state,
        pacing=Pacing(anchor_ms=0, wall_ms=wall_ms, seen_ms=wall_ms),
        sequence=0,
        at_ms=0,
    )
    records = tuple(entry.record for entry in entries)
    attempt.take_up(records, fold(state, engine_events(records)), wall_ms)
    attempt.tokens = {entry.token for entry in entries if entry.token}
    attempt.pacing = attempt.pacing.moved(attempt.at_ms, wall_ms)
    return attempt


def engine_events(records: tuple[Record, ...]) -> tuple[Event, ...]:
    """The engine's events among the records, in order."""
    return tuple(
        record for record in records if not isinstance(record, Opened | ClockRecord | AfterRecord)
    )


# --- what comes ---------------------------------------------------------------------


NOTICED = (
    AlarmRaised, SoundResumed, VolumeComplete, ResultCame, Said, Cued, OrderGiven, Finished,
)  # fmt: skip
"""What calls for a learner's attention wherever they look: a leap or a wait ends there."""


def leap(state: State, at_ms: int, to_ms: int) -> tuple[Record, ...]:
    """The ward clock leaps, and what comes on the way."""
    return (Leapt(at_ms=at_ms, to_ms=to_ms), *advance(state, to_ms))


def leap_to_next(state: State, at_ms: int) -> tuple[Record, ...]:
    """A leap to the next happening that a learner at the bedside would notice.

    What happens unseen on the way (a line bends, a site changes) does not stop the clock:
    that would give it away. A leap never ends an attempt.

    Raises:
        NothingAhead: if nothing is left to happen but the end.
    """
    coming = advance(state, state.scenario.ends_ms)
    first = next((one for one in coming if isinstance(one, NOTICED)), None)
    if first is None or isinstance(first, Finished):
        raise NothingAhead("Nothing more happens by itself before the time is up.")
    return leap(state, at_ms, first.at_ms)


def what_follows(state: State, action: Action, at_ms: int, actor: str) -> tuple[Record, ...]:
    """An act and what it brings; a wait moves the ward clock too."""
    events = decide(state, action, at_ms=at_ms, actor=actor)
    length_ms = _length_of_wait(action)
    if not length_ms or any(isinstance(event, Refused) for event in events):
        return events
    after = carry(fold(state, events), at_ms)
    return (*events, *leap(after, at_ms, _until_noticed(after, at_ms + length_ms)))


def _length_of_wait(action: Action) -> int:
    """How long an act lets time pass: 0 for all but a wait whose length can be read."""
    if action.verb is not Verb.WAIT:
        return 0
    try:
        return parse_sim_duration(action.get(Param.LENGTH))
    except QuantityError:
        return 0


def _until_noticed(state: State, to_ms: int) -> int:
    """When something calls for attention, `to_ms` or the end of the attempt at the latest."""
    to_ms = min(to_ms, state.scenario.ends_ms)
    first = next((one for one in advance(state, to_ms) if isinstance(one, NOTICED)), None)
    return to_ms if first is None else first.at_ms


def held(attempt: Attempt, at_ms: int, reason: str) -> tuple[ClockRecord, ...]:
    """The row that keeps the ward clock's place, if it has moved since the last row."""
    return (ClockHeld(at_ms=at_ms, reason=reason),) if at_ms > attempt.at_ms else ()

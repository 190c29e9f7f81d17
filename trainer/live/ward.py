"""The attempts in progress: what may be asked of them, and their streams.

Every change goes the same way, under the attempt's lock: bring the state to now, let the
engine say what follows, append it durably, and only then take it up and tell the open
pages. What a page shows has therefore always been recorded.

Several servers may use one database. Who appends second is told (`SequenceTaken`),
reads the log again and decides anew. Their streams are not joined: a page hears of
another server's changes at its next look.
"""

from __future__ import annotations

import asyncio
import logging
import secrets
from collections.abc import AsyncGenerator, Callable
from dataclasses import dataclass, replace

from trainer.clinical.timebase import MS_PER_DAY, format_sim
from trainer.engine.actions import Action
from trainer.engine.advance import advance, next_happening_ms
from trainer.engine.carry import carry
from trainer.engine.decide import finish, inject
from trainer.engine.events import Cued, Event
from trainer.engine.evolve import fold
from trainer.engine.state import State
from trainer.errors import AttemptClosed, AttemptOpen, NoCue, SequenceTaken, StoreError
from trainer.live import attempt as steps
from trainer.live.attempt import Attempt
from trainer.live.library import Library
from trainer.live.pacing import Clock, WallClock
from trainer.scoring.cues import next_cue
from trainer.store.log import Log
from trainer.store.records import (
    AfterRecord,
    Append,
    AttemptLine,
    Entry,
    Opened,
    Pace,
    PaceSet,
    Record,
)
from trainer.terms import Purpose

ID_BYTES = 12
FORGET_AFTER_MS = 15 * 60_000
"""An attempt that nobody has looked at for so long leaves memory. Chosen by us."""

TRIES = 8
"""How often a change is decided anew when other servers append first. Chosen by us."""

_OTHERS_FASTER = "Other windows were faster each time; nothing was recorded. Look again, then act."

LEAST_DELAY_S = 0.02
"""Wake-ups are never closer than this. Chosen by us; events keep their exact moment."""

logger = logging.getLogger("trainer.live")

Plan = Callable[[State, int], tuple[Record, ...]]
"""What someone wants: from the state now and the moment, the records to append."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Glimpse:
    """An attempt at one moment, all of it recorded.

    `state` is carried to `at_ms`. `sequence` is the last row's number; `next_ms` the next
    moment at which something happens by itself, None once the attempt has ended; `events`
    everything the engine has recorded.
    """

    attempt: str
    learner: str
    seed: int
    state: State
    at_ms: int
    sequence: int
    pace: Pace
    next_ms: int | None
    events: tuple[Event, ...] = ()

    @property
    def ended(self) -> bool:
        """Whether the attempt is over."""
        return self.state.ended

    @property
    def ward_clock(self) -> str:
        """The time of day on the ward, as `HH:MM:SS`."""
        return ward_clock(self.state.scenario.starts_at, self.at_ms)


def ward_clock(starts_at: str, at_ms: int) -> str:
    """The time of day on the ward at a simulated moment.

    >>> ward_clock("23:50", 660_000)
    '00:01:00'
    """
    hours, minutes = starts_at.split(":")[:2]
    start_ms = (int(hours) * 60 + int(minutes)) * 60_000
    return format_sim((start_ms + at_ms) % MS_PER_DAY)


class Ward:
    """All attempts in progress on this server. Use it from one event loop."""

    def __init__(self, log: Log, library: Library, clock: Clock | None = None) -> None:
        self.library = library
        self._log = log
        self._clock: Clock = clock or WallClock()
        self._attempts: dict[str, Attempt] = {}
        self._door = asyncio.Lock()  # held while an attempt is read from the log
        self._tasks: set[asyncio.Task[None]] = set()
        self._closing = False

    # --- beginning and looking ------------------------------------------------------

    async def begin(self, scenario_id: str, seed: int = 0, learner: str = "") -> str:
        """Open an attempt and give its id, which nobody can guess.

        Its ward clock begins to run at the first look.

        Raises:
            ScenarioNotFound: if there is no such scenario.
            ScenarioError: if it has faults.
            StoreError: if it could not be recorded.
        """
        opened = await asyncio.to_thread(self._opened, scenario_id, seed, learner)
        attempt_id = secrets.token_hex(ID_BYTES)  # a hyphen first would look like an option
        append = self._append_of(attempt_id, 0, (opened,), actor=learner)
        await self._log.append(append)
        return attempt_id

    def _opened(self, scenario_id: str, seed: int, learner: str) -> Opened:
        source = self.library.find(scenario_id).source
        assert source is not None
        return steps.opened_record(source, seed, learner)

    async def look(self, attempt_id: str) -> Glimpse:
        """The attempt now. What time has brought since the last look is recorded first.

        Raises:
            AttemptNotFound: if there is no such attempt.
            StoreError: if the record could not be read or written.
        """
        attempt = await self._attempt(attempt_id)
        written = await asyncio.to_thread(self._log.last_sequence, attempt_id)
        async with attempt.lock:
            if written > attempt.sequence:
                await self._reload(attempt)
        return await self._change(attempt_id, None)

    async def events(self, attempt_id: str) -> tuple[Event, ...]:
        """The engine's events so far, brought up to now."""
        await self.look(attempt_id)
        return tuple((await self._attempt(attempt_id)).events)

    async def entries(self, attempt_id: str) -> tuple[Entry, ...]:
        """The whole log of an attempt, with pace, leaps and wall times."""
        return await asyncio.to_thread(self._log.read, attempt_id)

    async def after(self, attempt_id: str) -> tuple[Entry, ...]:
        """What was kept with an attempt after its end, in order."""
        entries = await self.entries(attempt_id)
        return tuple(entry for entry in entries if isinstance(entry.record, AfterRecord))

    async def opened(self, attempt_id: str) -> Opened:
        """How an attempt began: its texts, its seed.

        Raises:
            AttemptNotFound: if there is no such attempt.
        """
        return (await self._attempt(attempt_id)).opened

    async def learner_of(self, attempt_id: str) -> str:
        """Whose attempt it is.

        Raises:
            AttemptNotFound: if there is no such attempt.
        """
        return (await self._attempt(attempt_id)).opened.learner

    async def attempts_of(self, learner: str) -> tuple[AttemptLine, ...]:
        """A learner's attempts, in the order they were opened."""
        return await asyncio.to_thread(self._log.attempts, learner)

    # --- changing -------------------------------------------------------------------

    async def act(
        self,
        attempt_id: str,
        action: Action,
        *,
        actor: str,
        token: str = "",
        seen: int | None = None,
    ) -> Glimpse:
        """A learner does something; an impossible act is recorded as refused.

        A token that this attempt has seen changes nothing. With `seen` (the sequence that
        the page showed) an act is turned away if someone has done anything since; pass it
        for forms that would overwrite what was entered elsewhere, not for every button.

        Raises:
            AttemptClosed: if the attempt has ended.
            SequenceTaken: if the page was out of date.
            AttemptNotFound, StoreError: as for `look`.
        """

        def plan(state: State, at_ms: int) -> tuple[Record, ...]:
            return steps.what_follows(state, action, at_ms, actor)

        return await self._change(attempt_id, plan, actor=actor, token=token, seen=seen)

    async def set_pace(
        self, attempt_id: str, pace: Pace, *, actor: str, token: str = ""
    ) -> Glimpse:
        """Let the ward clock run at a pace, or hold it. Raises as `act`."""

        def plan(_state: State, at_ms: int) -> tuple[Record, ...]:
            return (PaceSet(at_ms=at_ms, pace=pace),)

        return await self._change(attempt_id, plan, actor=actor, token=token)

    async def leap(self, attempt_id: str, *, actor: str, token: str = "") -> Glimpse:
        """Let the ward clock leap to the next happening. Raises as `act`."""
        return await self._change(attempt_id, steps.leap_to_next, actor=actor, token=token)

    async def inject(
        self, attempt_id: str, event_id: str, *, actor: str, token: str = ""
    ) -> Glimpse:
        """Let an authored event come now. Raises as `act`."""

        def plan(state: State, at_ms: int) -> tuple[Record, ...]:
            return inject(state, event_id, at_ms=at_ms, actor=actor)

        return await self._change(attempt_id, plan, actor=actor, token=token)

    async def cue(self, attempt_id: str, *, actor: str, token: str = "") -> Glimpse:
        """Give the learner the next cue for what is open and most urgent.

        Raises:
            NoCue: if nothing is open that has a cue left, or the attempt is a test.
            AttemptClosed, AttemptNotFound, StoreError: as for `act`.
        """
        await self.look(attempt_id)  # what time has brought may call for something
        attempt = await self._attempt(attempt_id)
        if attempt.opened.purpose == Purpose.SUMMATIVE:
            raise NoCue("In a test no cues are given.")

        def plan(state: State, at_ms: int) -> tuple[Record, ...]:
            found = next_cue(state.scenario, tuple(attempt.events), at_ms)
            if found is None:
                raise NoCue("Nothing is open just now that has a cue left.")
            return (Cued(at_ms=at_ms, kind=found.kind, step=found.step, text=found.text, by=actor),)

        return await self._change(attempt_id, plan, actor=actor, token=token)

    async def finish(self, attempt_id: str, *, actor: str, token: str = "") -> Glimpse:
        """End the attempt. Raises as `act`."""

        def plan(state: State, at_ms: int) -> tuple[Record, ...]:
            return finish(state, at_ms=at_ms, by="learner")

        return await self._change(attempt_id, plan, actor=actor, token=token)

    async def add_after(
        self, attempt_id: str, *records: AfterRecord, actor: str, token: str = ""
    ) -> Glimpse:
        """Keep something with an attempt that has ended: all of the records, or none.

        They stand in the log after the end, at its moment; state and marks do not know
        them. A token that this attempt has seen changes nothing.

        Raises:
            AttemptOpen: if the attempt has not ended.
            AttemptNotFound, StoreError: as for `look`.
        """
        glimpse = await self.look(attempt_id)
        if not glimpse.ended:
            raise AttemptOpen(
                "This attempt has not ended, so nothing can be kept with it yet; end it first."
            )
        attempt = await self._attempt(attempt_id)
        async with attempt.lock:
            self._attempts.setdefault(attempt_id, attempt)  # it may just have been let go
            kept = tuple(replace(record, at_ms=attempt.state.as_of_ms) for record in records)
            for _ in range(TRIES):
                if not kept or (token and token in attempt.tokens):
                    return _glimpse(attempt, attempt.state.as_of_ms)
                try:
                    wall_ms = self._clock.monotonic_ms()
                    await self._record(attempt, kept, attempt.state, wall_ms, actor, token)
                except SequenceTaken:
                    await self._reload(attempt)
                else:
                    return _glimpse(attempt, attempt.state.as_of_ms)
        raise SequenceTaken(_OTHERS_FASTER)

    async def _change(
        self,
        attempt_id: str,
        plan: Plan | None,
        *,
        actor: str = "",
        token: str = "",
        seen: int | None = None,
    ) -> Glimpse:
        """Bring up to now, plan, append, take up; anew if another server was first."""
        attempt = await self._attempt(attempt_id)
        async with attempt.lock:
            self._attempts.setdefault(attempt_id, attempt)  # it may just have been let go
            for _ in range(TRIES):
                if token and token in attempt.tokens:
                    plan, token = None, ""
                try:
                    return await self._change_once(attempt, plan, actor, token, seen)
                except SequenceTaken:
                    if seen is not None and attempt.last_deed > seen:
                        raise
                    await self._reload(attempt)
        raise SequenceTaken(_OTHERS_FASTER)

    async def _change_once(
        self, attempt: Attempt, plan: Plan | None, actor: str, token: str, seen: int | None
    ) -> Glimpse:
        wall_ms = self._clock.monotonic_ms()
        attempt.pacing = attempt.pacing.looked(wall_ms)
        at_ms = attempt.moment_ms(wall_ms)
        by_time = advance(attempt.state, at_ms)
        state = fold(attempt.state, by_time)
        if plan is None or state.ended:
            await self._record(attempt, by_time, state, wall_ms)
            if plan is not None:
                raise AttemptClosed("This attempt has ended; nothing can be added to it.")
            return _glimpse(attempt, at_ms)
        if seen is not None and attempt.last_deed > seen:
            raise SequenceTaken(
                "Something else was done since this page was drawn. Nothing was recorded; "
                "look at the bedside as it is now, then act."
            )
        planned = plan(carry(state, at_ms), at_ms)
        after = fold(state, steps.engine_events(planned))
        await self._record(attempt, (*by_time, *planned), after, wall_ms, actor, token)
        return _glimpse(attempt, max(at_ms, attempt.moment_ms(wall_ms)))

    async def _record(
        self,
        attempt: Attempt,
        records: tuple[Record, ...],
        state: State,
        wall_ms: int,
        actor: str = "",
        token: str = "",
    ) -> None:
        """Append records durably; then take them up and tell the open pages."""
        if records:
            append = self._append_of(
                attempt.id, attempt.sequence, records, actor=actor, token=token
            )
            done = await self._log.append(append)
            if done.repeated:
                await self._reload(attempt)
            else:
                attempt.take_up(records, state, wall_ms)
                attempt.tokens.update({token} if token else ())
            _tell(attempt, keep_on=not self._closing)
        self._schedule(attempt)

    def _append_of(
        self,
        attempt_id: str,
        after: int,
        records: tuple[Record, ...],
        *,
        actor: str = "",
        token: str = "",
    ) -> Append:
        return Append(
            attempt=attempt_id,
            after=after,
            records=records,
            actor=actor,
            token=token,
            recorded_at=self._clock.utc_now(),
        )

    # --- streams --------------------------------------------------------------------

    async def subscribe(self, attempt_id: str) -> AsyncGenerator[Glimpse, None]:
        """The attempt now, and again after each change, until the server closes.

        A slow page skips changes, never the last one. While this runs, the ward clock
        runs, and the server wakes for the attempt's next happening.
        """
        attempt = await self._attempt(attempt_id)
        queue: asyncio.Queue[bool] = asyncio.Queue(maxsize=1)
        queue.put_nowait(not self._closing)
        attempt.streams.add(queue)
        attempt.pacing = attempt.pacing.watched(+1, self._clock.monotonic_ms())
        try:
            while await queue.get():
                yield await self._change(attempt_id, None)
        finally:
            attempt.streams.discard(queue)
            attempt.pacing = attempt.pacing.watched(-1, self._clock.monotonic_ms())
            self._schedule(attempt)

    def close_streams(self) -> None:
        """End every open stream at once, so that the server can stop."""
        self._closing = True
        for attempt in self._attempts.values():
            _tell(attempt, keep_on=False)

    async def close(self) -> None:
        """End the streams and keep every ward clock's place in the log."""
        self.close_streams()
        for attempt in tuple(self._attempts.values()):
            await self._let_go(attempt, "the server ended")

    def _schedule(self, attempt: Attempt) -> None:
        """Wake for the next happening, if a page is open and the ward clock runs."""
        if attempt.timer is not None:
            attempt.timer.cancel()
            attempt.timer = None
        next_ms = next_happening_ms(attempt.state)
        if next_ms is None or not attempt.streams or self._closing:
            return
        delay_ms = attempt.pacing.wall_delay_ms(next_ms, self._clock.monotonic_ms())
        if delay_ms is not None:
            delay_s = max(delay_ms / 1_000, LEAST_DELAY_S)
            attempt.timer = asyncio.get_running_loop().call_later(delay_s, self._wake, attempt)

    def _wake(self, attempt: Attempt) -> None:
        task = asyncio.get_running_loop().create_task(self._woken(attempt))
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)

    async def _woken(self, attempt: Attempt) -> None:
        try:
            await self._change(attempt.id, None)
        except StoreError as error:
            logger.warning("attempt %s: %s", attempt.id, error)
            _tell(attempt, keep_on=not self._closing)  # each page's own look says what is wrong

    # --- memory ---------------------------------------------------------------------

    async def _attempt(self, attempt_id: str) -> Attempt:
        """The attempt, read from the log if this server does not remember it."""
        known = self._attempts.get(attempt_id)
        if known is not None:
            return known
        async with self._door:
            if attempt_id not in self._attempts:
                await self._forget_idle()
                self._attempts[attempt_id] = await asyncio.to_thread(self._restored, attempt_id)
            return self._attempts[attempt_id]

    def _restored(self, attempt_id: str) -> Attempt:
        entries = self._log.read(attempt_id)
        return steps.restored(attempt_id, entries, self._clock.monotonic_ms())

    async def _reload(self, attempt: Attempt) -> None:
        """Take over what other servers appended. The ward clock does not go back."""
        now_ms = attempt.moment_ms(self._clock.monotonic_ms())
        anew = await asyncio.to_thread(self._restored, attempt.id)
        wall_ms = self._clock.monotonic_ms()
        watchers = attempt.pacing.watchers
        attempt.state, attempt.events, attempt.tokens = anew.state, anew.events, anew.tokens
        attempt.sequence, attempt.at_ms = anew.sequence, anew.at_ms
        attempt.last_deed = anew.last_deed
        attempt.pacing = replace(
            anew.pacing.moved(max(now_ms, anew.at_ms), wall_ms), watchers=watchers
        )

    async def _forget_idle(self) -> None:
        """Let go of attempts that nobody has looked at for long."""
        wall_ms = self._clock.monotonic_ms()
        for attempt in tuple(self._attempts.values()):
            is_idle = wall_ms - attempt.pacing.seen_ms > FORGET_AFTER_MS
            if is_idle and not attempt.streams and not attempt.lock.locked():
                await self._let_go(attempt, "nobody watched")

    async def _let_go(self, attempt: Attempt, reason: str) -> None:
        """Forget an attempt; its log then says where its ward clock stood."""
        async with attempt.lock:
            if attempt.timer is not None:
                attempt.timer.cancel()
            wall_ms = self._clock.monotonic_ms()
            at_ms = attempt.moment_ms(wall_ms)
            by_time = advance(attempt.state, at_ms)
            state = fold(attempt.state, by_time)
            place = () if state.ended else steps.held(attempt, at_ms, reason)
            try:
                await self._record(attempt, (*by_time, *place), state, wall_ms)
            except StoreError as error:
                logger.warning("attempt %s: its ward clock goes back: %s", attempt.id, error)
            if not attempt.streams:
                self._attempts.pop(attempt.id, None)


def _glimpse(attempt: Attempt, at_ms: int) -> Glimpse:
    state = attempt.state
    now_ms = state.as_of_ms if state.ended else max(at_ms, state.as_of_ms)
    return Glimpse(
        attempt=attempt.id,
        learner=attempt.opened.learner,
        seed=attempt.opened.seed,
        state=carry(state, now_ms),
        at_ms=now_ms,
        sequence=attempt.sequence,
        pace=attempt.pacing.pace,
        next_ms=next_happening_ms(state),
        events=tuple(attempt.events),
    )


def _tell(attempt: Attempt, *, keep_on: bool) -> None:
    """Tell every stream that something changed, or (keep_on False) that it ends."""
    for queue in attempt.streams:
        if queue.full():
            queue.get_nowait()
        queue.put_nowait(keep_on)

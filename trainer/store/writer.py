"""The only writer of the log: one thread, one transaction for all that wait.

An append's future is resolved after the commit that holds it, so whoever waits on it
knows that it is on disk. While one commit runs, the next appends gather and share the
following one. A fault fails the appends of that transaction and nothing else: the
connection is given up, and the next append opens a new one.
"""

from __future__ import annotations

from concurrent.futures import Future
from dataclasses import dataclass
from queue import Empty, SimpleQueue
from threading import Lock, Thread
from typing import Any

from sqlalchemy import Connection, Engine, bindparam, func, insert, select, update
from sqlalchemy.exc import DBAPIError, IntegrityError

from trainer.errors import SequenceTaken, StoreError, StoreUnavailable
from trainer.store.database import DATABASE_FAULTS, WRITES, explained
from trainer.store.records import Appended
from trainer.store.tables import ATTEMPTS, LOG

MOST_TOGETHER = 256
"""Appends in one transaction at most. Chosen by us: far more than wait in a class."""

_RETRY_CODES = ("40001", "40P01")  # PostgreSQL: serialization failure, deadlock detected

_ADD_ROWS = insert(LOG)
_ADD_ATTEMPT = insert(ATTEMPTS)
_END_ATTEMPT = (
    update(ATTEMPTS).where(ATTEMPTS.c.id == bindparam("attempt")).values(ended_at=bindparam("end"))
)
_TOKEN_ROW = select(LOG.c.sequence).where(
    LOG.c.attempt == bindparam("attempt"), LOG.c.token == bindparam("token")
)
_LAST_ROW = select(func.max(LOG.c.sequence)).where(LOG.c.attempt == bindparam("attempt"))

Row = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """One append as rows ready to insert, and the future that waits for it.

    `opening` is the attempt's line in the index when this append opens it, `ending` what
    ends that line when this append ends the attempt.
    """

    attempt: str
    token: str
    rows: tuple[Row, ...]
    opening: Row | None
    ending: Row | None
    done: Future[Appended]


class Writer:
    """The writer thread. `lock` is held during each transaction (for one in memory)."""

    def __init__(self, engine: Engine, address: str, lock: Lock) -> None:
        self._engine = engine
        self._address = address
        self._lock = lock
        self._connection: Connection | None = None
        self._queue: SimpleQueue[Wish | None] = SimpleQueue()
        self._closing = Lock()
        self._closed = False
        self._thread = Thread(target=self._run, name="log writer", daemon=True)
        self._thread.start()

    def submit(self, wish: Wish) -> None:
        """Queue an append; its future is resolved after the commit.

        Raises:
            StoreUnavailable: if the writer has been closed.
        """
        with self._closing:
            if self._closed:
                raise StoreUnavailable("Nothing was recorded: the trainer is shutting down.")
            self._queue.put(wish)

    def close(self) -> None:
        """Write what waits, then end the thread."""
        with self._closing:
            if not self._closed:
                self._closed = True
                self._queue.put(None)
        self._thread.join()

    def _run(self) -> None:
        is_last = False
        while not is_last:
            wishes, is_last = self._next_wishes()
            if wishes:
                with self._lock:
                    self._write(wishes)
        self._drop_connection()

    def _next_wishes(self) -> tuple[list[Wish], bool]:
        """All that wait (at least one thing), and whether the end was among them."""
        wishes: list[Wish] = []
        one = self._queue.get()
        while one is not None:
            if one.done.set_running_or_notify_cancel():
                wishes.append(one)
            if len(wishes) == MOST_TOGETHER:
                return wishes, False
            try:
                one = self._queue.get_nowait()
            except Empty:
                return wishes, False
        return wishes, True

    def _write(self, wishes: list[Wish]) -> None:
        """Write all in one transaction; if the database refuses one of them, each alone."""
        try:
            self._transact(wishes)
        except DATABASE_FAULTS as error:
            if not _is_refusal(error):
                self._drop_connection()
                _fail(wishes, explained(error, self._address))
            elif len(wishes) == 1:
                self._settle_refused(wishes[0], error)
            else:
                for wish in wishes:
                    self._write([wish])
        except Exception as error:
            self._drop_connection()
            _fail(wishes, StoreError(f"Nothing was recorded: a fault of ours ({error!r})"))
        else:
            for wish in wishes:
                wish.done.set_result(Appended(wish.rows[-1]["sequence"]))

    def _transact(self, wishes: list[Wish]) -> None:
        openings = [wish.opening for wish in wishes if wish.opening is not None]
        endings = [wish.ending for wish in wishes if wish.ending is not None]
        connection = self._open_connection()
        with connection.begin():
            connection.execute(_ADD_ROWS, [row for wish in wishes for row in wish.rows])
            if openings:
                connection.execute(_ADD_ATTEMPT, openings)
            if endings:
                connection.execute(_END_ATTEMPT, endings)

    def _settle_refused(self, wish: Wish, error: Exception) -> None:
        """Tell a repeated token from a sequence that someone else took."""
        try:
            connection = self._open_connection()
            names = {"attempt": wish.attempt, "token": wish.token or None}
            with connection.begin():
                earlier = connection.execute(_TOKEN_ROW, names).scalar()
                last = connection.execute(_LAST_ROW, {"attempt": wish.attempt}).scalar() or 0
        except DATABASE_FAULTS as second:
            self._drop_connection()
            _fail([wish], explained(second, self._address))
            return
        if earlier is not None:
            wish.done.set_result(Appended(earlier, repeated=True))
        elif last != wish.rows[0]["sequence"] - 1:
            _fail([wish], SequenceTaken(f"attempt {wish.attempt} has gone on to row {last}"))
        else:
            _fail([wish], explained(error, self._address))

    def _open_connection(self) -> Connection:
        if self._connection is None:
            self._connection = self._engine.connect().execution_options(**{WRITES: True})
        return self._connection

    def _drop_connection(self) -> None:
        connection, self._connection = self._connection, None
        if connection is None:
            return
        try:
            connection.invalidate()
            connection.close()
        except DATABASE_FAULTS:
            pass  # it is being given up because it is broken


def _is_refusal(error: Exception) -> bool:
    """Whether the rows were refused (by a unique rule or a rival), not the database broken."""
    if isinstance(error, IntegrityError):
        return True
    return isinstance(error, DBAPIError) and getattr(error.orig, "sqlstate", "") in _RETRY_CODES


def _fail(wishes: list[Wish], error: StoreError) -> None:
    for wish in wishes:
        wish.done.set_exception(error)

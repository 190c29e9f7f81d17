"""The append-only log of every attempt: appending, reading, listing.

Appends go through one writer thread (`store.writer`) and are durable when they return.
Reading checks what it reads: dense rows, known kinds, unaltered texts.
"""

from __future__ import annotations

import asyncio
from collections.abc import Iterator, Sequence
from concurrent.futures import Future
from contextlib import contextmanager
from datetime import datetime
from threading import Lock

from sqlalchemy import Connection, RowMapping, bindparam, delete, func, insert, select

from trainer.engine.events import Finished
from trainer.errors import AttemptNotFound, StoreError
from trainer.store.codec import encode
from trainer.store.database import (
    DATABASE_FAULTS,
    WRITES,
    check_whole,
    explained,
    is_in_memory,
    open_database,
)
from trainer.store.reading import entries_from_rows
from trainer.store.records import (
    Append,
    Appended,
    AttemptLine,
    Deed,
    Entry,
    Opened,
    StoredRow,
)
from trainer.store.tables import ATTEMPTS, LOG
from trainer.store.writer import Row, Wish, Writer

_STORED = (
    LOG.c.sequence,
    LOG.c.at_ms,
    LOG.c.kind,
    LOG.c.version,
    LOG.c.payload,
    LOG.c.actor,
    func.coalesce(LOG.c.token, "").label("token"),
    LOG.c.recorded_at,
)
_READ = select(*_STORED).where(LOG.c.attempt == bindparam("attempt")).order_by(LOG.c.sequence)
_LAST = select(func.max(LOG.c.sequence)).where(LOG.c.attempt == bindparam("attempt"))
_LIST = select(ATTEMPTS).order_by(ATTEMPTS.c.opened_at, ATTEMPTS.c.id)
_TURNS = select(LOG.c.attempt, *_STORED).where(LOG.c.kind.in_(("opened", "finished")))

LONGEST_NAME = 200
"""Most characters of an actor, a learner or a token. Chosen by us."""


class Log:
    """The log in one database. Safe to use from several threads; close it at the end.

    Args:
        address: `sqlite:///PATH`, `sqlite://` (in memory, for tests) or a PostgreSQL
            address.
        patience_s: how long to wait for a database that another program holds.
        only_read: nothing is made or written, so a full or write-protected disk will do.
    """

    def __init__(self, address: str, *, patience_s: float = 3, only_read: bool = False) -> None:
        self._address = address
        self._engine = open_database(address, patience_s, only_read=only_read)
        self._in_memory = is_in_memory(address)
        self._alone = Lock()
        self._writer = Writer(self._engine, address, self._alone)

    def close(self) -> None:
        """Write what waits and let the database go."""
        self._writer.close()
        self._engine.dispose()

    def check_whole(self) -> None:
        """Look through the whole database for damage.

        Raises:
            DatabaseDamaged: if it is damaged.
        """
        check_whole(self._engine, self._address)

    # --- writing --------------------------------------------------------------------

    def submit(self, append: Append) -> Future[Appended]:
        """Queue an append. The future is resolved once the rows are on disk.

        It fails with `SequenceTaken` if someone else appended first, and with
        `StoreUnavailable` if the database cannot be written; then nothing was recorded.

        Raises:
            StoreError: if a name or token could not stand in the log.
        """
        for name in (append.attempt, append.actor, append.token):
            _check_name(name)
        done: Future[Appended] = Future()
        self._writer.submit(
            Wish(
                attempt=append.attempt,
                token=append.token,
                rows=_rows(append),
                opening=_opening(append),
                ending=_ending(append),
                done=done,
            )
        )
        return done

    async def append(self, append: Append) -> Appended:
        """Append durably; see `submit`."""
        return await asyncio.wrap_future(self.submit(append))

    def append_now(self, append: Append) -> Appended:
        """Append durably, waiting in this thread; see `submit`."""
        return self.submit(append).result()

    # --- reading --------------------------------------------------------------------

    def rows(self, attempt: str) -> tuple[StoredRow, ...]:
        """The rows of an attempt as they are stored.

        Raises:
            AttemptNotFound: if there is no such attempt.
            StoreUnavailable: if the database cannot be read.
        """
        if not _is_name(attempt):
            raise _no_attempt(attempt)
        with self._reading() as connection:
            found = connection.execute(_READ, {"attempt": attempt}).mappings().all()
        if not found:
            raise _no_attempt(attempt)
        return tuple(StoredRow(**row) for row in found)

    def read(self, attempt: str) -> tuple[Entry, ...]:
        """The whole log of an attempt, checked.

        Raises:
            AttemptNotFound: if there is no such attempt.
            UnknownEvent: if a newer trainer wrote it.
            LogDamaged: if it is not what was written, with the place.
            StoreUnavailable: if the database cannot be read.
        """
        return entries_from_rows(self.rows(attempt), f"attempt {attempt}")

    def last_sequence(self, attempt: str) -> int:
        """The number of the attempt's last row; 0 if there is no such attempt."""
        with self._reading() as connection:
            return connection.execute(_LAST, {"attempt": attempt}).scalar() or 0

    def attempts(self, learner: str | None = None) -> tuple[AttemptLine, ...]:
        """All attempts, or one learner's, in the order they were opened."""
        wanted = _LIST if learner is None else _LIST.where(ATTEMPTS.c.learner == learner)
        if learner is not None and not _is_name(learner):
            return ()
        with self._reading() as connection:
            return tuple(_line(row) for row in connection.execute(wanted).mappings())

    def rebuild_index(self) -> None:
        """Make the list of attempts anew from the log, which alone is true."""
        with self._connected(writes=True) as connection:
            found = connection.execute(_TURNS).mappings().all()
            lines = _lines_from_log(found)
            connection.execute(delete(ATTEMPTS))
            if lines:
                connection.execute(insert(ATTEMPTS), lines)

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        with self._connected(writes=False) as connection:
            yield connection

    @contextmanager
    def _connected(self, *, writes: bool) -> Iterator[Connection]:
        """A connection in a transaction; one in memory is shared, so one user at a time."""
        if self._in_memory:
            self._alone.acquire()
        try:
            with (
                self._engine.connect().execution_options(**{WRITES: writes}) as connection,
                connection.begin(),
            ):
                yield connection
        except DATABASE_FAULTS as error:
            raise explained(error, self._address) from error
        finally:
            if self._in_memory:
                self._alone.release()


def _rows(append: Append) -> tuple[Row, ...]:
    """The rows of an append. What time brought before the deed has no actor and no token."""
    records = append.records
    deed = next((place for place, one in enumerate(records) if isinstance(one, Deed)), 0)
    shared = {"attempt": append.attempt, "recorded_at": _wall_text(append.recorded_at)}
    rows: list[Row] = []
    for place, record in enumerate(records):
        kind, version, payload = encode(record)
        rows.append(
            {
                **shared,
                "sequence": append.after + 1 + place,
                "at_ms": record.at_ms,
                "kind": kind,
                "version": version,
                "payload": payload,
                "actor": append.actor if place >= deed else "",
                "token": (append.token or None) if place == deed else None,
            }
        )
    return tuple(rows)


def _opening(append: Append) -> Row | None:
    first = append.records[0]
    if not isinstance(first, Opened):
        return None
    _check_name(first.learner)
    return _index_line(append.attempt, first, _wall_text(append.recorded_at))


def _ending(append: Append) -> Row | None:
    if not any(isinstance(record, Finished) for record in append.records):
        return None
    return {"attempt": append.attempt, "end": _wall_text(append.recorded_at)}


def _index_line(attempt: str, opened: Opened, opened_at: str) -> Row:
    return {
        "id": attempt,
        "learner": opened.learner,
        "scenario": opened.scenario,
        "title": opened.title,
        "opened_at": opened_at,
        "ended_at": None,
    }


def _lines_from_log(found: Sequence[RowMapping]) -> list[Row]:
    """The index's lines, from the rows that open and end attempts."""
    lines: dict[str, Row] = {}
    ends = {row["attempt"]: row["recorded_at"] for row in found if row["kind"] == "finished"}
    for row in found:
        if row["kind"] == "opened":
            stored = StoredRow(**{key: row[key] for key in row if key != "attempt"})
            opened = entries_from_rows((stored,), f"attempt {row['attempt']}")[0].record
            assert isinstance(opened, Opened)
            line = _index_line(row["attempt"], opened, row["recorded_at"])
            lines[row["attempt"]] = {**line, "ended_at": ends.get(row["attempt"])}
    return list(lines.values())


def _line(row: RowMapping) -> AttemptLine:
    ended_at = row["ended_at"]
    return AttemptLine(
        id=row["id"],
        learner=row["learner"],
        scenario=row["scenario"],
        title=row["title"],
        opened_at=datetime.fromisoformat(row["opened_at"]),
        ended_at=None if ended_at is None else datetime.fromisoformat(ended_at),
    )


def _wall_text(moment: datetime) -> str:
    return moment.isoformat(timespec="milliseconds")


def _is_name(text: str) -> bool:
    return len(text) <= LONGEST_NAME and (text == "" or text.isprintable())


def _check_name(text: str) -> None:
    if not _is_name(text):
        raise StoreError(
            f"Nothing was recorded: a name or token has unprintable characters or more than "
            f"{LONGEST_NAME}; reload the page and try again."
        )


def _no_attempt(attempt: str) -> AttemptNotFound:
    name = attempt if _is_name(attempt) else "of that name"
    return AttemptNotFound(
        f"There is no attempt {name}; choose one from the list, or begin a new one."
    )

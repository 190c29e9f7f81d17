"""Opening the database, and its faults in plain words.

SQLite by default: write-ahead log, full synchronising, transactions that take the write
lock at once. PostgreSQL when the address says so; its driver is imported only then.
"""

from __future__ import annotations

from pathlib import Path
from sqlite3 import Connection as SqliteConnection
from sqlite3 import Error as SqliteError
from sqlite3 import sqlite_version_info
from urllib.parse import quote

from sqlalchemy import Connection, Engine, create_engine, event, make_url, text
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError, SQLAlchemyError
from sqlalchemy.pool import ConnectionPoolEntry, StaticPool

from trainer.errors import DatabaseDamaged, StoreError, StoreUnavailable
from trainer.store.tables import ATTEMPTS, LOG, POSTGRES_TRIGGERS, SQLITE_TRIGGERS

DATABASE_FILE = "trainer.sqlite"
OLDEST_SQLITE = (3, 35, 0)
DATABASE_FAULTS = (SQLAlchemyError, SqliteError)
"""Everything that a database raises; `explained` puts it into plain words."""
WRITES = "writes"
"""Execution option of a connection that writes: SQLite then begins IMMEDIATE."""
_SCHEMA_LOCK = 7_204_311  # any number of our own; one server at a time makes the tables


def normalised_address(address: str) -> str:
    """A database address with the driver that we use.

    >>> normalised_address("postgres://ward@localhost/training")
    'postgresql+psycopg://ward@localhost/training'
    >>> normalised_address("sqlite:////home/ida/trainer.sqlite")
    'sqlite:////home/ida/trainer.sqlite'
    """
    for name in ("postgres://", "postgresql://"):
        if address.startswith(name):
            return "postgresql+psycopg://" + address.removeprefix(name)
    return address


def address_in(folder: Path) -> str:
    """The address of the database file that the trainer keeps in a folder.

    >>> address_in(Path("/home/ida/trainer"))
    'sqlite:////home/ida/trainer/trainer.sqlite'
    """
    return f"sqlite:///{folder / DATABASE_FILE}"


def is_in_memory(address: str) -> bool:
    """Whether the address names a SQLite database that lives only in memory.

    >>> [is_in_memory(one) for one in ("sqlite://", "sqlite:///file::memory:?uri=true")]
    [True, True]
    >>> is_in_memory("sqlite:////home/ida/trainer.sqlite")
    False
    """
    try:
        url = make_url(address)
    except ArgumentError:
        return False
    name = url.database or ":memory:"
    is_sqlite = url.get_backend_name() == "sqlite"
    return is_sqlite and (":memory:" in name or url.query.get("mode") == "memory")


def open_database(address: str, patience_s: float, *, only_read: bool = False) -> Engine:
    """The database at an address, its tables and triggers made where they are missing.

    Args:
        address: as `Log` takes it.
        patience_s: how long to wait for a database that another program holds.
        only_read: nothing is made or written; what is missing is told.

    Raises:
        StoreUnavailable: if it cannot be opened, or no driver fits, with the mend.
    """
    try:
        url = normalised_address(address)
        engine = _engine(reading_address(url) if only_read else url, patience_s)
    except (ArgumentError, NoSuchModuleError, ImportError) as error:
        raise StoreUnavailable(
            f"the database address {shown(address)} cannot be used ({_first_line(error)}); write "
            "sqlite:///PATH, or postgresql://USER@HOST/NAME with the extra 'postgres' installed"
        ) from error
    try:
        if not only_read:
            _make_tables(engine)
        elif not _has_log(engine):
            raise StoreUnavailable(_no_record(address))
    except DATABASE_FAULTS as error:
        engine.dispose()
        raise explained(error, address) from error
    return engine


def shown(address: str) -> str:
    """An address without its password."""
    try:
        return make_url(address).render_as_string(hide_password=True)
    except ArgumentError:
        return "(unreadable)"


def _engine(address: str, patience_s: float) -> Engine:
    if not address.startswith("sqlite"):
        return create_engine(
            address, pool_pre_ping=True, connect_args={"connect_timeout": max(2, int(patience_s))}
        )
    if sqlite_version_info < OLDEST_SQLITE:
        raise StoreUnavailable(
            "this Python has an old SQLite library; a newer Python brings a newer one"
        )
    if is_in_memory(address):
        engine = create_engine(
            address, poolclass=StaticPool, connect_args={"check_same_thread": False}
        )
    else:
        engine = create_engine(address, connect_args={"timeout": patience_s})
    event.listen(engine, "connect", _prepare_sqlite)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def _prepare_sqlite(connection: SqliteConnection, _entry: ConnectionPoolEntry) -> None:
    """Durable commits; triggers that hold against OR REPLACE; transactions begun by us."""
    connection.isolation_level = None
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("PRAGMA recursive_triggers = ON")


def _begin_sqlite(connection: Connection) -> None:
    writes = connection.get_execution_options().get(WRITES, False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def reading_address(address: str) -> str:
    """The address under which a SQLite file is read without leaving a trace beside it.

    A file without a write-ahead log is in nobody's use and is read as it lies there, which
    works on a full or write-protected disk too.

    Raises:
        StoreUnavailable: if there is no such file.
    """
    url = make_url(address)
    name = url.database or ""
    if url.get_backend_name() != "sqlite" or is_in_memory(address) or name.startswith("file:"):
        return address
    if not Path(name).is_file():
        raise StoreUnavailable(_no_record(address))
    how = {"mode": "ro"} if Path(f"{name}-wal").exists() else {"mode": "ro", "immutable": "1"}
    file = f"file:{quote(str(Path(name).absolute()))}"
    return url.set(database=file, query={**how, "uri": "true"}).render_as_string()


def _no_record(address: str) -> str:
    return (
        f"there is no record of attempts at {shown(address)}; check the folder named with --data, "
        "or start the trainer once"
    )


def _has_log(engine: Engine) -> bool:
    with engine.connect() as connection:
        return engine.dialect.has_table(connection, LOG.name)


def check_whole(engine: Engine, address: str) -> None:
    """Look through a SQLite file for damage; PostgreSQL looks after its own.

    Raises:
        DatabaseDamaged: if any page of it is not sound.
        StoreUnavailable: if it cannot be read.
    """
    if engine.dialect.name != "sqlite":
        return
    try:
        with engine.connect() as connection:
            found = connection.exec_driver_sql("PRAGMA quick_check(1)").scalar()
    except DATABASE_FAULTS as error:
        raise explained(error, address) from error
    if found != "ok":
        said = _first_line(str(found).removeprefix("*** in database main ***"))
        raise explained(SqliteError(f"malformed: {said}"), address)


def _make_tables(engine: Engine) -> None:
    if engine.dialect.name == "sqlite":
        _make_sqlite_tables(engine)
        return
    with engine.begin() as connection:
        connection.execute(text(f"SELECT pg_advisory_xact_lock({_SCHEMA_LOCK})"))
        if not engine.dialect.has_table(connection, LOG.name):
            LOG.metadata.create_all(connection, tables=[LOG, ATTEMPTS])
            for trigger in POSTGRES_TRIGGERS:
                connection.exec_driver_sql(trigger)


def _make_sqlite_tables(engine: Engine) -> None:
    if _has_log(engine):
        return
    raw = engine.raw_connection()
    try:
        raw.cursor().execute("PRAGMA journal_mode = WAL")
    finally:
        raw.close()
    with engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
        LOG.metadata.create_all(connection, tables=[LOG, ATTEMPTS])
        for trigger in SQLITE_TRIGGERS:
            connection.exec_driver_sql(trigger)


_SQLITE_FAULTS: tuple[tuple[str, str], ...] = (
    ("is full", "the disk is full; make room on it, then do the last step again"),
    (
        "disk I/O error",
        "the disk refused to write; check that it has room and is sound, then do the last step "
        "again",
    ),
    (
        "locked",
        "another program is holding the database; close it (a database viewer, a backup, a "
        "second trainer), then do the last step again",
    ),
    (
        "readonly",
        "the database cannot be written; give yourself the right to write the file and its "
        "folder, or choose another folder with --data",
    ),
    (
        "unable to open",
        "the database cannot be opened; check that its folder exists and can be written, or "
        "choose another folder with --data",
    ),
)


def explained(error: Exception, address: str) -> StoreError:
    """A database error as one of ours: what is wrong, and the mend."""
    said = str(error.orig) if isinstance(error, DBAPIError) else str(error)
    if "malformed" in said or "not a database" in said:
        return DatabaseDamaged(
            f"{shown(address)} is damaged or no database ({said}); put a sound copy in its place, "
            "or choose another folder with --data"
        )
    for sign, mend in _SQLITE_FAULTS:
        if sign in said:
            return StoreUnavailable(f"Nothing was recorded: {mend}. ({shown(address)}: {said})")
    return StoreUnavailable(
        f"Nothing was recorded: the database did not answer as it should; check that it runs and "
        f"can be reached, then do the last step again. ({shown(address)}: {_first_line(said)})"
    )


def _first_line(error: object) -> str:
    return str(error).strip().split("\n", 1)[0]

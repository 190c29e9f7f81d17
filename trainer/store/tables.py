"""The two tables, and the triggers that keep the log append-only inside the database.

`log` is the record and the only truth. `attempts` is an index for lists: every column of
it can be rebuilt from the log (`Log.rebuild_index`).
"""

from __future__ import annotations

from sqlalchemy import Column, Table, Text, UniqueConstraint
from sqlmodel import Field, SQLModel


class LogRow(SQLModel, table=True):
    """One thing that happened in one attempt. Never changed, never removed."""

    __tablename__ = "log"
    __table_args__ = (UniqueConstraint("attempt", "token"), {"sqlite_with_rowid": False})

    attempt: str = Field(primary_key=True)
    sequence: int = Field(primary_key=True)  # dense, from 1
    at_ms: int
    kind: str
    version: int
    payload: str = Field(sa_column=Column(Text, nullable=False))  # JSON
    actor: str
    token: str | None = None  # the client's, on the first row of what it brought
    recorded_at: str  # ISO 8601, UTC


class AttemptRow(SQLModel, table=True):
    """One attempt in a list. Only an index, rebuilt from the log when in doubt."""

    __tablename__ = "attempts"

    id: str = Field(primary_key=True)
    learner: str = Field(index=True)
    scenario: str
    title: str
    opened_at: str
    ended_at: str | None = None


def _table(model: type[SQLModel]) -> Table:
    table = SQLModel.metadata.tables[str(model.__tablename__)]
    assert isinstance(table, Table)
    return table


LOG = _table(LogRow)
ATTEMPTS = _table(AttemptRow)

NO_CHANGE = "the log is append-only: its rows are never changed or removed"
NOT_NEXT = "the log is dense: this row is not the next one of its attempt"

SQLITE_TRIGGERS = (
    f"""CREATE TRIGGER IF NOT EXISTS log_row_stays BEFORE UPDATE ON log
        BEGIN SELECT RAISE(ABORT, '{NO_CHANGE}'); END""",
    f"""CREATE TRIGGER IF NOT EXISTS log_row_remains BEFORE DELETE ON log
        BEGIN SELECT RAISE(ABORT, '{NO_CHANGE}'); END""",
    f"""CREATE TRIGGER IF NOT EXISTS log_row_is_next BEFORE INSERT ON log
        WHEN NEW.sequence IS NOT (
            SELECT COALESCE(MAX(sequence), 0) + 1 FROM log WHERE attempt = NEW.attempt)
        BEGIN SELECT RAISE(ABORT, '{NOT_NEXT}'); END""",
)

POSTGRES_TRIGGERS = (
    f"""CREATE OR REPLACE FUNCTION log_row_stays() RETURNS trigger LANGUAGE plpgsql AS $$
        BEGIN RAISE EXCEPTION '{NO_CHANGE}' USING ERRCODE = 'restrict_violation'; END $$""",
    f"""CREATE OR REPLACE FUNCTION log_row_is_next() RETURNS trigger LANGUAGE plpgsql AS $$
        BEGIN
            IF NEW.sequence <> (SELECT COALESCE(MAX(sequence), 0) + 1 FROM log
                                WHERE attempt = NEW.attempt) THEN
                RAISE EXCEPTION '{NOT_NEXT}' USING ERRCODE = 'unique_violation';
            END IF;
            RETURN NEW;
        END $$""",
    """CREATE OR REPLACE TRIGGER log_row_stays BEFORE UPDATE OR DELETE ON log
        FOR EACH ROW EXECUTE FUNCTION log_row_stays()""",
    """CREATE OR REPLACE TRIGGER log_stays BEFORE TRUNCATE ON log
        FOR EACH STATEMENT EXECUTE FUNCTION log_row_stays()""",
    """CREATE OR REPLACE TRIGGER log_row_is_next BEFORE INSERT ON log
        FOR EACH ROW EXECUTE FUNCTION log_row_is_next()""",
)

"""Rows as text turned into checked entries: the same for a database and an export."""

from __future__ import annotations

from datetime import datetime

from trainer.errors import LogDamaged
from trainer.store.codec import decode
from trainer.store.records import Entry, Opened, StoredRow


def entries_from_rows(rows: tuple[StoredRow, ...], place: str) -> tuple[Entry, ...]:
    """The entries of one attempt, from all its rows in order.

    Raises:
        UnknownEvent: if a newer trainer wrote it.
        LogDamaged: if a row is missing, cannot be read or goes back in time, or if a text
            in the first row is not the one that was stored, with the place.
    """
    entries: list[Entry] = []
    at_ms = 0
    for expected, row in enumerate(rows, start=1):
        here = f"{place}, row {expected}"
        if row.sequence != expected:
            raise LogDamaged(f"{here} is missing (found {row.sequence}); use an undamaged copy")
        if row.at_ms < at_ms:
            raise LogDamaged(f"{here} lies before the row above it; use an undamaged copy")
        at_ms = row.at_ms
        entries.append(_entry(row, here))
    _check_first(entries, place)
    return tuple(entries)


def _entry(row: StoredRow, here: str) -> Entry:
    try:
        recorded_at = datetime.fromisoformat(row.recorded_at)
    except ValueError as error:
        raise LogDamaged(f"{here}: '{row.recorded_at}' is not a date and time") from error
    return Entry(
        sequence=row.sequence,
        record=decode(row.kind, row.version, row.at_ms, row.payload, here),
        actor=row.actor,
        token=row.token,
        recorded_at=recorded_at,
    )


def _check_first(entries: list[Entry], place: str) -> None:
    first = entries[0].record if entries else None
    if not isinstance(first, Opened):
        raise LogDamaged(f"{place} does not begin with its opening; use an undamaged copy")
    altered = first.altered_text()
    if altered:
        raise LogDamaged(
            f"{place}, row 1: the {altered}'s text is not the one that was stored (its SHA-256 "
            "differs); use an undamaged copy"
        )

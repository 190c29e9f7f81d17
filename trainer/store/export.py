"""An attempt as JSON Lines, one row a line, the opening first. Text in, text out.

Numbers that the engine counts (milliseconds, motes, microlitres per hour) are JSON
integers; everything a person wrote is text. Clients' tokens are left out.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TypeVar

from trainer.errors import LogDamaged
from trainer.store.reading import entries_from_rows
from trainer.store.records import Entry, StoredRow

LONGEST_LINE = 8_000_000
"""Most characters of one line that is read. Chosen by us: the opening holds three files."""
MOST_DIGITS = 30
"""Most digits of a number that is read. Chosen by us: a year in milliseconds has eleven."""

Value = TypeVar("Value")


@dataclass(frozen=True, slots=True, kw_only=True)
class Exported:
    """An attempt read from a file."""

    attempt: str
    entries: tuple[Entry, ...]


def exported_lines(attempt: str, rows: Iterable[StoredRow]) -> Iterator[str]:
    """The lines of an export, without line ends."""
    for row in rows:
        yield json.dumps(
            {
                "attempt": attempt,
                "sequence": row.sequence,
                "at_ms": row.at_ms,
                "kind": row.kind,
                "version": row.version,
                "actor": row.actor,
                "recorded_at": row.recorded_at,
                "payload": json.loads(row.payload),
            }
        )


def read_export(text: str, path: str) -> Exported:
    """The attempt that an exported file holds, checked.

    Raises:
        LogDamaged: if a line is not what was written, with its number and the mend.
        UnknownEvent: if a newer trainer wrote it.
    """
    lines = text.splitlines()
    while lines and not lines[-1].strip():
        lines.pop()
    if not lines:
        raise LogDamaged(f"{path} is empty; export the attempt again")
    found = [_row_of_line(line, f"{path}, row {number}") for number, line in enumerate(lines, 1)]
    names = {attempt for attempt, _ in found}
    if len(names) > 1:
        raise LogDamaged(f"{path} holds rows of {len(names)} attempts; export one attempt a file")
    return Exported(
        attempt=names.pop(), entries=entries_from_rows(tuple(row for _, row in found), path)
    )


def _row_of_line(line: str, place: str) -> tuple[str, StoredRow]:
    try:
        if len(line) > LONGEST_LINE:
            raise ValueError("it is far too long")
        stored = json.loads(line, parse_int=_whole_number)
        if not isinstance(stored, dict):
            raise TypeError("it is not a JSON object")
        return _member(stored, "attempt", str), StoredRow(
            sequence=_member(stored, "sequence", int),
            at_ms=_member(stored, "at_ms", int),
            kind=_member(stored, "kind", str),
            version=_member(stored, "version", int),
            payload=json.dumps(_member(stored, "payload", dict)),
            actor=_member(stored, "actor", str),
            token="",
            recorded_at=_member(stored, "recorded_at", str),
        )
    except (ValueError, TypeError, RecursionError) as error:
        raise LogDamaged(
            f"{place} cannot be read ({error}); export the attempt again, or use an unedited copy"
        ) from error


def _whole_number(text: str) -> int:
    if len(text) > MOST_DIGITS:
        raise ValueError(f"a number in it has {len(text)} digits")
    return int(text)


def _member(stored: dict[str, object], name: str, wanted: type[Value]) -> Value:
    value = stored.get(name)
    if type(value) is not wanted:
        raise TypeError(f"'{name}' is missing or not of type {wanted.__name__}")
    return value

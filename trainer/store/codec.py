"""Records to and from plain dicts, by a stable name and a version.

The name of an event in the log is its class name in snake case; what the fields hold is
read from the dataclass itself: enums by their value, amounts as JSON integers, texts as
text. A class that is renamed keeps its old name here by an entry in `KEPT_NAMES`.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from enum import Enum
from types import NoneType, UnionType
from typing import Any, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from trainer.engine.events import Event
from trainer.errors import LogDamaged, UnknownEvent
from trainer.store.records import AfterRecord, ClockRecord, Opened, Record
from trainer.store.upcast import UPCASTS, Payload, Upcasts, upcast

Value = TypeVar("Value")

KEPT_NAMES: dict[str, str] = {}
"""Class name to log name, where a class was renamed after its events had been stored."""

VERSIONS: dict[str, int] = {}
"""The current version of a kind; a kind not named here is at version 1."""


def _members(union: object) -> tuple[type, ...]:
    """The classes of a union, unions inside it opened."""
    if isinstance(union, type):
        return (union,)
    return tuple(found for part in get_args(union) for found in _members(part))


def _log_name(cls: type) -> str:
    snake = re.sub(r"(?<!^)(?=[A-Z])", "_", cls.__name__).lower()
    return KEPT_NAMES.get(cls.__name__, snake)


CLASSES: dict[str, type] = {
    _log_name(cls): cls
    for cls in (Opened, *_members(ClockRecord), *_members(AfterRecord), *_members(Event))
}
"""Every kind of row, by its name in the log."""

_JSON = json.JSONEncoder(separators=(",", ":"))
_NAMES: dict[type, str] = {cls: name for name, cls in CLASSES.items()}


def encode(record: Record) -> tuple[str, int, str]:
    """Kind, version and payload (JSON text, without `at_ms`) of a record."""
    kind = _NAMES[type(record)]
    names = _fields(type(record))
    payload = {name: _plain(getattr(record, name)) for name in names if name != "at_ms"}
    return kind, VERSIONS.get(kind, 1), _JSON.encode(payload)


def decode(
    kind: str, version: int, at_ms: int, payload: str, place: str, steps: Upcasts = UPCASTS
) -> Record:
    """The record that `encode` was given.

    `place` says where the row stands, for the message ("attempt x, row 7").

    Raises:
        UnknownEvent: if the kind or its version is newer than this trainer.
        LogDamaged: if the payload is not what was written.
    """
    current = VERSIONS.get(kind, 1)
    if kind not in CLASSES or version > current:
        raise UnknownEvent(
            f"{place}: this trainer does not know '{kind}' in version {version}; "
            "a newer trainer wrote it, so update this one"
        )
    try:
        stored = json.loads(payload)
        if not isinstance(stored, dict):
            raise TypeError("it is not a JSON object")
        stored = upcast(kind, version, cast(Payload, stored), current, steps)
        return cast(Record, _read(CLASSES[kind])({"at_ms": at_ms, **stored}))
    except (ValueError, TypeError, KeyError, RecursionError) as error:
        raise LogDamaged(
            f"{place}: the row '{kind}' cannot be read ({error}); "
            "it is not what was written, so use an undamaged copy"
        ) from error


def _fields(cls: type[Any]) -> tuple[str, ...]:
    return tuple(field.name for field in fields(cls))


def _plain(value: object) -> object:
    """A value as JSON writes it."""
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, tuple):
        return [_plain(part) for part in value]
    if is_dataclass(value):
        return {name: _plain(getattr(value, name)) for name in _fields(type(value))}
    return value


Reader = Callable[[object], object]
_READERS: dict[object, Reader] = {}


def _read(wanted: object) -> Reader:
    """A function that turns a JSON value into a value of the type `wanted`."""
    if wanted not in _READERS:
        _READERS[wanted] = _new_reader(wanted)
    return _READERS[wanted]


def _new_reader(wanted: object) -> Reader:
    if wanted in (int, str, bool):
        return lambda stored: _exactly(cast("type[Any]", wanted), stored)
    if get_origin(wanted) is tuple:
        return _tuple_reader(get_args(wanted))
    if get_origin(wanted) in (Union, UnionType):
        return _optional_reader(get_args(wanted))
    if is_dataclass(wanted):
        return _dataclass_reader(cast("type[Any]", wanted))
    if isinstance(wanted, type) and issubclass(wanted, Enum):
        return wanted
    raise AssertionError(f"the log cannot hold a {wanted}")


def _exactly(wanted: type[Value], stored: object) -> Value:
    if type(stored) is not wanted:
        raise TypeError(f"{stored!r} where a value of type {wanted.__name__} belongs")
    return stored


def _tuple_reader(parts: tuple[object, ...]) -> Reader:
    readers = [_read(part) for part in parts if part is not Ellipsis]
    if Ellipsis in parts:
        return lambda stored: tuple(readers[0](one) for one in _exactly(list, stored))
    return lambda stored: tuple(
        reader(one) for reader, one in zip(readers, _exactly(list, stored), strict=True)
    )


def _optional_reader(parts: tuple[object, ...]) -> Reader:
    (reader,) = (_read(part) for part in parts if part is not NoneType)
    return lambda stored: None if stored is None else reader(stored)


def _dataclass_reader(cls: type[Any]) -> Reader:
    hints = get_type_hints(cls)
    readers = {name: _read(hints[name]) for name in _fields(cls)}

    def read(stored: object) -> object:
        found = _exactly(dict, stored)
        unknown = sorted(found.keys() - readers.keys())
        if unknown:
            raise TypeError(f"unknown field '{unknown[0]}'")
        return cls(**{name: readers[name](value) for name, value in found.items()})

    return read

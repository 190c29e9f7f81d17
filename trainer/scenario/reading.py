"""A document read into the sections of `schema`, as much of it as is sound.

Every part is read by itself, so one bad key hides no other fault: what is unsound is
noted and left out, what is sound goes on to `check`. pydantic's own words never reach
an author. For `trainer.scenario` alone.
"""

from __future__ import annotations

from functools import cache
from typing import Any, TypeVar, get_args, get_origin

from pydantic import ValidationError

from trainer.scenario.kinds import Kind
from trainer.scenario.places import Faults, Path, meant, nearest
from trainer.scenario.section import Section
from trainer.scenario.values import WrongValueError

S = TypeVar("S", bound=Section)


def read_section(kind: type[S], faults: Faults, place: Path = ()) -> S | None:
    """The section that stands at a place of the document, or None if it is unsound.

    Parts of it that are sections themselves are read first; unsound ones in lists are
    left out. Every fault is noted in `faults`.
    """
    written = faults.document.at(place)
    is_plain = bool(kind.plain_key) and not isinstance(written, list)
    if not isinstance(written, dict) and not is_plain:
        faults.add(place, "here should be keys with values", "write `key: value` lines")
        return None
    return join_parts(kind, read_parts(kind, faults, place), faults, place)


def read_parts(kind: type[Section], faults: Faults, place: Path = ()) -> dict[str, object]:
    """The sections inside a section, by key; None for one that is unsound."""
    written = faults.document.at(place)
    return {
        key: _read_part(shape, part, faults, (*place, key))
        for key, (shape, part) in parts_of(kind).items()
        if isinstance(written, dict) and key in written
    }


def join_parts(
    kind: type[S], parts: dict[str, object], faults: Faults, place: Path = ()
) -> S | None:
    """The section made of its own keys and the parts already read, or None."""
    written = faults.document.at(place)
    if not isinstance(written, dict):
        written = {kind.plain_key: written}
    unsound = {key for key, value in parts.items() if value is None}
    try:
        section = kind.model_validate({**written, **parts})
    except ValidationError as problem:
        _note(problem, kind, unsound, faults, place)
        return None
    if unsound:
        return None
    section.stand(place)
    return section


@cache
def parts_of(kind: type[Section]) -> dict[str, tuple[str, type[Section]]]:
    """The keys whose values are sections themselves, alone or in a list or by name."""
    found = {}
    for name, field in kind.model_fields.items():
        part = _part_in(field.annotation)
        if part is not None:
            found[field.alias or name] = part
    return found


def _part_in(annotation: Any) -> tuple[str, type[Section]] | None:  # noqa: ANN401
    if isinstance(annotation, type) and issubclass(annotation, Section):
        return "one", annotation
    shapes = {list: "list", dict: "names"}
    shape = shapes.get(get_origin(annotation), "one")
    for inner in get_args(annotation):
        if isinstance(inner, type) and issubclass(inner, Section):
            return shape, inner
    return None


def _read_part(shape: str, kind: type[Section], faults: Faults, place: Path) -> object:
    """The sections at a place; None if there is nothing of the right shape."""
    value = faults.document.at(place)
    if shape == "list":
        if not isinstance(value, list):
            in_a_row = ", or write `[one, two]`" if kind.plain_key else ""
            mend = f"begin each entry with `- `{in_a_row}"
            faults.add(place, f"`{place[-1]}` should be a list", mend)
            return None
        read = [read_section(kind, faults, (*place, n)) for n in range(len(value))]
        return [section for section in read if section is not None]
    if shape == "names":
        if not isinstance(value, dict):
            faults.add(
                place, f"`{place[-1]}` should be keys with values", "write `key: value` lines"
            )
            return None
        named = {key: read_section(kind, faults, (*place, key)) for key in value}
        return {key: section for key, section in named.items() if section is not None}
    return read_section(kind, faults, place)


def _note(
    problem: ValidationError,
    kind: type[Section],
    unsound: set[str],
    faults: Faults,
    place: Path,
) -> None:
    """Note each trouble that pydantic found in one section, in plain words."""
    errors = problem.errors(include_url=False)
    strange = [str(error["loc"][-1]) for error in errors if error["type"] == "extra_forbidden"]
    for error in errors:
        where: Path = tuple(part for part in error["loc"] if part != "[key]")
        if where and where[0] in unsound:
            continue
        if error["type"] == "missing" and any(
            nearest(key, [str(where[0])]) for key in strange
        ):  # misspelt
            continue
        what, mend = _words(error["type"], error, kind, where)
        is_key = error["type"] == "extra_forbidden" or "[key]" in error["loc"]
        at = place if error["type"] == "missing" else (*place, *where)
        faults.add(at, what, mend, key=is_key)


def _words(code: str, error: Any, kind: type[Section], where: Path) -> tuple[str, str]:  # noqa: ANN401
    """What is wrong and the mend, for one of pydantic's error codes."""
    key = str(where[-1]) if where else ""
    if code == "missing":
        return f"`{key}` is missing here", f"add `{key}:` with {_kind_words(kind, key)}"
    if code == "extra_forbidden":
        known = keys_of(kind)
        return f"`{key[:40]}` is no key of this section", meant(key, known, of="key")
    if code == "list_type":
        return f"`{key}` should be a list", "begin each entry with `- `, or write `[one, two]`"
    if code == "dict_type":
        return f"`{key}` should be keys with values", "write `key: value` lines"
    trouble = error.get("ctx", {}).get("error")
    if isinstance(trouble, WrongValueError):
        return trouble.what, trouble.mend
    return f"`{key}` cannot be read", f"write {_kind_words(kind, key)}"


def keys_of(kind: type[Section]) -> list[str]:
    """The keys that a section may have, in the order of the reference."""
    return [field.alias or name for name, field in kind.model_fields.items()]


def _kind_words(kind: type[Section], key: str) -> str:
    for name, field in kind.model_fields.items():
        if (field.alias or name) == key:
            return kind_words(field.annotation, field.metadata)
    return "a value"


def kind_words(annotation: Any, metadata: list[Any]) -> str:  # noqa: ANN401
    """What kind of value a key takes, in the words of the format reference."""
    origin, inner = get_origin(annotation), get_args(annotation)
    for note in (*metadata, *inner):
        if isinstance(note, Kind):
            return note.words
    if origin is list:
        return f"a list of: {kind_words(inner[0], [])}"
    if origin is dict:
        return f"keys with values, each: {kind_words(inner[1], [])}"
    for one in inner:
        if one is not type(None) and (get_args(one) or _is_section(one)):
            return kind_words(one, [])
    if isinstance(annotation, type) and issubclass(annotation, Section):
        return _section_words(annotation)
    return "a value"


def _section_words(kind: type[Section]) -> str:
    plain = kind.model_fields.get(kind.plain_key)
    if plain is None:
        return "keys of its own"
    return f"{kind_words(plain.annotation, plain.metadata)}, or keys of its own"


def _is_section(annotation: Any) -> bool:  # noqa: ANN401
    return isinstance(annotation, type) and issubclass(annotation, Section)

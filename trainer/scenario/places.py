"""Where things stand in an author's file, and the list of what is wrong there.

Here: the path into a document, the position of each of its parts, and the collecting
of faults. Not here: reading (`strict_yaml`) and judging (`reading`, `check`). For
`trainer.scenario` alone.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from difflib import get_close_matches

from trainer.errors import Fault

Path = tuple[str | int, ...]
"""The way into a document: keys of mappings and, from 0, places in lists."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A position in a file, counted from 1."""

    line: int
    column: int


@dataclass(frozen=True, slots=True)
class Document:
    """One file, read: its value, and where each value and each key stands."""

    path: str
    value: object
    marks: dict[Path, Mark]
    key_marks: dict[Path, Mark]

    def at(self, where: Path) -> object:
        """The value at a path, or None where there is nothing."""
        value = self.value
        for part in where:
            found = part in value if isinstance(value, dict) else _has_place(value, part)
            if not found:
                return None
            value = value[part]  # type: ignore[index]
        return value

    def mark(self, where: Path, *, key: bool = False) -> Mark:
        """The position of a value (or its key), or of the nearest thing that encloses it."""
        if key and where in self.key_marks:
            return self.key_marks[where]
        while where and where not in self.marks:
            where = where[:-1]
        return self.marks.get(where, Mark(1, 1))


def _has_place(value: object, part: str | int) -> bool:
    return isinstance(value, list) and isinstance(part, int) and part < len(value)


@dataclass(slots=True)
class Faults:
    """A growing list of faults of one document."""

    document: Document
    found: list[Fault] = field(default_factory=list)

    def add(self, where: Path, what: str, mend: str = "", *, key: bool = False) -> None:
        """Note one fault at a path of the document."""
        mark = self.document.mark(where, key=key)
        fault = Fault(
            path=self.document.path, line=mark.line, column=mark.column, what=what, mend=mend
        )
        if fault not in self.found:
            self.found.append(fault)


def in_file_order(faults: Iterable[Fault], paths: tuple[str, ...]) -> tuple[Fault, ...]:
    """Faults sorted by file (in the order of `paths`), then line, then column."""
    order = {path: number for number, path in enumerate(paths)}
    return tuple(
        sorted(faults, key=lambda one: (order.get(one.path, len(order)), one.line, one.column))
    )


def nearest(word: str, known: Iterable[str]) -> str:
    """The known word that was probably meant, or an empty text.

    >>> nearest("wieght", ["age", "weight"])
    'weight'
    """
    choices = {one.lower(): one for one in known}
    close = get_close_matches(word.lower()[:60], choices, n=1)
    return choices[close[0]] if close else ""


def listed(words: Iterable[str]) -> str:
    """Words set out in a sentence.

    >>> listed(["bag", "bottle", "syringe"])
    'bag, bottle or syringe'
    """
    every = list(words)
    return every[0] if len(every) == 1 else f"{', '.join(every[:-1])} or {every[-1]}"


def meant(word: str, known: Iterable[str], *, of: str) -> str:
    """The mend for a word that is not known: the near one, or the whole choice.

    >>> meant("wieght", ["age", "weight"], of="key")
    'did you mean `weight`?'
    >>> meant("zzz", ["age", "weight"], of="key")
    'the keys here are age or weight'
    """
    choice = list(known)
    close = nearest(word, choice)
    if close:
        return f"did you mean `{close}`?"
    if not choice:
        return f"there is no {of} here to name"
    return f"the {of}s here are {listed(choice)}"

"""YAML read strictly: few kinds of value, every value with its place, no surprises.

Only what YAML 1.2 calls the core values: text, whole numbers, `true` and `false`. `no`,
`off`, `12:30` and `1_000` are text. Refused, each with its place: repeated keys, anchors
and aliases, tags, several documents, an empty file, empty values, numbers with a decimal
point (a physical value is text with its unit), tabs, control characters, too much text
and too deep nesting. Not here: what the keys mean (`schema`). For `trainer.scenario` alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

import yaml

from trainer.errors import Fault, ScenarioError
from trainer.scenario.places import Document, Mark, Path

MOST_CHARACTERS = 200_000
"""Longest text of one file. Chosen by us: ten times the longest scenario we know."""
DEEPEST = 24
"""Deepest nesting. Chosen by us: the format needs seven."""
MOST_DIGITS = 15
"""Longest whole number. Chosen by us: the format needs three."""

_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

WHOLE = re.compile(r"[-+]?[0-9]+|0o[0-7]+|0x[0-9a-fA-F]+")
DECIMAL = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?")
NOT_A_NUMBER = re.compile(r"[-+]?\.(inf|Inf|INF)|\.(nan|NaN|NAN)")
EMPTY = frozenset({"", "~", "null", "Null", "NULL"})
TRUTH = {
    "true": True, "True": True, "TRUE": True, "false": False, "False": False, "FALSE": False,
}  # fmt: skip
UNPRINTABLE = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def read_document(text: str, path: str) -> Document:
    """The document that `text` holds, with the place of each value.

    Raises:
        ScenarioError: with every fault found, in file order.
    """
    early = _faults_of_characters(text, path)
    if early:
        raise ScenarioError(early)
    reader = _Reader(path=path, events=yaml.parse(text, Loader=_LOADER))
    try:
        value = reader.read_stream()
    except _TooDeepError:
        value = None
    except yaml.YAMLError as problem:
        reader.faults.append(_syntax_fault(problem, text, path))
        value = None
    if reader.faults:
        ordered = sorted(reader.faults, key=lambda fault: (fault.line, fault.column))
        raise ScenarioError(tuple(ordered))
    return Document(path=path, value=value, marks=reader.marks, key_marks=reader.key_marks)


class _TooDeepError(Exception):
    """Nesting went over the limit; nothing below it is worth reading."""


def _fault(path: str, mark: Mark, what: str, mend: str) -> Fault:
    return Fault(path=path, line=mark.line, column=mark.column, what=what, mend=mend)


def _faults_of_characters(text: str, path: str) -> tuple[Fault, ...]:
    """Faults that show before any reading: length, tabs, characters no editor shows."""
    if len(text) > MOST_CHARACTERS:
        what = f"this file has {len(text)} characters; at most {MOST_CHARACTERS} are read"
        return (_fault(path, Mark(1, 1), what, "split it into several scenarios"),)
    faults = []
    for number, line in enumerate(text.split("\n"), start=1):
        tab = line.find("\t")
        if tab >= 0:
            faults.append(_fault(path, Mark(number, tab + 1), "here is a tab", "use spaces"))
        odd = UNPRINTABLE.search(line)
        if odd:
            what = f"here is a character that cannot be printed (U+{ord(odd[0]):04X})"
            faults.append(_fault(path, Mark(number, odd.start() + 1), what, "delete it"))
    return tuple(sorted(faults, key=lambda fault: (fault.line, fault.column)))


@dataclass(slots=True)
class _Reader:
    """Goes through the parser's events once, noting values, places and faults."""

    path: str
    events: Iterator[yaml.Event]
    in_braces: int = 0
    faults: list[Fault] = field(default_factory=list)
    marks: dict[Path, Mark] = field(default_factory=dict)
    key_marks: dict[Path, Mark] = field(default_factory=dict)

    def fault(self, event: yaml.Event, what: str, mend: str) -> None:
        self.faults.append(_fault(self.path, _mark(event), what, mend))

    def read_stream(self) -> object:
        """The one document of the file; a second one, or none, is a fault."""
        value: object = None
        documents = 0
        for event in self.events:
            if not isinstance(event, yaml.NodeEvent):
                continue
            documents += 1
            one = self.read(event, ())
            if documents == 1:
                value = one
            else:
                self.fault(
                    event,
                    "here a second document begins",
                    "keep one document in a file and delete the `---`",
                )
        if not documents:
            what = "this file is empty"
            self.faults.append(_fault(self.path, Mark(1, 1), what, "begin it with `format: 1`"))
        return value

    def read(self, event: yaml.NodeEvent, where: Path) -> object:
        self.marks.setdefault(where, _mark(event))
        if len(where) > DEEPEST:
            self.fault(event, f"this is nested deeper than {DEEPEST} levels", "make it flatter")
            raise _TooDeepError
        if isinstance(event, yaml.AliasEvent):
            what = f"`*{event.anchor}` stands for a value written elsewhere"
            self.fault(event, what, "write the value out here")
            return ""
        self._refuse_anchor_and_tag(event)
        if isinstance(event, yaml.MappingStartEvent):
            self.in_braces += int(bool(event.flow_style))
            values = self.read_mapping(where)
            self.in_braces -= int(bool(event.flow_style))
            return values
        if isinstance(event, yaml.SequenceStartEvent):
            return self.read_list(where)
        return self.read_scalar(event)

    def _refuse_anchor_and_tag(self, event: yaml.NodeEvent) -> None:
        if event.anchor:
            what = f"`&{event.anchor}` names a value for use elsewhere"
            self.fault(event, what, "delete it and write the value out at each place")
        tag = getattr(event, "tag", None)
        if tag:
            shown = str(tag).replace("tag:yaml.org,2002:", "!!")[:60]
            what = f"`{shown}` forces a kind of value"
            self.fault(event, what, "delete it; put quotes round what must stay text")

    def read_list(self, where: Path) -> list[object]:
        values: list[object] = []
        for event in self.events:
            if isinstance(event, yaml.SequenceEndEvent):
                break
            assert isinstance(event, yaml.NodeEvent)
            values.append(self.read(event, (*where, len(values))))
        return values

    def read_mapping(self, where: Path) -> dict[str, object]:
        values: dict[str, object] = {}
        for event in self.events:
            if isinstance(event, yaml.MappingEndEvent):
                break
            assert isinstance(event, yaml.NodeEvent)
            key = self.read_key(event, where)
            value = self.read(self._next_node(), (*where, key))
            values.setdefault(key, value)
        return values

    def _next_node(self) -> yaml.NodeEvent:
        event = next(self.events)
        assert isinstance(event, yaml.NodeEvent)
        return event

    def read_key(self, event: yaml.NodeEvent, where: Path) -> str:
        """A key's text. A key that is no plain word is a fault, and so is a repeated one."""
        if not isinstance(event, yaml.ScalarEvent):
            self.read(event, (*where, "?"))
            self.fault(event, "a key must be a word", "write `key: value`")
            return "?"
        self._refuse_anchor_and_tag(event)
        key = str(event.value)
        first = self.key_marks.setdefault((*where, key), _mark(event))
        if first != _mark(event):
            what = f"`{key[:40]}` stands twice here, first in line {first.line}"
            self.fault(event, what, "keep one of the two")
        return key

    def read_scalar(self, event: yaml.NodeEvent) -> object:
        assert isinstance(event, yaml.ScalarEvent)
        text = str(event.value)
        if not event.implicit[0]:  # in quotes, or a block of text
            return text
        if text in EMPTY:
            mend = "put text with a comma in quotes" if self.in_braces else "write a value"
            self.fault(event, "nothing is written here", f"{mend}, or leave the key out")
            return ""
        if text in TRUTH:
            return TRUTH[text]
        if WHOLE.fullmatch(text):
            return self._whole_number(event, text)
        if DECIMAL.fullmatch(text) or NOT_A_NUMBER.fullmatch(text):
            self.fault(
                event,
                f"`{text[:20]}` is a bare number",
                "write a physical value with its unit, such as 18.2 kg, or put it in quotes",
            )
            return ""
        return text

    def _whole_number(self, event: yaml.ScalarEvent, text: str) -> int:
        if len(text.lstrip("+-")) > MOST_DIGITS:
            self.fault(event, f"`{text[:20]}…` has too many digits", "write a smaller number")
            return 0
        base = 16 if text.startswith("0x") else 8 if text.startswith("0o") else 10
        return int(text, base)


def _mark(event: yaml.Event) -> Mark:
    start = event.start_mark
    return Mark(start.line + 1, start.column + 1) if start else Mark(1, 1)


SYNTAX = (
    ("mapping values are not allowed", "a colon stands where it cannot",
     "put the text in quotes, or check that this line is indented like its neighbours"),
    ("did not find expected key", "here a key should come",
     "check the indentation, the commas and that each quote is closed"),
    ("could not find expected ':'", "a colon is missing", "write `key: value`"),
    ("did not find expected ',' or '}'", "a comma or a `}` is missing",
     "close the braces, and put text that holds a comma or a colon in quotes"),
    ("did not find expected ',' or ']'", "a comma or a `]` is missing",
     "close the brackets, and put text that holds a comma or a colon in quotes"),
    ("did not find expected '-' indicator", "here a `-` should come", "check the indentation"),
    ("found character that cannot start any token", "no value can begin with this character",
     "put the text in quotes"),
    ("found unexpected end of stream", "the file ends inside a quoted text", "close the quote"),
    ("found unexpected document indicator", "the file ends inside a quoted text",
     "close the quote"),
    ("block sequence entries are not allowed", "a list cannot begin here",
     "begin it on a new line"),
    ("did not find expected node content", "here a value should come", "write one"),
    ("found undefined tag handle", "a `!` cannot stand before a value",
     "put the text in quotes"),
    ("did not find expected alphabetic or numeric character",
     "a `*` or `&` cannot begin a value", "put the text in quotes"),
    ("found unknown escape character", "in double quotes a backslash begins a special sign",
     "use single quotes, or write it twice"),
    ("exceeded", "this is nested far too deep", "make it flatter"),
)  # fmt: skip
"""The parser's own words, ours, and the mend."""


def _syntax_fault(problem: yaml.YAMLError, text: str, path: str) -> Fault:
    said = str(getattr(problem, "problem", "") or problem)
    mark = _mark_of_problem(problem, text)
    for theirs, ours, mend in SYNTAX:
        if theirs in said:
            return _fault(path, mark, ours, mend)
    plain = " ".join(said.split())[:100]
    return _fault(path, mark, f"this is not YAML ({plain})", "check this line and the one above")


def _mark_of_problem(problem: yaml.YAMLError, text: str) -> Mark:
    """Where the trouble is; what is never closed is shown where it was opened."""
    at = getattr(problem, "problem_mark", None)
    opened = getattr(problem, "context_mark", None)
    lines = text.rstrip("\n").split("\n")
    at_end = at is not None and (at.line, at.column) >= (len(lines) - 1, len(lines[-1]))
    if opened is not None and at_end:
        at = opened
    return Mark(at.line + 1, at.column + 1) if at else Mark(1, 1)

"""The three texts that make a scenario, and bytes turned into text.

The core opens no files: an edge reads the bytes, `text_from_bytes` makes text of them
or says why not, and a `ScenarioText` goes to `load`. Anyone above may import this.
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.errors import Fault, ScenarioError

MOST_BYTES = 800_000
"""Largest file that is looked at. Chosen by us: four bytes for each character we read."""
UTF_16_MARKS = (b"\xff\xfe", b"\xfe\xff")


@dataclass(frozen=True, slots=True)
class ScenarioText:
    """A scenario's own text and those of the policy and the formulary it names."""

    path: str
    text: str
    policy_path: str
    policy_text: str
    formulary_path: str
    formulary_text: str


def text_from_bytes(content: bytes, path: str) -> str:
    r"""The text of a file written in UTF-8, without a byte order mark.

    >>> text_from_bytes(b"format: 1\n", "one.yaml")
    'format: 1\n'

    Raises:
        ScenarioError: if the file is too large or is not UTF-8, with the place.
    """
    if len(content) > MOST_BYTES:
        what = f"this file has {len(content)} bytes; at most {MOST_BYTES} are read"
        raise _refusal(path, 1, 1, what, "split it into several scenarios")
    if content.startswith(UTF_16_MARKS):
        raise _refusal(path, 1, 1, "this file is written in UTF-16", "save it as UTF-8")
    try:
        return content.decode("utf-8").removeprefix("\ufeff")
    except UnicodeDecodeError as problem:
        before = content[: problem.start]
        line = before.count(b"\n") + 1
        column = len(before[before.rfind(b"\n") + 1 :].decode("utf-8")) + 1
        what = f"this byte (0x{content[problem.start]:02X}) is not UTF-8"
        raise _refusal(path, line, column, what, "save the file as UTF-8") from None


def _refusal(path: str, line: int, column: int, what: str, mend: str) -> ScenarioError:
    return ScenarioError((Fault(path=path, line=line, column=column, what=what, mend=mend),))

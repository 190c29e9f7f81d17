"""A JSON list of problems as `calc` and `diagnose` read it, and the rounding they work by.

A fault of the whole list ends the command with one clear message; a fault of one problem
is answered in its place, under its id.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import NoReturn, Protocol

from trainer.clinical.rounding import TEACHING_ROUNDING, RoundingRules
from trainer.errors import TrainerError


class Stop(Protocol):
    """How a command ends with a message."""

    def __call__(self, message: str, code: int = 2) -> NoReturn:
        """Say the message on standard error and end."""
        ...


def rounding_of(policy: Path | None, *, stop: Stop) -> RoundingRules:
    """The rounding of a policy file, or the teaching rules; a faulty file ends the command."""
    if policy is None:
        return TEACHING_ROUNDING
    from trainer.scenario.load import load_policy
    from trainer.scenario.source import text_from_bytes

    try:
        return load_policy(text_from_bytes(policy.read_bytes(), str(policy)), str(policy)).rounding
    except OSError as error:
        stop(f"{policy} cannot be read ({error.strerror}); name a policy file")
    except TrainerError as error:
        stop(str(error))


def id_of(entry: object) -> object:
    """The id to answer under: as it came, if it is a plain text or number."""
    found = entry.get("id") if isinstance(entry, dict) else None
    return found if isinstance(found, str | int) else None


class _Repeated(dict[str, object]):
    """A JSON object in which a key stands twice: which value was meant cannot be told."""

    key: str = ""


def _object(pairs: list[tuple[str, object]]) -> dict[str, object]:
    """A JSON object, marked if a key stands twice."""
    found = _Repeated(pairs)
    names = [name for name, _ in pairs]
    found.key = next((name[:30] for name in names if names.count(name) > 1), "")
    return found if found.key else dict(pairs)


def repeated_key(entry: object) -> str:
    """The key that stands twice in a problem or in what it gives; empty if none does."""
    inner = [entry.get(key) for key in ("given", "others")] if isinstance(entry, dict) else []
    return next((one.key for one in (entry, *inner) if isinstance(one, _Repeated)), "")


def _whole_number(digits: str) -> int | str:
    """A whole number of JSON; one too long for any use stays the text that it was."""
    return int(digits) if len(digits) <= LONGEST_NUMBER else digits


LONGEST_NUMBER = 100
"""Longer whole numbers are no id and no value. Chosen by us."""


def problem_list(path: Path | None, *, stop: Stop, example: str) -> list[object]:
    """The list in a file, or on standard input; else one clear message and exit code 2."""
    where = "standard input" if path is None else str(path)
    try:
        read = sys.stdin.buffer.read() if path is None else path.read_bytes()
        text = read.decode("utf-8-sig")
        found = json.loads(text, object_pairs_hook=_object, parse_int=_whole_number)
    except OSError as error:
        stop(f"{where} cannot be read ({error.strerror}); name a file with a JSON list")
    except UnicodeDecodeError:
        stop(f"{where} is not UTF-8 text; save the problems as UTF-8")
    except RecursionError:
        stop(f"the JSON on {where} is nested too deeply; write a plain list of problems")
    except ValueError as error:
        stop(f"{where} is not JSON ({error}); write a list such as [{example}]")
    if not isinstance(found, list):
        stop(f"{where} is JSON but no list; write [{example}]")
    return found

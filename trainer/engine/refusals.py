"""Why an act is impossible just now, on its way from a rule to the event `Refused`.

Raised by the rules of `decide_*` and caught in `decide`; it never leaves the engine.
"""

from __future__ import annotations

from trainer.terms import Refusal


class Impossible(Exception):
    """An act cannot be done. `text` is one sentence: why, and what would make it possible."""

    def __init__(self, reason: Refusal, text: str) -> None:
        self.reason = reason
        self.text = text
        super().__init__(text)


def require(condition: object, reason: Refusal, text: str) -> None:
    """Refuse the act unless the condition holds."""
    if not condition:
        raise Impossible(reason, text)

"""A frozen value with some fields changed, quickly.

`dataclasses.replace` reads and sets every field by itself, which costs more than all of
the engine's arithmetic. `changed` copies all fields at once; it works on the frozen
dataclasses without slots of `engine.state`.
"""

from __future__ import annotations

from typing import TypeVar

Frozen = TypeVar("Frozen")


def changed(one: Frozen, **fields: object) -> Frozen:
    """A copy of a frozen value with these fields changed.

    Raises:
        AttributeError: if it has no field of such a name, which is a fault of ours.
    """
    kept = one.__dict__
    now = kept | fields
    if len(now) != len(kept):
        unknown = ", ".join(sorted(fields.keys() - kept.keys()))
        raise AttributeError(f"{type(one).__name__} has no field {unknown}")
    copy = object.__new__(type(one))
    object.__setattr__(copy, "__dict__", now)
    return copy

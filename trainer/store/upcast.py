"""Older payloads made current: each step turns a stored dict into the next version's.

A step, once shipped, is never edited. There is none yet; the first one is added as
`UPCASTS["rate_set", 1] = upcast_rate_set_v1_v2`, with the event's new version in
`codec.VERSIONS`. Prefer a new optional field or a new event to a new version.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

Payload = dict[str, object]
Upcasts = Mapping[tuple[str, int], Callable[[Payload], Payload]]

UPCASTS: Upcasts = {}


def upcast(
    kind: str, version: int, payload: Payload, current: int, steps: Upcasts = UPCASTS
) -> Payload:
    """The payload of `kind` as version `current` would have written it.

    Raises:
        KeyError: if a step from `version` up to `current` is missing.
    """
    for older in range(version, current):
        payload = steps[kind, older](payload)
    return payload

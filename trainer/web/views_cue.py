"""The bedside's button for a cue: what asking for one may cost."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.scenario.model import Policy
from trainer.scoring import explain
from trainer.scoring.credit import share_of
from trainer.terms import Credit


@dataclass(frozen=True, slots=True, kw_only=True)
class CueView:
    """What is said beside the button."""

    note: str


def cue_view(policy: Policy) -> CueView:
    """What a cue leaves of one step's points, by the ward's policy."""
    kinds = (
        ("that leads you to the act", Credit.AFTER_CONCEPTUAL_CUE),
        ("that only says what would be seen", Credit.AFTER_REALITY_CUE),
    )
    parts = [
        f"After a cue {which} it earns {explain.percent(share)} of its points."
        for which, level in kinds
        if (share := share_of(policy.marking, level)) < 1
    ]
    if not parts:
        return CueView(note="A cue costs nothing here.")
    first = "A cue may lower the credit of the one step that it helps with."
    return CueView(note=explain.joined(first, *parts))

"""Whether a ward's marking rules changed after an attempt, and its marks by each later text."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass
from pathlib import Path
from typing import cast

from fastapi import Request

from trainer.engine.events import Event
from trainer.errors import ScenarioError, ScenarioNotFound
from trainer.live.ward import Ward
from trainer.scenario.load import load_policy
from trainer.scenario.model import Policy, Scenario
from trainer.scoring.findings import Report
from trainer.scoring.marked_again import MarkedAgain, marked_again, rules_beside
from trainer.scoring.remark import by_policy, rules_changed
from trainer.scoring.report import report
from trainer.store.records import Entry, Remarked, hash_of
from trainer.terms import Purpose
from trainer.web.views_remarked import AgainView, RemarkedView, again_view, rows

KEPT = 64
"""Later marks kept ready. Chosen by us: a class that looks at the same time."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Marked:
    """An ended attempt as it was marked on the day."""

    attempt: str
    scenario: Scenario
    events: tuple[Event, ...]
    report: Report


@dataclass(frozen=True, slots=True, kw_only=True)
class PolicyNow:
    """The ward's policy as its file is now: its text and what it says."""

    path: str
    text: str
    policy: Policy

    @property
    def sha256(self) -> str:
        """The hash of the text."""
        return hash_of(self.text)

    @property
    def record(self) -> Remarked:
        """The row that marks an attempt by it."""
        return Remarked(
            at_ms=0, policy_path=self.path, policy_text=self.text, policy_sha256=self.sha256
        )


async def policy_now(ward: Ward, scenario: Scenario) -> PolicyNow | None:
    """The policy of the attempt's ward as it is now; None if it can no longer be had."""
    try:
        listing = await asyncio.to_thread(ward.library.find, scenario.id)
    except (ScenarioNotFound, ScenarioError):
        return None
    if listing.source is None or listing.scenario is None:
        return None
    policy = listing.scenario.policy
    if policy.id != scenario.policy.id:
        return None
    name = Path(listing.source.policy_path).name
    return PolicyNow(path=f"policies/{name}", text=listing.source.policy_text, policy=policy)


def last_policy(scenario: Scenario, after: tuple[Entry, ...]) -> Policy:
    """The policy of the attempt's last mark: a later one, or that of the day."""
    policies = [policy_of(one.record) for one in after if isinstance(one.record, Remarked)]
    known = [one for one in policies if one is not None]
    return known[-1] if known else scenario.policy


def policy_of(record: Remarked) -> Policy | None:
    """The policy of a later mark; None if this trainer can no longer read it."""
    try:
        return load_policy(record.policy_text, record.policy_path)
    except ScenarioError:
        return None


async def remarked_view(
    request: Request, marked: Marked, after: tuple[Entry, ...]
) -> RemarkedView | None:
    """The panel; None if no rule changed and nothing was marked again."""
    ward = cast(Ward, request.app.state.ward)
    purpose = Purpose((await ward.opened(marked.attempt)).purpose)
    now = await policy_now(ward, marked.scenario)
    last = last_policy(marked.scenario, after)
    offered = now if now is not None and rules_changed(last, now.policy) else None
    entries = [one for one in after if isinstance(one.record, Remarked)]
    if offered is None and not entries:
        return None
    marks = [await _again(request, marked, entry, purpose) for entry in reversed(entries)]
    return RemarkedView(
        address=f"/attempts/{marked.attempt}/remark",
        policy=offered.sha256 if offered else "",
        rules=rows(rules_beside(last, offered.policy)) if offered else (),
        today=await _today(request, marked, offered, purpose) if offered else None,
        marks=tuple(one for one in marks if one is not None),
    )


async def _today(
    request: Request, marked: Marked, offered: PolicyNow, purpose: Purpose
) -> AgainView:
    """The mark by the rules of today, which nobody has kept yet."""
    made = await _made(request, marked, offered.policy, offered.sha256, purpose)
    return again_view(made, rules_beside(marked.scenario.policy, offered.policy), None)


async def _again(
    request: Request, marked: Marked, entry: Entry, purpose: Purpose
) -> AgainView | None:
    """One later mark that was kept."""
    record = entry.record
    assert isinstance(record, Remarked), "only such rows are asked for"
    policy = policy_of(record)
    if policy is None:
        return None
    made = await _made(request, marked, policy, record.policy_sha256, purpose)
    return again_view(made, rules_beside(marked.scenario.policy, policy), entry.recorded_at)


async def _made(
    request: Request, marked: Marked, policy: Policy, sha256: str, purpose: Purpose
) -> MarkedAgain:
    """A mark by a policy, made once: neither the log nor that policy's text changes."""
    ready = _ready(request)
    name = (marked.attempt, sha256)
    if name not in ready:
        made = await asyncio.to_thread(_marked, marked, policy, purpose)
        while len(ready) >= KEPT:
            ready.pop(next(iter(ready)))
        ready[name] = made
    return ready[name]


def _marked(marked: Marked, policy: Policy, purpose: Purpose) -> MarkedAgain:
    later = report(by_policy(marked.scenario, policy), marked.events, purpose)
    return marked_again(marked.report, later)


def _ready(request: Request) -> dict[tuple[str, str], MarkedAgain]:
    state = request.app.state
    if not hasattr(state, "marked_again"):
        state.marked_again = {}
    return cast(dict[tuple[str, str], MarkedAgain], state.marked_again)

"""The debrief of an ended attempt: the page, and one moment of it."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass, replace
from typing import Annotated, cast

from fastapi import APIRouter, Depends, Query, Request
from fastapi.responses import HTMLResponse

from trainer.live.attempt import engine_events, scenario_of
from trainer.live.ward import Ward
from trainer.scoring.what_if import told_of
from trainer.store.records import Entry, Opened
from trainer.terms import Purpose
from trainer.web import render, views_after, views_debrief, views_moment
from trainer.web.deps import OwnAttempt, SettingsDep, WardDep
from trainer.web.ended import Attempt, Looking
from trainer.web.marked_again import Marked, remarked_view
from trainer.web.routes_after import new_token
from trainer.web.routes_home import other_seed
from trainer.web.settings import Settings
from trainer.web.views_remarked import RemarkedView

router = APIRouter()

KEPT = 32
"""Debriefs kept ready. Chosen by us: a class that looks at the same time."""


async def _ready(request: Request) -> dict[str, Attempt]:
    """The debriefs that this server has ready, by attempt."""
    state = request.app.state
    if not hasattr(state, "debriefs"):
        state.debriefs = {}
    return cast(dict[str, Attempt], state.debriefs)


ReadyDep = Annotated[dict[str, Attempt], Depends(_ready)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """Where an address looks, unread: the play head, the stretch of time, the way."""

    at: str
    from_: str
    until: str
    way: str


def _asked(
    at: str = "",
    from_: Annotated[str, Query(alias="from")] = "",
    until: str = "",
    way: Annotated[str, Query(alias="as")] = "",
) -> Asked:
    return Asked(at=at, from_=from_, until=until, way=way)


AskedDep = Annotated[Asked, Depends(_asked)]


def _looking(attempt: Attempt, asked: Asked, settings: Settings) -> Looking:
    found = views_debrief.look(attempt, asked.at, asked.from_, asked.until, asked.way)
    return replace(found, contents_visible=settings.contents_visible)


@router.get("/attempts/{attempt_id}/debrief")
async def debrief(
    request: Request,
    attempt_id: OwnAttempt,
    ward: WardDep,
    ready: ReadyDep,
    settings: SettingsDep,
    asked: AskedDep,
) -> HTMLResponse:
    """The debrief, once the attempt has ended; before that, a page that says so."""
    attempt = await _attempt(ward, ready, attempt_id)
    if attempt is None:
        return render.page("not_ended", attempt_id=attempt_id)
    after = await ward.after(attempt_id)
    marked = Marked(
        attempt=attempt.id,
        scenario=attempt.scenario,
        events=attempt.events,
        report=attempt.report,
    )
    remarked = await remarked_view(request, marked, after)
    looking = _looking(attempt, asked, settings)
    return await asyncio.to_thread(_page, attempt, looking, after, remarked)


def _page(
    attempt: Attempt,
    looking: Looking,
    after: tuple[Entry, ...],
    remarked: RemarkedView | None,
) -> HTMLResponse:
    """The whole page, with what the learner kept with the attempt."""
    latest = views_after.latest(after)
    reflected = {
        question: views_after.text_of(latest.get(name))
        for name, question in views_after.QUESTIONS.items()
    }
    first, closing = (
        views_after.reflection(attempt.id, part, after, new_token()) for part in views_after.PARTS
    )
    view = views_debrief.debrief(attempt, looking, other_seed(), reflected)
    return render.page("debrief", view=view, first=first, closing=closing, remarked=remarked)


@router.get("/attempts/{attempt_id}/debrief/moment")
async def moment(
    attempt_id: OwnAttempt, ward: WardDep, ready: ReadyDep, settings: SettingsDep, asked: AskedDep
) -> HTMLResponse:
    """Only the card of one moment, for a page that is open."""
    attempt = await _attempt(ward, ready, attempt_id)
    if attempt is None:
        return render.page("not_ended", attempt_id=attempt_id)
    card = views_moment.moment(attempt, _looking(attempt, asked, settings))
    return HTMLResponse(
        render.text("panels/_moment.html", moment=card), headers={"Cache-Control": "no-store"}
    )


async def _attempt(ward: Ward, ready: dict[str, Attempt], attempt_id: str) -> Attempt | None:
    """The ended attempt with all that is made of it; None if it has not ended.

    What has ended never changes, so it is made once and kept for the next look.
    """
    known = ready.get(attempt_id)
    if known is not None:
        return known
    glimpse = await ward.look(attempt_id)
    if not glimpse.ended:
        return None
    entries = await ward.entries(attempt_id)
    made = await asyncio.to_thread(made_of, attempt_id, entries)
    while len(ready) >= KEPT:
        ready.pop(next(iter(ready)))
    ready[attempt_id] = made
    return made


def made_of(attempt_id: str, entries: tuple[Entry, ...]) -> Attempt:
    """Everything the debrief shows, from the log alone."""
    opened = entries[0].record
    assert isinstance(opened, Opened), "a log that was read begins with its opening"
    scenario = scenario_of(opened.source, opened.seed, opened.variation)
    events = engine_events(tuple(entry.record for entry in entries))
    told = told_of(scenario, events, Purpose(opened.purpose))
    return Attempt(
        id=attempt_id,
        learner=opened.learner,
        scenario=scenario,
        seed=opened.seed,
        events=events,
        report=told.report,
        course=told.course,
        states=told.states,
        versions=(
            ("Begun", entries[0].recorded_at.astimezone().strftime("%-d %B %Y, %H:%M")),
            ("Scenario text", f"SHA-256 {opened.scenario_sha256[:16]}…"),
            ("Ward policy", f"{scenario.policy.title} ({scenario.policy.id})"),
            (
                "Versions",
                f"trainer {opened.trainer_version}, engine {opened.engine_version}, "
                f"scenario format {opened.scenario_format}",
            ),
        ),
    )

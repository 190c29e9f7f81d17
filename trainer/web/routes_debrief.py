"""The debrief of an ended attempt: the page, and one moment of it."""

from __future__ import annotations

import asyncio
from typing import Annotated, cast

from fastapi import APIRouter, Depends, Query, Request
from fastapi.responses import HTMLResponse

from trainer.live.attempt import engine_events, scenario_of
from trainer.live.ward import Ward
from trainer.scoring.course import course
from trainer.scoring.report import report
from trainer.store.records import Entry, Opened
from trainer.web import render, views_debrief
from trainer.web.deps import OwnAttempt, WardDep
from trainer.web.routes_home import other_seed
from trainer.web.views_debrief import Attempt

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


@router.get("/attempts/{attempt_id}/debrief")
async def debrief(
    attempt_id: OwnAttempt,
    ward: WardDep,
    ready: ReadyDep,
    at: str = "",
    from_: Annotated[str, Query(alias="from")] = "",
    until: str = "",
) -> HTMLResponse:
    """The debrief, once the attempt has ended; before that, a page that says so."""
    attempt = await _attempt(ward, ready, attempt_id)
    if attempt is None:
        return render.page("not_ended", attempt_id=attempt_id)
    looking = views_debrief.look(attempt, at, from_, until)
    return render.page("debrief", view=views_debrief.debrief(attempt, looking, other_seed()))


@router.get("/attempts/{attempt_id}/debrief/moment")
async def moment(
    attempt_id: OwnAttempt,
    ward: WardDep,
    ready: ReadyDep,
    at: str = "",
    from_: Annotated[str, Query(alias="from")] = "",
    until: str = "",
) -> HTMLResponse:
    """Only the card of one moment, for a page that is open."""
    attempt = await _attempt(ward, ready, attempt_id)
    if attempt is None:
        return render.page("not_ended", attempt_id=attempt_id)
    looking = views_debrief.look(attempt, at, from_, until)
    card = views_debrief.moment(attempt, looking)
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
    scenario = scenario_of(opened.source, opened.seed)
    events = engine_events(tuple(entry.record for entry in entries))
    return Attempt(
        id=attempt_id,
        learner=opened.learner,
        scenario=scenario,
        seed=opened.seed,
        events=events,
        report=report(scenario, events),
        course=course(scenario, events),
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

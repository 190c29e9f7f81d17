"""The bedside: beginning an attempt, looking, acting, the ward clock, and the end."""

from __future__ import annotations

import asyncio
from typing import Annotated

from fastapi import APIRouter, Query, Request
from starlette.responses import HTMLResponse, Response

from trainer.engine.programme import give
from trainer.errors import NoCue
from trainer.live.ward import Glimpse
from trainer.store.export import exported_lines
from trainer.store.records import Pace
from trainer.terms import Purpose
from trainer.web import (
    errors,
    forms,
    learner,
    panels,
    render,
    views_bedside,
    views_cue,
    views_told,
    views_ward,
)
from trainer.web.deps import BedsideDep, LearnerDep, LogDep, WardDep
from trainer.web.settings import Settings

router = APIRouter()

HIGHEST_SEED = 999_999_999
LEARNER = "learner"


@router.post("/attempts")
async def begin(request: Request, ward: WardDep, who: LearnerDep) -> Response:
    """Begin an attempt at a scenario, and open its bedside."""
    fields = await forms.read_form(request)
    owner = who or learner.new_learner()
    attempt_id = await ward.begin(fields.get("scenario", ""), _seed(fields), owner)
    answer = errors.go(f"/attempts/{attempt_id}")
    https = request.url.scheme == "https"
    learner.remember(answer, request.app.state.secret, owner, https=https)
    return answer


def _seed(fields: dict[str, str]) -> int:
    """The seed of a form; 0 (the numbers as written) if it was left empty.

    Raises:
        FormError: if it is no whole number.
    """
    text = fields.get("seed", "").strip() or "0"
    if not (text.isascii() and text.isdigit() and int(text[:12]) <= HIGHEST_SEED):
        raise errors.FormError(f"The seed is a whole number from 0 to {HIGHEST_SEED}.")
    return int(text)


@router.get("/attempts/{attempt_id}")
async def bedside(here: BedsideDep) -> Response:
    """The bedside as it is now; after the end, the debrief."""
    glimpse = await here.ward.look(here.attempt)
    place = panels.place(glimpse)
    if glimpse.ended:
        return errors.go(place.debrief)
    drawn = {
        name: panels.draw(name, glimpse, contents_visible=here.settings.contents_visible)
        for name in (panels.CLOCK, panels.PACES, *panels.every_panel(glimpse.state.scenario))
    }
    view = views_bedside.bedside_view(glimpse.state)
    is_test = (await here.ward.opened(here.attempt)).purpose == Purpose.SUMMATIVE
    offered = here.settings.cues_offered and not is_test
    cue = views_cue.cue_view(glimpse.state.scenario.policy) if offered else None
    return render.page("bedside", place=place, bedside=view, drawn=drawn, cue=cue)


@router.post("/attempts/{attempt_id}/acts")
async def act(request: Request, here: BedsideDep) -> Response:
    """Do something. What is impossible is refused on the page, with the reason."""
    fields = await forms.read_form(request)
    action = forms.action_of(fields)
    token = forms.token_of(fields, repr(action))
    glimpse = await here.ward.act(here.attempt, action, actor=LEARNER, token=token)
    return _after(request, glimpse, here.settings, forms.seen_of(fields))


@router.post("/attempts/{attempt_id}/pace")
async def set_pace(request: Request, here: BedsideDep) -> Response:
    """Let the ward clock run at another pace, or hold it."""
    fields = await forms.read_form(request)
    pace = next((one for one in Pace if one.value == fields.get("pace")), None)
    if pace is None:
        raise errors.FormError(f"The pace is one of: {', '.join(Pace)}.")
    glimpse = await here.ward.set_pace(here.attempt, pace, actor=LEARNER)
    return _after(request, glimpse, here.settings, forms.seen_of(fields), also=(panels.PACES,))


@router.post("/attempts/{attempt_id}/leap")
async def leap(request: Request, here: BedsideDep) -> Response:
    """Let the ward clock leap to the next happening."""
    fields = await forms.read_form(request)
    token = forms.token_of(fields, "leap")
    glimpse = await here.ward.leap(here.attempt, actor=LEARNER, token=token)
    return _after(request, glimpse, here.settings, forms.seen_of(fields))


@router.post("/attempts/{attempt_id}/cue")
async def cue(request: Request, here: BedsideDep) -> Response:
    """Give the next cue for what is open and most urgent; it is told on the slip."""
    fields = await forms.read_form(request)
    if not here.settings.cues_offered:
        raise NoCue("Here no cues are given.")
    token = forms.token_of(fields, "cue")
    glimpse = await here.ward.cue(here.attempt, actor=LEARNER, token=token)
    return _after(request, glimpse, here.settings, forms.seen_of(fields))


@router.post("/attempts/{attempt_id}/finish")
async def finish(request: Request, here: BedsideDep) -> Response:
    """End the attempt, and go to its debrief. Ending twice is ending once."""
    await forms.read_form(request)
    glimpse = await here.ward.look(here.attempt)
    if not glimpse.ended:
        await here.ward.finish(here.attempt, actor=LEARNER)
    return errors.go(panels.place(glimpse).debrief)


def _after(
    request: Request,
    glimpse: Glimpse,
    settings: Settings,
    seen: int | None,
    also: tuple[str, ...] = (),
) -> Response:
    """What changed as pieces for an open page, or the whole page for a plain form."""
    if "hx-request" not in request.headers:
        return errors.go(panels.place(glimpse).page)
    body = panels.pieces(
        glimpse,
        (*also, *panels.changed_since(glimpse, seen)),
        contents_visible=settings.contents_visible,
        seen=seen,
    )
    return HTMLResponse(body, headers={"Cache-Control": "no-store"})


@router.get("/attempts/{attempt_id}/panels")
async def changed_panels(here: BedsideDep, after: int = 0) -> Response:
    """The panels that changed after so many events; nothing if none did."""
    glimpse = await here.ward.look(here.attempt)
    if len(glimpse.events) == after:
        return errors.nothing_new()
    names = (panels.PACES, *panels.changed_since(glimpse, after))
    body = panels.pieces(glimpse, names, contents_visible=here.settings.contents_visible)
    return HTMLResponse(body, headers={"Cache-Control": "no-store"})


Typed = Annotated[str, Query(max_length=40)]


@router.get("/attempts/{attempt_id}/third")
async def third(
    here: BedsideDep,
    line: Annotated[str, Query(pattern=r"^[0-9]{1,3}$")],
    volume: Typed = "",
    hours: Typed = "",
    minutes: Typed = "",
    rate: Typed = "",
) -> HTMLResponse:
    """The give sentence's third value, worked out while typing."""
    action = forms.action_of(
        {"verb": "enter", "volume": volume, "hours": hours, "minutes": minutes, "rate": rate}
    )
    values = dict(action.params)
    missing = [name for name in ("volume", "duration", "rate") if name not in values]
    if len(missing) > 1:
        view = views_bedside.ThirdView(line=line)
    else:
        rules = (await here.ward.look(here.attempt)).state.scenario.policy.pump
        found = give(
            values.get("volume", ""), values.get("duration", ""), values.get("rate", ""), rules
        )
        view = views_bedside.third_view(line, "".join(missing), found)
    return HTMLResponse(render.text("panels/_third.html", third=view))


@router.get("/attempts/{attempt_id}/record")
async def record(here: BedsideDep) -> HTMLResponse:
    """Everything the learner did and perceived, for reading and printing."""
    glimpse = await here.ward.look(here.attempt)
    view = views_told.record_view(glimpse.state, glimpse.events, most=len(glimpse.events))
    wrist = views_ward.wrist_view(glimpse.state.scenario)
    return render.page("record", place=panels.place(glimpse), record=view, wrist=wrist)


@router.get("/attempts/{attempt_id}/export.jsonl")
async def export(here: BedsideDep, log: LogDep) -> Response:
    """The ended attempt's log as a file that `trainer replay` reads.

    Its first row holds the whole scenario with what is expected, so not before the end.
    """
    attempt = here.attempt
    if not (await here.ward.look(attempt)).ended:
        return render.page("not_ended", attempt_id=attempt)
    lines = exported_lines(attempt, await asyncio.to_thread(log.rows, attempt))
    return Response(
        "".join(f"{line}\n" for line in lines),
        media_type="application/jsonl",
        headers={
            "Content-Disposition": f'attachment; filename="attempt-{attempt}.jsonl"',
            "Cache-Control": "no-store",
        },
    )

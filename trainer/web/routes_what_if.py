"""What if I had done one act otherwise: the question and its answer, after the end."""

from __future__ import annotations

import asyncio
from typing import Annotated, cast

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse

from trainer.engine.reading import sentence
from trainer.errors import NoSuchChange
from trainer.scoring.differences import Told
from trainer.scoring.what_if import Change, Otherwise, what_if
from trainer.web import render, views_what_if
from trainer.web.deps import OwnAttempt, WardDep
from trainer.web.ended import Attempt
from trainer.web.routes_debrief import ReadyDep, _attempt
from trainer.web.what_if_asked import Asked, asked, unfit

router = APIRouter()

KEPT = 32
"""Answers kept ready. Chosen by us: a class in which each tries one or two."""

Answers = dict[tuple[str, Change], Otherwise]


async def _answers(request: Request) -> Answers:
    """The answers that this server has ready, by attempt and change."""
    state = request.app.state
    if not hasattr(state, "what_ifs"):
        state.what_ifs = {}
    return cast(Answers, state.what_ifs)


AnswersDep = Annotated[Answers, Depends(_answers)]


@router.get("/attempts/{attempt_id}/what-if")
async def question(
    attempt_id: OwnAttempt, ward: WardDep, ready: ReadyDep, answers: AnswersDep, request: Request
) -> HTMLResponse:
    """The page about one act of an ended attempt; without an act, the list to choose from."""
    attempt = await _attempt(ward, ready, attempt_id)
    if attempt is None:
        return render.page("not_ended", attempt_id=attempt_id)
    query = dict(request.query_params)
    read = asked(attempt.scenario, attempt.events, query)
    try:
        otherwise = await _otherwise(attempt, read, answers)
        fault = unfit(read, otherwise.events) if otherwise else ""
    except NoSuchChange as error:
        otherwise, fault = None, sentence(str(error))
    view = views_what_if.what_if(
        attempt,
        read,
        None if fault else otherwise,
        find=query.get("find", "").strip(),
        fault=fault,
    )
    return render.page("what_if", view=view)


async def _otherwise(attempt: Attempt, read: Asked, answers: Answers) -> Otherwise | None:
    """What would have happened; what was asked before is not worked out again."""
    if read.change is None:
        return None
    known = answers.get((attempt.id, read.change))
    if known is not None:
        return known
    made = await asyncio.to_thread(_worked_out, attempt, read.change)
    while len(answers) >= KEPT:
        answers.pop(next(iter(answers)))
    answers[attempt.id, read.change] = made
    return made


def _worked_out(attempt: Attempt, change: Change) -> Otherwise:
    """The answer, from what the debrief has made of the attempt already."""
    was = Told(
        events=attempt.events, states=attempt.states, report=attempt.report, course=attempt.course
    )
    return what_if(attempt.scenario, attempt.events, change, known=was if was.states else None)

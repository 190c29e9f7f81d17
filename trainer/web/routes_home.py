"""Choosing a scenario, the prebrief, and what the trainer is and is not."""

from __future__ import annotations

import asyncio
import secrets

from fastapi import APIRouter
from fastapi.responses import HTMLResponse

from trainer.engine.simplifications import SIMPLIFICATIONS
from trainer.web import render, views_home
from trainer.web.deps import LearnerDep, LibraryDep, WardDep

router = APIRouter()

OTHER_SEEDS = 9_999
"""Seeds drawn for "other numbers" go this far, so that they are short to read out. Chosen by us."""


@router.get("/")
async def choose(ward: WardDep, library: LibraryDep, who: LearnerDep) -> HTMLResponse:
    """What there is to begin, and this learner's attempts."""
    shelf = await asyncio.to_thread(library.shelf)
    attempts = await ward.attempts_of(who) if who else ()
    return render.page("home", view=views_home.choose(shelf, attempts))


@router.get("/about")
async def about() -> HTMLResponse:
    """For training only; what is simplified; what is kept."""
    simplified = tuple(sentence for _, sentence in SIMPLIFICATIONS)
    return render.page("about", simplified=simplified)


@router.get("/scenarios/{scenario_id}")
async def prebrief(scenario_id: str, library: LibraryDep) -> HTMLResponse:
    """The page before an attempt."""
    listing = await asyncio.to_thread(library.find, scenario_id)
    assert listing.scenario is not None, "a usable listing holds its scenario"
    return render.page("prebrief", view=views_home.prebrief(listing.scenario, other_seed()))


def other_seed() -> int:
    """A seed for "other numbers", drawn anew each time a page offers it."""
    return 1 + secrets.randbelow(OTHER_SEEDS)

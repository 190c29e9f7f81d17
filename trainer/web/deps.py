"""What a route may ask for: the ward, the library, who is asking, and whose attempt it is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, cast

from fastapi import Depends, Request

from trainer.errors import AttemptNotFound
from trainer.live.library import Library
from trainer.live.ward import Ward
from trainer.store.log import Log
from trainer.web import learner
from trainer.web.settings import Settings


async def _settings(request: Request) -> Settings:
    return cast(Settings, request.app.state.settings)


async def _ward(request: Request) -> Ward:
    return cast(Ward, request.app.state.ward)


async def _log(request: Request) -> Log:
    return cast(Log, request.app.state.log)


async def _library(request: Request) -> Library:
    return cast(Ward, request.app.state.ward).library


async def _learner(request: Request) -> str:
    """The learner of the request's cookie; empty if it brings none of ours."""
    return learner.read(request.app.state.secret, request.cookies.get(learner.COOKIE, ""))


SettingsDep = Annotated[Settings, Depends(_settings)]
WardDep = Annotated[Ward, Depends(_ward)]
LogDep = Annotated[Log, Depends(_log)]
LibraryDep = Annotated[Library, Depends(_library)]
LearnerDep = Annotated[str, Depends(_learner)]


@dataclass(frozen=True, slots=True)
class AtBedside:
    """An attempt that is the asking learner's own, with what its routes need."""

    attempt: str
    ward: Ward
    settings: Settings


async def at_bedside(attempt_id: str, request: Request) -> AtBedside:
    """The attempt of a route with `{attempt_id}` in its address, if it is one's own.

    Another learner's attempt and one that does not exist give the same answer. One
    dependency instead of four, because every act passes here.

    Raises:
        AttemptNotFound: in both cases.
    """
    state = request.app.state
    ward = cast(Ward, state.ward)
    who = learner.read(state.secret, request.cookies.get(learner.COOKIE, ""))
    try:
        owner = await ward.learner_of(attempt_id) if who else ""
    except AttemptNotFound:
        owner = ""
    if not who or owner != who:
        raise AttemptNotFound("There is no attempt of yours at this address.")
    return AtBedside(attempt_id, ward, cast(Settings, state.settings))


async def own_attempt(here: Annotated[AtBedside, Depends(at_bedside)]) -> str:
    """The attempt's id alone."""
    return here.attempt


BedsideDep = Annotated[AtBedside, Depends(at_bedside)]
OwnAttempt = Annotated[str, Depends(own_attempt)]
"""For routes with `{attempt_id}` in their address."""

"""What a route may ask for: the ward, the library, who is asking, and whose attempt it is."""

from __future__ import annotations

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


async def own_attempt(attempt_id: str, ward: WardDep, who: LearnerDep) -> str:
    """The attempt's id, if it is the asking learner's own.

    Another learner's attempt and one that does not exist give the same answer.

    Raises:
        AttemptNotFound: in both cases.
    """
    try:
        owner = await ward.learner_of(attempt_id)
    except AttemptNotFound:
        owner = ""
    if not who or owner != who:
        raise AttemptNotFound("There is no attempt of yours at this address.")
    return attempt_id


OwnAttempt = Annotated[str, Depends(own_attempt)]
"""For routes with `{attempt_id}` in their address."""

"""The web application, built from its settings."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import FastAPI
from starlette.staticfiles import StaticFiles

from trainer.live.library import Library
from trainer.live.ward import Ward
from trainer.paths import STATIC
from trainer.store.database import address_in
from trainer.store.log import Log
from trainer.web import (
    errors,
    learner,
    routes_after,
    routes_bedside,
    routes_debrief,
    routes_home,
    routes_stream,
    routes_what_if,
)
from trainer.web.guard import Guard
from trainer.web.settings import Settings


@asynccontextmanager
async def _running(app: FastAPI) -> AsyncIterator[None]:
    """From the server's start to its end: the record is open, the ward at work."""
    settings: Settings = app.state.settings
    log = Log(settings.database_url or address_in(settings.folder))
    ward = Ward(log, Library((settings.scenarios,)))
    app.state.log, app.state.ward = log, ward
    try:
        yield
    finally:
        await ward.close()
        log.close()


def create_app(settings: Settings) -> FastAPI:
    """The trainer's pages over one folder of scenarios and one record.

    Raises:
        StoreUnavailable: if the folder for the trainer's own things cannot be used.
    """
    app = FastAPI(title="Infusion trainer", openapi_url=None, lifespan=_running)
    app.state.settings = settings
    app.state.secret = learner.load_secret(settings.folder)
    for routes in (
        routes_home,
        routes_bedside,
        routes_stream,
        routes_debrief,
        routes_after,
        routes_what_if,
    ):
        app.include_router(routes.router)
    app.mount("/static", StaticFiles(directory=STATIC), name="static")
    app.add_middleware(Guard)
    errors.install(app)
    return app

"""`trainer` alone: the pages on this computer, until Ctrl-C."""

from __future__ import annotations

import errno
import gc
import os
import socket
import sys
import webbrowser
from contextlib import closing, suppress
from pathlib import Path
from threading import Thread

import typer
import uvicorn
from fastapi import FastAPI
from typing_extensions import override

from trainer.cli.folders import database_address, made_folder
from trainer.errors import StoreUnavailable, TrainerError
from trainer.paths import SCENARIOS
from trainer.store.database import is_in_memory
from trainer.store.log import Log
from trainer.web.app import create_app
from trainer.web.settings import Settings

HOST = "127.0.0.1"
FIRST_PORT = 8000
PORTS_TRIED = 20
"""Ports tried when none is named. Chosen by us."""

VALUES_BETWEEN_SEARCHES = 50_000
"""New values after which Python looks for circles among them. Chosen by us: kept debriefs are
many frozen values without circles, and looking through them anew after every 700 took up to a
fifth of the time of a what-if, most of all of the slow ones."""


class PortInUse(TrainerError):
    """The port that was named, or each one that was tried, is taken."""


def serve_pages(
    *, data: Path | None, scenarios: Path | None, port: int | None, browser: bool
) -> None:
    """Serve until interrupted.

    Raises:
        PortInUse: if the port is taken.
        StoreError: if the folder or the database cannot be used.
    """
    address = database_address(data)
    refuse_in_memory(address)
    folder = made_folder(data)
    check_record(address)
    listener = free_listener(port)
    look_for_circles_seldom()
    settings = Settings(
        folder=folder,
        database_url=os.environ.get("DATABASE_URL", ""),
        scenarios=(scenarios or SCENARIOS).expanduser().absolute(),
    )
    config = uvicorn.Config(
        create_app(settings), log_level="warning", access_log=False, timeout_graceful_shutdown=2
    )
    with suppress(KeyboardInterrupt):
        Server(config, browser=browser).run(sockets=[listener])


def look_for_circles_seldom() -> None:
    """Let Python search for circles of values more seldom; the rest is freed at once anyway."""
    gc.set_threshold(VALUES_BETWEEN_SEARCHES, *gc.get_threshold()[1:])


def refuse_in_memory(address: str) -> None:
    """Refuse a database that would lose everything at the end.

    Raises:
        StoreUnavailable: with the mend.
    """
    if is_in_memory(address):
        raise StoreUnavailable(
            f"the database address {address} keeps nothing when the trainer ends; write "
            "sqlite:///PATH, or leave DATABASE_URL out"
        )


def check_record(address: str) -> None:
    """Tell of a fault of the database before the server starts.

    Raises:
        StoreError: if it cannot be used or is damaged.
    """
    with closing(Log(address)) as log:
        log.check_whole()


class Server(uvicorn.Server):
    """A server that says when it answers, and does not wait for open streams at the end."""

    def __init__(self, config: uvicorn.Config, *, browser: bool) -> None:
        super().__init__(config)
        self._browser = browser

    @override
    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Start, then tell where, and open the browser."""
        await super().startup(sockets)
        for listener in sockets or []:
            page = f"http://{HOST}:{listener.getsockname()[1]}/"
            typer.echo(f"The trainer is at {page} (for training only). Ctrl-C ends it.")
            if self._browser:
                Thread(target=webbrowser.open, args=(page,), daemon=True).start()

    @override
    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """End the streams first: a page that listens would hold the server up."""
        app = self.config.app
        if isinstance(app, FastAPI) and hasattr(app.state, "ward"):
            app.state.ward.close_streams()
        await super().shutdown(sockets)


def free_listener(port: int | None) -> socket.socket:
    """A socket that listens at the port, or to the first free one if none is named.

    Raises:
        PortInUse: if there is none, with the mend.
    """
    if port is not None:
        return _bound(port)
    for tried in range(FIRST_PORT, FIRST_PORT + PORTS_TRIED):
        with suppress(PortInUse):
            return _bound(tried)
    last = FIRST_PORT + PORTS_TRIED - 1
    raise PortInUse(f"ports {FIRST_PORT} to {last} are all taken; name a free one with --port")


def _bound(port: int) -> socket.socket:
    listener = socket.socket()
    if sys.platform != "win32":
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((HOST, port))
        listener.listen()
    except OSError as error:
        listener.close()
        if error.errno == errno.EADDRINUSE:
            what = f"port {port} is taken, perhaps by a trainer that already runs"
        else:
            what = f"port {port} cannot be used ({error.strerror})"
        raise PortInUse(
            f"{what}; end the other program, or name another port with --port"
        ) from None
    return listener

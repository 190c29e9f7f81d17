"""One stream for each open bedside: what changed, as it changes."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import AsyncIterator

from fastapi import APIRouter, Request
from starlette.responses import StreamingResponse

from trainer.errors import TrainerError
from trainer.live.ward import Glimpse, Ward
from trainer.web import panels
from trainer.web.deps import OwnAttempt, SettingsDep, WardDep
from trainer.web.settings import Settings

router = APIRouter()
log = logging.getLogger("trainer.web")

RETRY_MS = 1000
"""How soon a page asks again after a break. Chosen by us."""
_BEAT = b": still here\n\n"


@router.get("/attempts/{attempt_id}/stream")
async def stream(
    request: Request, attempt: OwnAttempt, ward: WardDep, settings: SettingsDep, after: int = 0
) -> StreamingResponse:
    """The bedside's changes as server-sent events, from where the page is."""
    last = request.headers.get("last-event-id", "")
    seen = int(last) if last.isascii() and last.isdigit() and len(last) < 9 else after
    return StreamingResponse(
        _messages(ward, attempt, settings, seen),
        media_type="text/event-stream",
        headers={"Cache-Control": "no-store", "X-Accel-Buffering": "no"},
    )


async def _messages(
    ward: Ward, attempt: str, settings: Settings, seen: int
) -> AsyncIterator[bytes]:
    """One message for each change; a sign of life when nothing changes."""
    yield f"retry: {RETRY_MS}\n\n".encode()
    news: asyncio.Queue[Glimpse | None] = asyncio.Queue()
    listening = asyncio.create_task(_listen(ward, attempt, news))
    try:
        while True:
            try:
                glimpse = await asyncio.wait_for(_newest(news), settings.beat_s)
            except TimeoutError:
                yield _BEAT
                continue
            if glimpse is None:
                return
            names = (panels.PACES, *panels.changed_since(glimpse, seen))
            seen = len(glimpse.events)
            yield message(
                seen, panels.pieces(glimpse, names, contents_visible=settings.contents_visible)
            )
    finally:
        listening.cancel()


async def _listen(ward: Ward, attempt: str, news: asyncio.Queue[Glimpse | None]) -> None:
    """Pass on what the ward tells, until it ends or this page has gone (cancelled)."""
    try:
        async for glimpse in ward.subscribe(attempt):
            news.put_nowait(glimpse)
    except TrainerError as fault:
        log.warning("the stream of attempt %s ends: %s", attempt, fault)
    finally:
        news.put_nowait(None)


async def _newest(news: asyncio.Queue[Glimpse | None]) -> Glimpse | None:
    """The next glimpse; a later one, if several wait. None ends the stream."""
    found = await news.get()
    while found is not None and not news.empty():
        found = news.get_nowait()
    return found


def message(number: int, body: str) -> bytes:
    """One server-sent event without a name, so that the page takes its pieces in."""
    lines = "".join(f"data: {line}\n" for line in body.splitlines())
    return f"id: {number}\n{lines}\n".encode()

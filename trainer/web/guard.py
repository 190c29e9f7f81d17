"""What every answer carries, and which requests are turned away at the door.

Pure ASGI, because it stands in front of the streams too and must not hold them up.
"""

from __future__ import annotations

from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from trainer.errors import TrainerError
from trainer.web.errors import CrossSite, TooMuch, answer, mishap_for
from trainer.web.settings import MOST_BODY_BYTES

POLICY = (
    "default-src 'self'; base-uri 'none'; object-src 'none'; form-action 'self'; "
    "frame-ancestors 'none'"
)
"""Content security policy: everything from here, no inline script, no inline style."""

HEADERS = (
    ("Content-Security-Policy", POLICY),
    ("X-Content-Type-Options", "nosniff"),
    ("Referrer-Policy", "no-referrer"),
    ("X-Frame-Options", "DENY"),
    ("Cross-Origin-Opener-Policy", "same-origin"),
)

_READING = frozenset({"GET", "HEAD", "OPTIONS"})


def is_cross_site(headers: Headers) -> bool:
    """Whether a form was sent by a page of another site.

    Browsers say so in `Sec-Fetch-Site`; older ones name their `Origin`. A request that
    says neither does not come from a browser's page.
    """
    site = headers.get("sec-fetch-site")
    if site is not None:
        return site not in ("same-origin", "none")
    origin = headers.get("origin")
    return origin is not None and urlsplit(origin).netloc != headers.get("host")


class Guard:
    """Adds the headers above; refuses forms from another site, and what is far too large."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request, or one event of the server's own life."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def send_guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(dict(HEADERS))
            await send(message)

        headers = Headers(scope=scope)
        fault = _turned_away(scope["method"], headers)
        if fault is None:
            await self.app(scope, receive, send_guarded)
            return
        refused = answer(mishap_for(fault), fragment="hx-request" in headers)
        await refused(scope, receive, send_guarded)


def _turned_away(method: str, headers: Headers) -> TrainerError | None:
    """Why a request goes no further, or None."""
    if method in _READING:
        return None
    if is_cross_site(headers):
        return CrossSite("The browser names another site as the sender.")
    length = headers.get("content-length", "")
    if length.isdigit() and int(length[:12]) > MOST_BODY_BYTES:
        return TooMuch(f"It has {length[:12]} bytes; {MOST_BODY_BYTES} are taken.")
    return None

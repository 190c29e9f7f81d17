"""Who is asking: a signed cookie with a random id, and nothing else about a person.

The cookie owns the attempts that were begun with it. The secret that signs it is made
once and kept in the trainer's own folder, so a restart does not lose anybody's attempts.
"""

from __future__ import annotations

import hashlib
import hmac
import os
import secrets
from contextlib import suppress
from pathlib import Path

from starlette.responses import Response

from trainer.errors import StoreUnavailable

COOKIE = "learner"
YEAR_S = 365 * 24 * 3600
SECRET_BYTES = 32
_ID_BYTES = 16


def load_secret(folder: Path) -> bytes:
    """The signing secret of this trainer; made, and readable by its owner only, if missing.

    Raises:
        StoreUnavailable: if it can be neither read nor made, or is too short to protect anyone.
    """
    path = folder / "cookie.secret"
    try:
        if not path.exists():
            folder.mkdir(parents=True, exist_ok=True)
            _write_once(path, secrets.token_bytes(SECRET_BYTES))
        secret = path.read_bytes()
    except OSError as fault:
        raise StoreUnavailable(
            f"the file {path} cannot be used ({fault.strerror}); make room, or give yourself "
            "the right to read and write it"
        ) from fault
    if len(secret) < SECRET_BYTES:
        raise StoreUnavailable(
            f"the file {path} is damaged, it has {len(secret)} bytes instead of {SECRET_BYTES}; put "
            "a copy in its place. Or delete it: a new one is made, and learners no longer reach "
            "the attempts that they began before"
        )
    return secret


def _write_once(path: Path, secret: bytes) -> None:
    """Write the secret whole, unless another server was faster."""
    own = path.with_name(f"{path.name}.{secrets.token_hex(8)}")
    handle = os.open(own, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as file:
        file.write(secret)
        file.flush()
        os.fsync(file.fileno())
    with suppress(FileExistsError):
        os.link(own, path)
    own.unlink()


def new_learner() -> str:
    """A fresh id, impossible to guess."""
    return secrets.token_hex(_ID_BYTES)


def sign(secret: bytes, learner: str) -> str:
    """The cookie's text for a learner: the id and its signature."""
    mark = hmac.new(secret, learner.encode(), hashlib.sha256).hexdigest()
    return f"{learner}.{mark}"


def read(secret: bytes, text: str) -> str:
    """The learner of a cookie's text, or an empty text if the signature is not ours."""
    learner, _, mark = text.partition(".")
    expected = hmac.new(secret, learner.encode(), hashlib.sha256).hexdigest()
    is_ours = hmac.compare_digest(mark.encode(), expected.encode())
    return learner if learner and is_ours else ""


def remember(response: Response, secret: bytes, learner: str, *, https: bool) -> None:
    """Put the learner's cookie on an answer."""
    response.set_cookie(
        COOKIE,
        sign(secret, learner),
        max_age=YEAR_S,
        httponly=True,
        samesite="lax",
        secure=https,
        path="/",
    )

"""From views to text: the one place that knows Jinja.

Pages and panels are compiled once. A template that asks for a name it was not given is a
fault of ours and fails loudly (`StrictUndefined`); everything printed is escaped.
"""

from __future__ import annotations

import hashlib
from functools import lru_cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined, Template
from starlette.responses import HTMLResponse

import trainer
from trainer.paths import STATIC, TEMPLATES
from trainer.terms import TRAINING_NOTICE


@lru_cache(maxsize=64)
def asset(name: str) -> str:
    """Address of a file in static/, changing whenever its contents change.

    >>> asset("app.css").startswith("/static/app.css?v=")
    True
    """
    digest = hashlib.sha256((STATIC / name).read_bytes()).hexdigest()[:12]
    return f"/static/{name}?v={digest}"


@lru_cache(maxsize=4)
def environment(folder: Path = TEMPLATES) -> Environment:
    """The template environment: strict, escaping, compiled once."""
    found = Environment(
        loader=FileSystemLoader(folder),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
        cache_size=-1,
    )
    found.globals["notice"] = TRAINING_NOTICE
    found.globals["asset"] = asset
    found.globals["version"] = trainer.__version__
    return found


@lru_cache(maxsize=256)
def _compiled(name: str) -> Template:
    """One compiled template."""
    return environment().get_template(name)


def text(name: str, **views: object) -> str:
    """A template filled in: `pages/bedside.html`, `panels/_orders.html` ..."""
    return _compiled(name).render(views)


def page(name: str, *, status: int | None = None, **views: object) -> HTMLResponse:
    """A whole page. It is never stored by the browser: an attempt moves on."""
    body = text(f"pages/{name}.html", **views)
    answer = HTMLResponse(body, headers={"Cache-Control": "no-store"})
    if status is not None:
        answer.status_code = status
    return answer


def partial(target: str, body: str, *, swap: str = "outerMorph") -> str:
    """A piece that replaces one region of an open page, wherever the answer lands."""
    return f'<hx-partial hx-target="#{target}" hx-swap="{swap}">{body}</hx-partial>'

"""The bare stack an act is held against: FastAPI, one SQLModel insert, one Jinja2 fragment.

Nothing is computed: a form comes in, a row is committed (SQLite, WAL, synchronous FULL),
a fragment of about two kilobytes goes out. Written as the frameworks' own tutorials do.
"""

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated

from fastapi import Depends, FastAPI, Form, Request
from fastapi.responses import HTMLResponse
from fastapi.templating import Jinja2Templates
from sqlalchemy import event
from sqlmodel import Field, Session, SQLModel, create_engine

FOLDER = Path(os.environ["BARE_FOLDER"])


class Row(SQLModel, table=True):
    id: int | None = Field(default=None, primary_key=True)
    attempt: str
    verb: str
    payload: str


engine = create_engine(f"sqlite:///{FOLDER / 'bare.sqlite3'}")


@event.listens_for(engine, "connect")
def durable(connection, _record):
    connection.execute("PRAGMA journal_mode=WAL")
    connection.execute("PRAGMA synchronous=FULL")
    connection.execute("PRAGMA busy_timeout=5000")


SQLModel.metadata.create_all(engine)
(FOLDER / "fragment.html").write_text(
    '<section id="log">{% for n in range(24) %}<p><time>09:{{ "%02d" % n }}</time> {{ verb }} '
    "{{ payload }} <span>line 1, primary, as typed</span></p>{% endfor %}</section>"
)
templates = Jinja2Templates(FOLDER)
app = FastAPI()


def session() -> Iterator[Session]:
    with Session(engine) as one:
        yield one


@app.post("/act")
def act(
    request: Request,
    verb: Annotated[str, Form()],
    token: Annotated[str, Form()],
    db: Annotated[Session, Depends(session)],
) -> HTMLResponse:
    row = Row(attempt="one", verb=verb, payload=token)
    db.add(row)
    db.commit()
    return templates.TemplateResponse(
        request, "fragment.html", {"verb": row.verb, "payload": row.payload}
    )

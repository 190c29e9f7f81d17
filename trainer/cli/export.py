"""`trainer attempts` lists what is recorded; `trainer export` writes one attempt to a file."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from trainer.cli.folders import database_address
from trainer.errors import StoreUnavailable

if TYPE_CHECKING:
    from trainer.store.log import Log
    from trainer.store.records import AttemptLine

Data = Annotated[
    Path | None,
    typer.Option(envvar="TRAINER_DATA", help="Folder of the database."),
]


def attempts(data: Data = None, learner: Annotated[str | None, typer.Option()] = None) -> None:
    """List the recorded attempts: id, when it was opened, whether it has ended, title."""
    with _log(data) as log:
        lines = log.attempts(learner)
    for line in lines:
        typer.echo(_told(line))
    if not lines:
        typer.echo("There are no attempts yet.", err=True)


def export(
    attempt: Annotated[
        str, typer.Argument(help="The attempt's id, as `trainer attempts` lists it.")
    ],
    output: Annotated[
        Path | None, typer.Option("--output", "-o", help="File to write; else standard output.")
    ] = None,
    data: Data = None,
) -> None:
    """Write an attempt as JSON Lines: its opening first, then all that happened."""
    from trainer.store.export import exported_lines

    with _log(data) as log:
        rows = log.rows(attempt)
    text = "".join(f"{line}\n" for line in exported_lines(attempt, rows))
    if output is None:
        sys.stdout.write(text)
        return
    try:
        output.write_text(text, encoding="utf-8")
    except OSError as error:
        raise StoreUnavailable(
            f"{output} cannot be written ({error.strerror}); name another file with -o"
        ) from error


@contextmanager
def _log(data: Path | None) -> Iterator[Log]:
    from trainer.store.log import Log

    with closing(Log(database_address(data), only_read=True)) as log:
        yield log


def _told(line: AttemptLine) -> str:
    opened = line.opened_at.strftime("%Y-%m-%d %H:%M")
    state = "open" if line.ended_at is None else "ended"
    return f"{line.id}  {opened}  {state:5}  {line.learner or '-'}  {line.title}"

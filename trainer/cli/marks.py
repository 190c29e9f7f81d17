"""`trainer marks`: an attempt's mark by its own policy, and beside it by another.

It only reads. A mark by another policy is shown beside the first one, never put over it.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

Data = Annotated[
    Path | None,
    typer.Option(envvar="TRAINER_DATA", help="Folder of the database."),
]


def marks(
    attempt: Annotated[
        str, typer.Argument(help="The attempt's id, as `trainer attempts` lists it.")
    ],
    policy: Annotated[
        Path | None, typer.Option(help="Also mark by this policy file; nothing is written.")
    ] = None,
    data: Data = None,
) -> None:
    """Print an attempt's gates and marks; with --policy, what another policy changes."""
    from trainer.cli.marked import lines_of

    for line in lines_of(attempt, policy, data):
        typer.echo(line)

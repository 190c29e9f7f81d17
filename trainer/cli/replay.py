"""`trainer replay`: re-run an exported attempt's inputs and tell whether it reproduces."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def replay(
    file: Annotated[Path, typer.Argument(help="A file written by `trainer export`.")],
    at: Annotated[
        str | None,
        typer.Option(help="Also print the bedside at this time of the ward clock, as 12:30."),
    ] = None,
) -> None:
    """Re-run an exported attempt. Exit code 0 if every event comes out the same, else 1."""
    from trainer.cli.rerun import reproduces

    raise typer.Exit(0 if reproduces(file, at) else 1)

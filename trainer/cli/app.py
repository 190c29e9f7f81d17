"""The `trainer` command: which subcommands there are, and where each is written.

Alone it serves. A subcommand's module is imported when it is named, and whatever needs
the web or the database inside the function that uses it, so that the others start fast.
A fault that can be foreseen ends as one sentence on standard error and exit code 1,
never as a traceback.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable
from importlib import import_module
from pathlib import Path
from typing import Annotated

import typer

from trainer.errors import TrainerError

COMMANDS = {
    "calc": "trainer.cli.calc",
    "diagnose": "trainer.cli.diagnose",
    "check": "trainer.cli.check",
    "key": "trainer.cli.key",
    "rehearse": "trainer.cli.rehearse",
    "marks": "trainer.cli.marks",
    "attempts": "trainer.cli.export",
    "export": "trainer.cli.export",
    "replay": "trainer.cli.replay",
}
"""Each subcommand, and the module that holds the function of its name."""


def command_line(names: Iterable[str] = tuple(COMMANDS)) -> typer.Typer:
    """The command line with these subcommands; all of them unless told otherwise."""
    line = typer.Typer(
        help="A scenario trainer for intravenous infusions. For training only.",
        add_completion=False,
        pretty_exceptions_enable=False,
    )
    line.callback(invoke_without_command=True)(serve)
    for name in names:
        line.command(name)(getattr(import_module(COMMANDS[name]), name))
    return line


def serve(
    context: typer.Context,
    *,
    data: Annotated[
        Path | None,
        typer.Option(envvar="TRAINER_DATA", help="Folder for the database; made if it is missing."),
    ] = None,
    scenarios: Annotated[
        Path | None,
        typer.Option(envvar="TRAINER_SCENARIOS", help="Folder of scenarios; the shipped ones."),
    ] = None,
    port: Annotated[
        int | None,
        typer.Option(min=0, max=65535, help="Port; else 8000 or the next free one. 0: any."),
    ] = None,
    browser: Annotated[
        bool, typer.Option("--browser/--no-browser", help="Open the browser.")
    ] = True,
) -> None:
    """A scenario trainer for intravenous infusions. For training only.

    Without a command it starts the trainer on this computer and opens the browser.
    """
    if context.invoked_subcommand is None:
        from trainer.cli.serve import serve_pages

        serve_pages(data=data, scenarios=scenarios, port=port, browser=browser)


def main() -> None:
    """Run the command. A foreseeable fault is told in a sentence."""
    words = sys.argv[1:]
    named = [word for word in words if word in COMMANDS][:1]
    try:
        command_line(named or COMMANDS)()
    except TrainerError as error:
        typer.echo(f"trainer: {error}", err=True)
        sys.exit(1)
    except KeyboardInterrupt:
        sys.exit(130)


def __getattr__(name: str) -> typer.Typer:
    """`app` is the whole command line, made when someone asks for it."""
    if name == "app":
        return command_line()
    raise AttributeError(name)

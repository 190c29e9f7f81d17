"""Re-running an exported attempt: does the engine bring the same events again?"""

from __future__ import annotations

from pathlib import Path

import typer

from trainer.clinical.quantity import parse_clock
from trainer.clinical.timebase import MS_PER_DAY, MS_PER_MIN, format_sim
from trainer.engine.notation import format_state
from trainer.engine.replay import Difference, audit, state_at
from trainer.engine.version import ENGINE_VERSION
from trainer.errors import LogDamaged, QuantityError
from trainer.live.attempt import engine_events, scenario_of
from trainer.scenario.model import Scenario
from trainer.store.export import Exported, read_export
from trainer.store.records import Opened


def reproduces(file: Path, at: str | None) -> bool:
    """Re-run an exported attempt and tell the result; `at` prints the bedside at a time.

    Raises:
        LogDamaged: if the file is not what was exported, with the line.
        UnknownEvent: if a newer trainer wrote it.
        QuantityError: if `at` is no time of day.
    """
    exported = read_export(_text(file), str(file))
    opened = exported.entries[0].record
    assert isinstance(opened, Opened)
    scenario = scenario_of(opened.source, opened.seed, opened.variation)
    events = engine_events(tuple(entry.record for entry in exported.entries))
    if at is not None:
        typer.echo(format_state(state_at(scenario, events, _moment(at, scenario))))
    _tell_version(opened)
    difference = audit(scenario, events)
    if difference is None:
        typer.echo(_success(exported, len(events)))
        return True
    typer.echo(f"{file}: it does not reproduce.\n{_told(difference)}", err=True)
    return False


def _text(file: Path) -> str:
    try:
        return file.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise LogDamaged(f"{file} cannot be read ({error.strerror}); check its name") from error
    except UnicodeDecodeError as error:
        raise LogDamaged(f"{file} is not a text file in UTF-8; export the attempt again") from error


def _moment(at: str, scenario: Scenario) -> int:
    """The simulated moment at which the ward clock first shows a time of day."""
    try:
        minutes = parse_clock(at, what="--at") - parse_clock(scenario.starts_at)
    except QuantityError as error:
        raise QuantityError(f"{error}; the ward clock began at {scenario.starts_at}") from error
    return minutes * MS_PER_MIN % MS_PER_DAY


def _tell_version(opened: Opened) -> None:
    if opened.engine_version != ENGINE_VERSION:
        typer.echo(
            f"It was recorded with engine version {opened.engine_version}; this is version "
            f"{ENGINE_VERSION}, so a difference need not be damage.",
            err=True,
        )


def _told(difference: Difference) -> str:
    return (
        f"First difference, at event {difference.index + 1}:\n"
        f"  recorded:  {difference.logged or 'nothing'}\n"
        f"  re-run:    {difference.rerun or 'nothing'}"
    )


def _success(exported: Exported, count: int) -> str:
    last_ms = exported.entries[-1].record.at_ms
    return f"Attempt {exported.attempt}: {count} events over {format_sim(last_ms)}, all reproduced."

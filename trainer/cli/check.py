"""`trainer check`: everything that is wrong with scenario files, or that nothing is.

Beyond what the loader refuses, a scenario is rehearsed: its key must be computable, its
model conduct must earn full marks, and each named mistake must earn less and show what it
says it shows. Beside a sound scenario stands advice: which slips its numbers hide.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Annotated

import typer

from trainer.errors import Fault, ProblemError, QuantityError, ScenarioError
from trainer.live.library import SUFFIXES, read_plain_file, read_source
from trainer.scenario.load import (
    fault_at,
    kind_of_file,
    load_formulary,
    load_policy,
    load_scenario,
    own_faults,
    wrong_id_words,
)
from trainer.scenario.model import Conduct, Scenario
from trainer.scenario.source import ScenarioText, text_from_bytes
from trainer.scoring.accept import variant
from trainer.scoring.expect import order_keys
from trainer.scoring.findings import Report
from trainer.scoring.readable import hidden
from trainer.scoring.rehearse import rehearse
from trainer.scoring.report import report
from trainer.terms import Verdict

Place = Callable[[str, str, str, str], Fault]
"""Makes a fault: key at the top, id of the entry, what is wrong, the mend."""

TRIED_SEEDS = range(1, 6)
"""Seeds tried where values vary. Chosen by us."""


def check(
    paths: Annotated[
        list[Path], typer.Argument(metavar="PATH...", help="Files, or folders of them.")
    ],
) -> None:
    """Check scenario, policy and formulary files; exit with 1 if anything is wrong.

    A fault of a ward's file is told once, however many scenarios share it.
    """
    sound = True
    told: set[str] = set()
    for path in paths:
        for line, is_sound in lines_about(path):
            if line not in told:
                typer.echo(line)
            told.add(line)
            sound = sound and is_sound
    if not sound:
        raise typer.Exit(1)


def lines_about(path: Path) -> Iterator[tuple[str, bool]]:
    """The lines to print about a path, each with whether it tells of something sound."""
    try:
        files = _files_in(path)
    except OSError as error:
        yield f"{path}: this cannot be read ({error.strerror}); check its rights", False
        return
    if not path.exists():
        yield f"{path}: there is no such file or folder; check the name", False
    elif not files:
        yield f"{path}: there is no YAML file in this folder; name one that holds some", False
    for file in files:
        faults, words = check_file(file)
        if faults:
            yield from ((str(fault), False) for fault in faults)
            if all(fault.path != str(file) for fault in faults):
                yield f"{file}: this is not checked further before its ward is mended", False
        else:
            yield f"{file}: {words}", True
            yield from ((str(one), True) for one in advice_about(file))


def _files_in(path: Path) -> list[Path]:
    if not path.is_dir():
        return [path] if path.exists() else []
    return sorted(
        file
        for file in path.rglob("*")
        if file.suffix in SUFFIXES and file.is_file() and not file.name.startswith(".")
    )


def check_file(file: Path) -> tuple[tuple[Fault, ...], str]:
    """The faults of one file, and what to say of it if there are none."""
    try:
        text = text_from_bytes(read_plain_file(file), str(file))
        kind = kind_of_file(text, str(file))
        if kind == "scenario":
            return _check_scenario(file, text)
        load = load_policy if kind == "policy" else load_formulary
        return _check_ward_file(file, text, kind, load(text, str(file)).id)
    except ScenarioError as problem:
        return problem.faults, ""
    except OSError as error:
        what = f"this file cannot be read ({error.strerror})"
        mend = "check its name and your right to read it"
        return (Fault(path=str(file), line=0, column=0, what=what, mend=mend),), ""


def _check_ward_file(
    file: Path, text: str, kind: str, ward_id: str
) -> tuple[tuple[Fault, ...], str]:
    """A policy or formulary is found by its file's name, so its id is the same."""
    if ward_id == file.stem:
        return (), f"a sound {kind}, `{ward_id}`"
    what, mend = wrong_id_words(ward_id, file.stem)
    return (fault_at(text, str(file), ("id", ""), what, mend),), ""


def _check_scenario(file: Path, text: str) -> tuple[tuple[Fault, ...], str]:
    try:
        source = read_source(file)
    except ScenarioError as problem:  # its ward is missing: tell of the rest too
        return (*problem.faults, *own_faults(text, str(file))), ""
    scenario = load_scenario(source)
    found = faults_in_use(scenario, source)
    mistakes = max(0, len(scenario.conducts) - 1)
    return (
        found,
        f"a sound scenario, `{scenario.id}`, with {_counted(mistakes, 'scripted mistake')}",
    )


def _counted(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def faults_in_use(scenario: Scenario, source: ScenarioText) -> tuple[Fault, ...]:
    """What shows only when a sound file is used: its key, its variants, its conducts."""

    def place(key: str, name: str, what: str, mend: str) -> Fault:
        return fault_at(source.text, source.path, (key, name), what, mend)

    keys = tuple(_faults_of_keys(scenario, place))
    if keys:
        return keys
    return (*_faults_of_variants(scenario, place), *_faults_of_conducts(scenario, place))


def advice_about(file: Path) -> tuple[Fault, ...]:
    """What an author may want to know of a sound file: no fault, and the exit code stays 0.

    Which slips the numbers of a scenario hide one behind another, so that a debrief must name
    both and ask.
    """
    source = _scenario_text(file)
    if source is None:
        return ()
    return tuple(
        fault_at(
            source.text,
            source.path,
            ("orders", one.order),
            f"advice: {one.sentence.rstrip('.')}",
            "other numbers in the order, the weight or the container would tell",
        )
        for one in hidden(load_scenario(source))
    )


def _scenario_text(file: Path) -> ScenarioText | None:
    """The three texts of a scenario file; None if it is a ward's file."""
    text = text_from_bytes(read_plain_file(file), str(file))
    return read_source(file) if kind_of_file(text, str(file)) == "scenario" else None


def _faults_of_keys(scenario: Scenario, place: Place) -> Iterator[Fault]:
    for order in scenario.orders:
        try:
            order_keys(scenario, order)
        except (ProblemError, QuantityError) as problem:
            mend = "mend the order, the patient or the container that it names"
            yield place("orders", order.id, str(problem), mend)


def _faults_of_variants(scenario: Scenario, place: Place) -> Iterator[Fault]:
    try:
        for seed in TRIED_SEEDS:
            variant(scenario, seed)
    except ScenarioError as problem:
        yield place("vary", "", problem.faults[0].what, problem.faults[0].mend)


def _faults_of_conducts(scenario: Scenario, place: Place) -> Iterator[Fault]:
    for number, conduct in enumerate(scenario.conducts):
        try:
            marks = report(scenario, rehearse(scenario, conduct))
        except ProblemError as problem:
            yield place("conduct", conduct.id, str(problem), "mend its steps")
            continue
        told = _of_model(marks) if number == 0 else _of_mistake(conduct, marks)
        for what, mend in told:
            yield place("conduct", conduct.id, what, mend)


def _of_model(marks: Report) -> Iterator[tuple[str, str]]:
    if marks.full:
        return
    short = [one.id for one in marks.findings if one.points < one.most]
    yield (
        f"the model conduct earns {marks.points} of {marks.most} marks; short are {', '.join(short)}",
        "mend the conduct, or what is expected",
    )


def _of_mistake(conduct: Conduct, marks: Report) -> Iterator[tuple[str, str]]:
    if marks.full:
        yield f"the mistake `{conduct.id}` earns full marks", "expect what it leaves out"
    shown = {one.id for one in marks.findings if one.verdict is not Verdict.RIGHT}
    for name in conduct.shows:
        if name not in shown:
            what = f"the mistake `{conduct.id}` does not show `{name}`"
            wrong = ", ".join(one.id for one in marks.findings if one.points < one.most)
            yield what, f"it shows {wrong or 'nothing'}"

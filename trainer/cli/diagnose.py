"""`trainer diagnose`: which slip leads to each entry of a JSON list of problems.

The problems have the form that `calc --json` reads, each with `entered` (what was typed)
and, if there are any, `others` (values that could have been taken by mistake). With
`--readable` nothing need be entered: told is which slips the numbers of each problem hide.
Not here: any judging.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated, NoReturn

import typer

from trainer.cli.problem_list import id_of, problem_list, repeated_key, rounding_of
from trainer.clinical.problem import parse_problem
from trainer.clinical.rounding import TEACHING_ROUNDING, RoundingRules
from trainer.clinical.slips.answer import Answer, answer_of
from trainer.clinical.slips.diagnose import Diagnosis
from trainer.clinical.slips.diagnose import diagnose as diagnosis_of
from trainer.clinical.slips.others import Other, read_others
from trainer.clinical.slips.readable import unreadable
from trainer.errors import ProblemError, TrainerError
from trainer.terms import TRAINING_NOTICE

ADDED_KEYS = frozenset({"entered", "others"})
EXAMPLE = (
    '{"id": "a", "find": "rate", "unit": "mL/h", "given": {"volume": "1000 mL", "duration": "8 h"}, '
    '"entered": "1250 mL/h"}'
)


def diagnose(
    problems: Annotated[
        Path | None, typer.Argument(help="A JSON list of problems; else standard input.")
    ] = None,
    *,
    policy: Annotated[
        Path | None, typer.Option(help="Round as this policy file says; else as teaching rules do.")
    ] = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print JSON; else sentences to read.")
    ] = False,
    readable: Annotated[
        bool,
        typer.Option("--readable", help="Tell which slips each problem's numbers hide instead."),
    ] = False,
) -> None:
    """Name the slip that leads to each wrong entry of a list of problems."""
    rounding = rounding_of(policy, stop=_stop)
    listed = problem_list(problems, stop=_stop, example=EXAMPLE)
    found = hidden_slips(listed, rounding) if readable else verdicts(listed, rounding)
    if as_json:
        typer.echo(json.dumps(found, indent=1))
        return
    for line in (*(line for one in found for line in _lines(one)), TRAINING_NOTICE):
        typer.echo(line)


def verdicts(
    problems: list[object], rounding: RoundingRules = TEACHING_ROUNDING
) -> list[dict[str, object]]:
    """A verdict with its slips for each problem, in order, or the error in words."""
    return [_verdict(problem, rounding) for problem in problems]


def hidden_slips(
    problems: list[object], rounding: RoundingRules = TEACHING_ROUNDING
) -> list[dict[str, object]]:
    """For each problem, in order, the slips that cannot be told apart with its numbers."""
    return [_hidden(problem, rounding) for problem in problems]


def _hidden(entry: object, rounding: RoundingRules) -> dict[str, object]:
    repeated = repeated_key(entry)
    if repeated:
        return {"id": id_of(entry), "error": f"`{repeated}` stands twice; leave one out"}
    try:
        answer, others, _ = _opened(entry)
        found = unreadable(answer, rounding, others)
    except TrainerError as error:
        return {"id": id_of(entry), "error": str(error)}
    return {
        "id": id_of(entry),
        "hidden": [
            {
                "slips": [str(slip) for slip in (one.first, one.second) if slip],
                "explanation": one.sentence,
            }
            for one in found
        ],
    }


def _verdict(entry: object, rounding: RoundingRules) -> dict[str, object]:
    repeated = repeated_key(entry)
    if repeated:
        return {"id": id_of(entry), "error": f"`{repeated}` stands twice; leave one out"}
    try:
        found = _diagnosed(entry, rounding)
    except TrainerError as error:
        return {"id": id_of(entry), "error": str(error)}
    slips = [{"slip": str(one.slip), "explanation": one.explanation} for one in found.slips]
    return {"id": id_of(entry), "verdict": str(found.verdict), "slips": slips}


def _diagnosed(entry: object, rounding: RoundingRules) -> Diagnosis:
    """The problem solved and its entry judged."""
    answer, others, entered = _opened(entry)
    if not isinstance(entered, str):
        what = "is missing" if entered is None else "must be text"
        raise ProblemError(f'entered {what}; write what was typed, in quotes, such as "125 mL/h"')
    return diagnosis_of(answer, entered, others=others, rounding=rounding)


def _opened(entry: object) -> tuple[Answer, tuple[Other, ...], object]:
    """The answer to a problem, the values that lie about, and what was entered."""
    plain, added = entry, {}
    if isinstance(entry, dict):
        plain = {key: value for key, value in entry.items() if key not in ADDED_KEYS}
        added = {key: value for key, value in entry.items() if key in ADDED_KEYS}
    answer = answer_of(parse_problem(plain))
    return answer, read_others(added.get("others"), answer.kg_per_lb), added.get("entered")


def _lines(one: dict[str, object]) -> list[str]:
    """A verdict in lines to read."""
    name = str(one["id"])
    if "error" in one:
        return [f"{name}: not judged: {one['error']}"]
    if "hidden" in one:
        return _hidden_lines(name, one["hidden"])
    slips = one["slips"]
    told = (
        [f"  {slip['slip']}: {slip['explanation']}" for slip in slips if isinstance(slip, dict)]
        if isinstance(slips, list)
        else []
    )
    unknown = ["  no slip that is known leads to it"]
    return [f"{name}: {one['verdict']}", *(told or (unknown if one["verdict"] == "wrong" else []))]


def _hidden_lines(name: str, found: object) -> list[str]:
    """What a problem's numbers hide, in lines to read."""
    told = [f"  {each['explanation']}" for each in found] if isinstance(found, list) else []
    verdict = "these slips cannot be told apart" if told else "every slip can be told"
    return [f"{name}: {verdict}", *told]


def _stop(message: str, code: int = 2) -> NoReturn:
    typer.echo(f"trainer diagnose: {message}", err=True)
    raise typer.Exit(code)

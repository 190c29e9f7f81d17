"""`trainer calc`: one problem from options, or a list of problems as JSON.

With options it prints the worked solution, the rounded answer and the cautions. With
`--json` it reads a list of problems from standard input and writes a list of answers
in the same order. Not here: any arithmetic.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated, NoReturn

import typer

from trainer.cli.problem_list import id_of, problem_list, repeated_key, rounding_of
from trainer.clinical.problem import FINDS, Problem, parse_problem
from trainer.clinical.rounding import TEACHING_ROUNDING, RoundingRules
from trainer.clinical.solve import Solution, solve
from trainer.errors import TrainerError
from trainer.terms import TRAINING_NOTICE

Text = str | None
Opt = typer.Option


def calc(
    find: Annotated[Text, typer.Argument(help=f"What to find: {', '.join(FINDS)}.")] = None,
    unit: Annotated[Text, Opt(help="Unit of the answer; the usual one if left out.")] = None,
    volume: Annotated[Text, Opt(help='Such as "250 mL".')] = None,
    duration: Annotated[Text, Opt(help='Such as "1 h 30 min".')] = None,
    rate: Annotated[Text, Opt(help='Such as "40 mL/h".')] = None,
    drip_rate: Annotated[Text, Opt(help='Such as "21 gtt/min".')] = None,
    drop_factor: Annotated[Text, Opt(help='Such as "20 gtt/mL".')] = None,
    dose: Annotated[Text, Opt(help='Such as "5 mcg/kg/min" or "500 mg".')] = None,
    doses_per_day: Annotated[Text, Opt(help='Such as "4" or "every 6 h".')] = None,
    weight: Annotated[Text, Opt(help='Such as "18.2 kg" or "8 lb 6 oz".')] = None,
    height: Annotated[Text, Opt(help='Such as "110 cm".')] = None,
    bsa: Annotated[Text, Opt(help='Body surface area, such as "0.75 m2".')] = None,
    concentration: Annotated[Text, Opt(help='Such as "400 mg in 250 mL" or "10 %".')] = None,
    amount: Annotated[Text, Opt(help='Drug in the container, such as "500 mg".')] = None,
    diluent: Annotated[Text, Opt(help='Volume added, such as "40 mL".')] = None,
    start: Annotated[Text, Opt(help="Time of day, HH:MM.")] = None,
    rule: Annotated[Text, Opt(help="4-2-1, 100-50-20, mosteller or haycock.")] = None,
    dehydration: Annotated[Text, Opt(help='Such as "5 %".')] = None,
    burned: Annotated[Text, Opt(help='Burned area, such as "15 %".')] = None,
    coefficient: Annotated[Text, Opt(help='Burn fluid, such as "3 mL/kg/%".')] = None,
    lb_per_kg: Annotated[Text, Opt(help='The pound to use: "2.2 lb per kg".')] = None,
    *,
    policy: Annotated[
        Path | None, Opt(help="Round as this policy file says; else as teaching rules do.")
    ] = None,
    as_json: Annotated[
        bool, Opt("--json", help="Read a JSON list of problems from standard input.")
    ] = False,
) -> None:
    """Solve an infusion calculation and show the worked solution."""
    rounding = rounding_of(policy, stop=_stop)
    if as_json:
        answer_list(rounding)
        return
    if find is None:
        _stop(f"say what to find: one of {', '.join(FINDS)}; `trainer calc --help` has examples")
    texts = {
        "volume": volume, "duration": duration, "rate": rate, "drip_rate": drip_rate,
        "drop_factor": drop_factor, "dose": dose, "doses_per_day": doses_per_day,
        "weight": weight, "height": height, "bsa": bsa, "concentration": concentration,
        "amount": amount, "diluent": diluent, "start": start, "rule": rule,
        "dehydration": dehydration, "burned": burned, "coefficient": coefficient,
    }  # fmt: skip
    name = find.replace("-", "_")
    given = tuple((key, text) for key, text in texts.items() if text is not None)
    wanted = unit or _usual_unit(name, dict(given))
    problem = Problem(id="", find=name, unit=wanted, given=given, lb_per_kg=lb_per_kg)
    print_solution(problem, rounding)


def _usual_unit(find: str, given: dict[str, str]) -> str:
    """The unit of an answer when none is asked for: the drug's own where the drug is known."""
    usual = FINDS.get(find, "mL/h")
    if find == "dose" and set(given) == {"dose", "weight"}:
        return _without_body(given["dose"]) or usual
    if find not in {"dose", "amount", "concentration"}:
        return usual
    text = " ".join(given.get(name, "") for name in ("concentration", "amount", "dose"))
    drug = next(
        (u for u in ("milliunits", "units", "mEq", "mmol") if u in text.split("/")[0]), "mg"
    )
    if find == "dose" and "duration" not in given and ("rate" in given or "drip_rate" in given):
        return "mcg/kg/min" if drug == "mg" and "weight" in given else f"{drug}/h"
    return usual.replace("mg", drug)


def _without_body(dose: str) -> str:
    """The unit of a dose by weight, without the weight; empty if it is not by weight."""
    unit = dose.strip().lstrip("0123456789.,\u2009 ")
    return unit.replace("/kg", "", 1) if "/kg" in unit else ""


def print_solution(problem: Problem, rounding: RoundingRules = TEACHING_ROUNDING) -> None:
    """Print one worked solution, or say on standard error why there is none and stop."""
    try:
        solution = solve(problem, rounding)
    except TrainerError as error:
        _stop(str(error), code=1)
    for line in solution_lines(solution):
        typer.echo(line)


def solution_lines(solution: Solution) -> tuple[str, ...]:
    """The lines that are printed for a solution, the training notice last."""
    lines = [*solution.steps]
    if solution.chain and len(solution.chain.factors) > 1:
        lines += ["", *(f"  {line}" for line in solution.chain.drawing()), ""]
    unit = "" if solution.unit == "clock" else f" {solution.unit}"
    lines.append(f"{solution.find.replace('_', ' ')}: {solution.value_text}{unit}")
    lines += [f"caution: {caution}" for caution in solution.cautions]
    return (*lines, TRAINING_NOTICE)


def answer_list(rounding: RoundingRules = TEACHING_ROUNDING) -> None:
    """Read a JSON list of problems, write the list of answers; one bad problem stops nothing."""
    problems = problem_list(None, stop=_stop, example=EXAMPLE)
    typer.echo(json.dumps(answers(problems, rounding), indent=1))


def answers(
    problems: list[object], rounding: RoundingRules = TEACHING_ROUNDING
) -> list[dict[str, object]]:
    """An answer for each problem, in order: the solution, or the error in words."""
    return [_answer(problem, rounding) for problem in problems]


def _answer(entry: object, rounding: RoundingRules) -> dict[str, object]:
    repeated = repeated_key(entry)
    if repeated:
        return {"id": id_of(entry), "error": f"`{repeated}` stands twice; leave one out"}
    try:
        solution = solve(parse_problem(entry), rounding)
    except TrainerError as error:
        return {"id": id_of(entry), "error": str(error)}
    return {
        "id": solution.id,
        "value": solution.value_text,
        "unit": solution.unit,
        "exact": solution.exact_text,
        "steps": [*solution.steps, *(f"caution: {one}" for one in solution.cautions)],
    }


EXAMPLE = (
    '{"id": "a", "find": "rate", "unit": "mL/h", "given": {"volume": "1000 mL", "duration": "8 h"}}'
)


def _stop(message: str, code: int = 2) -> NoReturn:
    typer.echo(f"trainer calc: {message}", err=True)
    raise typer.Exit(code)

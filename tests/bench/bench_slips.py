"""Every published problem times every slip that changes its value: is the slip named?

A case is unique if no other slip leads to the same entry of the same problem. Printed by
slip: how many cases, how many of them unique, in how many of those the true slip stands
first, in how many of all it is in the list, and how many wrong entries were called right.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from tests.bench.timing import median_seconds, show
from tests.bench.wrong_entries import ROWS, Case, number_of, wrong_entries
from trainer.clinical.problem import parse_problem
from trainer.clinical.slips.answer import Answer, answer_of
from trainer.clinical.slips.diagnose import Diagnosis, diagnose
from trainer.clinical.slips.every import every_slip
from trainer.clinical.slips.others import read_others


@dataclass
class Tally:
    """What came of the cases of one slip."""

    cases: int = 0
    unique: int = 0
    first: int = 0
    listed: int = 0
    called_right: int = 0


def judged(case: Case, answer: Answer) -> Diagnosis:
    others = read_others(case.others, answer.kg_per_lb)
    return diagnose(answer, case.entered, others=others)


def is_same(one: str, other: str) -> bool:
    """Whether two entries are the same number."""
    return one == other or (":" not in one and number_of(one) == number_of(other))


def tallies() -> tuple[dict[str, Tally], list[str]]:
    """The tally of every slip, and a line for each case that was not named first or at all."""
    found: dict[str, Tally] = defaultdict(Tally)
    missed: list[str] = []
    for row in ROWS:
        cases, answer = wrong_entries(row), answer_of(parse_problem(row))
        for case in cases:
            rivals = {one.slip for one in cases if is_same(one.entered, case.entered)}
            named = judged(case, answer)
            slips = [str(one.slip) for one in named.slips]
            tally = found[case.slip]
            tally.cases += 1
            tally.unique += len(rivals) == 1
            tally.first += len(rivals) == 1 and slips[:1] == [case.slip]
            tally.listed += case.slip in slips
            tally.called_right += named.verdict == "right"
            if case.slip not in slips or (len(rivals) == 1 and slips[0] != case.slip):
                missed.append(f"{row['id']} {case.slip}: {case.entered} named {slips}")
    return dict(found), missed


def total(found: dict[str, Tally]) -> Tally:
    whole = Tally()
    for tally in found.values():
        for name in vars(whole):
            setattr(whole, name, getattr(whole, name) + getattr(tally, name))
    return whole


def line(name: str, one: Tally) -> str:
    first = f"{100 * one.first / one.unique:.1f} %" if one.unique else "-"
    listed = f"{100 * one.listed / one.cases:.1f} %"
    return (
        f"  {name:<20} {one.cases:>6} {one.unique:>7} {first:>9} {listed:>9} {one.called_right:>7}"
    )


def main() -> None:
    found, missed = tallies()
    print("\nslips: every published problem times every slip that changes its value")
    print(f"  {'slip':<20} {'cases':>6} {'unique':>7} {'first':>9} {'listed':>9} {'right':>7}")
    for name in sorted(found, key=lambda one: -found[one].cases):
        print(line(name, found[name]))
    print(line("all", total(found)))
    for words in missed:
        print(f"  not first or not listed: {words}")
    case = wrong_entries(ROWS[30])[0]
    show("one problem solved", median_seconds(lambda: answer_of(parse_problem(case.row))))
    answer = answer_of(parse_problem(case.row))
    show("one more entry to the same answer", median_seconds(lambda: judged(case, answer)))

    def afresh() -> Diagnosis:
        every_slip.cache_clear()
        return judged(case, answer)

    show("the first entry to an answer", median_seconds(afresh))

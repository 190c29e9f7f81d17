"""Wrong entries to every published problem, made without the matcher.

A slip is made where a learner makes it: in the text of a given, in the unit, or in the
digits of the answer. The changed problem is then solved like any other. Nothing of
`trainer.clinical.slips` is used here.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import Any

from trainer.clinical.problem import parse_problem
from trainer.clinical.rounding import (
    TEACHING_ROUNDING,
    format_number,
    round_half_up,
    truncate,
)
from trainer.clinical.solve import Solution, solve
from trainer.errors import TrainerError

Row = dict[str, Any]
ROWS: list[Row] = json.loads(
    (Path(__file__).parents[1] / "reference" / "worked_examples.json").read_text(encoding="utf-8")
)
KEYS = ("id", "find", "unit", "given", "lb_per_kg")
POUND = Fraction("2.2")
SETS = ("10", "15", "20", "60")


@dataclass(frozen=True)
class Case:
    """One wrong entry, the slip that made it, and the values that lay about."""

    row: Row
    slip: str
    entered: str
    others: dict[str, list[str]] = field(default_factory=dict)


def solved(row: Row, **changed: str) -> Solution | None:
    """The solution with some texts of the givens changed; None if it cannot be solved."""
    given = {name: changed.get(name, text) for name, text in row["given"].items()}
    plain = {key: row[key] for key in KEYS if key in row} | {"given": given}
    plain["unit"] = changed.get("unit", plain["unit"])
    try:
        return solve(parse_problem(plain))
    except TrainerError:
        return None


def number_of(text: str) -> Fraction:
    found = re.match(r"[0-9.]+", text)
    assert found
    return Fraction(found[0])


def with_number(text: str, number: Fraction) -> str:
    """A text with its first number exchanged, to eight places."""
    shown = format_number(round_half_up(number, Fraction(1, 10**8)), plain=True)
    return re.sub(r"^[0-9.]+", shown, text)


def written(row: Row, value: Fraction) -> str:
    """A value as the policy rounds it, with the unit that is asked."""
    rounded = TEACHING_ROUNDING.apply(row["find"], row["unit"], value)
    return f"{format_number(rounded, plain=True)} {row['unit']}"


def again(
    row: Row, slip: str, others: dict[str, list[str]] | None = None, **changed: str
) -> Iterator[Case]:
    """The case of a changed problem, if it can be solved."""
    found = solved(row, **changed)
    if found is not None:
        text = written(row, found.exact) if found.exact else found.value_text
        yield Case(row, slip, text, others or {})


def by_hand(row: Row, slip: str, value: Fraction) -> Iterator[Case]:
    if value > 0:
        yield Case(row, slip, written(row, value))


def sizes(row: Row, exact: Fraction) -> Iterator[Case]:
    for slip, size in (("tenfold", 10), ("hundredfold", 100)):
        yield from by_hand(row, slip, exact * size)
        yield from by_hand(row, slip, exact / size)


THOUSANDS = (("mcg", "mg"), ("mg", "mcg"), ("g", "mg"), ("milliunits", "units"), ("mg", "g"))


def thousands(row: Row, _: Fraction) -> Iterator[Case]:
    """The prefix of a drug's unit taken for the next one, in one given or in the answer."""
    for name, text in row["given"].items():
        if name in {"dose", "concentration", "amount"}:
            for one, other in THOUSANDS:
                changed = re.sub(rf"(?<= ){one}\b", other, text, count=1)
                if changed != text:
                    yield from again(row, "thousandfold", None, **{name: changed})
    for one, other in THOUSANDS:
        unit = re.sub(rf"^{one}\b", other, row["unit"])
        if unit != row["unit"]:
            yield from again(row, "thousandfold", unit=unit)


def pounds(row: Row, exact: Fraction) -> Iterator[Case]:
    text = row["given"].get("weight", "")
    if row["find"] == "weight":
        yield from by_hand(row, "pounds", exact * POUND)
        yield from by_hand(row, "pounds", exact / POUND)
    elif text.endswith("lb"):
        yield from again(row, "pounds", weight=text.replace("lb", "kg"))
        yield from again(row, "pounds", weight=with_number(text, number_of(text) / POUND))
    elif text.endswith("kg"):
        yield from again(row, "pounds", weight=text.replace("kg", "lb"))
        yield from again(row, "pounds", weight=with_number(text, number_of(text) * POUND))


def minutes(row: Row, _: Fraction) -> Iterator[Case]:
    """`per minute` read as `per hour`, and the answer worked out in the other."""
    for name, text in row["given"].items():
        for one, other in (("/min", "/h"), ("/h", "/min")):
            if text.endswith(one) and name in {"dose", "rate", "drip_rate"}:
                yield from again(row, "per-minute", **{name: text.removesuffix(one) + other})
    for one, other in (("/min", "/h"), ("/h", "/min")):
        if row["unit"].endswith(one):
            yield from again(row, "per-minute", unit=row["unit"].removesuffix(one) + other)


def weights(row: Row, exact: Fraction) -> Iterator[Case]:
    text = row["given"].get("weight", "")
    if not text or row["find"] == "weight":
        return
    if "rule" in row["given"]:
        yield from bands(row, number_of(text), exact)
        return
    yield from again(row, "weight-left-out", weight="1 kg")
    kg = number_of(text) / (POUND if text.endswith("lb") else 1)
    yield from by_hand(row, "weight-twice", exact * kg)


BANDS_KG: tuple[tuple[int, int], ...] = ((0, 10), (10, 20), (20, 1000))
PER_KG = {"4-2-1": (4, 2, 1), "100-50-20": (100, 50, 20)}


def bands(row: Row, kg: Fraction, exact: Fraction) -> Iterator[Case]:
    """A maintenance rule with one of its bands left out."""
    per_kg = PER_KG.get(row["given"]["rule"], ())
    is_daily_rule_by_the_hour = row["unit"] == "mL/h" and per_kg == PER_KG["100-50-20"]
    hours = Fraction(24) if is_daily_rule_by_the_hour else Fraction(1)
    for (start, end), each in zip(BANDS_KG, per_kg, strict=False):
        inside = min(kg, Fraction(end)) - start
        if inside > 0:
            yield from by_hand(row, "weight-left-out", exact - inside * each / hours)


def turned(row: Row, exact: Fraction) -> Iterator[Case]:
    given = row["given"]
    pair = re.fullmatch(r"([0-9.]+) (\w+) in ([0-9.]+) mL", given.get("concentration", ""))
    single = re.fullmatch(r"([0-9.]+) (\w+)/mL", given.get("concentration", ""))
    if pair:
        yield from again(row, "upside-down", concentration=f"{pair[3]} {pair[2]} in {pair[1]} mL")
    if single and len(given) > 1:
        yield from again(row, "upside-down", concentration=f"1 {single[2]} in {single[1]} mL")
    if set(given) == {"volume", "duration"} and row["unit"] == "mL/h":
        yield from by_hand(row, "upside-down", 1 / exact)
    if set(given) == {"amount", "volume"}:
        yield from by_hand(
            row, "upside-down", number_of(given["volume"]) / number_of(given["amount"])
        )


def other_bags(row: Row, _: Fraction) -> Iterator[Case]:
    text = row["given"].get("concentration")
    for share in (Fraction(2), Fraction(2, 5)) if text and len(row["given"]) > 1 else ():
        other = with_number(text, number_of(text) * share)
        others = {"concentration": [other]}
        yield from again(row, "other-concentration", others, concentration=other)


def days(row: Row, exact: Fraction) -> Iterator[Case]:
    given = row["given"]
    if "doses_per_day" in given:
        yield from again(row, "per-day", doses_per_day="1")
    if row["unit"].endswith("/day"):
        yield from by_hand(row, "per-day", exact / 24)
    if "rule" in given and row["unit"] == "mL/h":
        yield from by_hand(row, "per-day", exact * 24)


def durations(row: Row, _: Fraction) -> Iterator[Case]:
    text = row["given"].get("duration", "")
    if text.endswith("min"):
        yield from again(row, "hours-for-minutes", duration=text.replace("min", "h"))
    elif text.endswith("h"):
        yield from again(row, "hours-for-minutes", duration=text.replace("h", "min"))


def drops(row: Row, exact: Fraction) -> Iterator[Case]:
    text = row["given"].get("drop_factor")
    if not text:
        return
    for other in SETS:
        if f"{other} gtt/mL" != text:
            yield from again(row, "drop-factor", drop_factor=f"{other} gtt/mL")
    if row["find"] == "drip_rate":
        yield from by_hand(row, "drop-factor", exact / number_of(text) * 60)


def early(row: Row, _: Fraction) -> Iterator[Case]:
    """The weight rounded to whole kilograms, the strength to a tenth, before the rest."""
    given = row["given"]
    weight = given.get("weight", "")
    if weight and row["find"] != "weight":
        kg = number_of(weight) / (POUND if weight.endswith("lb") else 1)
        rounded = format_number(round_half_up(kg, Fraction(1)), plain=True)
        yield from again(row, "early-rounding", weight=f"{rounded} kg")
    pair = re.fullmatch(r"([0-9.]+) (\w+) in ([0-9.]+) mL", given.get("concentration", ""))
    if pair:
        strength = round_half_up(Fraction(pair[1]) / Fraction(pair[3]), Fraction(1, 10))
        if strength:
            text = f"{format_number(strength, plain=True)} {pair[2]}/mL"
            yield from again(row, "early-rounding", concentration=text)


def places(row: Row, exact: Fraction) -> Iterator[Case]:
    rule = TEACHING_ROUNDING.rule_for(row["find"], row["unit"], exact)
    step = rule.step_for(exact)
    for slip, value in (
        ("early-rounding", round_half_up(exact, step * 10)),
        ("truncated", truncate(exact, step)),
    ):
        if value:
            yield Case(row, slip, f"{format_number(value, plain=True)} {row['unit']}")


def neighbours(row: Row, _: Fraction) -> Iterator[Case]:
    """A given typed as the answer; a dose typed as a rate has a name of its own."""
    for name, text in row["given"].items():
        if name in {"rule", "start", "doses_per_day"} or (name == "weight" and " oz" in text):
            continue
        rates = {"rate", "drip_rate"}
        as_rate = (name == "dose" and row["find"] in rates) or (
            name in rates and row["find"] == "dose"
        )
        slip = "dose-as-rate" if as_rate else "swapped"
        yield Case(row, slip, f"{format_number(number_of(text), plain=True)} {row['unit']}")


def older(row: Row, _: Fraction) -> Iterator[Case]:
    for name, share in (("weight", Fraction(23, 20)), ("dose", Fraction(3, 2))):
        text = row["given"].get(name)
        if text and " oz" not in text and row["find"] != name:
            other = with_number(text, round_half_up(number_of(text) * share, Fraction(1, 1000)))
            yield from again(row, "superseded", {name: [other]}, **{name: other})


def fingers(row: Row, exact: Fraction) -> Iterator[Case]:
    """Of each kind one: the first digit twice, the first lost, the first two exchanged."""
    number, _, unit = written(row, exact).partition(" ")
    yield Case(row, "digits", f"{number[0]}{number} {unit}")
    if len(number) > 1 and number[1].isdigit():
        yield Case(row, "digits", f"{number[1]}{number[0]}{number[2:]} {unit}")
    if len(number) > 2 and number[1] not in ".0":
        yield Case(row, "digits", f"{number[1:]} {unit}")


MAKERS = (
    sizes, thousands, pounds, minutes, weights, turned, other_bags, days, durations, drops,
    early, places, neighbours, older, fingers,
)  # fmt: skip
FOR_A_CLOCK = (durations, drops, minutes)


def wrong_entries(row: Row) -> list[Case]:
    """Every wrong entry to one problem that is not within the rounding of its answer."""
    right = solved(row)
    assert right is not None
    makers = FOR_A_CLOCK if right.exact is None else MAKERS
    exact = right.exact or Fraction(0)
    made = [case for maker in makers for case in maker(row, exact)]
    return [case for case in made if not is_within(row, right, case.entered)]


def is_within(row: Row, right: Solution, entered: str) -> bool:
    """Whether an entry is the right answer, as rounded by the policy or closer to it."""
    if right.exact is None or right.rounded is None:
        return entered == right.value_text
    step = TEACHING_ROUNDING.rule_for(row["find"], row["unit"], right.exact).step_for(right.exact)
    value = number_of(entered)
    return value == right.rounded or abs(value - right.exact) < step / 2

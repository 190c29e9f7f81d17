"""What is missing from a problem that cannot be solved: which further given would do.

Tries every further given, then every two, and names those with which the answer would
use most of what is given already. Not here: the search for the answer itself (`solve`).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

from trainer.clinical.asked import Asked
from trainer.clinical.givens import Given
from trainer.clinical.parts import FLOW_PARTS, ONE_PART, Flow, flow_of, is_per_day
from trainer.clinical.problem import label_of
from trainer.clinical.relations import ASSUMPTIONS, Formula, Part, Relation, relations_that_hold


def missing_words(asked: Asked, relations: tuple[Relation, ...]) -> str:
    """Which given would make the problem solvable; the ones that use most of the rest."""
    find = asked.problem.find
    names = " and ".join(name for name, _ in asked.problem.given)
    wanted = f"the {label_of(find)}" + ("" if find == "finish" else f" in {asked.unit.text}")
    for count in (1, 2):
        best = _best_completions(asked, relations, count)[:3]
        if best:
            shown = (" or " if count == 1 else ", or ").join(best)
            verb = "is" if count == 1 else "are"
            return f"{shown} {verb} missing: {wanted} cannot be found from {names} alone"
    hint = FOLLOWS.get(find, "give the quantities it is made of")
    return f"{wanted} does not follow from {names}; {hint}"


FOLLOWS = {
    "rate": "give a volume and a duration, a dose with its concentration, or a rule and a weight",
    "volume": "give a rate and a duration, or a dose and a concentration",
    "duration": "give a volume and a rate, or an amount and a dose per time",
    "drip_rate": "give a rate and a drop_factor",
    "dose": "give a rate and a concentration, or a dose per kg and a weight",
    "concentration": "give an amount and a volume",
    "weight": "give the weight in another unit, or a dose per kg and what it came to",
    "bsa": "give a height, a weight and the rule mosteller or haycock",
    "finish": "give a start and a duration",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """Something that might be missing: a given and the quantity it would be, or a rule."""

    name: str
    part: Part | None = None
    rule: str = ""


def _best_completions(asked: Asked, relations: tuple[Relation, ...], count: int) -> list[str]:
    """The sets of `count` further givens that would answer, those that use most givens."""
    ways = {"": _ways(relations)}
    if not asked.rule:
        parts = {part for part, _ in asked.known} | {asked.part}
        ways |= {rule: _ways(relations_that_hold(parts, rule)) for rule in RULES_TO_MISS}
    scored: list[tuple[int, str]] = []
    for chosen in combinations(_candidates(asked), count):
        used = _used_with(asked, ways, chosen)
        if used is not None:
            scored.append((used, " and ".join(one.name for one in chosen)))
    most = max((used for used, _ in scored), default=0)
    return list(dict.fromkeys(words for used, words in scored if used == most))


def _used_with(
    asked: Asked, ways: dict[str, tuple[Way, ...]], chosen: tuple[Candidate, ...]
) -> int | None:
    """How many givens an answer with these would use; None if there is none, or one is idle."""
    if len({one.name for one in chosen}) < len(chosen):
        return None
    extra = {one.part for one in chosen if one.part}
    own = {_seen_with(part, given, extra) for part, given in asked.known}
    rule = next((one.rule for one in chosen if one.rule), "")
    used = _reach(own | extra, ways[rule], asked.part)
    if used is None or not extra <= used or (own and not used & own):
        return None
    if rule and _reach(own | extra, ways[""], asked.part) is not None:
        return None
    return len(used & own)


def _seen_with(part: Part, given: Given, extra: set[Part]) -> Part:
    """A dose per day is one of several once the doses per day are told."""
    flow = flow_of(given.plain.unit)
    if Part.DOSES_PER_DAY not in extra or given.name != "dose" or flow is None:
        return part
    if flow.timed != "time" or not is_per_day(given.plain.unit):
        return part
    return FLOW_PARTS[Flow(of=flow.of, body=flow.body, timed="day")]


def _candidates(asked: Asked) -> list[Candidate]:
    """Everything that might be missing, the likeliest first."""
    told = {name for name, _ in asked.problem.given} | {asked.problem.find}
    held = {part for part, _ in asked.known} | {asked.part}
    diluted = Part.DILUENT in held
    named = [
        ("doses_per_day", Part.DOSES_PER_DAY),
        ("weight", Part.WEIGHT),
        ("concentration", Part.STOCK_CONCENTRATION if diluted else Part.CONCENTRATION),
        ("duration", Part.DURATION),
        ("volume", Part.STOCK_VOLUME if diluted else Part.VOLUME),
        ("rate", Part.RATE),
        *((name, part) for name, (part, _, _) in ONE_PART.items() if name not in _ASKED_ONLY),
        ("start", Part.START),
        ("amount", Part.CONTAINER_AMOUNT),
        *(("dose", part) for part in _DOSES),
    ]
    found = [
        Candidate(name=name, part=part)
        for name, part in dict.fromkeys(named)
        if name not in told and part not in held and (name != "diluent" or told & {"concentration"})
    ]
    if not asked.rule:
        found += [Candidate(name=name, rule=rule) for rule, name in RULES_TO_MISS.items()]
    return found


RULES_TO_MISS = {
    "4-2-1": "rule (4-2-1 or 100-50-20)",
    "mosteller": "rule (mosteller or haycock)",
}

_DOSES = (Part.AMOUNT_RATE, Part.AMOUNT_RATE_PER_KG, Part.AMOUNT, Part.AMOUNT_PER_KG)
_ASKED_ONLY = {"deficit", "resuscitation"}


Way = tuple[Part, tuple[Part, ...]]
"""A quantity, and the others from which one relation gives it."""


def _ways(relations: tuple[Relation, ...]) -> tuple[Way, ...]:
    """Every way in which the relations and the assumptions give a quantity."""
    return tuple(
        (part, tuple(other for other in relation.parts if other is not part))
        for relation in (*relations, *ASSUMPTIONS)
        for part in ((relation.result,) if isinstance(relation, Formula) else relation.parts)
    )


def _reach(start: set[Part], ways: tuple[Way, ...], wanted: Part) -> frozenset[Part] | None:
    """The starting quantities through which `wanted` can be found; None if it cannot."""
    reached = {part: frozenset({part}) for part in (*start, Part.FLUID_PER_PERCENT)}
    while wanted not in reached:
        found: dict[Part, frozenset[Part]] = {}
        for part, others in ways:
            if part not in reached and all(other in reached for other in others):
                found.setdefault(part, frozenset().union(*(reached[one] for one in others)))
        if not found:
            return None
        reached |= found
    return reached[wanted]

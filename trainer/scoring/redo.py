"""One calculation again with fresh numbers: the same step, other givens, its own key.

Where the scenario varies something that the key depends on, a seed draws from its range, away
from numbers that hide one slip behind another. Else numbers near the written ones are taken,
in steps that a ward would write: the weight, the ordered rate, the ordered time, the first of
these that moves the key. An ordered dose stays as ordered. Numbers are used only if they stay
in the formulary's limits, can be entered, and give another answer than the attempt's own.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.clinical.quantity import Quantity, format_quantity
from trainer.clinical.slips.diagnose import Judged as Clinically
from trainer.clinical.slips.readable import unreadable
from trainer.clinical.timebase import MS_PER_MIN
from trainer.clinical.units import parse_unit
from trainer.engine import limits
from trainer.errors import (
    NoOtherNumbers,
    ProblemError,
    QuantityError,
    ScenarioError,
    StepNotFound,
)
from trainer.scenario.model import Drug, Limit, Order, Scenario
from trainer.scenario.variants import vary
from trainer.scoring import explain
from trainer.scoring.accept import usable
from trainer.scoring.answers import answer_for, diagnosis
from trainer.scoring.expect import key as key_in
from trainer.scoring.expect import keys, order_keys
from trainer.scoring.findings import Key, Why
from trainer.scoring.others import others_of
from trainer.scoring.reading import Reading, read
from trainer.scoring.why import why
from trainer.terms import Drive, Verdict

FARTHEST = Fraction(1, 5)
"""How far a drawn number may be from the written one, as a share. Chosen by us."""
WEIGHT_STEP_KG = Fraction(1, 5)
RATE_STEP_ML_PER_H = Fraction(1)
TIME_STEP_MS = 5 * MS_PER_MIN
"""Steps in which wards write weights, rates and times. Common practice, no source."""
STRIDE = 7
"""Seeds that follow each other take numbers so many steps apart. Chosen by us."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Redo:
    """One calculation with fresh numbers.

    `written` is the order as it stands on the chart, `givens` what else is needed, each as a
    name and its words; `key` the right answer; `scenario` the scenario with these numbers.
    """

    order: str
    title: str
    written: str
    by: str
    quantity: str
    givens: tuple[tuple[str, str], ...]
    key: Key
    seed: int
    scenario: Scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """What a typed value is: its verdict, the slip behind it, and where the working went wrong.

    `reading` holds the value as read, or why it could not be read; `reason` is a sentence;
    `why.wrong_factor` names what went wrong first in the working.
    """

    typed: str
    sure: str
    reading: Reading
    verdict: Verdict
    reason: str
    why: Why
    worked: tuple[str, ...]

    @property
    def is_right(self) -> bool:
        """Whether value and unit are right."""
        return self.verdict is Verdict.RIGHT and not self.reading.unit_fault

    @property
    def is_read(self) -> bool:
        """Whether a value could be read at all."""
        return self.reading.value is not None


# --- fresh numbers ------------------------------------------------------------------


def fresh(
    scenario: Scenario,
    order_id: str,
    quantity: str,
    seed: int,
    *,
    unlike: tuple[Fraction, ...] = (),
) -> Redo:
    """One calculation step with the numbers of a seed. The same seed gives the same numbers.

    Args:
        scenario: as its author wrote it.
        order_id: the order.
        quantity: what is worked out: `rate`, `volume` ...
        seed: any whole number from 1.
        unlike: rounded answers that must not come again, such as the attempt's.

    Raises:
        StepNotFound: if the scenario has no such calculation.
        NoOtherNumbers: if nothing can be drawn that gives another answer.
    """
    own = key_as_written(scenario, order_id, quantity)
    avoided = frozenset({own.value, *unlike})
    found = _by_scenario(scenario, own, seed, avoided) or _near(scenario, own, seed, avoided)
    if found is None:
        raise NoOtherNumbers(
            "This step has no other numbers that would stay within the ward's limits."
        )
    order, key = found.order(order_id), _key_of(found, own)
    assert key is not None, "a variant that is used has the key"
    return Redo(
        order=order.id,
        title=order.title,
        written=order.written,
        by=order.by,
        quantity=quantity,
        givens=givens(found, order, key),
        key=key,
        seed=seed,
        scenario=found,
    )


def key_as_written(scenario: Scenario, order_id: str, quantity: str) -> Key:
    """The key of one calculation of a scenario.

    Raises:
        StepNotFound: if the scenario has no such calculation, naming those that it has.
    """
    all_keys = keys(scenario)
    found = key_in(all_keys, order_id, quantity)
    if found is None:
        there = ", ".join(f"{one.order}/{one.quantity}" for one in all_keys)
        raise StepNotFound(
            f"There is no calculation {order_id[:40]}/{quantity[:40]} in this scenario; "
            f"there are: {there}."
        )
    return found


def _by_scenario(
    scenario: Scenario, own: Key, seed: int, avoided: frozenset[Fraction]
) -> Scenario | None:
    """The variant that the scenario itself gives, if its key is another one."""
    if not scenario.vary or not _moves(scenario, own):
        return None

    def fits(candidate: Scenario) -> bool:
        return _gives_another(candidate, own, avoided) and usable(candidate)

    def hides(candidate: Scenario) -> frozenset[str]:
        return _hidden(candidate, own)

    try:
        return vary(scenario, seed, fits, hides)
    except ScenarioError:
        return None


def _hidden(scenario: Scenario, own: Key) -> frozenset[str]:
    """The pairs of slips that a variant's numbers would hide in this one answer."""
    found = _key_of(scenario, own)
    if found is None:
        return frozenset()
    others = others_of(scenario, found, keys(scenario))
    answer = answer_for(scenario, found)
    alike = unreadable(answer, scenario.policy.rounding, others)
    return frozenset(f"{one.first} {one.second or 'right'}" for one in alike)


def _moves(scenario: Scenario, own: Key) -> bool:
    """Whether an end of a varied range gives another key than the written value."""
    return any(
        _gives_another(_with_weight(scenario, end), own, frozenset({own.value}))
        for one in scenario.vary
        for end in (one.least, one.most)
    )


def _near(scenario: Scenario, own: Key, seed: int, avoided: frozenset[Fraction]) -> Scenario | None:
    """The first kind of number that moves the key, moved by the seed; None if none does."""
    order = scenario.order(own.order)
    for candidates in (
        tuple(_other_weights(scenario)),
        tuple(_other_rates(scenario, order)),
        tuple(_other_times(scenario, order)),
    ):
        ends = (*candidates[:1], *candidates[-1:])
        if not any(_gives_another(one, own, frozenset({own.value})) for one in ends):
            continue
        first = seed * STRIDE % len(candidates)
        for candidate in (*candidates[first:], *candidates[:first]):
            if _gives_another(candidate, own, avoided) and usable(candidate):
                return candidate
    return None


def _gives_another(candidate: Scenario, own: Key, avoided: frozenset[Fraction]) -> bool:
    found = _key_of(candidate, own)
    return found is not None and found.value not in avoided


def _key_of(scenario: Scenario, own: Key) -> Key | None:
    """The same key with a variant's numbers; None if they do not give it."""
    try:
        found = order_keys(scenario, scenario.order(own.order))
    except (ProblemError, QuantityError):
        return None
    return key_in(found, own.order, own.quantity)


def _steps_near(value: Fraction, step: Fraction) -> Iterator[Fraction]:
    """Multiples of a step within the share that a number may move, the value itself left out."""
    first = -(-(value * (1 - FARTHEST)) // step)
    last = value * (1 + FARTHEST) // step
    for count in range(int(first), int(last) + 1):
        if count > 0 and count * step != value:
            yield count * step


def _other_weights(scenario: Scenario) -> Iterator[Scenario]:
    weight = scenario.patient.weight
    in_kg = weight.to("kg", kg_per_lb=1 / scenario.policy.lb_per_kg)
    for value in _steps_near(in_kg, WEIGHT_STEP_KG):
        yield _with_weight(scenario, Quantity(value=value, unit=parse_unit("kg", of_body=True)))


def _with_weight(scenario: Scenario, weight: Quantity) -> Scenario:
    return replace(scenario, patient=replace(scenario.patient, weight=weight))


def _other_rates(scenario: Scenario, order: Order) -> Iterator[Scenario]:
    """Variants with another ordered rate, written into the order's text."""
    if order.rate is None:
        return
    for value in _steps_near(order.rate.value, RATE_STEP_ML_PER_H):
        rate = replace(order.rate, value=value)
        written = _rewritten(order.written, format_quantity(order.rate), format_quantity(rate))
        if written:
            yield _with_order(scenario, replace(order, rate=rate, written=written))


def _other_times(scenario: Scenario, order: Order) -> Iterator[Scenario]:
    """Variants with another ordered time, written into the order's text."""
    if not order.over_ms:
        return
    for value in _steps_near(Fraction(order.over_ms), Fraction(TIME_STEP_MS)):
        over = explain.span(order.over_ms), explain.span(int(value))
        written = _rewritten(order.written, *over)
        if written and value >= order.least_ms:
            yield _with_order(scenario, replace(order, over_ms=int(value), written=written))


def _rewritten(written: str, was: str, now: str) -> str:
    """The order's text with one amount exchanged; empty if it does not stand there just once."""
    return written.replace(was, now) if written.count(was) == 1 else ""


def _with_order(scenario: Scenario, changed: Order) -> Scenario:
    orders = tuple(changed if one.id == changed.id else one for one in scenario.orders)
    return replace(scenario, orders=orders)


# --- what is given ------------------------------------------------------------------


def givens(scenario: Scenario, order: Order, key: Key) -> tuple[tuple[str, str], ...]:
    """All that is needed besides the order's text: name and words, nothing worked out."""
    line = scenario.line(order.line)
    rule = scenario.policy.rounding.rule_for(key.quantity, key.unit, key.exact)
    needs_drops = key.quantity == "drip_rate" or line.drive is Drive.GRAVITY
    named = (
        ("Weight today", format_quantity(scenario.patient.weight)),
        ("Pounds", _pounds(scenario)),
        ("On the label", scenario.supply(order.supply).label),
        ("Drip chamber", f"{explain.number(line.drop_factor)} drops per mL" if needs_drops else ""),
        *(("Limit", words) for words in _limits(scenario, order)),
        ("At once", _at_once(scenario, order, key)),
        ("Rounding", f"Once, at the end, {rule.words(key.exact, key.unit)}"),
    )
    return tuple((name, words) for name, words in named if words)


def _pounds(scenario: Scenario) -> str:
    if scenario.patient.weight.unit.text != "lb":
        return ""
    return f"{explain.number(scenario.policy.lb_per_kg)} lb in 1 kg"


def _limits(scenario: Scenario, order: Order) -> tuple[str, ...]:
    """The formulary's limits that hold for this patient and this catheter, in words."""
    drug_id = scenario.fluid(order.fluid).drug
    if not drug_id:
        return ()
    drug = scenario.drug(drug_id)
    route, age = limits.route_of(scenario, order.line), scenario.patient.age_years
    holding = (one for one in drug.limits if limits.holds_for(one, route=route, age_years=age))
    return (*_least_time(drug), *(_limit_words(drug, one) for one in holding))


def _least_time(drug: Drug) -> tuple[str, ...]:
    if not drug.least_duration_ms:
        return ()
    return (f"{drug.name}: over at least {explain.span(drug.least_duration_ms)}",)


def _limit_words(drug: Drug, limit: Limit) -> str:
    """`ceFAZolin, dose: 8 to 35 mg/kg`, `... at most 2 g, a hard limit`."""
    ends = [explain.number(end) for end in (limit.least, limit.most) if end is not None]
    if len(ends) == 2:
        words = " to ".join(ends)
    else:
        words = f"{'at least' if limit.most is None else 'at most'} {' '.join(ends)}"
    hard = ", a hard limit" if limit.hard else ""
    return f"{drug.name}, {limit.of}: {words} {limit.unit}{hard}"


def _at_once(scenario: Scenario, order: Order, key: Key) -> str:
    """The ward's hours of volume at once, where a volume of a running order is asked."""
    if key.quantity != "volume" or order.kind != "continuous" or not scenario.is_child:
        return ""
    hours = explain.span(int(scenario.policy.hours_at_once * 60) * MS_PER_MIN)
    return f"For a child at most {hours} of volume are entered at once"


# --- judging ------------------------------------------------------------------------


VERDICTS = {
    Clinically.RIGHT: Verdict.RIGHT,
    Clinically.ROUNDED: Verdict.ROUNDED_EARLY,
    Clinically.WRONG: Verdict.WRONG,
}


def judged(redo: Redo, typed: str, sure: str) -> Judged:
    """What a typed value is worth: right, rounded early, wrong, or not readable; and why."""
    reading = read(typed, redo.key)
    verdict = _verdict(redo, reading)
    all_keys = keys(redo.scenario)
    behind = Why() if reading.entry is None else why(redo.scenario, redo.key, typed, all_keys)
    return Judged(
        typed=typed,
        sure=sure,
        reading=reading,
        verdict=verdict,
        reason=_reason(redo, reading, verdict),
        why=behind,
        worked=redo.key.worked,
    )


def _verdict(redo: Redo, reading: Reading) -> Verdict:
    """The verdict on the number; a fault of its unit stands beside it."""
    if reading.entry is None:
        return Verdict.WRONG
    number = replace(reading.entry, is_other_unit=False)
    return VERDICTS[diagnosis(redo.scenario, redo.key, number, keys(redo.scenario)).verdict]


def _reason(redo: Redo, reading: Reading, verdict: Verdict) -> str:
    beside = explain.joined(reading.unit_fault, reading.form_fault)
    if reading.entry is None:
        return f"This cannot be read as a value. {reading.fault}"
    if verdict is Verdict.RIGHT:
        said = "The number is right." if reading.unit_fault else "The value is right."
        return explain.joined(said, beside)
    if verdict is Verdict.ROUNDED_EARLY:
        return explain.joined("Round once, at the end.", beside)
    return beside

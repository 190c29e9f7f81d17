"""Each worked-out value against the key. What was keyed at the pump is judged in `keyed`.

For every quantity that an order asks, one point: half of it for the unit if the unit is at
fault. The last value worked out before the order was started decides; a wrong one put
right before that is praised. Values worked out beyond what was asked are told and cost
nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.clinical.slips.diagnose import Diagnosis, Judged, NamedSlip
from trainer.clinical.slips.entered import Entry
from trainer.clinical.slips.match import is_right as is_right_entry
from trainer.clinical.slips.names import ROUNDING_SLIPS, Slip
from trainer.scenario.model import Order, Scenario
from trainer.scoring import explain
from trainer.scoring.answers import answer_for, diagnosis
from trainer.scoring.findings import Finding, Key, Why
from trainer.scoring.reading import Reading, read
from trainer.scoring.record import Deed, Standing
from trainer.scoring.rubric import CREDIT
from trainer.terms import Domain, Param, Verb, Verdict

PLAN = "entry"
HALF = Fraction(1, 2)
LONGEST_SHOWN = 60
"""More of a typed text is not shown in a title; the finding keeps it whole."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Try:
    """One value worked out, and what it is worth."""

    deed: Deed
    reading: Reading
    verdict: Verdict
    why: str


def calculations(
    scenario: Scenario,
    done: tuple[Deed, ...],
    stood: tuple[Standing, ...],
    all_keys: tuple[Key, ...],
    first_starts: dict[str, int],
) -> tuple[Finding, ...]:
    """The findings about every worked-out value.

    Args:
        scenario: the scenario.
        done: every act.
        stood: which orders stood when.
        all_keys: the computed key.
        first_starts: for each order that was started, where in the log it first was.
    """
    found: list[Finding] = []
    for key in all_keys:
        order = scenario.order(key.order)
        tries = _tries(scenario, order, key, done, all_keys)
        asked = key.quantity in order.ask
        standing = next((one for one in stood if one.order.id == order.id), None)
        if tries:
            start = first_starts.get(order.id)
            found += _judged(order, key, tries, asked=asked, start=start)
        elif asked:
            found.append(_not_worked_out(order, key, standing))
    return tuple(found)


def _tries(
    scenario: Scenario,
    order: Order,
    key: Key,
    done: tuple[Deed, ...],
    all_keys: tuple[Key, ...],
) -> tuple[Try, ...]:
    mine = [
        deed
        for deed in done
        if deed.action.verb is Verb.CALCULATE
        and not deed.refused
        and deed.action.get(Param.ORDER).strip() == order.id
        and explain.quantity_named(deed.action.get(Param.WHAT)) == key.quantity
    ]
    return tuple(_judge(scenario, key, deed, all_keys) for deed in mine)


def _judge(scenario: Scenario, key: Key, deed: Deed, all_keys: tuple[Key, ...]) -> Try:
    """One typed value against the key, its unit aside."""
    reading = read(deed.action.get(Param.ENTERED), key)
    verdict, why = verdict_on(scenario, key, reading, all_keys)
    return Try(deed=deed, reading=reading, verdict=verdict, why=why)


def verdict_on(
    scenario: Scenario, key: Key, reading: Reading, all_keys: tuple[Key, ...]
) -> tuple[Verdict, str]:
    """What a typed number is worth, its unit aside, and why: right, rounded early or wrong.

    Args:
        scenario: with the ward's rounding and what lies about at the bedside.
        key: what it was typed for.
        reading: the text, read.
        all_keys: the computed key.
    """
    if reading.entry is None:
        return Verdict.WRONG, f"This cannot be read as a value. {reading.fault}"
    number = replace(reading.entry, is_other_unit=False)
    verdict, why = _told(scenario, key, diagnosis(scenario, key, number, all_keys))
    return verdict, explain.joined(why, reading.form_fault)


def is_right(scenario: Scenario, key: Key, value: Fraction, step: Fraction) -> bool:
    """Whether a value is the key, rounded by the policy or less far.

    Args:
        scenario: with the ward's rounding.
        key: the computed right answer.
        value: what was worked out, in the key's unit.
        step: one in the last place that was written.
    """
    entry = Entry(typed="", number=value, value=value, step=step)
    return is_right_entry(answer_for(scenario, key), entry, scenario.policy.rounding)


def _told(scenario: Scenario, key: Key, found: Diagnosis) -> tuple[Verdict, str]:
    """The verdict on a number, and its reason."""
    if found.verdict is Judged.RIGHT:
        return Verdict.RIGHT, "The value is right."
    rounding = _rounding(found)
    if found.verdict is Judged.ROUNDED:
        return Verdict.ROUNDED_EARLY, f"{rounding} Round once, at the end."
    if rounding:
        share = explain.percent(scenario.policy.rounding.largest_share)
        return Verdict.WRONG, f"{rounding} This moves the value by more than {share}."
    return Verdict.WRONG, ""  # the title says what is right, the worked solution why


def _rounding(found: Diagnosis) -> str:
    """The rounding that leads to a value, as a sentence; empty if something likelier does."""
    is_rounded = found.verdict is Judged.ROUNDED
    tried = found.slips if is_rounded else found.slips[:1]
    one = next((one for one in tried if one.slip in ROUNDING_SLIPS), None)
    return explain.sentence(one.because) if one is not None and not one.takes_two else ""


def _judged(
    order: Order, key: Key, tries: tuple[Try, ...], *, asked: bool, start: int | None
) -> list[Finding]:
    """A finding for each try; the one that decides carries the point."""
    before = [one for one in tries if start is None or one.deed.index < start]
    deciding = before[-1] if before else tries[0]
    found = []
    for number, one in enumerate(tries, start=1):
        counts = asked and one is deciding
        verdict, why = one.verdict, one.why
        if one is deciding and one.verdict is Verdict.RIGHT and _was_wrong(before, one):
            verdict = Verdict.CORRECTED
            praise = "A wrong value was put right before anything was started. Well caught."
            why = explain.joined(praise, one.reading.form_fault)
        name = f"{PLAN}.{order.id}.{key.quantity}"
        own = name if one is deciding else f"{name}.try-{number}"
        found += _try_findings(order, key, one, own, verdict=verdict, why=why, counts=counts)
    return found


def _was_wrong(before: list[Try], deciding: Try) -> bool:
    return any(one.verdict is not Verdict.RIGHT for one in before if one is not deciding)


def _try_findings(
    order: Order,
    key: Key,
    one: Try,
    finding_id: str,
    *,
    verdict: Verdict,
    why: str,
    counts: bool,
) -> list[Finding]:
    """The value's finding, and one for the unit if the unit is at fault."""
    most = Fraction(int(counts))
    share = HALF if one.reading.unit_fault else Fraction(1)
    shown = _shown(one)
    value = _finding(
        key,
        finding_id,
        verdict,
        title=_title(order, key, one, verdict),
        reason=why,
        one=one,
        most=most * share,
    )
    if not one.reading.unit_fault:
        return [value]
    unit = _finding(
        key,
        f"{finding_id}.unit",
        Verdict.WRONG,
        title=f"Unit of the {explain.QUANTITY_WORDS[key.quantity]}: {shown}; right: {key.unit}",
        reason=one.reading.unit_fault,
        one=one,
        most=most * share,
    )
    return [value, replace(unit, why=_unit_slip(one))]


def _title(order: Order, key: Key, one: Try, verdict: Verdict) -> str:
    """What was worked out, and what is right where it was not."""
    shown, right = _shown(one), explain.amount(key.value, key.unit)
    if verdict is Verdict.RIGHT and not one.reading.unit_fault:
        return f"{_named(order, key)} worked out right: {shown}"
    if verdict is Verdict.CORRECTED:
        return f"{_named(order, key)} put right: {shown}"
    return f"{_named(order, key)} worked out: {shown}; right: {right}"


def _unit_slip(one: Try) -> Why:
    """The slip behind a unit at fault, which stands beside the number's own."""
    said = f"In `{_shown(one)}` {explain.first_small(one.reading.unit_fault)}"
    named = NamedSlip(slip=Slip.UNIT, explanation=said, because=one.reading.unit_fault.rstrip("."))
    return Why(slips=(named,))


def _shown(one: Try) -> str:
    """What was typed, as typed, cut where it is long; marked where nothing was."""
    typed = one.reading.typed.strip() or "nothing"
    return typed if len(typed) <= LONGEST_SHOWN else f"{typed[:LONGEST_SHOWN]}…"


def _named(order: Order, key: Key) -> str:
    words = explain.QUANTITY_WORDS[key.quantity]
    return f"{order.title}, {words}"


def _finding(
    key: Key,
    finding_id: str,
    verdict: Verdict,
    *,
    title: str,
    reason: str,
    one: Try | None,
    most: Fraction,
) -> Finding:
    sure = one.deed.action.get(Param.SURE) if one else ""
    actual = f"{one.reading.typed} ({sure})" if one and sure else (one.reading.typed if one else "")
    return Finding(
        id=finding_id,
        verdict=verdict,
        domain=Domain.CALCULATING,
        title=title,
        reason=reason,
        at_ms=one.deed.at_ms if one else None,
        plan=PLAN,
        expected=explain.amount(key.value, key.unit),
        actual=actual,
        worked=key.worked,
        chain=key.chain,
        points=most * CREDIT[verdict],
        most=most,
        order=key.order,
        quantity=key.quantity,
        typed=one.reading.typed if one else "",
        sure=sure,
        deed=one.deed.index if one else None,
    )


def _not_worked_out(order: Order, key: Key, standing: Standing | None) -> Finding:
    needed = standing is not None and standing.to_the_end
    verdict = Verdict.MISSED if needed else Verdict.NOT_NEEDED
    reason = (
        "The order asks for it, and no value was worked out."
        if needed
        else "The order never came, or was replaced before anything was done with it."
    )
    return _finding(
        key,
        f"{PLAN}.{order.id}.{key.quantity}",
        verdict,
        title=f"{_named(order, key)}: not worked out",
        reason=reason,
        one=None,
        most=Fraction(int(needed)),
    )

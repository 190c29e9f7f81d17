"""Why a value is wrong: the slips behind it, the first factor that went wrong, what to ask.

For every wrong worked-out value, keyed value and drip rate. A keyed value that equals the
learner's own wrong value is no new slip; one that differs from the learner's own right value is
first held against the slips of the fingers. Judging right and wrong is `entries`', `keyed`'s and
`by_drops`'s.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.clinical.rounding import round_half_up
from trainer.clinical.slips.answer import Answer
from trainer.clinical.slips.diagnose import Diagnosis, Judged, NamedSlip
from trainer.clinical.slips.entered import Entry
from trainer.clinical.slips.fields import AS_GIVEN
from trainer.clinical.slips.likelihood import SHARES
from trainer.clinical.slips.match import is_written
from trainer.clinical.slips.names import ROUNDING_SLIPS, Slip
from trainer.scenario.model import Scenario
from trainer.scoring import explain
from trainer.scoring.answers import NAMED, answer_for, diagnosis, entry_of_value
from trainer.scoring.expect import DRIP_RATE
from trainer.scoring.expect import key as key_of
from trainer.scoring.findings import Finding, Key, Why
from trainer.scoring.reading import read
from trainer.scoring.slip_words import AT_THE_KEYS, comes_out, question
from trainer.terms import Domain, Verdict

OF_THE_FINGERS = frozenset(
    {Slip.TENFOLD, Slip.HUNDREDFOLD, Slip.DOSE_AS_RATE, Slip.SWAPPED, Slip.DIGITS}
)
"""What a hand does to a right number at the keys."""
CALCULATING = Domain.CALCULATING
NOT_RIGHT = frozenset({Verdict.WRONG, Verdict.ROUNDED_EARLY})
BY_ANOTHER = {
    "volume": ("dose", "rate"),
    "rate": ("dose", "volume"),
    "duration": ("rate", "volume"),
    DRIP_RATE: ("rate",),
}
"""Which of a learner's own values each quantity is worked out from."""


def why(scenario: Scenario, key: Key, typed: str, all_keys: tuple[Key, ...]) -> Why:
    """What lies behind a typed value; nothing if it is right or cannot be read.

    Args:
        scenario: with the ward's rounding and what lies about at the bedside.
        key: what it was typed for.
        typed: the text, as typed.
        all_keys: the computed key.
    """
    entry = read(typed, key).entry
    if entry is None:
        return Why()
    return _of(key, diagnosis(scenario, key, entry, all_keys))


def why_value(scenario: Scenario, key: Key, value: Fraction, all_keys: tuple[Key, ...]) -> Why:
    """What lies behind a value keyed at the pump, in the key's unit; nothing if it is right."""
    return _of(key, diagnosis(scenario, key, entry_of_value(key, value), all_keys))


def _of(key: Key, found: Diagnosis) -> Why:
    if found.verdict is Judged.RIGHT:
        return Why()
    slips = tuple(one for one in found.slips if one.slip is not Slip.WRITTEN_FORM)
    said_already = tuple(one for one in slips if not _is_as_given(one))
    return _told(key, said_already or slips)


def _is_as_given(one: NamedSlip) -> bool:
    """Whether a slip says only that a given was taken as it stands, whatever was left out."""
    return one.because.endswith(AS_GIVEN)


def _told(key: Key, slips: tuple[NamedSlip, ...]) -> Why:
    return Why(slips=slips, wrong_factor=_wrong_factor(key, slips), question=question(slips))


def _wrong_factor(key: Key, slips: tuple[NamedSlip, ...]) -> str:
    """The first factor of the key's chain that the likeliest slip touches; empty if none."""
    touched = slips[0].touches if slips else ()
    if key.chain is None:
        return touched[0] if len(touched) == 1 else ""
    names = (factor.name for factor in key.chain.factors)
    return next((name for name in names if NAMED.get(name, name) in touched), "")


# --- the findings of an attempt --------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Own:
    """A learner's own worked-out or keyed value of one order: in the key's unit."""

    finding: Finding
    key: Key
    entry: Entry


def explained(
    scenario: Scenario, found: tuple[Finding, ...], all_keys: tuple[Key, ...]
) -> tuple[Finding, ...]:
    """The findings about values, each wrong one with what lies behind it and a sentence of it."""
    done: list[Finding] = []
    owns: list[Own] = []
    for one in sorted(found, key=_when):
        key = key_of(all_keys, one.order, one.quantity)
        entry = _entry(one, key) if key is not None and not one.id.endswith(".unit") else None
        if key is None or entry is None:
            done.append(one)
            continue
        told = _explained(scenario, one, key, entry, tuple(owns), all_keys)
        owns.append(Own(finding=told, key=key, entry=entry))
        done.append(told)
    by_id = {one.id: one for one in done}
    return tuple(by_id[one.id] for one in found)


def _when(finding: Finding) -> tuple[bool, int, bool]:
    """In the order of the log; of one entry first what was typed, then what followed from it."""
    return finding.deed is None, finding.deed or 0, not finding.typed


def _entry(finding: Finding, key: Key) -> Entry | None:
    """The value that a finding is about; None if nothing was entered or it cannot be read."""
    text = finding.typed if finding.domain is CALCULATING else finding.actual
    return read(text, key).entry if text else None


def _explained(
    scenario: Scenario,
    one: Finding,
    key: Key,
    entry: Entry,
    owns: tuple[Own, ...],
    all_keys: tuple[Key, ...],
) -> Finding:
    was_wrong = one.domain is Domain.ENTERING and one.verdict is Verdict.CORRECTED
    if one.verdict not in NOT_RIGHT and not was_wrong:
        return one
    before = tuple(own for own in owns if own.key.order == key.order)
    if _was_left_empty(one):
        return _followed(one, before)
    worked = _last_worked_out(before, key)
    if one.domain is Domain.ENTERING and worked is not None:
        if _is_same(worked.entry, entry, key):
            return _carried(one, worked)
        if worked.finding.verdict not in NOT_RIGHT:
            return _by_hand(scenario, one, key, entry, worked, all_keys)
    source = _source(scenario, before, key, entry)
    if source is not None:
        return _follows(one, key, source)
    return _with(one, _why_of(scenario, one, key, entry, all_keys))


def _was_left_empty(one: Finding) -> bool:
    """Whether nothing was typed here, so that the pump worked it out from the other two."""
    is_at_pump = one.domain is Domain.ENTERING and one.quantity != DRIP_RATE
    return is_at_pump and one.deed is not None and not one.typed.strip()


def _followed(one: Finding, before: tuple[Own, ...]) -> Finding:
    """A part of a programme that follows from the others: their slip is its own."""
    typed = [
        own.finding
        for own in before
        if own.finding.domain is Domain.ENTERING and own.finding.deed == one.deed
    ]
    slips = next((found.why.slips for found in typed if found.why.slips), ())
    words = " and the ".join(explain.QUANTITY_WORDS[found.quantity] for found in typed)
    said = (f"It was not typed; it follows from the {words} beside it.",) if words else ()
    return replace(one, why=Why(slips=slips), reason=explain.joined(one.reason, *said))


def _why_of(
    scenario: Scenario, one: Finding, key: Key, entry: Entry, all_keys: tuple[Key, ...]
) -> Why:
    near = _near(entry) if one.quantity == DRIP_RATE and one.domain is Domain.ENTERING else (entry,)
    tried = [_of(key, diagnosis(scenario, key, each, all_keys)) for each in near]
    return next((each for each in tried if each.slips and not each.slips[0].takes_two), tried[0])


def _near(entry: Entry) -> tuple[Entry, ...]:
    """A drip rate set by hand and those a drop beside it, which nobody can count nearer."""
    beside = (entry.value + 1, entry.value - 1)
    return (entry, *(replace(entry, number=v, value=v) for v in beside if v > 0))


def _last_worked_out(before: tuple[Own, ...], key: Key) -> Own | None:
    mine = [
        own
        for own in before
        if own.key.quantity == key.quantity and own.finding.domain is CALCULATING
    ]
    return mine[-1] if mine else None


def _is_same(worked: Entry, keyed: Entry, key: Key) -> bool:
    """Whether a value was keyed as it had been worked out, as finely as it was keyed.

    A drip rate is set by hand, to a drop.
    """
    step = Fraction(1) if key.quantity == DRIP_RATE else keyed.step
    far = abs(worked.value - keyed.value)
    return (
        far <= step
        if key.quantity == DRIP_RATE
        else round_half_up(worked.value, step) == keyed.value
    )


def _with(one: Finding, found: Why, *more: str) -> Finding:
    """A finding with what lies behind it, and the sentences of it after its own."""
    is_rounding = bool(found.slips) and found.slips[0].slip in ROUNDING_SLIPS
    is_told = (is_rounding and one.domain is CALCULATING) or (more and not found.slips)
    said = () if is_told else (comes_out(found.slips),)
    return replace(one, why=found, reason=explain.joined(one.reason, *more, *said))


def _carried(one: Finding, worked: Own) -> Finding:
    """The slip lies in the working: the keys took what had been worked out."""
    said = "It is the value worked out before: the slip lies in the working, not at the keys."
    return _with(one, replace(worked.finding.why, question=""), said)


def _by_hand(
    scenario: Scenario,
    one: Finding,
    key: Key,
    entry: Entry,
    worked: Own,
    all_keys: tuple[Key, ...],
) -> Finding:
    """It had been worked out right: what a hand does to a number is named, and no rounding.

    Slips of thinking are named only where no slip of the fingers fits.

    A clamp is turned until it fits; what it was left at is no sum.
    """
    if one.quantity == DRIP_RATE:
        return _with(one, Why(), "It had been worked out right; the clamp was left elsewhere.")
    own = diagnosis(scenario, key, entry, all_keys, worked_out=worked.entry.value or None)
    found = (*own.slips, *diagnosis(scenario, key, entry, all_keys).slips)
    single = {one.slip: one for one in reversed(found) if not one.takes_two}
    slips = [one for one in single.values() if one.slip not in ROUNDING_SLIPS]
    slips = [one for one in slips if one.slip in OF_THE_FINGERS] or slips
    slips.sort(key=lambda one: -SHARES[one.slip])
    said = "It had been worked out right, and went wrong at the keys."
    behind = _told(key, tuple(slips)) if slips else Why(question=AT_THE_KEYS)
    return _with(one, behind, said)


def _source(scenario: Scenario, before: tuple[Own, ...], key: Key, entry: Entry) -> Own | None:
    """The learner's own wrong value that this one follows from; None if from none.

    The value is right but for that one: too large or too small by the same share.
    """
    answer = answer_for(scenario, key)
    for name in BY_ANOTHER.get(key.quantity, ()):
        mine = [own for own in before if own.key.quantity == name]
        if (
            mine
            and mine[-1].finding.why != Why()
            and _is_by(scenario, answer, key, mine[-1], entry)
        ):
            return mine[-1]
    return None


def _is_by(scenario: Scenario, answer: Answer, key: Key, own: Own, entry: Entry) -> bool:
    """Whether a value is the right one times what another went wrong by."""
    divides = key.quantity == "duration" and own.key.quantity == "rate"
    if entry.is_other_unit or own.entry.value <= 0:
        return False
    rights = dict.fromkeys((own.key.exact, own.key.value))
    for right in rights:
        ratio = right / own.entry.value if divides else own.entry.value / right
        value = answer.exact * ratio
        rounded = scenario.policy.rounding.apply(key.quantity, key.unit, value)
        if entry.value == rounded or is_written(entry, value):
            return True
    return False


def _follows(one: Finding, key: Key, source: Own) -> Finding:
    """A value that is wrong only because one before it was."""
    behind = source.finding.why
    names = [factor.name for factor in key.chain.factors] if key.chain else []
    factor = behind.wrong_factor
    if factor not in names:
        factor = source.key.quantity if source.key.quantity in names else ""
    what = explain.QUANTITY_WORDS[source.key.quantity]
    said = f"It follows from the {what} before it, which was wrong; from there on it is right."
    return _with(one, replace(behind, wrong_factor=factor, question=""), said)

"""One calculation again with fresh numbers, as a page prints it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from urllib.parse import quote

from trainer.scoring import explain
from trainer.scoring.redo import Judged, Redo
from trainer.store.records import Entry, Redone
from trainer.terms import Verdict
from trainer.web import views_findings
from trainer.web.views_worked import WorkedView, worked

SURE = ("guess", "fairly", "certain")
"""How sure a learner may say they are."""

LONGEST_ENTERED = 200
"""Most characters of a value that is looked at. Chosen by us."""

CERTAIN_AND_WRONG = (
    "You were certain. A wrong number that feels right is the one that nobody looks at twice: "
    "find what made it feel right before you go on."
)
GUESSED_AND_RIGHT = "You guessed, and it was right. Read the working: could you have written it?"

HEADINGS = {
    Verdict.RIGHT: "Right",
    Verdict.ROUNDED_EARLY: "Rounded too early",
    Verdict.WRONG: "Wrong",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ResultView:
    """What became of a typed value."""

    heading: str
    tone: str  # miss, near, well
    sign: str
    typed: str
    sure: str
    right: str
    reason: str
    slips: tuple[str, ...]
    question: str
    look_first: str
    of_being_sure: str
    worked: WorkedView | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RedoView:
    """The page: what is asked, the form, and once it was sent, what became of it."""

    title: str
    asked: str
    written: str
    by: str
    givens: tuple[tuple[str, str], ...]
    seed: int
    address: str
    again: str
    debrief: str
    token: str
    typed: str
    sure: str
    choices: tuple[str, ...]
    fault: str
    tries: str
    result: ResultView | None


def address(attempt_id: str, order: str, quantity: str, seed: int | None = None) -> str:
    """Where a step is done again; without a seed the page draws one."""
    place = f"/attempts/{attempt_id}/redo/{quote(order, safe='')}/{quote(quantity, safe='')}"
    return place if seed is None else f"{place}?seed={seed}"


def tries_of(after: Iterable[Entry], order: str, quantity: str) -> tuple[Redone, ...]:
    """The tries at one step, in order."""
    return tuple(
        entry.record
        for entry in after
        if isinstance(entry.record, Redone)
        and (entry.record.order, entry.record.quantity) == (order, quantity)
    )


def redo_view(
    attempt_id: str,
    redo: Redo,
    *,
    tries: tuple[Redone, ...],
    next_seed: int,
    token: str,
    judged: Judged | None = None,
    typed: str = "",
    sure: str = "",
    fault: str = "",
) -> RedoView:
    """The page of one step.

    Args:
        attempt_id: whose page it is.
        redo: the step with its numbers.
        tries: the earlier tries at this step, with whatever numbers.
        next_seed: the seed of "once more".
        token: makes a second press of the same button known.
        judged: the last value typed for these numbers, if there is one.
        typed: what stands in the field.
        sure: which choice is taken.
        fault: why nothing was looked at.
    """
    return RedoView(
        title=redo.title,
        asked=explain.QUANTITY_WORDS[redo.quantity],
        written=redo.written,
        by=redo.by,
        givens=redo.givens,
        seed=redo.seed,
        address=address(attempt_id, redo.order, redo.quantity, redo.seed),
        again=address(attempt_id, redo.order, redo.quantity, next_seed),
        debrief=f"/attempts/{attempt_id}/debrief",
        token=token,
        typed=typed,
        sure=sure,
        choices=SURE,
        fault=fault or (judged.reason if judged and not judged.is_read else ""),
        tries=_tries_words(tries),
        result=_result(redo, judged) if judged and judged.is_read else None,
    )


def _tries_words(tries: tuple[Redone, ...]) -> str:
    if not tries:
        return ""
    right = sum(one.right for one in tries)
    times = "once" if len(tries) == 1 else f"{len(tries)} times"
    return f"Tried again {times} since the attempt, right {right} of {len(tries)}."


def _result(redo: Redo, judged: Judged) -> ResultView:
    chain = redo.key.chain
    wanting = judged.verdict is Verdict.RIGHT and not judged.is_right
    return ResultView(
        heading="Right number, wrong unit" if wanting else HEADINGS[judged.verdict],
        tone="near" if wanting else views_findings.tone(judged.verdict),
        sign="nearly" if wanting else views_findings.SIGNS[judged.verdict],
        typed=judged.typed.strip(),
        sure=judged.sure,
        right=explain.amount(redo.key.value, redo.key.unit),
        reason=judged.reason,
        slips=tuple(one.explanation for one in judged.why.slips),
        question=judged.why.question,
        look_first=_look_first(redo, judged),
        of_being_sure=_of_being_sure(judged),
        worked=worked(chain, judged.worked, judged.why.wrong_factor),
    )


def _look_first(redo: Redo, judged: Judged) -> str:
    """The first factor that went wrong, with its value: `weight, 17 kg`."""
    name = judged.why.wrong_factor
    factors = redo.key.chain.factors if redo.key.chain else ()
    text = next((one.text for one in factors if one.name == name), "")
    return ", ".join(part for part in (name.replace("_", " "), text) if part)


def _of_being_sure(judged: Judged) -> str:
    """What to say where the learner's sureness and the answer do not go together."""
    if judged.sure == "certain" and judged.verdict is Verdict.WRONG:
        return CERTAIN_AND_WRONG
    if judged.sure == "guess" and judged.is_right:
        return GUESSED_AND_RIGHT
    return ""

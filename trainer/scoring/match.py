"""Which act answers which expected step, and what must not have been done.

A plan is a partial order: only the order that the author wrote matters. An act answers at
most one step of a plan, a refused act none. An act is first offered to the steps whose
`after` steps are already answered, open ones before those answered too early, the most
closely described first. A look or a check made too early is made good by a later one in
its order, so repeating costs nothing and counts as self-corrected; what acts at once on the
line or the patient (`AT_ONCE`) is not. What should have come first and never came is a finding of its own;
the act that went ahead without it is not marked down as well. The one ward rule here is
that a hub scrubbed for too short a time is not yet scrubbed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.scenario.model import Never, Pattern, Plan, Policy, Scenario, Step
from trainer.scoring import explain, said
from trainer.scoring.findings import Finding
from trainer.scoring.record import Deed
from trainer.scoring.rubric import CREDIT
from trainer.terms import Credit, Param, Verb, Verdict, domain_of_act

AT_ONCE = frozenset({Verb.START, Verb.CONNECT, Verb.FLUSH, Verb.STRAIGHTEN, Verb.REPOSITION})
"""Acts that cannot be made good by doing them again in the right order."""

TO_AND_FRO = frozenset({Verb.OPEN_CLAMP, Verb.CLOSE_CLAMP, Verb.TURN_CLAMP})
"""Acts done again and again as the work goes: an earlier one was no try at this step."""

NOT_DONE = "It was not done."
"""The reason where the author gave none and nothing went ahead."""

ANY = "key"
"""The pattern value that stands for the computed key: any value agrees, `entries` judges it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """The act that answers a step, and what is wrong with it (no flaw: nothing).

    `missing` names the steps that should have come first and had not when it was done;
    `made_good` says that it took the place of a worse answer.
    """

    deed: Deed
    flaw: Verdict | None = None
    missing: tuple[str, ...] = ()
    made_good: bool = False


Answers = dict[str, Answer]
"""The answers found, by step id."""


def agrees(pattern: Pattern, deed: Deed) -> bool:
    """Whether an act is one that the pattern describes. Seconds need only be enough."""
    if deed.action.verb is not pattern.verb:
        return False
    return all(_same(name, text, deed) for name, text in pattern.params)


def _same(name: str, wanted: str, deed: Deed) -> bool:
    done = deed.action.get(Param(name))
    if wanted == ANY:
        return done != ""
    if name == Param.SECONDS:
        return _seconds(done) >= _seconds(wanted)
    return _plain(done) == _plain(wanted)


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()


def _seconds(text: str) -> Fraction:
    """The seconds in `15`, `15 s` or `15 seconds`; nothing readable counts as none."""
    digits = text.strip().split(" ")[0].removesuffix("s")
    return Fraction(digits) if digits.isascii() and digits.isdigit() else Fraction(0)


def answers(plan: Plan, done: tuple[Deed, ...], policy: Policy, *, from_index: int) -> Answers:
    """For each step answered, the act that answers it."""
    found: Answers = {}
    for deed in done:
        if deed.index > from_index and not deed.refused:
            _place(plan, deed, policy, found)
    return {name: _at_the_end(answer, found) for name, answer in found.items()}


def _place(plan: Plan, deed: Deed, policy: Policy, found: Answers) -> None:
    """Give an act to the step it answers best, if any."""
    fitting = [step for step in plan.steps if agrees(step.pattern, deed)]
    fitting.sort(key=lambda step: -len(step.pattern.params))
    offered = [(step.id, _answer(step, deed, policy, found)) for step in fitting]
    offered.sort(key=lambda pair: (pair[1].flaw is not None, pair[0] in found))
    for name, answer in offered:
        if _improves(answer, found.get(name)):
            is_again = name in found and deed.action.verb not in TO_AND_FRO
            found[name] = replace(answer, made_good=is_again)
            return


def _answer(step: Step, deed: Deed, policy: Policy, found: Answers) -> Answer:
    """This act as an answer to this step: what keeps it from answering the step fully."""
    missing = tuple(name for name in step.after if name not in found)
    scrubbed_s = _seconds(deed.action.get(Param.SECONDS))
    if deed.action.verb is Verb.SCRUB_HUB and scrubbed_s < policy.hub_scrub_s:
        return Answer(deed=deed, flaw=Verdict.WRONG, missing=missing)
    flaw = Verdict.OUT_OF_ORDER if missing else None
    return Answer(deed=deed, flaw=flaw, missing=missing)


def _improves(answer: Answer, earlier: Answer | None) -> bool:
    """Whether an act takes the place of an earlier answer: only if it is a better one."""
    if earlier is None:
        return True
    if earlier.flaw is None or answer.deed.action.verb in AT_ONCE:
        return False
    return answer.flaw is None or len(answer.missing) < len(earlier.missing)


def _at_the_end(answer: Answer, found: Answers) -> Answer:
    """An answer that went ahead only of what was never done is in order after all."""
    late = tuple(name for name in answer.missing if name in found)
    if answer.flaw is Verdict.OUT_OF_ORDER and not late:
        return replace(answer, flaw=None, missing=())
    return replace(answer, missing=late)


def findings(
    scenario: Scenario,
    plan: Plan,
    done: tuple[Deed, ...],
    *,
    name: str,
    began: tuple[int, int] | None,
) -> tuple[Finding, ...]:
    """What a plan's steps and prohibitions found.

    Args:
        scenario: with the ward's rules.
        plan: what was expected.
        done: every act of the attempt.
        name: "start", or the authored event's id.
        began: position and moment of the plan's beginning; None if its event never came.
    """
    if began is None:
        return tuple(_not_needed(scenario, step, name) for step in plan.steps)
    from_index, from_ms = began
    found = answers(plan, done, scenario.policy, from_index=from_index)
    steps = tuple(
        _step_finding(scenario, plan, step, found, name=name, from_ms=from_ms)
        for step in plan.steps
    )
    nevers = _never_findings(scenario, plan, done, found, name=name, from_index=from_index)
    return (*steps, *nevers)


def _not_needed(scenario: Scenario, step: Step, name: str) -> Finding:
    return Finding(
        id=f"{name}.{step.id}",
        verdict=Verdict.NOT_NEEDED,
        domain=step.domain,
        title=said.title(scenario, step.pattern, Verdict.NOT_NEEDED),
        reason="What calls for it did not happen in this attempt.",
        at_ms=None,
        plan=name,
        expected=said.capital(said.to_do(scenario, step.pattern)),
        most=Fraction(0),
    )


def _step_finding(
    scenario: Scenario,
    plan: Plan,
    step: Step,
    found: Answers,
    *,
    name: str,
    from_ms: int,
) -> Finding:
    answer = found.get(step.id)
    verdict = _verdict(step, answer, from_ms)
    return Finding(
        id=f"{name}.{step.id}",
        verdict=verdict,
        domain=step.domain,
        title=said.title(scenario, step.pattern, verdict),
        reason=_reason(scenario, plan, step, found, verdict, from_ms),
        at_ms=answer.deed.at_ms if answer else None,
        plan=name,
        expected=said.capital(said.to_do(scenario, step.pattern)),
        actual=said.was_done(scenario, answer.deed.action) if answer else "",
        critical=step.critical,
        points=CREDIT[verdict],
        credit=Credit.SELF_CORRECTED if answer and answer.made_good else Credit.UNAIDED,
        deed=answer.deed.index if answer else None,
    )


def _verdict(step: Step, answer: Answer | None, from_ms: int) -> Verdict:
    if answer is None:
        return Verdict.MISSED
    if answer.flaw is not None:
        return answer.flaw
    late = step.within_ms is not None and answer.deed.at_ms - from_ms > step.within_ms
    return Verdict.LATE if late else Verdict.RIGHT


def _reason(
    scenario: Scenario,
    plan: Plan,
    step: Step,
    found: Answers,
    verdict: Verdict,
    from_ms: int,
) -> str:
    """Why the verdict: what happened, then the author's reason for the step."""
    because = explain.sentence(step.because)
    answer = found.get(step.id)
    if answer is None:
        return explain.joined(_went_ahead(scenario, plan, step, found), because) or NOT_DONE
    took = explain.span(answer.deed.at_ms - from_ms)
    if verdict is Verdict.OUT_OF_ORDER:
        return explain.joined(_order_words(scenario, plan, answer), because)
    if verdict is Verdict.LATE:
        limit = explain.span(step.within_ms or 0)
        return explain.joined(f"It came after {took}; the limit is {limit}.", because)
    if verdict is Verdict.WRONG:
        done = explain.seconds(_seconds(answer.deed.action.get(Param.SECONDS)))
        rule = explain.seconds(scenario.policy.hub_scrub_s)
        return explain.joined(f"The hub was scrubbed for {done}; this ward asks {rule}.", because)
    return explain.joined(f"Done after {took}.", because)


def _inside(scenario: Scenario, pattern: Pattern) -> str:
    return said.to_do(scenario, pattern)


def _order_words(scenario: Scenario, plan: Plan, answer: Answer) -> str:
    """Which steps should have come first and came later."""
    words = [_inside(scenario, one.pattern) for one in plan.steps if one.id in answer.missing]
    return f"It was done before: {', '.join(words)}."


def _went_ahead(scenario: Scenario, plan: Plan, step: Step, found: Answers) -> str:
    """What was done without a step that should have come first."""
    without = [
        _inside(scenario, other.pattern)
        for other in plan.steps
        if step.id in other.after and other.id in found
    ]
    return f"What went ahead without it: {', '.join(without)}." if without else ""


def _never_findings(
    scenario: Scenario,
    plan: Plan,
    done: tuple[Deed, ...],
    found: Answers,
    *,
    name: str,
    from_index: int,
) -> tuple[Finding, ...]:
    closes = _closing_index(plan, found)
    listed = []
    for number, never in enumerate(plan.nevers, start=1):
        until = _until_index(never, found, closes)
        wrong = [
            deed
            for deed in done
            if from_index < deed.index
            and (until is None or deed.index < until)
            and not deed.refused
            and agrees(never.pattern, deed)
        ]
        if wrong:
            before = next((step for step in plan.steps if step.id == never.before), None)
            happened = _before_words(scenario, before, found)
            listed.append(
                _never_finding(scenario, never, wrong, happened, name=name, number=number)
            )
    return tuple(listed)


def _closing_index(plan: Plan, found: Answers) -> int | None:
    """Where the plan closed: its last step answered. None while a step is open."""
    if not plan.steps or any(step.id not in found for step in plan.steps):
        return None
    return max(found[step.id].deed.index for step in plan.steps)


def _until_index(never: Never, found: Answers, closes: int | None) -> int | None:
    """Up to where in the log the prohibition holds; None: to the end."""
    if not never.before:
        return closes
    lifted = found.get(never.before)
    return lifted.deed.index if lifted else None


def _before_words(scenario: Scenario, before: Step | None, found: Answers) -> str:
    """What should have come first, and whether it came at all."""
    if before is None:
        return ""
    how = "before" if before.id in found else "without"
    return f"It was done {how}: {_inside(scenario, before.pattern)}."


def _never_finding(
    scenario: Scenario,
    never: Never,
    wrong: list[Deed],
    happened: str,
    *,
    name: str,
    number: int,
) -> Finding:
    first = wrong[0]
    times = f"It was done {len(wrong)} times." if len(wrong) > 1 else ""
    return Finding(
        id=f"{name}.never-{number}",
        verdict=Verdict.NEVER_DONE,
        domain=domain_of_act(never.pattern.verb),
        title=said.title(scenario, never.pattern, Verdict.NEVER_DONE),
        reason=explain.joined(happened, times, explain.sentence(never.because))
        or "It must not be done in this situation.",
        at_ms=first.at_ms,
        plan=name,
        expected=f"Not: {said.to_do(scenario, never.pattern)}",
        actual=said.was_done(scenario, first.action),
        critical=never.critical,
        deed=first.index,
    )

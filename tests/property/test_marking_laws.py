"""Laws of marking, over the model runs of the shipped scenarios with acts left out.

What is left out are acts that change nothing at the bedside (`ONLY_DONE`), each with what it
brought, so that the rest of the log is what it was. Then "more right conduct" means: the same
log with some of these acts put back where the model conduct did them. A prohibition is the one
thing that an act can add to a mark's disadvantage, and is told apart: charting what nobody has
looked at is such an act. What could be earned can grow (a value worked out for an order that was
replaced later counts, one that was not is not missed), so the law speaks of the points lost.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from functools import cache

from hypothesis import given
from hypothesis import strategies as st

from tests.property.examples import tried
from tests.rehearsed import SHIPPED, model_log
from trainer.engine.events import Acted, Cued, Event, Noted, Perceived
from trainer.scenario.model import Bar, Marking, Policy
from trainer.scoring.findings import Report
from trainer.scoring.rehearse import rehearse
from trainer.scoring.remark import by_policy, changes
from trainer.scoring.report import report
from trainer.terms import Credit, CueKind, Domain, Outcome, Purpose, Verb, Verdict

NAMES = st.sampled_from(sorted(SHIPPED))
ONLY_DONE = frozenset({
    Verb.CLEAN_HANDS, Verb.IDENTIFY_PATIENT, Verb.CHECK_ALLERGIES, Verb.VERIFY_ORDER,
    Verb.READ_BACK, Verb.CALCULATE, Verb.SECOND_CHECK, Verb.LOOK_AT_SITE, Verb.LOOK_AT_PATIENT,
    Verb.LOOK_AT_CONTAINER, Verb.FOLLOW_LINE, Verb.NOTIFY, Verb.CHART, Verb.TEACH,
})  # fmt: skip
SHARES = st.sampled_from([Fraction(0), Fraction(1, 4), Fraction(1, 2), Fraction(1)])


@cache
def only_done(name: str) -> tuple[int, ...]:
    """Where in the model log the acts stand that only were done: nothing else followed."""
    log = model_log(name)
    places = [index for index, event in enumerate(log) if isinstance(event, Acted)]
    return tuple(
        index
        for index, following in zip(places, [*places[1:], len(log)], strict=True)
        if log[index].action.verb in ONLY_DONE  # type: ignore[union-attr]
        and all(
            isinstance(one, Noted | Perceived)
            for one in log[index + 1 : following]
            if one.at_ms == log[index].at_ms
        )
    )


def without(name: str, left_out: frozenset[int]) -> tuple[Event, ...]:
    """The model log without these acts and what each brought."""
    log, kept, inside = model_log(name), [], -1
    for index, event in enumerate(log):
        if isinstance(event, Acted):
            inside = event.at_ms if index in left_out else -1
        if not (inside == event.at_ms and isinstance(event, Acted | Noted | Perceived)):
            kept.append(event)
    return tuple(kept)


@st.composite
def some_left_out(draw: st.DrawFn) -> tuple[str, frozenset[int]]:
    """A scenario, and acts of its model conduct to leave out."""
    name = draw(NAMES)
    return name, draw(st.frozensets(st.sampled_from(only_done(name)), max_size=12))


@st.composite
def fewer_and_more_left_out(draw: st.DrawFn) -> tuple[str, frozenset[int], frozenset[int]]:
    """Acts to leave out, and a part of them."""
    name, more = draw(some_left_out())
    return name, frozenset(one for one in more if draw(st.booleans())), more


@st.composite
def policies(draw: st.DrawFn, like: Policy) -> Policy:
    """A policy that marks otherwise."""
    levels = (Credit.AFTER_REALITY_CUE, Credit.AFTER_CONCEPTUAL_CUE, Credit.SELF_CORRECTED)
    purpose = Purpose.FORMATIVE
    bars = [Bar(purpose=purpose, least=draw(SHARES), domain=one) for one in (None, *Domain)]
    marking = Marking(
        credit=tuple((level, draw(SHARES)) for level in levels if draw(st.booleans())),
        bars=tuple(bar for bar in bars if draw(st.booleans())),
        least_items=draw(st.integers(1, 6)),
    )
    return replace(
        like,
        id="another",
        title="Another policy",
        marking=marking,
        hub_scrub_s=Fraction(draw(st.integers(1, 40))),
        drip_tolerance=Fraction(draw(st.integers(1, 30)), 100),
        hours_at_once=Fraction(draw(st.integers(1, 8)), 2),
    )


def lost_apart_from_nevers(told: Report) -> Fraction:
    lost = (one.most - one.points for one in told.findings if one.verdict is not Verdict.NEVER_DONE)
    return sum(lost, Fraction(0))


def most_apart_from_nevers(told: Report) -> Fraction:
    return sum(
        (one.most for one in told.findings if one.verdict is not Verdict.NEVER_DONE), Fraction(0)
    )


def nevers(told: Report) -> set[str]:
    return {one.id for one in told.findings if one.verdict is Verdict.NEVER_DONE}


def outcome(told: Report, gate: str) -> Outcome:
    return next(one.outcome for one in told.gates if one.name == gate)


@tried(12, costs=40)
@given(st.data())
def test_marking_again_gives_the_same_and_once_more_changes_nothing(data: st.DataObject):
    name, left_out = data.draw(some_left_out())
    scenario, log = SHIPPED[name], without(name, left_out)
    other = data.draw(policies(scenario.policy))
    again = by_policy(scenario, other)
    assert by_policy(again, other) == again
    first = report(again, log)
    assert report(by_policy(scenario, other), log) == first
    assert changes(first, report(again, log)) == ()


@tried(8, costs=40)
@given(some_left_out())
def test_marked_by_its_own_policy_an_attempt_keeps_its_mark(drawn: tuple[str, frozenset[int]]):
    name, left_out = drawn
    scenario, log = SHIPPED[name], without(name, left_out)
    assert report(by_policy(scenario, scenario.policy), log) == report(scenario, log)


@tried(25, costs=40)
@given(fewer_and_more_left_out())
def test_more_right_conduct_never_lowers_a_mark_except_by_a_never(
    drawn: tuple[str, frozenset[int], frozenset[int]],
):
    name, fewer, more = drawn
    scenario = SHIPPED[name]
    better, worse = (report(scenario, without(name, one)) for one in (fewer, more))
    assert lost_apart_from_nevers(better) <= lost_apart_from_nevers(worse)
    assert most_apart_from_nevers(better) >= most_apart_from_nevers(worse)
    if nevers(better) <= nevers(worse):
        assert better.most - better.points <= worse.most - worse.points
        if outcome(worse, "must-pass") is Outcome.PASSED:
            assert outcome(better, "must-pass") is Outcome.PASSED


@tried(8, costs=40)
@given(st.data())
def test_going_on_with_the_model_conduct_never_lowers_the_points(data: st.DataObject):
    scenario = SHIPPED[data.draw(NAMES)]
    model = scenario.conducts[0]
    ends = sorted(data.draw(st.tuples(*[st.integers(0, len(model.steps))] * 2)))
    earlier, later = (
        report(scenario, rehearse(scenario, replace(model, steps=model.steps[:end])))
        for end in ends
    )
    assert earlier.points <= later.points
    assert nevers(earlier) == nevers(later) == set()


@tried(15, costs=40)
@given(st.data())
def test_a_cue_never_raises_a_mark(data: st.DataObject):
    name, left_out = data.draw(some_left_out())
    log = without(name, left_out)
    scenario = by_policy(SHIPPED[name], data.draw(policies(SHIPPED[name].policy)))
    alone = report(scenario, log)
    place = data.draw(st.integers(0, len(log) - 1))
    cue = Cued(
        at_ms=log[place].at_ms,
        kind=data.draw(st.sampled_from(CueKind)),
        step=data.draw(st.sampled_from([one.id for one in alone.findings])),
        text="a cue",
        by="learner",
    )
    helped = report(scenario, (*log[:place], cue, *log[place:]))
    before = {one.id: one for one in alone.findings}
    assert {one.id for one in helped.findings} == set(before)
    for one in helped.findings:
        assert (one.verdict, one.most) == (before[one.id].verdict, before[one.id].most)
        assert one.points <= before[one.id].points
    passed = {gate.name for gate in alone.gates if gate.outcome is Outcome.PASSED}
    assert {one.name for one in helped.gates if one.outcome is Outcome.PASSED} <= passed


@tried(12, costs=40)
@given(st.data())
def test_points_lie_between_none_and_the_most(data: st.DataObject):
    name, left_out = data.draw(some_left_out())
    scenario = by_policy(SHIPPED[name], data.draw(policies(SHIPPED[name].policy)))
    told = report(scenario, without(name, left_out))
    pairs = [(one.points, one.most) for one in told.findings]
    pairs += [(one.points, one.most) for one in told.marks]
    pairs += [(one.points, one.most) for one in told.objectives]
    assert all(0 <= points <= most for points, most in pairs)
    assert told.points == sum((mark.points for mark in told.marks), Fraction(0)) <= told.most

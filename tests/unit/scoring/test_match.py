"""Responses against partial orders: which act answers which step."""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.unit.scoring.ward import MIN, S, a_scenario, did, event_came, never, refused, step
from trainer.scenario.model import Plan
from trainer.scoring import match, record
from trainer.terms import Credit, Verb, Verdict

LOOK = step("look", Verb.LOOK_AT_SITE, access="hand", because="swelling is seen first")
MEND = step("mend", Verb.STRAIGHTEN, line="1", after=("look",), critical=True)
START = step("start", Verb.START, line="1", after=("mend",))
PLAN = Plan(steps=(LOOK, MEND, START))

look = lambda at: did(at, Verb.LOOK_AT_SITE, access="hand")  # noqa: E731
mend = lambda at: did(at, Verb.STRAIGHTEN, line="1")  # noqa: E731
start = lambda at: did(at, Verb.START, line="1")  # noqa: E731


def found(plan, *events, began=(-1, 0), name="start"):
    return match.findings(a_scenario(), plan, record.deeds(events), name=name, began=began)


def verdicts(plan, *events, **kwargs):
    return {one.id.split(".", 1)[1]: one.verdict for one in found(plan, *events, **kwargs)}


def test_steps_done_in_order_are_right_and_earn_a_point_each():
    all_found = found(PLAN, look(1), mend(2), start(3))
    assert {one.verdict for one in all_found} == {Verdict.RIGHT}
    assert sum(one.points for one in all_found) == 3


def test_an_order_that_the_plan_does_not_ask_is_free():
    free = Plan(steps=(LOOK, step("hands", Verb.CLEAN_HANDS)))
    hands = did(1, Verb.CLEAN_HANDS)
    assert verdicts(free, hands, look(2)) == verdicts(free, look(1), did(2, Verb.CLEAN_HANDS))


def test_a_step_done_before_what_must_come_first_is_out_of_order_and_says_so():
    by_id = {one.id: one for one in found(PLAN, mend(1), look(2), start(3))}
    wrong = by_id["start.mend"]
    assert wrong.verdict is Verdict.OUT_OF_ORDER
    assert wrong.points == Fraction(1, 2)
    assert "It was done before: look at the site: left hand." in wrong.reason
    assert by_id["start.look"].verdict is Verdict.RIGHT


def test_one_step_out_of_order_does_not_drag_the_rest_along():
    assert verdicts(PLAN, mend(1), look(2), start(3))["start"] is Verdict.RIGHT


def test_what_never_came_first_is_missed_and_tells_what_went_ahead():
    by_id = {one.id: one for one in found(PLAN, mend(1), start(2))}
    assert by_id["start.look"].verdict is Verdict.MISSED
    assert (
        "What went ahead without it: straighten the tubing of line 1." in by_id["start.look"].reason
    )
    assert by_id["start.mend"].verdict is Verdict.RIGHT


CHECK = step("check", Verb.LOOK_AT_PATIENT, after=("look",))


def test_a_look_repeated_in_its_order_makes_good_an_early_one():
    plan = Plan(steps=(LOOK, CHECK))
    early = did(1, Verb.LOOK_AT_PATIENT)
    assert verdicts(plan, early, look(2))["check"] is Verdict.OUT_OF_ORDER
    assert verdicts(plan, early, look(2), did(3, Verb.LOOK_AT_PATIENT))["check"] is Verdict.RIGHT


def test_a_clamp_opened_before_for_another_end_is_no_try_at_opening_it_in_its_order():
    opened = step("opened", Verb.OPEN_CLAMP, after=("look",), line="1", clamp="primary")
    plan = Plan(steps=(LOOK, opened))
    to_prime = did(1, Verb.OPEN_CLAMP, line="1", clamp="primary")
    shut = did(2, Verb.CLOSE_CLAMP, line="1", clamp="primary")
    again = did(4, Verb.OPEN_CLAMP, line="1", clamp="primary")
    by_id = {one.id: one for one in found(plan, to_prime, shut, look(3), again)}
    assert by_id["start.opened"].verdict is Verdict.RIGHT
    assert by_id["start.opened"].credit is Credit.UNAIDED


def test_a_start_before_its_time_is_not_made_good_by_starting_again():
    log = (start(1), look(2), mend(3), start(4))
    assert verdicts(PLAN, *log)["start"] is Verdict.OUT_OF_ORDER


def test_repeating_a_harmless_act_costs_nothing():
    assert verdicts(PLAN, look(1), look(2), mend(3), look(4), start(5)) == verdicts(
        PLAN, look(1), mend(3), start(5)
    )


def test_a_refused_act_answers_no_step():
    assert verdicts(PLAN, look(1), mend(2), start(3), refused(3, Verb.START))["start"] is (
        Verdict.MISSED
    )


def test_a_refusal_belongs_to_the_act_before_it_and_to_no_other():
    early = (start(1), refused(1, Verb.START))
    assert verdicts(PLAN, *early, look(2), mend(3), start(4))["start"] is Verdict.RIGHT


def test_one_act_answers_at_most_one_step():
    twice = Plan(steps=(LOOK, step("again", Verb.LOOK_AT_SITE, access="hand", after=("look",))))
    assert verdicts(twice, look(1))["again"] is Verdict.MISSED
    assert verdicts(twice, look(1), look(2))["again"] is Verdict.RIGHT


def test_an_act_goes_to_the_step_that_describes_it_most_closely():
    plan = Plan(
        steps=(step("any", Verb.CHART), step("interruption", Verb.CHART, what="interruption"))
    )
    assert verdicts(plan, did(1, Verb.CHART, what="interruption")) == {
        "any": Verdict.MISSED,
        "interruption": Verdict.RIGHT,
    }


def test_a_parameter_that_the_pattern_leaves_open_may_be_anything():
    plan = Plan(steps=(step("call", Verb.NOTIFY, who="prescriber"),))
    assert verdicts(plan, did(1, Verb.NOTIFY, who="prescriber", text="all"))["call"] is (
        Verdict.RIGHT
    )
    assert verdicts(plan, did(1, Verb.NOTIFY, who="family"))["call"] is Verdict.MISSED


def test_the_value_key_agrees_with_any_value_but_not_with_none():
    plan = Plan(steps=(step("enter", Verb.ENTER, line="1", rate="key"),))
    assert verdicts(plan, did(1, Verb.ENTER, line="1", rate="999"))["enter"] is Verdict.RIGHT
    assert verdicts(plan, did(1, Verb.ENTER, line="1", volume="9"))["enter"] is Verdict.MISSED


def test_a_step_after_its_window_is_late_and_tells_both_times():
    plan = Plan(steps=(step("look", Verb.LOOK_AT_SITE, within_ms=MIN, because="it swells"),))
    (late,) = found(plan, look(125 * S))
    assert late.verdict is Verdict.LATE
    assert late.reason == "It came after 2 min 5 s; the limit is 1 min. It swells."
    (timely,), (just_late,) = found(plan, look(MIN)), found(plan, look(MIN + 1))
    assert (timely.verdict, just_late.verdict) == (Verdict.RIGHT, Verdict.LATE)


def test_an_events_window_counts_from_the_events_coming():
    plan = Plan(steps=(step("look", Verb.LOOK_AT_SITE, within_ms=MIN),))
    log = (look(1), event_came(5 * MIN, "kink"), look(5 * MIN + 30 * S))
    (one,) = found(plan, *log, began=(1, 5 * MIN), name="kink")
    assert (one.verdict, one.at_ms) == (Verdict.RIGHT, 5 * MIN + 30 * S)


def test_an_act_before_the_event_answers_nothing():
    plan = Plan(steps=(step("look", Verb.LOOK_AT_SITE),))
    assert verdicts(plan, look(1), event_came(2, "kink"), began=(1, 2))["look"] is Verdict.MISSED


def test_a_step_whose_event_never_came_is_not_needed_and_costs_nothing():
    all_found = found(PLAN, look(1), began=None, name="kink")
    assert {one.verdict for one in all_found} == {Verdict.NOT_NEEDED}
    assert sum(one.most for one in all_found) == 0


NEVER = Plan(steps=PLAN.steps, nevers=(never(Verb.START, before="look", line="1"),))


def test_a_forbidden_act_is_found_once_with_its_first_moment():
    (one,) = [f for f in found(NEVER, start(1), start(2), look(3)) if "never" in f.id]
    assert (one.verdict, one.at_ms, one.points, one.most) == (Verdict.NEVER_DONE, 1, 0, 1)
    assert one.reason == (
        "It was done before: look at the site: left hand. It was done 2 times. It harms."
    )


def test_a_forbidden_act_is_free_once_its_step_is_done():
    assert not [f for f in found(NEVER, look(1), mend(2), start(3)) if "never" in f.id]


def test_a_forbidden_act_that_was_refused_did_nothing():
    assert not [f for f in found(NEVER, start(1), refused(1, Verb.START)) if "never" in f.id]


def test_a_plan_is_closed_once_all_its_steps_are_done():
    plan = Plan(steps=(LOOK,), nevers=(never(Verb.ENTER),))
    assert not [f for f in found(plan, look(1), did(2, Verb.ENTER)) if "never" in f.id]
    assert [f for f in found(plan, did(1, Verb.ENTER), look(2)) if "never" in f.id]


@pytest.mark.parametrize(
    ("typed", "verdict"), [("15", Verdict.RIGHT), ("30 s", Verdict.RIGHT), ("5", Verdict.WRONG)]
)
def test_a_hub_is_scrubbed_for_the_wards_seconds(typed, verdict):
    plan = Plan(steps=(step("scrub", Verb.SCRUB_HUB),))
    assert verdicts(plan, did(1, Verb.SCRUB_HUB, seconds=typed))["scrub"] is verdict


def test_a_second_scrub_that_is_long_enough_makes_good_a_short_one():
    plan = Plan(steps=(step("scrub", Verb.SCRUB_HUB),))
    log = (did(1, Verb.SCRUB_HUB, seconds="5"), did(2, Verb.SCRUB_HUB, seconds="15"))
    assert verdicts(plan, *log)["scrub"] is Verdict.RIGHT

"""Each value's way from the order to the vein: where an error entered, and what became of it."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests import rehearsed
from tests.unit.scoring.courses_of_a_rate import (
    BLOCKED,
    BY_A_LIMIT,
    LIMITED,
    LINE_FREED,
    LINE_LEFT_BLOCKED,
    NEVER_DONE,
    OLD_RATE_RUNS_ON,
    PLAIN,
    REPLACED,
    RIGHT_THROUGHOUT,
    SECOND_CHECKED,
    SEEN_AFTER_THREE_MINUTES,
    SEEN_BEFORE_THE_START,
    THINKING_SLIP,
    WARD,
    a_conduct,
    an_event,
    do,
    enter,
    report_of,
    start,
    trace_of,
    wait,
    work_out,
)
from tests.unit.scoring.ward import BOLUS, MIN, H, S, a_line, a_scenario
from trainer.clinical.quantity import parse_quantity
from trainer.engine.events import Started
from trainer.scenario.model import Effect
from trainer.scoring import record
from trainer.scoring.rehearse import rehearse
from trainer.scoring.report import report
from trainer.terms import CaughtBy, Drive, Happening, Reach, Site, Stage, Verb

NOBODY, LEARNER = CaughtBy.NOBODY, CaughtBy.LEARNER

COURSES = {
    "right throughout": (
        (WARD, RIGHT_THROUGHOUT),
        (None, False, NOBODY, Reach.NONE, None),
    ),
    "wrongly worked out and carried to the vein": (
        (WARD, THINKING_SLIP),  # 40 mL in 6 min; 4 were due
        (Stage.CALCULATED, False, NOBODY, Reach.HARM, Fraction(9)),
    ),
    "a finger slip seen before the start": (
        (WARD, SEEN_BEFORE_THE_START),
        (Stage.KEYED, True, LEARNER, Reach.CAUGHT, None),
    ),
    "a finger slip seen after three minutes": (
        (WARD, SEEN_AFTER_THREE_MINUTES),  # 20 mL in 3 min; 2 were due
        (Stage.KEYED, True, LEARNER, Reach.WATCH, Fraction(9)),
    ),
    "a finger slip that a soft limit stopped": (
        (LIMITED, BY_A_LIMIT),
        (Stage.KEYED, True, CaughtBy.LIMIT, Reach.CAUGHT, None),
    ),
    "a finger slip changed after a second check": (
        (WARD, SECOND_CHECKED),
        (Stage.KEYED, True, CaughtBy.SECOND_CHECK, Reach.CAUGHT, None),
    ),
    "keyed right, and the line stays blocked": (
        (BLOCKED, LINE_LEFT_BLOCKED),
        (Stage.DELIVERED, False, NOBODY, Reach.HARM, Fraction(-5, 6)),  # 10 min of 60
    ),
    "keyed right, and a blocked line freed after its alarm": (
        (BLOCKED, LINE_FREED),
        (Stage.DELIVERED, False, CaughtBy.ALARM, Reach.WATCH, Fraction(-1, 2)),
    ),
    "never done": (
        (WARD, NEVER_DONE),
        (Stage.KEYED, False, NOBODY, Reach.HARM, Fraction(-1)),
    ),
}


def is_near(found, wanted):
    """The same to a twentieth: what the tubing takes up comes a little later."""
    if found is None or wanted is None:
        return found is wanted
    return abs(found - wanted) <= Fraction(1, 20)


@pytest.mark.parametrize("course", COURSES)
def test_a_trace_tells_where_the_error_entered_and_what_became_of_it(course):
    (scenario, steps), expected = COURSES[course]
    found = trace_of(scenario, *steps)
    entered, by_hand, caught_by, reach, deviation = expected
    told = (found.entered, found.is_slip_of_hand, found.caught_by, found.reach)
    assert told == (entered, by_hand, caught_by, reach)
    assert is_near(found.deviation, deviation)


# --- in words -----------------------------------------------------------------------------


def test_a_right_way_is_told_in_one_sentence():
    found = trace_of(WARD, *RIGHT_THROUGHOUT)
    assert found.sentence == (
        "Worked out and keyed right (40 mL/h), and it came as ordered: 40 mL of 40 mL."
    )
    assert [one.text for one in found.links] == ["40 mL/h", "40 mL/h", "40 mL/h", "40 mL of 40 mL"]


def test_a_slip_seen_before_the_start_is_told_with_its_moment_and_praised():
    found = trace_of(WARD, *SEEN_BEFORE_THE_START)
    assert found.sentence.startswith("Worked out right (40 mL/h), keyed as 400 mL/h")
    assert found.sentence.endswith(
        "You saw it 20 s later, before the start: nothing reached the patient."
    )
    assert found.caught_ms == 20 * S
    assert found.praise == (
        "Well caught: you looked once more, saw that 400 mL/h stood where 40 mL/h belonged, "
        "and put it right before anything ran."
    )


def test_a_slip_seen_late_is_told_with_what_ran_meanwhile():
    found = trace_of(WARD, *SEEN_AFTER_THREE_MINUTES)
    assert "It ran for 3 min: 20 mL came where 2 mL were due, 900 % too much." in found.sentence
    assert found.sentence.endswith("You saw it 3 min later, and it was put right.")
    assert found.praise == ""


def test_a_slip_of_thinking_is_told_as_carried_over():
    found = trace_of(WARD, *THINKING_SLIP)
    assert "keyed as worked out" in found.sentence
    assert [one.right for one in found.links] == [True, False, False, False]


def test_what_a_limit_refused_is_shown_as_a_try_at_the_keys():
    keyed = trace_of(LIMITED, *BY_A_LIMIT).links[2]
    assert keyed.text == "11 mL/h (refused), then 3.4 mL/h"


def test_the_slip_behind_what_a_limit_refused_is_named_though_no_finding_tells_it():
    tenfold = enter("34", volume="6.8", fluid="dopamine")
    again = enter("3.4", after_ms=10 * S, volume="6.8", fluid="dopamine")
    found = trace_of(LIMITED, work_out("3.4 mL/h"), tenfold, again, start(), wait(H))
    assert (found.links[2].slip, found.caught_by) == ("tenfold", CaughtBy.LIMIT)


def test_a_second_check_after_which_it_was_started_all_the_same_caught_nothing():
    check = do(Verb.SECOND_CHECK, pause_ms=30 * S, line="1")
    late = enter("40", after_ms=10 * MIN)
    found = trace_of(WARD, work_out("40 mL/h"), enter("400"), check, start(), late, start())
    assert (found.caught_by, found.reach) == (LEARNER, Reach.HARM)
    assert "You saw it 10 min" in found.sentence


def test_a_limit_that_was_overridden_caught_nothing():
    over = enter("11", volume="6.8", fluid="dopamine", reason="It is ordered so.")
    found = trace_of(LIMITED, work_out("3.4 mL/h"), over, start(), wait(5 * MIN))
    assert (found.entered, found.caught_by) == (Stage.KEYED, NOBODY)


def test_each_link_names_the_finding_that_tells_it():
    found = trace_of(WARD, *SEEN_BEFORE_THE_START)
    assert [one.finding for one in found.links] == [
        "",
        "entry.maintenance.rate",
        "entry.maintenance.keyed-rate",
        "",
    ]


def test_the_slip_is_named_at_the_link_where_it_entered():
    ordered, calculated, _, _ = trace_of(WARD, *THINKING_SLIP).links
    assert (ordered.slip, calculated.slip) == ("", "tenfold")


def test_a_line_that_failed_is_told_with_its_cause():
    found = trace_of(BLOCKED, *LINE_LEFT_BLOCKED)
    assert "the line was blocked (the tubing is bent)" in found.sentence
    assert [one.right for one in found.links] == [True, True, True, False]


INFILTRATED = replace(
    WARD,
    events=(
        an_event(
            "slips",
            10 * MIN,
            Effect(happening=Happening.SITE_CHANGES, access="hand", site=Site.INFILTRATED),
        ),
    ),
)


def test_a_value_that_is_hardly_wrong_is_not_blamed_for_what_ran_into_the_tissue():
    steps = (work_out("39 mL/h"), enter("39", volume="78"), start(), wait(H))
    found = trace_of(INFILTRATED, *steps)
    assert is_near(found.deviation, Fraction(-1, 40))  # 39 for 40, and not the 50 min after it
    assert found.reach is Reach.NO_HARM
    assert "39 mL left the pump where 40 mL were due, 3 % too little." in found.sentence
    assert "reached the vein: the site was infiltrated." in found.sentence
    assert found.links[3].text.startswith("39 mL from the pump in 1 h, due 40 mL; ")


def test_a_found_rate_that_ran_until_it_was_stopped_ran_on():
    running = a_line(hung="bag", running_rate_ml_per_h=Fraction(20), running_volume_ml=Fraction(90))
    ward = replace(WARD, lines=(running,))
    stop = do(Verb.STOP, pause_ms=30 * MIN, line="1")
    found = trace_of(ward, work_out("40 mL/h"), stop, wait(MIN))
    assert found.links[2].text == "not keyed; 20 mL/h ran on"
    assert "It never ran" not in found.sentence


# --- orders that change, or should be questioned ----------------------------------------------


def test_an_old_rate_that_runs_on_is_an_error_of_the_new_order_and_not_of_the_old():
    old = trace_of(REPLACED, *OLD_RATE_RUNS_ON)
    new = trace_of(REPLACED, *OLD_RATE_RUNS_ON, order="newer")
    assert (old.entered, old.reach) == (None, Reach.NONE)
    assert (new.entered, new.caught_by) == (Stage.KEYED, NOBODY)
    assert new.links[2].text == "not keyed; 40 mL/h ran on"
    assert is_near(new.deviation, Fraction(-1, 3))  # 40 mL/h for 60 mL/h


def test_an_order_replaced_before_anything_was_done_with_it_has_no_error():
    replaced = (wait(12 * MIN), work_out("60 mL/h", order="newer"))
    found = trace_of(REPLACED, *replaced)
    assert (found.entered, found.reach) == (None, Reach.NONE)
    assert found.sentence.startswith("The order ended before anything was done with it")


FOR_ANOTHER_WEIGHT = a_scenario(
    replace(PLAIN, weight=parse_quantity("12 kg")), lines=(a_line(hung="bag"),)
)


def test_an_order_with_another_weight_is_caught_by_asking_before_the_start():
    ask = do(Verb.QUESTION_ORDER, order="maintenance")
    found = trace_of(FOR_ANOTHER_WEIGHT, ask, wait(MIN))
    assert (found.entered, found.caught_by) == (Stage.ORDERED, CaughtBy.PRESCRIBER)
    assert (found.reach, found.deviation) == (Reach.CAUGHT, None)
    assert "The order names a weight of 12 kg" in found.praise


def test_an_order_with_another_weight_that_is_followed_reached_the_patient():
    found = trace_of(FOR_ANOTHER_WEIGHT, *RIGHT_THROUGHOUT)
    assert (found.entered, found.caught_by, found.reach) == (Stage.ORDERED, NOBODY, Reach.NO_HARM)


def test_a_wrong_value_worked_out_and_keyed_right_was_caught_by_the_learner():
    found = trace_of(WARD, work_out("400 mL/h"), *RIGHT_THROUGHOUT[1:])
    assert (found.entered, found.caught_by, found.reach) == (
        Stage.CALCULATED,
        LEARNER,
        Reach.CAUGHT,
    )


# --- doses that end, and drops ----------------------------------------------------------------

BOLUS_ALONE = a_scenario(BOLUS, lines=(a_line(hung="saline-bag"),))  # 182 mL at 546 mL/h


def test_a_bolus_has_a_trace_for_its_rate_and_one_for_its_volume():
    steps = (enter("546", volume="182"), start(), wait(25 * MIN))
    found = report_of(BOLUS_ALONE, *steps).traces
    assert [(one.quantity, one.entered) for one in found] == [("rate", None), ("volume", None)]


def test_a_bolus_that_runs_too_slowly_is_measured_when_it_should_have_ended():
    steps = (enter("182", volume="182"), start(), wait(H))
    found = trace_of(BOLUS_ALONE, *steps, order="bolus")
    assert found.deviation == Fraction(-2, 3)  # a third of it in 20 min
    assert "In its first 20 min 60.7 mL came where 182 mL were due" in found.sentence


def test_a_dose_that_may_run_for_longer_and_came_whole_did_no_harm():
    slow = replace(BOLUS, over_ms=0, least_ms=20 * MIN)
    ward = a_scenario(slow, lines=(a_line(hung="saline-bag"),))
    steps = (enter("182", volume="182"), start(), wait(65 * MIN))
    assert trace_of(ward, *steps, order="bolus").reach is Reach.NO_HARM
    timed = trace_of(BOLUS_ALONE, *steps, order="bolus")
    assert timed.reach is Reach.HARM


def test_on_a_gravity_line_the_drip_rate_is_traced():
    line = a_line(hung="bag", drive=Drive.GRAVITY)
    found = report_of(a_scenario(PLAIN, lines=(line,)), wait(MIN)).traces
    assert [one.quantity for one in found] == ["drip_rate"]


def test_an_attempt_in_which_nothing_happened_yet_has_its_traces():
    (found,) = report(WARD, ()).traces
    assert (found.order, found.links[1].text) == ("maintenance", "not worked out")


# --- laws ---------------------------------------------------------------------------------------

RATES = st.sampled_from(("4", "40", "44", "400"))


@st.composite
def conducts(draw):
    """Any mixture of working out, entering, starting, checking and waiting."""
    one = st.one_of(
        RATES.map(lambda rate: work_out(f"{rate} mL/h")),
        RATES.map(enter),
        st.just(start()),
        st.just(do(Verb.STOP, line="1")),
        st.just(do(Verb.SECOND_CHECK, line="1")),
        st.just(do(Verb.QUESTION_ORDER, order="maintenance")),
        st.sampled_from((S, MIN, 20 * MIN)).map(wait),
    )
    return tuple(draw(st.lists(one, min_size=1, max_size=9)))


def obeys_the_laws(scenario, events, found):
    stood = {one.order.id for one in record.standings(scenario, events)}
    assert {one.order for one in found.traces} == stood
    for one in found.traces:
        assert len(one.links) == len(Stage)
        assert (one.entered is None) == all(link.right is not False for link in one.links)
        assert (one.entered is None) == (one.reach is Reach.NONE)
        assert bool(one.praise) == (one.reach is Reach.CAUGHT and one.caught_by is not NOBODY)
        assert one.sentence.endswith(".")
        if one.reach in {Reach.NONE, Reach.CAUGHT}:
            assert one.deviation is None
        if one.entered is None:
            assert one.caught_by is NOBODY


@settings(max_examples=60, deadline=None)
@given(st.sampled_from((WARD, BLOCKED, REPLACED)), conducts())
def test_whatever_is_done_every_order_that_stood_has_a_trace_that_holds_together(scenario, steps):
    events = rehearse(scenario, a_conduct(*steps))
    obeys_the_laws(scenario, events, report(scenario, events))


@settings(max_examples=60, deadline=None)
@given(conducts())
def test_what_was_caught_before_anything_wrong_was_started_did_not_reach_the_patient(steps):
    events = rehearse(WARD, a_conduct(*steps))
    (found,) = report(WARD, events).traces
    starts = [one.at_ms for one in events if isinstance(one, Started)]
    caught_first = found.caught_ms is not None and (not starts or found.caught_ms < min(starts))
    if caught_first and found.links[3].right is not False:
        assert (found.reach, found.deviation) == (Reach.CAUGHT, None)


@pytest.mark.parametrize(
    ("scenario", "conduct"), rehearsed.RUNS, ids=["/".join(run) for run in rehearsed.RUNS]
)
def test_the_traces_of_a_shipped_conduct_hold_together(scenario, conduct):
    events, found = rehearsed.log_of(scenario, conduct), rehearsed.report_of(scenario, conduct)
    obeys_the_laws(rehearsed.SHIPPED[scenario], events, found)


def test_a_slip_of_hand_in_a_shipped_scenario_is_told_as_one():
    found = rehearsed.report_of("insulin-hour-by-hour", "tenfold-rate").traces[0]
    assert (found.entered, found.is_slip_of_hand, found.reach) == (Stage.KEYED, True, Reach.HARM)

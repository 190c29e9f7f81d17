"""How far errors came, and how large they were: two gradings that are kept apart."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.unit.scoring.courses_of_a_rate import (
    LIMITED,
    RIGHT_THROUGHOUT,
    SEEN_BEFORE_THE_START,
    WARD,
    do,
    enter,
    report_of,
    start,
    trace_of,
    wait,
    work_out,
)
from tests.unit.scoring.ward import BOLUS, FORMULARY, MIN, POLICY, H, S, a_line, a_scenario
from trainer.scenario.model import Access, Marking
from trainer.scoring import severity
from trainer.terms import Reach, Site, Verb, Verdict


def reaches(scenario, *steps):
    return {one.id: one.reach for one in report_of(scenario, *steps).findings}


# --- by the ward's bars -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("share", "reach"),
    [("0.09", Reach.NO_HARM), ("0.1", Reach.WATCH), ("0.49", Reach.WATCH), ("0.5", Reach.HARM)],
)
def test_the_bars_of_the_wards_marking_decide(share, reach):
    assert severity.by_share(Marking(), Fraction(share)) is reach


def test_another_ward_grades_by_its_own_bars():
    strict = Marking(watch_from=Fraction(1, 100), harm_from=Fraction(1, 20))
    policy = replace(POLICY, marking=strict)
    steps = (enter("400"), start(), wait(20 * S))
    assert trace_of(replace(WARD, policy=policy), *steps).reach is Reach.HARM
    assert trace_of(WARD, *steps).reach is Reach.NO_HARM


@pytest.mark.parametrize(
    ("ran_ms", "reach"),
    [(20 * S, Reach.NO_HARM), (3 * MIN, Reach.WATCH), (10 * MIN, Reach.HARM)],
)
def test_the_same_tenfold_rate_comes_further_the_longer_it_runs(ran_ms, reach):
    # In 20 s 2 mL too much, in 3 min 18 mL, in 10 min 60 mL; an hour should bring 40 mL.
    found = trace_of(WARD, enter("400"), start(), wait(ran_ms))
    assert found.reach is reach
    assert found.deviation == pytest.approx(9, abs=0.01)  # whatever its reach


def test_too_little_is_graded_like_too_much():
    found = trace_of(WARD, enter("4"), start(), wait(30 * MIN))
    assert (found.reach, found.deviation) == (Reach.WATCH, Fraction(-9, 10))  # 18 of 40 mL


def test_a_bolus_is_measured_by_its_whole_dose():
    steps = (enter("999", volume="182"), start(), wait(2 * MIN))  # 33 mL for 18 mL, of 182 mL
    bolus = a_scenario(BOLUS, lines=(a_line(hung="saline-bag"),))
    assert trace_of(bolus, *steps, order="bolus").reach is Reach.NO_HARM


# --- the drug's hard limits ---------------------------------------------------------------------


def test_a_hard_limit_that_was_passed_is_harm_even_for_a_short_time():
    untold = enter("34", volume="6.8")  # the pump is not told what runs: 50 mcg/kg/min
    found = trace_of(LIMITED, work_out("3.4 mL/h"), untold, start(), wait(90 * S))
    assert found.reach is Reach.HARM


def test_a_rate_below_the_hard_limit_is_graded_by_its_share():
    twice = enter("6.8", volume="6.8")  # 10 mcg/kg/min
    found = trace_of(LIMITED, work_out("3.4 mL/h"), twice, start(), wait(90 * S))
    assert found.reach is Reach.NO_HARM


# --- findings -------------------------------------------------------------------------------------


def test_what_is_right_or_not_needed_has_no_reach():
    found = report_of(WARD, *RIGHT_THROUGHOUT).findings
    right = [one for one in found if one.verdict in {Verdict.RIGHT, Verdict.NOT_NEEDED}]
    assert right
    assert {one.reach for one in right} == {Reach.NONE}


def test_a_wrong_entry_put_right_before_the_start_was_caught():
    found = reaches(WARD, *SEEN_BEFORE_THE_START)
    assert found["entry.maintenance.keyed-rate"] is Reach.CAUGHT


def test_a_wrong_entry_that_was_started_comes_as_far_as_its_trace():
    steps = (enter("400"), start(), wait(10 * MIN))
    assert reaches(WARD, *steps)["entry.maintenance.keyed-rate"] is Reach.HARM


def test_a_wrong_entry_that_was_never_started_did_not_reach_the_patient():
    assert reaches(WARD, enter("400"), wait(S))["entry.maintenance.keyed-rate"] is Reach.CAUGHT


def test_an_order_that_was_never_done_reached_the_patient_as_an_omission():
    assert reaches(WARD, wait(H))["entry.maintenance.keyed-rate"] is Reach.HARM


def test_the_whole_bag_at_once_at_the_right_rate_is_a_safeguard_less():
    steps = (enter("40", volume="500"), start(), wait(H))
    assert reaches(WARD, *steps)["entry.maintenance.keyed-volume"] is Reach.NO_HARM


def test_a_programme_for_which_no_order_stood_wants_watching_once_it_ran():
    ended = replace(WARD, orders=(replace(WARD.orders[0], active=False),))
    ran = reaches(ended, enter("40"), start(), wait(10 * MIN))
    left = reaches(ended, enter("40"), wait(10 * MIN))
    assert (ran["entry.none.1"], left["entry.none.1"]) == (Reach.WATCH, Reach.CAUGHT)


# --- harm that needs no order ---------------------------------------------------------------------


def swollen(*, vesicant):
    """A line with a drug into a hand that is swollen already."""
    drugs = tuple(
        replace(one, vesicant=vesicant) if one.id == "dopamine" else one for one in FORMULARY.drugs
    )
    scenario = replace(LIMITED, formulary=replace(FORMULARY, drugs=drugs))
    hand = Access(
        id="hand", name="left hand", kind="peripheral", gauge=24, site=Site.INFILTRATED, grade=1
    )
    return replace(scenario, patient=replace(scenario.patient, access=(hand,)))


@pytest.mark.parametrize(("vesicant", "reach"), [(False, Reach.WATCH), (True, Reach.HARM)])
def test_a_drug_that_kills_tissue_is_harm_in_a_swollen_hand(vesicant, reach):
    look = do(Verb.LOOK_AT_SITE, access="hand")
    steps = (enter("3.4", volume="6.8"), start(), wait(MIN), look, wait(10 * MIN))
    assert reaches(swollen(vesicant=vesicant), *steps)["tissue.hand"] is reach

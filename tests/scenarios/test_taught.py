"""What the shipped scenarios teach between them: every typical slip, and what becomes of it.

All conducts of all scenarios are run, and what their debriefs name is gathered, so that
nothing that learners typically do drops out unseen when a scenario changes.
"""

from __future__ import annotations

import pytest

from tests.rehearsed import RUNS
from tests.rehearsed import report_of as told
from trainer.clinical.slips.names import Slip
from trainer.scoring.findings import Finding, Trace
from trainer.terms import CaughtBy, Credit, Domain, Reach, Stage, Verdict

SLIPS_TAUGHT = (
    Slip.WEIGHT_LEFT_OUT,
    Slip.PER_MINUTE,
    Slip.POUNDS,
    Slip.OTHER_CONCENTRATION,
    Slip.UPSIDE_DOWN,
    Slip.DROP_FACTOR,
    Slip.EARLY_ROUNDING,
    Slip.TRUNCATED,
    Slip.UNIT,
    Slip.SUPERSEDED,
    Slip.DOSE_AS_RATE,
    Slip.SWAPPED,
    Slip.HOURS_FOR_MINUTES,
    Slip.PER_DAY,
    Slip.TENFOLD,
    Slip.THOUSANDFOLD,
    Slip.DIGITS,
)
"""Each of these is the likeliest slip of a value in some debrief."""

BEHIND = {
    ("antibiotic-and-air", "weight-left-out", "entry.antibiotic.dose"): ("weight-left-out", "weight"),
    ("antibiotic-and-air", "weight-rounded-first", "entry.antibiotic.dose"): ("early-rounding", "weight"),
    ("antibiotic-and-air", "rate-and-volume-swapped", "entry.antibiotic.keyed-rate"): ("swapped", ""),
    ("bolus-and-a-dry-bag", "minutes-taken-for-hours", "entry.bolus.rate"): ("hours-for-minutes", "duration"),
    ("bolus-and-a-dry-bag", "time-upside-down", "entry.bolus.rate"): ("upside-down", "duration"),
    ("bolus-and-a-dry-bag", "digits-changed-places", "entry.bolus.keyed-rate"): ("digits", ""),
    ("fluid-by-gravity", "other-set", "entry.fluid.drip_rate"): ("drop-factor", "drop factor"),
    ("fluid-by-gravity", "drop-factor-upside-down", "entry.fluid.drip_rate.try-1"): ("upside-down", "drop factor"),
    ("fluid-by-gravity", "unit-left-off", "entry.fluid.drip_rate.unit"): ("unit", ""),
    ("infiltrated-hand", "digits-cut-off", "entry.maintenance.rate"): ("truncated", ""),
    ("infiltrated-hand", "daily-rule-taken", "entry.maintenance.rate"): ("per-day", ""),
    ("insulin-hour-by-hour", "unit-left-off", "entry.insulin-half.rate.unit"): ("unit", ""),
    ("insulin-hour-by-hour", "halved-on-paper-only", "entry.insulin-half.rate"): ("superseded", "dose"),
    ("maintenance-and-a-bent-line", "kilograms-taken-for-pounds", "entry.maintenance-today.rate"): ("pounds", "weight"),
    ("maintenance-and-a-bent-line", "old-weight-in-the-new-order", "entry.maintenance-today.rate"): ("superseded", "weight"),
    ("maintenance-and-a-bent-line", "doubled-digit-seen-in-time", "entry.maintenance-today.keyed-rate"): ("digits", ""),
    ("potassium-at-its-limit", "strength-of-the-other-bag", "entry.potassium.rate"): ("other-concentration", "concentration"),
    ("potassium-at-its-limit", "divided-by-sixty", "entry.potassium.rate"): ("per-minute", "dose"),
    ("potassium-at-its-limit", "strength-upside-down", "entry.potassium.rate.try-1"): ("upside-down", "concentration"),
    ("potassium-at-its-limit", "dose-keyed-as-the-rate", "entry.potassium.keyed-rate"): ("dose-as-rate", "concentration"),
    ("vasopressor-through-a-slow-line", "milligrams-for-micrograms", "entry.noradrenaline.rate.try-1"): ("thousandfold", "mcg per mg"),
    ("vasopressor-through-a-slow-line", "strength-of-another-syringe", "entry.noradrenaline.rate"): ("other-concentration", "concentration"),
    ("vasopressor-through-a-slow-line", "point-lost-on-the-second-step", "entry.noradrenaline-more.keyed-rate"): ("tenfold", ""),
}  # fmt: skip
"""What each of these conducts was written to show: the likeliest slip, the first wrong factor."""

CAUGHT = {
    ("maintenance-and-a-bent-line", "doubled-digit-seen-in-time"): (CaughtBy.LEARNER, Reach.CAUGHT),
    ("antibiotic-and-air", "rate-and-volume-swapped"): (CaughtBy.SECOND_CHECK, Reach.CAUGHT),
    ("insulin-hour-by-hour", "point-lost-and-stopped-by-a-limit"): (CaughtBy.LIMIT, Reach.CAUGHT),
    ("bolus-and-a-dry-bag", "digits-changed-places"): (CaughtBy.LEARNER, Reach.NO_HARM),
    ("potassium-at-its-limit", "dose-keyed-as-the-rate"): (CaughtBy.LEARNER, Reach.WATCH),
    ("vasopressor-through-a-slow-line", "point-lost-on-the-second-step"): (CaughtBy.LEARNER, Reach.WATCH),
}  # fmt: skip
"""Slips of the hand: who caught each, and how far it came."""


def finding(scenario_id: str, conduct_id: str, name: str) -> Finding:
    return next(one for one in told(scenario_id, conduct_id).findings if one.id == name)


def every_finding() -> list[Finding]:
    return [one for run in RUNS for one in told(*run).findings]


def every_trace() -> list[Trace]:
    return [one for run in RUNS for one in told(*run).traces]


def test_every_typical_slip_is_the_likeliest_of_some_value_in_some_debrief():
    named = {one.why.slips[0].slip for one in every_finding() if one.why.slips}
    assert [slip for slip in SLIPS_TAUGHT if slip not in named] == []


@pytest.mark.parametrize(("scenario_id", "conduct_id", "name"), BEHIND)
def test_a_debrief_names_the_slip_and_the_factor_that_went_wrong(scenario_id, conduct_id, name):
    slip, factor = BEHIND[scenario_id, conduct_id, name]
    why = finding(scenario_id, conduct_id, name).why
    assert (str(why.slips[0].slip), why.wrong_factor) == (slip, factor)


@pytest.mark.parametrize(("scenario_id", "conduct_id"), CAUGHT)
def test_a_slip_of_the_hand_is_told_with_who_caught_it_and_how_far_it_came(scenario_id, conduct_id):
    found = next(one for one in told(scenario_id, conduct_id).traces if one.is_slip_of_hand)
    assert (found.caught_by, found.reach) == CAUGHT[scenario_id, conduct_id]
    assert bool(found.praise) is (found.reach is Reach.CAUGHT)


def test_an_error_enters_at_every_stage_and_comes_as_far_as_it_can():
    assert {one.entered for one in every_trace()} == {None, *Stage}
    assert {one.reach for one in every_trace()} == set(Reach)


def test_a_wrong_sum_put_right_before_the_start_keeps_its_points_and_is_praised():
    one = finding("potassium-at-its-limit", "strength-upside-down", "entry.potassium.rate")
    assert (one.verdict, one.credit) == (Verdict.CORRECTED, Credit.SELF_CORRECTED)
    assert one.points == one.most == 1


def test_wrong_values_are_typed_by_learners_who_are_sure_and_by_learners_who_guess():
    wrong = [
        one for one in every_finding()
        if one.domain is Domain.CALCULATING and one.verdict is Verdict.WRONG
    ]  # fmt: skip
    assert {"certain", "fairly", "guess"} <= {one.sure for one in wrong}


@pytest.mark.parametrize(
    ("scenario_id", "conduct_id", "name", "verdict"),
    [
        ("bolus-and-a-dry-bag", "alarm-answered-late", "bolus-complete.look-at-patient", Verdict.LATE),
        ("maintenance-and-a-bent-line", "sound-paused-and-nothing-done", "bent-line.pause-sound", Verdict.RIGHT),
        ("maintenance-and-a-bent-line", "sound-paused-and-nothing-done", "bent-line.follow-line", Verdict.MISSED),
        ("insulin-hour-by-hour", "halved-without-read-back", "low-enough.read-back", Verdict.MISSED),
    ],
)  # fmt: skip
def test_what_is_done_late_or_left_out_is_told(scenario_id, conduct_id, name, verdict):
    assert finding(scenario_id, conduct_id, name).verdict is verdict


def conducts_with_right_values_that_came_wrong() -> list[tuple[str, str]]:
    return [
        run
        for run in RUNS
        if any(
            trace.entered is Stage.DELIVERED and trace.links[2].right for trace in told(*run).traces
        )
    ]


def test_right_values_that_a_line_did_not_bring_are_shown_more_than_once():
    assert len(conducts_with_right_values_that_came_wrong()) >= 3

"""Every scenario that comes with the trainer: sound, computable, and marked as it should be.

The model conduct earns full marks; doing nothing does not, nor does leaving out any one
critical step; each named mistake earns less and shows what it says.
"""

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from tests.rehearsed import (
    LIBRARY,
    SHIPPED,
    conduct_named,
    model_log,
    model_of,
    model_report,
    report_of,
)
from trainer.cli.check import check_file
from trainer.engine.events import Acted, Event, Refused
from trainer.errors import ProblemError
from trainer.paths import SCENARIOS
from trainer.scenario.model import Conduct, Scenario
from trainer.scoring.accept import faults, variant
from trainer.scoring.expect import key, keys
from trainer.scoring.rehearse import rehearse
from trainer.scoring.report import report
from trainer.terms import Verdict

FILES = sorted(SCENARIOS.glob("*.yaml"))
EVERY_FILE = sorted(SCENARIOS.rglob("*.yaml"))
NAMES = [path.stem for path in FILES]
MS_PER_MIN = 60_000
SEEDS = range(1, 6)
RESCUES = {"too-low", "too-much"}
"""Events that only a mistake brings: the patient is in danger."""


def answered(name: str) -> set[str]:
    """What the model conduct did; a rescue from what a mistake brings is not called for."""
    return {one.id for one in model_report(name).findings if one.at_ms is not None}


def critical_steps(name: str) -> list[str]:
    """Each critical step of each plan that the model conduct does, as the debrief names it."""
    scenario = SHIPPED[name]
    plans = [("start", scenario.plan), *((event.id, event.plan) for event in scenario.events)]
    steps = [(f"{plan}.{step.id}", step) for plan, found in plans for step in found.steps]
    done = answered(name)
    return [finding for finding, step in steps if step.critical and finding in done]


def mistakes() -> list[tuple[str, str]]:
    return [(name, one.id) for name in NAMES for one in SHIPPED[name].conducts[1:]]


def without_answer(name: str, finding_id: str) -> Conduct:
    """The model conduct without the act that answered a step."""
    finding = next(one for one in model_report(name).findings if one.id == finding_id)
    acted = [event.at_ms for event in model_log(name) if isinstance(event, Acted)]
    number = acted.index(finding.at_ms or 0)
    conduct = model_of(name)
    acts = [place for place, step in enumerate(conduct.steps) if step.verb is not None]
    left = acts[number]
    return replace(conduct, steps=(*conduct.steps[:left], *conduct.steps[left + 1 :]))


def as_far_as_it_goes(scenario: Scenario, conduct: Conduct) -> tuple[Event, ...]:
    """The run of a conduct, ended before the first wait that is in vain."""
    steps = conduct.steps
    while True:
        try:
            return rehearse(scenario, replace(conduct, steps=steps))
        except ProblemError:
            waits = [n for n, step in enumerate(steps) if step.verb is None]
            steps = steps[: waits[-1]]


def test_there_are_scenarios():
    assert len(NAMES) >= 3


@pytest.mark.parametrize("path", EVERY_FILE, ids=lambda path: path.stem)
def test_every_shipped_file_checks_clean(path: Path):
    assert check_file(path)[0] == ()


@pytest.mark.parametrize("name", NAMES)
def test_a_scenario_is_called_like_its_file(name: str):
    ids = {one.path.stem: one.id for one in LIBRARY.shelf().listings}
    assert ids[name] == name


@pytest.mark.parametrize("name", NAMES)
def test_the_key_as_written_can_be_used(name: str):
    assert faults(SHIPPED[name]) == ()


@pytest.mark.parametrize("name", NAMES)
def test_the_model_conduct_earns_full_marks(name: str):
    short = [one.id for one in model_report(name).findings if one.points < one.most]
    assert short == []
    assert model_report(name).full


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_refused_in_the_model_conduct(name: str):
    assert [event for event in model_log(name) if isinstance(event, Refused)] == []


@pytest.mark.parametrize("name", NAMES)
def test_the_model_conduct_takes_thirty_to_ninety_minutes_about_as_long_as_said(name: str):
    minutes = Fraction(model_log(name)[-1].at_ms, MS_PER_MIN)
    assert 30 <= minutes <= 180  # by the ward clock, which leaps where nothing happens
    assert abs(minutes - SHIPPED[name].minutes) <= 10


@pytest.mark.parametrize("name", NAMES)
def test_the_model_conduct_meets_everything_that_comes_up(name: str):
    needed = {one.plan for one in model_report(name).findings if one.most}
    awaited = {
        event.id for event in SHIPPED[name].events if event.plan.steps and event.id not in RESCUES
    }
    assert awaited <= needed


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("seed", SEEDS)
def test_the_model_conduct_earns_full_marks_whatever_the_seed(name: str, seed: int):
    varied = variant(SHIPPED[name], seed)
    assert report(varied, rehearse(varied, varied.conducts[0])).full


@pytest.mark.parametrize("name", NAMES)
def test_doing_nothing_does_not_earn_full_marks(name: str):
    scenario = SHIPPED[name]
    nothing = Conduct(id="nothing", title="Nothing is done", steps=())
    told = report(scenario, rehearse(scenario, nothing))
    assert not told.full
    assert told.missed_critical
    assert told.points < told.most / 4


@pytest.mark.parametrize("name", NAMES)
def test_leaving_out_any_critical_step_does_not_earn_full_marks(name: str):
    scenario = SHIPPED[name]
    assert critical_steps(name)
    for left_out in critical_steps(name):
        told = report(scenario, as_far_as_it_goes(scenario, without_answer(name, left_out)))
        assert not told.full, left_out
        assert told.missed_critical, left_out


@pytest.mark.parametrize("name", NAMES)
def test_each_scenario_names_at_least_four_mistakes(name: str):
    assert len(SHIPPED[name].conducts) >= 5


@pytest.mark.parametrize(("name", "mistake"), mistakes())
def test_each_named_mistake_earns_less_and_shows_what_it_says(name: str, mistake: str):
    conduct = conduct_named(name, mistake)
    told = report_of(name, mistake)
    wrong = {one.id for one in told.findings if one.points < one.most}
    never = {one.id for one in told.findings if one.verdict is Verdict.NEVER_DONE}
    near_miss = {one.id for one in told.findings if one.verdict is Verdict.CORRECTED}
    assert not told.full
    assert conduct.shows
    assert set(conduct.shows) <= wrong | never | near_miss


@pytest.mark.parametrize("name", NAMES)
def test_no_more_than_two_hours_of_volume_are_entered_at_once_for_a_child(name: str):
    scenario = SHIPPED[name]
    assert scenario.is_child
    all_keys = keys(scenario)
    for order in scenario.orders:
        rate, volume = key(all_keys, order.id, "rate"), key(all_keys, order.id, "volume")
        assert rate is not None
        assert volume is not None
        assert volume.value <= scenario.policy.hours_at_once * rate.value


@pytest.mark.parametrize("name", NAMES)
def test_every_limit_and_reason_names_its_source(name: str):
    for drug in SHIPPED[name].formulary.drugs:
        assert drug.source
        assert all(limit.because for limit in drug.limits)


# The three keys, worked out by hand beside the published rules.


def computed(name: str, order: str, quantity: str) -> Fraction:
    found = key(keys(SHIPPED[name]), order, quantity)
    assert found is not None
    return found.value


def test_maintenance_for_17_4_kg_by_4_2_1():
    """10 kg x 4 mL/kg/h + 7.4 kg x 2 mL/kg/h (the rule of Holliday and Segar by the hour)."""
    name = "maintenance-and-a-bent-line"
    assert computed(name, "maintenance-today", "rate") == Fraction("54.8")
    assert computed(name, "maintenance-today", "volume") == Fraction("109.6")


def test_cefazolin_for_13_6_kg_over_half_an_hour():
    """30 mg/kg x 13.6 kg = 408 mg; 1 g in 50 mL holds it in 20.4 mL; over 30 min 40.8 mL/h."""
    name = "antibiotic-and-air"
    assert computed(name, "antibiotic", "dose") == 408
    assert computed(name, "antibiotic", "volume") == Fraction("20.4")
    assert computed(name, "antibiotic", "rate") == Fraction("40.8")


def test_a_bolus_of_10_ml_per_kg_for_19_8_kg_over_half_an_hour():
    name = "bolus-and-a-dry-bag"
    assert computed(name, "bolus", "volume") == 198
    assert computed(name, "bolus", "rate") == 396

"""A drip rate set by hand: what truly dripped once the clamp was left alone."""

from dataclasses import replace

import pytest

from tests.build import MINUTE
from trainer.live.library import read_source
from trainer.paths import SCENARIOS
from trainer.scenario.load import load_scenario
from trainer.scenario.model import Conduct, ConductStep, Scenario
from trainer.scoring.findings import Finding
from trainer.scoring.rehearse import rehearse
from trainer.scoring.report import report
from trainer.terms import Verb, Verdict

SCENARIO = load_scenario(read_source(SCENARIOS / "fluid-by-gravity.yaml"))
FINDING = "entry.fluid.set-drip-rate"


def until_it_runs(opening: str) -> tuple[ConductStep, ...]:
    """The model conduct up to the first turn of the clamp, to this opening."""
    found = []
    for step in SCENARIO.conducts[0].steps:
        found.append(step)
        if step.verb is Verb.TURN_CLAMP:
            break
    return (*found[:-1], turned(opening))


def turned(opening: str, after_ms: int = 5_000) -> ConductStep:
    params = (("line", "1"), ("opening", opening))
    return ConductStep(verb=Verb.TURN_CLAMP, params=params, pause_ms=after_ms)


def judged(*steps: ConductStep, scenario: Scenario = SCENARIO) -> Finding:
    """The finding of these steps, after which nothing is done for five minutes."""
    steps = (*steps, ConductStep(pause_ms=5 * MINUTE))
    events = rehearse(scenario, Conduct(id="tried", title="tried", steps=steps))
    return next(one for one in report(scenario, events).findings if one.id == FINDING)


@pytest.mark.parametrize(
    ("opening", "verdict"),
    [
        # 84 mL/h x 20 gtt/mL / 60 = 28 gtt/min; the ward allows a tenth either way
        ("19.5 %", Verdict.RIGHT),
        ("20 %", Verdict.RIGHT),
        ("14 %", Verdict.WRONG),
        ("30 %", Verdict.WRONG),
        ("100 %", Verdict.WRONG),
    ],
)
def test_what_drips_is_held_against_the_order(opening, verdict):
    assert judged(*until_it_runs(opening)).verdict is verdict


def test_turning_and_counting_until_it_fits_costs_nothing():
    steps = (*until_it_runs("40 %"), turned("12 %", MINUTE), turned("19.5 %", MINUTE))
    assert judged(*steps).verdict is Verdict.RIGHT


def test_a_wrong_rate_left_alone_decides_even_if_it_is_put_right_later():
    found = judged(*until_it_runs("30 %"), turned("19.5 %", 4 * MINUTE))
    assert found.verdict is Verdict.WRONG
    assert found.critical
    assert "4 min" in found.reason


def test_a_clamp_that_was_never_turned_is_missed():
    before_turning = until_it_runs("20 %")[:-1]
    assert judged(*before_turning).verdict is Verdict.MISSED


def test_the_ward_says_in_its_policy_how_near_is_near_enough():
    source = read_source(SCENARIOS / "fluid-by-gravity.yaml")
    policy = source.policy_text.replace("drip_tolerance: 10 %", "drip_tolerance: 150 %")
    wide = load_scenario(replace(source, policy_text=policy))
    assert judged(*until_it_runs("30 %"), scenario=wide).verdict is Verdict.RIGHT

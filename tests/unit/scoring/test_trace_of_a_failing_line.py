"""A wrong value on a line that failed besides: each is told for what it did."""

from __future__ import annotations

from tests.build import MINUTE, SECOND, Bedside
from tests.property.scripts import BEDSIDES, BOTH, RUN, SECONDARY_READY
from trainer.engine.decide import finish
from trainer.scoring.findings import Trace
from trainer.scoring.report import report

PLAIN, BENT_ABOVE = BEDSIDES[0], BEDSIDES[5]
"""A bag of 30 mL and a small one beside it; the same where the line bends after 3 mL."""


def rate_trace(scenario, acts) -> Trace:
    """How the rate of 40 mL/h came to the vein, half an hour after these acts."""
    bedside = Bedside(scenario)
    for verb, params in acts:
        bedside.wait(SECOND)
        bedside.do(verb, **params)
    bedside.wait(30 * MINUTE)
    ended = finish(bedside.state, at_ms=bedside.now_ms, by="learner")
    found = report(scenario, (*bedside.log, *ended)).traces
    return next(one for one in found if one.quantity == "rate")


def test_a_wrong_value_is_never_called_right_where_little_reached_the_vein():
    """The higher bag ran, so that what left the pump was hardly the ordered fluid."""
    told = rate_trace(PLAIN, (*SECONDARY_READY, *RUN)).sentence
    assert told.startswith("Keyed as 60 mL/h where 40 mL/h is right.")
    assert "1.7 mL reached the vein: why is not known" in told
    assert "the values were right" not in told


def test_a_rate_that_is_too_high_is_not_told_as_too_little():
    found = rate_trace(BENT_ABOVE, BOTH)
    assert found.sentence.startswith("Keyed as 333.3 mL/h where 40 mL/h is right.")
    assert "left the pump where 1.3 mL were due, 177 % too much." in found.sentence
    assert "0.07 mL reached the vein: the line was blocked" in found.sentence
    assert found.deviation is not None
    assert found.deviation > 1

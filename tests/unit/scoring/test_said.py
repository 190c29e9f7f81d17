"""An act is said as a nurse would say it, whatever of it is known."""

from __future__ import annotations

import pytest

from tests.build import a_scenario
from trainer.engine.actions import act
from trainer.scenario.model import Pattern
from trainer.scoring import said
from trainer.terms import Param, Verb, Verdict


@pytest.mark.parametrize("verb", Verb)
@pytest.mark.parametrize(
    "params",
    [(), (("line", "1"),), tuple((str(one), "1") for one in Param)],
    ids=["bare", "line", "all"],
)
@pytest.mark.parametrize("verdict", said.TITLES)
def test_every_act_has_a_title_without_gaps_whatever_it_carries(verb, params, verdict):
    words = said.title(a_scenario(), Pattern(verb=verb, params=params), verdict)
    assert words == " ".join(words.split())
    assert words[0].isupper()
    assert not set("[]{}|") & set(words)
    assert ": ," not in words


@pytest.mark.parametrize(
    ("verb", "params", "verdict", "words"),
    [
        (Verb.LOOK_AT_PATIENT, (), Verdict.MISSED, "Did not look at the patient"),
        (Verb.START, (("line", "1"),), Verdict.NEVER_DONE, "Started line 1, and should not have"),
        (Verb.CHART, (), Verdict.MISSED, "Did not chart what was done and seen"),
        (Verb.PAUSE_SOUND, (), Verdict.LATE, "Paused the sound, but late"),
        (
            Verb.CLOSE_CLAMP,
            (("line", "1"), ("clamp", "patient")),
            Verdict.RIGHT,
            "Closed the patient clamp of line 1",
        ),
        (
            Verb.SCRUB_HUB,
            (("line", "1"), ("at", "access")),
            Verdict.WRONG,
            "Scrubbed the hub at the access of line 1, but not well enough",
        ),
        (
            Verb.STRAIGHTEN,
            (("line", "1"),),
            Verdict.NOT_NEEDED,
            "No occasion to straighten the tubing of line 1",
        ),
        (
            Verb.CONNECT,
            (("line", "1"), ("at", "access")),
            Verdict.OUT_OF_ORDER,
            "Connected line 1 at the access, but too early",
        ),
    ],
)
def test_a_title_is_a_sentence(verb, params, verdict, words):
    assert said.title(a_scenario(), Pattern(verb=verb, params=params), verdict) == words


def test_a_value_that_is_worked_out_is_not_told_with_what_is_to_be_done():
    pattern = Pattern(verb=Verb.ENTER, params=(("line", "1"), ("role", "primary"), ("rate", "key")))
    assert said.to_do(a_scenario(), pattern) == "enter the values for line 1, primary"


def test_what_was_done_is_told_with_what_was_typed():
    entered = act(Verb.ENTER, line="1", role="primary", volume="80", duration="2 h")
    assert said.was_done(a_scenario(), entered) == "Entered for line 1, primary: 80 mL over 2 h"
    scrubbed = act(Verb.SCRUB_HUB, line="1", at="access", seconds="5 s")
    assert (
        said.was_done(a_scenario(), scrubbed) == "Scrubbed the hub at the access of line 1 for 5 s"
    )


def test_what_the_pump_was_told_runs_is_told_alone():
    told = Pattern(verb=Verb.ENTER, params=(("line", "1"), ("fluid", "saline")))
    assert ": of " not in said.to_do(a_scenario(), told)

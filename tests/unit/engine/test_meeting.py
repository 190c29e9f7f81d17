"""Fluids that must not meet: in one line, at a join, in one catheter; told once each."""

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.build import HOUR, MINUTE, Bedside, a_bag, a_ready_line, a_scenario
from trainer.engine.carry import carry
from trainer.engine.meeting import clash
from trainer.scenario.model import Incompatible, Scenario
from trainer.terms import AlarmKind, Verb

CLOUD = Incompatible(
    first="sedative",  # a drug's id: every strength of it
    second="glucose",
    blocks=True,
    looks="white flakes hang in the tubing",
    because="the sedative falls out in glucose",
)
HAZE = replace(CLOUD, blocks=False, looks="a haze where the two ran together")
BAGS = (a_bag("bag", "glucose"), a_bag("small-bag", "sedative", 50), a_bag("plain", "saline"))


def ward(*rules: Incompatible, lines=None, supplies=BAGS) -> Scenario:
    scenario = a_scenario(lines=lines or (a_ready_line(),), supplies=supplies)
    return replace(scenario, formulary=replace(scenario.formulary, incompatible=rules))


def piggybacked(*rules: Incompatible) -> Bedside:
    """The sedative as the secondary of a line that runs glucose."""
    bedside = Bedside(ward(*rules))
    for verb, params in (
        (Verb.CHOOSE, {"supply": "small-bag"}),
        (Verb.HANG, {"line": "1", "role": "secondary", "supply": "small-bag"}),
        (Verb.SPIKE, {"line": "1", "role": "secondary"}),
        (Verb.FILL_CHAMBER, {"line": "1", "role": "secondary"}),
        (Verb.OPEN_CLAMP, {"line": "1", "clamp": "secondary"}),
        (Verb.PRIME, {"line": "1", "role": "secondary"}),
        (Verb.CONNECT, {"line": "1", "at": "port"}),
        (Verb.LOWER_PRIMARY, {"line": "1"}),
    ):
        bedside.do(verb, **params)
    assert bedside.of_kind("Refused") == []
    return bedside


@pytest.mark.parametrize(("one", "other"), [("sedative", "glucose"), ("glucose", "sedative")])
def test_a_rule_names_fluids_or_drugs_in_either_order(one, other):
    assert clash(ward(CLOUD), one, other) is CLOUD
    assert clash(ward(CLOUD), one, "saline") is None


def test_nothing_has_met_while_the_line_stands():
    assert piggybacked(CLOUD).of_kind("FluidsMet") == []


def test_a_secondary_meets_what_lies_in_the_line():
    bedside = piggybacked(CLOUD)
    bedside.run(rate="30", volume="20", role="secondary")
    bedside.wait(HOUR)
    (met,) = bedside.of_kind("FluidsMet")
    assert (met.at_ms, met.line, met.first, met.second) == (0, 1, "glucose", "sedative")
    assert met.text == CLOUD.looks
    (blocked,) = bedside.of_kind("LineBlocked")
    assert blocked.mend is None
    assert bedside.alarms()[0][0] is AlarmKind.DOWNSTREAM_OCCLUSION
    bedside.do(Verb.FOLLOW_LINE, line="1")
    text = bedside.of_kind("Perceived")[-1].text
    assert text.count("white flakes hang in the tubing") == 1


def test_what_does_not_block_is_seen_on_following_the_line():
    bedside = piggybacked(HAZE)
    bedside.run(rate="30", volume="20", role="secondary")
    bedside.wait(MINUTE)
    assert bedside.of_kind("LineBlocked") == []
    bedside.do(Verb.FOLLOW_LINE, line="1")
    assert "a haze where the two ran together" in bedside.of_kind("Perceived")[-1].text


def test_it_is_told_once_though_they_meet_again():
    bedside = piggybacked(HAZE)
    bedside.run(rate="30", volume="20", role="secondary")
    bedside.wait(3 * HOUR)
    assert len(bedside.of_kind("FluidsMet")) == 1


def test_fluids_between_which_another_lies_do_not_meet():
    line = a_ready_line(hung="plain")
    bedside = Bedside(ward(CLOUD, lines=(line,)))
    bedside.run(rate="60", volume="100")
    bedside.wait(HOUR)
    assert bedside.of_kind("FluidsMet") == []


def test_two_lines_meet_in_one_catheter_when_both_flow():
    lines = (
        a_ready_line(1),
        a_ready_line(2, hung="small-bag", below_ml=Fraction(1)),
    )
    bedside = Bedside(ward(CLOUD, lines=lines))
    bedside.run(rate="60")
    bedside.wait(10 * MINUTE)
    assert bedside.of_kind("FluidsMet") == []
    bedside.run(rate="6", volume="10", line="2")
    assert [(event.at_ms, event.line) for event in bedside.of_kind("FluidsMet")] == [
        (10 * MINUTE, 1),
        (10 * MINUTE, 2),
    ]
    bedside.wait(HOUR)
    later = carry(bedside.state, bedside.now_ms)
    assert dict(later.ledger.vein) == {"glucose": 10 * 3_600_000_000}


def test_two_lines_into_different_veins_do_not_meet():
    lines = (a_ready_line(1), a_ready_line(2, hung="small-bag", access="foot"))
    bedside = Bedside(ward(CLOUD, lines=lines))
    bedside.run(rate="60")
    bedside.run(rate="6", volume="10", line="2")
    bedside.wait(HOUR)
    assert bedside.of_kind("FluidsMet") == []

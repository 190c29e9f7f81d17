"""Fluids that must not meet: in one line, at a join, in one catheter; told once each."""

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.build import (
    HOUR,
    MINUTE,
    Bedside,
    a_bag,
    a_block,
    a_gravity_line,
    a_ready_line,
    a_scenario,
)
from trainer.engine.carry import carry
from trainer.engine.meeting import clash
from trainer.scenario.model import AuthoredEvent, Incompatible, Scenario, Trigger
from trainer.terms import AlarmKind, Refusal, Verb

CLOUD = Incompatible(
    first="sedative",  # a drug's id: every strength of it
    second="glucose",
    blocks=True,
    looks="white flakes hang in the tubing",
    because="the sedative falls out in glucose",
)
HAZE = replace(CLOUD, blocks=False, looks="a haze where the two ran together")
BAGS = (a_bag("bag", "glucose"), a_bag("small-bag", "sedative", 50), a_bag("plain", "saline"))


def ward(*rules: Incompatible, lines=None, supplies=BAGS, events=()) -> Scenario:
    scenario = a_scenario(lines=lines or (a_ready_line(),), supplies=supplies, events=events)
    return replace(scenario, formulary=replace(scenario.formulary, incompatible=rules))


def piggybacked(*rules: Incompatible, **changes) -> Bedside:
    """The sedative as the secondary of a line that runs glucose."""
    bedside = Bedside(ward(*rules, **changes))
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


def test_a_secondary_meets_what_lies_in_a_gravity_line():
    bedside = piggybacked(HAZE, lines=(a_gravity_line(),))
    assert [event.line for event in bedside.of_kind("FluidsMet")] == [1]


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
    assert blocked.mend is Verb.PRIME  # a new set
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


def a_clogged_line(*events: AuthoredEvent) -> Bedside:
    """Flakes hang in the line, and its pump has stopped."""
    bedside = piggybacked(CLOUD, events=events)
    bedside.run(rate="30", volume="20", role="secondary")
    bedside.wait(HOUR)
    assert bedside.alarms()[0][0] is AlarmKind.DOWNSTREAM_OCCLUSION
    return bedside


def test_what_has_fallen_out_is_not_washed_into_the_patient():
    bedside = a_clogged_line()
    bedside.do(Verb.PRIME, line="1", role="primary")
    assert bedside.reason() is Refusal.CAUSE_REMAINS
    assert "disconnect it from the patient and prime it again" in bedside.refusal.text


def test_a_new_set_helps_and_what_lay_in_the_old_one_is_thrown_away():
    bedside = a_clogged_line()
    bedside.do(Verb.DISCONNECT, line="1", at="access")
    bedside.do(Verb.DISCONNECT, line="1", at="port")
    bedside.do(Verb.PRIME, line="1", role="primary")
    assert bedside.of_kind("Refused") == []
    assert bedside.of_kind("Primed")[-1].volume == (12 + 3) * 3_600_000_000  # the tubing's size
    line = bedside.state.line(1)
    assert (line.blocked_below, line.stored, line.fluids_met) == ("", 0, ())
    assert {plug.fluid for plug in (*line.below, *line.above)} == {"glucose"}
    bedside.do(Verb.CONNECT, line="1", at="access")
    bedside.run(rate="60", volume="30")
    bedside.wait(10 * MINUTE)
    assert bedside.alarms()[1:] == []
    assert dict(carry(bedside.state, bedside.now_ms).ledger.vein) == {"glucose": 10 * 3_600_000_000}


def test_a_new_set_clogs_too_if_both_fluids_still_feed_it():
    bedside = a_clogged_line()
    bedside.do(Verb.DISCONNECT, line="1", at="access")
    bedside.do(Verb.PRIME, line="1", role="primary")
    bedside.do(Verb.CONNECT, line="1", at="access")
    bedside.do(Verb.START, line="1")
    assert len(bedside.of_kind("FluidsMet")) == len(bedside.of_kind("LineBlocked")) == 2


def test_straightening_a_kink_does_not_free_what_has_fallen_out():
    bedside = a_clogged_line(a_block("kink", when=Trigger(at_ms=30 * MINUTE)))
    bedside.do(Verb.STRAIGHTEN, line="1")
    assert bedside.state.line(1).blocked_below == CLOUD.looks


def test_what_falls_out_behind_a_kink_stays_when_the_kink_has_gone():
    bedside = a_clogged_line(a_block("kink"))
    bedside.do(Verb.STRAIGHTEN, line="1")
    assert bedside.state.line(1).blocked_below == CLOUD.looks

"""Air and flushes: what else reached the vein, told in every scenario without an author's rule."""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.build import MINUTE, Bedside, a_dry_line, a_ready_line, a_scenario, an_event
from trainer.engine.carry import carry
from trainer.scenario.model import Effect, Trigger
from trainer.scoring.into_vein import By, poured
from trainer.scoring.report import report
from trainer.scoring.telling import report_lines
from trainer.terms import Happening, Site, Verb, Verdict

SETTING_UP: tuple[tuple[Verb, dict[str, str]], ...] = (
    (Verb.CHOOSE, {"supply": "bag"}),
    (Verb.HANG, {"line": "1", "role": "primary", "supply": "bag"}),
    (Verb.SPIKE, {"line": "1", "role": "primary"}),
    (Verb.FILL_CHAMBER, {"line": "1", "role": "primary"}),
    (Verb.OPEN_CLAMP, {"line": "1", "clamp": "primary"}),
    (Verb.LOAD, {"line": "1"}),
    (Verb.CONNECT, {"line": "1", "at": "access"}),
)


def connected_dry(**changes) -> Bedside:
    bedside = Bedside(a_scenario(lines=(a_dry_line(),), **changes))
    for verb, params in SETTING_UP:
        bedside.do(verb, **params)
    bedside.wait(2 * MINUTE)
    return bedside


def bubbles(*volumes_ml: str) -> Bedside:
    """Small bubbles on a running line, one every five minutes."""
    events = tuple(
        an_event(
            f"bubble-{place}",
            Trigger(at_ms=5 * place * MINUTE),
            Effect(happening=Happening.AIR_ENTERS, line=1, volume_ml=Fraction(volume)),
        )
        for place, volume in enumerate(volumes_ml, start=1)
    )
    bedside = Bedside(a_scenario(events=events))
    bedside.run(rate="60", volume="100")
    bedside.wait((20 + 5 * len(volumes_ml)) * MINUTE)
    bedside.do(Verb.STOP, line="1")
    return bedside


def reported(bedside: Bedside):
    return report(bedside.scenario, bedside.log)


def about_air(bedside: Bedside):
    return [one for one in reported(bedside).findings if one.id.startswith("air.")]


def test_priming_a_connected_line_is_a_critical_finding_with_its_moment_and_act():
    bedside = connected_dry()
    bedside.do(Verb.PRIME, line="1", role="primary")
    (air,) = about_air(bedside)
    assert air.title == "15 mL of air reached the vein through line 1"
    assert (air.verdict, air.critical, air.at_ms) == (Verdict.WRONG, True, 2 * MINUTE)
    assert "At 08:02, 15 mL of air, as the line was primed while connected." in air.reason
    assert air.id in reported(bedside).missed_critical


def test_a_flush_through_dry_tubing_is_one_too():
    bedside = connected_dry()
    bedside.do(Verb.FLUSH, line="1", volume="20")
    (air,) = about_air(bedside)
    assert air.title.startswith("3 mL of air")
    assert "At 08:02, 3 mL of air, pushed by a flush." in air.reason


def test_air_flushed_in_little_by_little_counts_as_a_whole():
    bedside = connected_dry()
    for _ in range(4):
        bedside.do(Verb.FLUSH, line="1", volume="0.05")
        bedside.wait(MINUTE)
    (air,) = about_air(bedside)
    assert air.title.startswith("0.2 mL of air")
    assert "From 08:02 to 08:05, 0.2 mL of air" in air.reason


def test_priming_and_flushing_are_told_apart_in_one_finding():
    bedside = connected_dry()
    bedside.do(Verb.FLUSH, line="1", volume="1")
    bedside.do(Verb.PRIME, line="1", role="primary")
    (air,) = about_air(bedside)
    assert air.title.startswith("15 mL of air")
    assert "1 mL of air, pushed by a flush" in air.reason
    assert "14 mL of air, as the line was primed" in air.reason


@pytest.mark.parametrize(
    ("volumes_ml", "told"), [(("0.05",), 0), (("0.05", "0.05"), 1), (("0.09",), 0)]
)
def test_the_wards_own_limit_for_air_says_what_is_critical(volumes_ml, told):
    # The policy's detector stops at 0.1 mL: a smaller bubble passes, two may add up to it.
    assert len(about_air(bubbles(*volumes_ml))) == told


def test_less_air_than_the_wards_limit_is_told_without_a_mark():
    bedside = bubbles("0.05")
    found = reported(bedside)
    # It enters at 5 min with its front 3.95 mL before the detector, 6.95 mL before the vein.
    (sentence,) = found.also
    assert (
        sentence == "At 08:11, 0.05 mL of air reached the vein through line 1, carried by the pump."
    )
    assert sentence in report_lines(found)


def test_air_beside_the_vein_is_not_in_it():
    effect = Effect(happening=Happening.SITE_CHANGES, access="hand", site=Site.INFILTRATED)
    bedside = connected_dry(events=(an_event("site", Trigger(at_ms=MINUTE), effect),))
    bedside.do(Verb.PRIME, line="1", role="primary")
    assert about_air(bedside) == []


def test_a_line_primed_first_has_nothing_to_tell():
    bedside = Bedside(a_scenario())
    bedside.run()
    bedside.wait(10 * MINUTE)
    bedside.do(Verb.STOP, line="1")
    assert (about_air(bedside), reported(bedside).also) == ([], ())


def test_what_flushes_gave_is_told_and_is_no_finding():
    bedside = Bedside(a_scenario())
    before = len(reported(bedside).findings)
    for _ in range(3):
        bedside.do(Verb.FLUSH, line="1", volume="20")
    found = reported(bedside)
    assert found.also == ("3 flushes gave 60 mL of what went into the vein through line 1.",)
    assert not [one for one in found.findings[before:] if one.id.startswith(("air", "flush"))]


def test_all_that_was_poured_is_what_the_ledger_holds_with_two_lines_at_once():
    lines = (a_ready_line(), a_ready_line(2, hung="second-bag", access="foot"))
    effect = Effect(happening=Happening.AIR_ENTERS, line=2, volume_ml=Fraction("0.07"))
    bedside = Bedside(
        a_scenario(lines=lines, events=(an_event("b", Trigger(at_ms=7 * MINUTE), effect),))
    )
    bedside.run(rate="61.3", volume="90")
    bedside.run(rate="47.9", volume="90", line="2")
    bedside.wait(30 * MINUTE)
    bedside.do(Verb.STOP, line="1")
    bedside.do(Verb.FLUSH, line="1", volume="2")
    bedside.wait(10 * MINUTE)
    bedside.do(Verb.LOOK_AT_PATIENT)
    ledger = carry(bedside.state, bedside.now_ms).ledger
    found = poured(bedside.scenario, bedside.log)
    assert sum(one.fluid for one in found) == sum(volume for _, volume in ledger.vein)
    assert sum(one.air for one in found) == ledger.air_in_vein > 0
    assert {one.line for one in found if one.air} == {2}
    assert {one.by for one in found} == {By.PUMP, By.FLUSH}

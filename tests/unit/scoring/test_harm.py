"""Harm that is told in every scenario: free flow, fluid into a seen swelling, fluids that met."""

from dataclasses import replace
from fractions import Fraction

from tests.build import HOUR, MINUTE, Bedside, a_bag, a_ready_line, a_scenario, an_event
from trainer.scenario.model import Effect, Incompatible, Limit, Scenario, Trigger
from trainer.scoring.report import report
from trainer.terms import Domain, Drive, Happening, Site, Verb, Verdict, Where


def findings(bedside: Bedside, beginning: str):
    found = report(bedside.scenario, bedside.log)
    return [one for one in found.findings if one.id.startswith(beginning)]


# --- free flow ----------------------------------------------------------------------------


def taken_out(*, closes: bool, clamp: bool = False) -> Bedside:
    bedside = Bedside(a_scenario(closes_when_unloaded=closes))
    bedside.run(rate="60")
    bedside.wait(10 * MINUTE)
    bedside.do(Verb.STOP, line="1")
    if clamp:
        bedside.do(Verb.CLOSE_CLAMP, line="1", clamp="primary")
    bedside.do(Verb.UNLOAD, line="1")
    bedside.wait(2 * MINUTE)
    bedside.do(Verb.LOAD, line="1")
    return bedside


def test_free_flow_through_a_pumps_line_is_a_critical_finding():
    (freely,) = findings(taken_out(closes=False), "free-flow.")
    assert freely.title.endswith("ran freely into the vein through line 1")
    assert (freely.verdict, freely.domain, freely.critical) == (
        Verdict.WRONG, Domain.SETTING_UP, True,
    )  # fmt: skip
    assert freely.at_ms == 10 * MINUTE
    assert "From 08:10 to 08:12" in freely.reason


def test_a_closed_clamp_or_a_set_that_closes_by_itself_lets_nothing_run():
    assert findings(taken_out(closes=False, clamp=True), "free-flow.") == []
    assert findings(taken_out(closes=True), "free-flow.") == []


def test_a_line_meant_to_run_by_gravity_is_no_free_flow():
    line = a_ready_line(drive=Drive.GRAVITY, opening=Fraction("0.1"))
    bedside = Bedside(a_scenario(lines=(line,)))
    bedside.wait(10 * MINUTE)
    bedside.do(Verb.CLOSE_CLAMP, line="1", clamp="primary")
    assert findings(bedside, "free-flow.") == []


# --- into a swelling that was seen --------------------------------------------------------


def swelling(*, look_at: int | None, stop_at: int) -> Bedside:
    """The hand swells after ten minutes at 60 mL/h; looked at and stopped at these minutes."""
    effect = Effect(happening=Happening.SITE_CHANGES, access="hand", site=Site.INFILTRATED)
    event = an_event("swells", Trigger(at_ms=10 * MINUTE), effect)
    bedside = Bedside(a_scenario(events=(event,)))
    bedside.run(rate="60")
    if look_at is not None:
        bedside.wait(look_at * MINUTE)
        bedside.do(Verb.LOOK_AT_SITE, access="hand")
    bedside.wait(stop_at * MINUTE - bedside.now_ms)
    bedside.do(Verb.STOP, line="1")
    return bedside


def test_what_runs_on_into_a_swelling_after_it_was_seen_is_a_critical_finding():
    (into,) = findings(swelling(look_at=20, stop_at=35), "tissue.")
    # from a minute after the look: 14 minutes at 1 mL/min
    assert into.title == "14 mL went on into the tissue after the swelling was seen (left hand)"
    assert (into.critical, into.domain, into.at_ms) == (True, Domain.WATCHING, 21 * MINUTE)


def test_stopping_within_a_minute_of_the_look_is_right():
    assert findings(swelling(look_at=20, stop_at=21), "tissue.") == []


def test_what_was_never_looked_at_is_no_finding_of_this_sort():
    assert findings(swelling(look_at=None, stop_at=35), "tissue.") == []
    assert findings(swelling(look_at=5, stop_at=35), "tissue.") == []  # it was well then


def test_a_flush_into_a_seen_swelling_counts_at_once():
    bedside = swelling(look_at=20, stop_at=20)
    bedside.do(Verb.FLUSH, line="1", volume="5")
    (into,) = findings(bedside, "tissue.")
    assert into.title.startswith("5 mL went on into the tissue")
    assert into.at_ms == 20 * MINUTE


def test_a_new_catheter_forgets_the_old_swelling():
    bedside = swelling(look_at=20, stop_at=20)
    bedside.do(Verb.DISCONNECT, line="1", at="access")
    bedside.do(Verb.RESITE, access="hand")
    bedside.do(Verb.CONNECT, line="1", at="access")
    bedside.do(Verb.START, line="1")
    bedside.wait(HOUR)
    bedside.do(Verb.STOP, line="1")
    assert findings(bedside, "tissue.") == []


# --- fluids that met ----------------------------------------------------------------------


def test_fluids_that_met_are_one_critical_finding_for_both_lines():
    rule = Incompatible(
        first="sedative", second="glucose", blocks=False, looks="a haze", because="it falls out"
    )
    lines = (a_ready_line(1), a_ready_line(2, hung="small-bag"))
    supplies = (a_bag("bag", "glucose"), a_bag("small-bag", "sedative", 50))
    scenario = a_scenario(lines=lines, supplies=supplies)
    formulary = replace(scenario.formulary, incompatible=(rule,))
    bedside = Bedside(replace(scenario, formulary=formulary))
    bedside.run(rate="60")
    bedside.run(rate="6", volume="10", line="2")
    (met,) = findings(bedside, "met.")
    assert met.title == "glucose 5 % and an invented sedative 2 mg/mL met in line 1"
    assert met.critical
    assert "It falls out. A haze." in met.reason


# --- air from below -----------------------------------------------------------------------


def test_air_that_came_in_below_the_pump_counts_against_the_learner():
    effect = Effect(
        happening=Happening.AIR_ENTERS, line=1, volume_ml=Fraction("0.6"), where=Where.DOWNSTREAM
    )
    event = an_event("air", Trigger(at_ms=5 * MINUTE), effect)
    bedside = Bedside(a_scenario(events=(event,)))
    bedside.run(rate="60")
    bedside.wait(20 * MINUTE)
    bedside.do(Verb.STOP, line="1")
    (air,) = findings(bedside, "air.")
    assert air.title == "0.6 mL of air reached the vein through line 1"
    # 2.4 mL lie before it: it comes 2 min 24 s after it entered
    assert air.at_ms == 5 * MINUTE + 144_000


def test_air_drawn_off_below_does_not():
    effect = Effect(
        happening=Happening.AIR_ENTERS, line=1, volume_ml=Fraction("0.6"), where=Where.DOWNSTREAM
    )
    bedside = Bedside(a_scenario(events=(an_event("air", Trigger(at_ms=0), effect),)))
    bedside.wait(0)
    bedside.do(Verb.CLOSE_CLAMP, line="1", clamp="patient")
    bedside.do(Verb.CLEAR_AIR, line="1", how="draw off below the pump")
    bedside.do(Verb.OPEN_CLAMP, line="1", clamp="patient")
    bedside.run(rate="60")
    bedside.wait(20 * MINUTE)
    bedside.do(Verb.STOP, line="1")
    assert findings(bedside, "air.") == []


# --- an override is told, not judged --------------------------------------------------------


def with_limit() -> Scenario:
    scenario = a_scenario(lines=(a_ready_line(hung="small-bag"),))
    limit = Limit(of="rate", unit="mg/kg/h", most=Fraction("0.5"))
    drugs = tuple(replace(drug, limits=(limit,)) for drug in scenario.formulary.drugs)
    return replace(scenario, formulary=replace(scenario.formulary, drugs=drugs))


def test_an_override_is_told_with_its_reason_and_brings_no_finding():
    bedside = Bedside(with_limit())
    bedside.do(
        Verb.ENTER, line="1", role="primary", volume="10", rate="8", fluid="sedative",
        reason="as agreed on the round",
    )  # fmt: skip
    found = report(bedside.scenario, bedside.log)
    told = [words for words in found.also if "outside a limit" in words]
    assert len(told) == 1
    assert "line 1" in told[0]
    assert told[0].endswith("The reason given: As agreed on the round.")
    assert not any("limit" in one.id for one in found.findings)

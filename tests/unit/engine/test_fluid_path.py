"""The fluid path: secondary and primary, empty containers, air, priming, where fluid goes."""

from fractions import Fraction
from typing import Any

import pytest

from tests.build import (
    HOUR,
    MINUTE,
    Bedside,
    a_bag,
    a_dry_line,
    a_ready_line,
    a_scenario,
    an_event,
)
from trainer.engine.amounts import ml_from_motes, motes_from_ml
from trainer.engine.carry import carry
from trainer.engine.copying import changed
from trainer.engine.state import Plug
from trainer.engine.view import flowing_role_of
from trainer.scenario.model import Effect, Trigger
from trainer.terms import AIR, AlarmKind, Happening, Refusal, Role, Running, Site, Verb


def in_vein(bedside: Bedside, fluid: str) -> Fraction:
    state = carry(bedside.state, bedside.now_ms)
    return ml_from_motes(dict(state.ledger.vein).get(fluid, 0))


def left(bedside: Bedside, supply: str) -> Fraction:
    return ml_from_motes(carry(bedside.state, bedside.now_ms).container(supply).left)


# --- the secondary -------------------------------------------------------------------


def hang_secondary(bedside: Bedside, *, clamp: bool = True, lower: bool = True) -> None:
    """The small bag as a secondary on line 1: primed, on the port."""
    for verb, params in (
        (Verb.CHOOSE, {"supply": "small-bag"}),
        (Verb.HANG, {"line": "1", "role": "secondary", "supply": "small-bag"}),
        (Verb.SPIKE, {"line": "1", "role": "secondary"}),
        (Verb.FILL_CHAMBER, {"line": "1", "role": "secondary"}),
        (Verb.OPEN_CLAMP, {"line": "1", "clamp": "secondary"}),
        (Verb.PRIME, {"line": "1", "role": "secondary"}),
        (Verb.CLOSE_CLAMP, {"line": "1", "clamp": "secondary"}),
        (Verb.SCRUB_HUB, {"line": "1", "at": "port", "seconds": "15"}),
        (Verb.CONNECT, {"line": "1", "at": "port"}),
    ):
        bedside.do(verb, **params)
    if clamp:
        bedside.do(Verb.OPEN_CLAMP, line="1", clamp="secondary")
    if lower:
        bedside.do(Verb.LOWER_PRIMARY, line="1")
    assert bedside.of_kind("Refused") == []


def with_secondary(**setup: bool) -> Bedside:
    bedside = Bedside(a_scenario())
    bedside.run(rate="40", volume="80")
    bedside.wait(10 * MINUTE)
    hang_secondary(bedside, **setup)
    bedside.run(rate="60", volume="30", role="secondary")
    return bedside


def test_the_secondary_runs_and_hands_back_to_the_primary():
    bedside = with_secondary()
    bedside.wait(HOUR)
    (done,) = bedside.of_kind("VolumeComplete")
    assert (done.role, done.hand_back, done.at_ms) == (Role.SECONDARY, True, 40 * MINUTE)
    pump = bedside.state.line(1).pump
    assert (pump.running, pump.source, pump.rate_ul_h) == (
        Running.INFUSING,
        Role.PRIMARY,
        40_000,
    )
    assert left(bedside, "bag") < 500


def test_a_clamp_left_shut_lets_the_primary_run_at_the_secondarys_rate_without_alarm():
    bedside = with_secondary(clamp=False)
    assert flowing_role_of(bedside.state, 1) is Role.PRIMARY
    small, large = left(bedside, "small-bag"), left(bedside, "bag")
    bedside.wait(30 * MINUTE)
    assert left(bedside, "small-bag") == small
    assert large - left(bedside, "bag") == 30
    assert bedside.alarms() == [(AlarmKind.INFUSION_COMPLETE, 40 * MINUTE)]
    assert in_vein(bedside, "sedative") == 0


def test_a_primary_not_lowered_runs_too_and_gives_most():
    bedside = with_secondary(lower=False)
    bedside.wait(10 * MINUTE)
    # 7 mL lie between join and vein, so 3 mL have come of both: 0.012 / 0.112 of it drug
    assert float(in_vein(bedside, "sedative")) == pytest.approx(3 * 0.012 / 0.112, abs=0.001)


def test_an_empty_secondary_lets_the_primary_take_over_without_air_or_alarm():
    bedside = Bedside(a_scenario())
    bedside.run(rate="40", volume="200")
    hang_secondary(bedside)
    bedside.run(rate="60", volume="100", role="secondary")  # 50 mL hold less than that
    bedside.wait(90 * MINUTE)
    assert [event.role for event in bedside.of_kind("ContainerEmptied")] == [Role.SECONDARY]
    assert [event.role for event in bedside.of_kind("ChamberDrained")] == [Role.SECONDARY]
    assert bedside.alarms() == []
    secondary = bedside.state.line(1).secondary
    assert secondary is not None
    assert secondary.contents == (Plug("sedative", motes_from_ml(Fraction(6))),)
    assert flowing_role_of(bedside.state, 1) is Role.PRIMARY
    assert in_vein(bedside, "sedative") == 50 - 6  # its tubing stays full


def test_a_secondary_that_empties_between_two_milliseconds_draws_no_air_either():
    bedside = Bedside(a_scenario())
    hang_secondary(bedside)
    bedside.run(rate="61.3", volume="100", role="secondary")
    bedside.wait(90 * MINUTE)
    (drained,) = bedside.of_kind("ChamberDrained")
    assert Fraction(44 * HOUR * 10, 613).denominator > 1
    assert drained.at_ms == Fraction(44 * HOUR * 10, 613).__ceil__()
    secondary = bedside.state.line(1).secondary
    assert secondary is not None
    assert secondary.contents == (Plug("sedative", motes_from_ml(Fraction(6))),)


def test_the_drug_reaches_the_vein_only_after_the_dead_volume():
    bedside = with_secondary()
    bedside.wait(30 * MINUTE)
    fronts = [(event.fluid, event.at_ms) for event in bedside.of_kind("FrontReachedVein")]
    # 4 mL from join to pump and 3 mL from pump to vein, at 60 mL/h: 7 min
    assert fronts[0] == ("sedative", 17 * MINUTE)


def test_the_line_without_a_port_takes_no_secondary():
    bedside = Bedside(a_scenario(lines=(a_ready_line(has_port=False),)))
    bedside.do(Verb.CHOOSE, supply="small-bag")
    bedside.do(Verb.HANG, line="1", role="secondary", supply="small-bag")
    assert bedside.refusal.reason is Refusal.NOTHING_THERE


# --- the bag runs dry ----------------------------------------------------------------

NEARLY_EMPTY = a_ready_line(hung_left_ml=Fraction(10))


def test_a_drop_sensor_tells_the_empty_container_before_air_is_drawn_in():
    bedside = Bedside(a_scenario(lines=(NEARLY_EMPTY,), drop_sensor=True))
    bedside.run(rate="60", volume="100")
    bedside.wait(HOUR)
    assert bedside.alarms() == [(AlarmKind.CONTAINER_EMPTY, 10 * MINUTE)]
    assert bedside.happened("ChamberDrained") == []
    assert bedside.state.line(1).pump.running is Running.STOPPED
    bedside.do(Verb.START, line="1")
    assert bedside.refusal.reason is Refusal.CAUSE_REMAINS


def test_without_a_sensor_the_chamber_drains_and_air_travels_to_the_detector():
    bedside = Bedside(a_scenario(lines=(NEARLY_EMPTY,), drop_sensor=False))
    bedside.run(rate="60", volume="100")
    bedside.wait(HOUR)
    assert bedside.happened("ContainerEmptied") == [10 * MINUTE]
    assert bedside.happened("ChamberDrained") == [20 * MINUTE]
    # 12 mL from chamber to detector at 60 mL/h: 12 min
    assert bedside.alarms() == [(AlarmKind.AIR_IN_LINE, 32 * MINUTE)]
    assert bedside.state.ledger.air_in_vein == 0


def run_dry_to_the_detector() -> Bedside:
    """A line that ran dry unseen, with a fresh bag spiked and its chamber filled."""
    bedside = Bedside(a_scenario(lines=(NEARLY_EMPTY,), drop_sensor=False))
    bedside.run(rate="60", volume="100")
    bedside.wait(HOUR)
    bedside.do(Verb.TAKE_DOWN, line="1", role="primary")
    bedside.do(Verb.CHOOSE, supply="second-bag")
    bedside.do(Verb.HANG, line="1", role="primary", supply="second-bag")
    bedside.do(Verb.SPIKE, line="1", role="primary")
    bedside.do(Verb.FILL_CHAMBER, line="1", role="primary")
    return bedside


def test_a_line_that_ran_dry_is_disconnected_and_primed_before_it_runs_again():
    bedside = run_dry_to_the_detector()
    bedside.do(Verb.RESET_ALARM, line="1")
    bedside.do(Verb.CLEAR_AIR, line="1", how="tap up to the chamber")
    bedside.do(Verb.DISCONNECT, line="1", at="access")
    bedside.do(Verb.PRIME, line="1", role="primary")
    bedside.do(Verb.CONNECT, line="1", at="access")
    bedside.do(Verb.START, line="1")
    refused = [(event.verb, event.reason) for event in bedside.of_kind("Refused")]
    assert refused == [
        (Verb.RESET_ALARM, Refusal.CAUSE_REMAINS),
        (Verb.CLEAR_AIR, Refusal.NOT_PRIMED),
    ]
    assert bedside.state.alarms == ()
    bedside.wait(10 * MINUTE)
    assert bedside.state.ledger.air_in_vein == 0


# --- air -----------------------------------------------------------------------------


def with_bubble(volume_ml: str, **changes: Any) -> Bedside:
    event = an_event(
        "bubble",
        Trigger(given_ml=Fraction(5), line=1),
        Effect(happening=Happening.AIR_ENTERS, line=1, volume_ml=Fraction(volume_ml)),
    )
    bedside = Bedside(a_scenario(events=(event,), **changes))
    bedside.run(rate="60", volume="100")
    return bedside


def test_a_bubble_of_the_wards_limit_stops_the_pump_when_its_front_is_at_the_detector():
    bedside = with_bubble("0.5")
    bedside.wait(HOUR)
    # it lies 4 mL - 0.5 mL before the detector when 5 mL are given
    assert bedside.alarms() == [(AlarmKind.AIR_IN_LINE, 8 * MINUTE + 30_000)]
    bedside.do(Verb.START, line="1")
    assert bedside.refusal.reason is Refusal.CAUSE_REMAINS
    bedside.do(Verb.CLEAR_AIR, line="1", how="draw off at the port")
    bedside.do(Verb.START, line="1")
    bedside.wait(10 * MINUTE)
    assert bedside.state.ledger.air_in_vein == 0


def test_a_bubble_below_the_limit_passes_into_the_vein():
    bedside = with_bubble("0.05")
    bedside.wait(20 * MINUTE)
    assert bedside.alarms() == []
    assert carry(bedside.state, bedside.now_ms).ledger.air_in_vein == motes_from_ml(
        Fraction("0.05")
    )


def test_a_small_bubble_ahead_of_a_large_one_takes_its_place_in_the_tubing():
    small, large = (
        an_event(
            name,
            Trigger(given_ml=Fraction(given), line=1),
            Effect(happening=Happening.AIR_ENTERS, line=1, volume_ml=Fraction(volume)),
        )
        for name, given, volume in (("small", 5, "0.06"), ("large", 6, "0.5"))
    )
    bedside = Bedside(a_scenario(events=(small, large)))
    bedside.run(rate="60", volume="100")
    bedside.wait(HOUR)
    # the small one passes; the large one lies 3.5 mL before the detector at 6 mL
    assert bedside.alarms() == [(AlarmKind.AIR_IN_LINE, 9 * MINUTE + 30_000)]


def test_as_much_fluid_as_the_air_goes_back_to_the_container():
    bedside = with_bubble("0.5")
    bedside.wait(5 * MINUTE)
    assert left(bedside, "bag") == 500 - 5 + Fraction("0.5")


def test_a_dry_line_primed_while_connected_sends_its_air_into_the_vein():
    bedside = Bedside(a_scenario(lines=(a_dry_line(),)))
    set_up(bedside, connect_first=True)
    (primed,) = bedside.of_kind("Primed")
    assert primed.into_vein
    assert ml_from_motes(bedside.state.ledger.air_in_vein) == 15


def test_a_dry_line_primed_first_sends_nothing_but_fluid():
    bedside = Bedside(a_scenario(lines=(a_dry_line(),)))
    set_up(bedside, connect_first=False)
    bedside.run()
    bedside.wait(10 * MINUTE)
    assert bedside.of_kind("Refused") == []
    assert bedside.state.ledger.air_in_vein == 0


def test_an_unprimed_line_does_not_start_because_air_lies_at_the_detector():
    bedside = Bedside(a_scenario(lines=(a_dry_line(),)))
    for verb, params in SETTING_UP:
        if verb is not Verb.PRIME:
            bedside.do(verb, **params)
    bedside.run()
    assert bedside.refusal.reason is Refusal.CAUSE_REMAINS


def connected_dry(**changes: Any) -> Bedside:
    """A line set up and connected by someone who forgot to prime it."""
    bedside = Bedside(a_scenario(lines=(a_dry_line(**changes),)))
    for verb, params in SETTING_UP:
        if verb is not Verb.PRIME:
            bedside.do(verb, **params)
    assert bedside.of_kind("Refused") == []
    return bedside


CLEARINGS = ("tap up to the chamber", "draw off at the port")


@pytest.mark.parametrize("how", CLEARINGS)
def test_clearing_air_lifts_a_bubble_and_does_not_fill_dry_tubing(how):
    bedside = connected_dry()
    bedside.do(Verb.CLEAR_AIR, line="1", how=how)
    assert bedside.refusal.reason is Refusal.NOT_PRIMED
    assert "no bubble but dry tubing" in bedside.refusal.text
    assert "disconnect it from the patient and prime it" in bedside.refusal.text
    assert bedside.of_kind("AirCleared") == []


def test_a_dry_secondary_is_not_filled_by_clearing_air_either():
    bedside = Bedside(a_scenario())
    for verb, params in (
        (Verb.CHOOSE, {"supply": "small-bag"}),
        (Verb.HANG, {"line": "1", "role": "secondary", "supply": "small-bag"}),
        (Verb.SPIKE, {"line": "1", "role": "secondary"}),
        (Verb.FILL_CHAMBER, {"line": "1", "role": "secondary"}),
        (Verb.OPEN_CLAMP, {"line": "1", "clamp": "secondary"}),
        (Verb.CONNECT, {"line": "1", "at": "port"}),
        (Verb.LOWER_PRIMARY, {"line": "1"}),
        (Verb.CLEAR_AIR, {"line": "1", "how": "tap up to the chamber"}),
    ):
        bedside.do(verb, **params)
    assert bedside.refusal.reason is Refusal.NOT_PRIMED
    assert "take it off the port and prime it" in bedside.refusal.text


def test_air_is_not_drawn_off_at_a_port_that_does_not_exist():
    bedside = with_bubble("0.5", lines=(a_ready_line(has_port=False),))
    bedside.wait(HOUR)
    bedside.do(Verb.CLEAR_AIR, line="1", how="draw off at the port")
    assert bedside.refusal.reason is Refusal.NOTHING_THERE
    assert "no access port" in bedside.refusal.text
    bedside.do(Verb.CLEAR_AIR, line="1", how="tap up to the chamber")
    assert len(bedside.of_kind("AirCleared")) == 1


@pytest.mark.parametrize("how", CLEARINGS)
def test_air_is_not_cleared_into_an_empty_chamber(how):
    bedside = with_bubble("0.5", lines=(a_ready_line(hung_left_ml=Fraction(3)),), drop_sensor=False)
    bedside.wait(HOUR)
    bedside.do(Verb.TAKE_DOWN, line="1", role="primary")
    bedside.do(Verb.CHOOSE, supply="second-bag")
    bedside.do(Verb.HANG, line="1", role="primary", supply="second-bag")
    bedside.do(Verb.SPIKE, line="1", role="primary")
    bedside.state = changed(
        bedside.state,
        lines=tuple(
            changed(line, primary=changed(line.primary, chamber=0)) for line in bedside.state.lines
        ),
    )
    bedside.do(Verb.CLEAR_AIR, line="1", how=how)
    assert bedside.refusal.reason is Refusal.NOTHING_THERE
    assert "drip chamber is empty" in bedside.refusal.text


def test_a_start_on_dry_tubing_asks_for_priming_off_the_patient_and_not_for_clearing():
    bedside = connected_dry()
    bedside.run()
    assert bedside.refusal.reason is Refusal.CAUSE_REMAINS
    assert "disconnect it from the patient and prime it" in bedside.refusal.text
    assert "clear" not in bedside.refusal.text.casefold()


def test_a_start_on_a_bubble_asks_for_clearing_and_not_for_priming():
    bedside = with_bubble("0.5")
    bedside.wait(HOUR)
    bedside.do(Verb.START, line="1")
    assert "Clear the air" in bedside.refusal.text
    assert "prime" not in bedside.refusal.text


def test_a_flush_into_dry_tubing_pushes_its_air_into_the_vein():
    bedside = connected_dry()
    bedside.do(Verb.FLUSH, line="1", volume="20")
    assert ml_from_motes(bedside.state.ledger.air_in_vein) == 3
    assert in_vein(bedside, "saline") == 17


SETTING_UP: tuple[tuple[Verb, dict[str, str]], ...] = (
    (Verb.CHOOSE, {"supply": "bag"}),
    (Verb.HANG, {"line": "1", "role": "primary", "supply": "bag"}),
    (Verb.SPIKE, {"line": "1", "role": "primary"}),
    (Verb.FILL_CHAMBER, {"line": "1", "role": "primary"}),
    (Verb.LOAD, {"line": "1"}),
    (Verb.OPEN_CLAMP, {"line": "1", "clamp": "primary"}),
    (Verb.PRIME, {"line": "1", "role": "primary"}),
    (Verb.SCRUB_HUB, {"line": "1", "at": "access", "seconds": "15"}),
    (Verb.CONNECT, {"line": "1", "at": "access"}),
)


def set_up(bedside: Bedside, *, connect_first: bool) -> None:
    steps = list(SETTING_UP)
    if connect_first:
        steps.insert(0, steps.pop())
    for verb, params in steps:
        bedside.do(verb, **params)


def test_connecting_uses_up_the_scrub():
    bedside = Bedside(a_scenario(lines=(a_dry_line(),)))
    set_up(bedside, connect_first=False)
    assert bedside.state.line(1).access_scrubbed_s == 0
    assert bedside.of_kind("HubScrubbed")[0].seconds == 15


# --- where it goes ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("site", "place"),
    [(Site.PATENT, "vein"), (Site.INFILTRATED, "tissue"), (Site.DISLODGED, "waste")],
)
def test_what_arrives_goes_where_the_site_lets_it(site, place):
    event = an_event(
        "site",
        Trigger(at_ms=0),
        Effect(happening=Happening.SITE_CHANGES, access="hand", site=site),
    )
    bedside = Bedside(a_scenario(events=(event,)))
    bedside.run(rate="60", volume="100")
    bedside.wait(10 * MINUTE)
    ledger = carry(bedside.state, bedside.now_ms).ledger
    assert getattr(ledger, place) == (("saline", motes_from_ml(Fraction(10))),)


def test_another_fluid_in_the_chamber_is_emptied_out_when_a_new_bag_is_spiked():
    bedside = Bedside(a_scenario())
    bedside.do(Verb.TAKE_DOWN, line="1", role="primary")
    bedside.do(Verb.CHOOSE, supply="sweet-bag")
    bedside.do(Verb.HANG, line="1", role="primary", supply="sweet-bag")
    bedside.do(Verb.SPIKE, line="1", role="primary")
    assert bedside.state.ledger.waste == (("saline", motes_from_ml(Fraction(10))),)
    assert bedside.state.line(1).primary.chamber == 0


def test_flushing_pushes_what_lies_below_the_pump_into_the_vein():
    bedside = Bedside(a_scenario(supplies=(a_bag(fluid="glucose"),)))
    bedside.do(Verb.FLUSH, line="1", volume="5")
    vein = dict(bedside.state.ledger.vein)
    assert vein == {
        "glucose": motes_from_ml(Fraction(3)),
        "saline": motes_from_ml(Fraction(2)),
    }
    assert bedside.state.line(1).below == (Plug("saline", motes_from_ml(Fraction(3))),)


def test_air_is_never_in_the_ledger_of_fluids():
    bedside = Bedside(a_scenario(lines=(a_dry_line(),)))
    set_up(bedside, connect_first=True)
    assert all(fluid != AIR for fluid, _ in bedside.state.ledger.vein)

"""Sites: grades by what is in the tissue, what a look shows, and what pressure does not tell."""

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.build import HOUR, MINUTE, Bedside, a_bag, a_block, a_ready_line, a_scenario, an_event
from trainer.engine.carry import carry
from trainer.engine.perceive_site import site_text
from trainer.engine.site import grade_of
from trainer.engine.state import AccessState
from trainer.scenario.model import Effect, Scenario, Trigger
from trainer.scoring.chronicle import event_lines
from trainer.terms import Happening, Refusal, Site, Verb

INS_INFILTRATION = "Infusion Nurses Society, infiltration scale 0 to 4"
INS_PHLEBITIS = "Infusion Nurses Society, phlebitis scale 0 to 4"
ANIMAL_MODEL = (
    "an animal model of infiltration at 100 to 500 mL/h: of 20 infiltrations none alarmed at "
    "the high limit, one at the medium and 14 at the low one"
)
ML = 3_600_000_000


def becomes(site: Site, *, at_ms: int = 0, grade: int = 0, access: str = "hand"):
    effect = Effect(happening=Happening.SITE_CHANGES, access=access, site=site, grade=grade)
    return an_event(f"site-{site.name.lower()}-{at_ms}", Trigger(at_ms=at_ms), effect)


def bedside_with(site: Site, grade: int = 0, **changes) -> Bedside:
    bedside = Bedside(a_scenario(events=(becomes(site, grade=grade),), **changes))
    bedside.wait(0)
    return bedside


def with_vesicant(scenario: Scenario) -> Scenario:
    drugs = tuple(replace(drug, vesicant=True) for drug in scenario.formulary.drugs)
    return replace(scenario, formulary=replace(scenario.formulary, drugs=drugs))


def hand(bedside: Bedside) -> AccessState:
    return carry(bedside.state, bedside.now_ms).access[0]


@pytest.mark.parametrize(
    ("minutes", "grade", "says"),
    [
        # Source: INS_INFILTRATION (extents 2.5 cm and 15 cm; grade 3 hurts and may be numb,
        # grade 4 is tight, bruised, leaking). From which volume: this ward's 0, 5, 20, 50 mL.
        (1, 1, "less than 2.5 cm"),
        (3, 2, "2.5 to 15 cm"),
        (12, 3, "numb"),
        (30, 4, "bruised"),
    ],
)
def test_the_grade_grows_with_what_is_in_the_tissue(minutes, grade, says):
    assert INS_INFILTRATION
    bedside = bedside_with(Site.INFILTRATED)
    bedside.run(rate="100")
    bedside.wait(minutes * MINUTE)
    assert hand(bedside).tissue == minutes * 100 * ML // 60
    bedside.do(Verb.LOOK_AT_SITE, access="hand")
    assert grade_of(bedside.state, hand(bedside)) == grade
    assert says in hand(bedside).seen
    assert "cool" in hand(bedside).seen or grade == 4


def test_any_amount_of_a_vesicant_is_grade_4():
    # Source: INS_INFILTRATION: any amount of a vesicant is grade 4.
    scenario = with_vesicant(
        a_scenario(lines=(a_ready_line(hung="small-bag"),), events=(becomes(Site.INFILTRATED),))
    )
    bedside = Bedside(scenario)
    bedside.run(rate="10", volume="20")
    bedside.wait(MINUTE)
    bedside.do(Verb.LOOK_AT_SITE, access="hand")
    assert grade_of(bedside.state, hand(bedside)) == 4
    assert "less than 2.5 cm" in hand(bedside).seen
    assert "very painful" in hand(bedside).seen


def test_a_plain_fluid_of_that_amount_is_grade_1():
    bedside = bedside_with(Site.INFILTRATED)
    bedside.run(rate="10", volume="20")
    bedside.wait(MINUTE)
    assert grade_of(bedside.state, hand(bedside)) == 1


def test_an_authors_grade_is_the_least_that_is_there():
    bedside = bedside_with(Site.INFILTRATED, grade=3)
    assert grade_of(bedside.state, hand(bedside)) == 3
    assert hand(bedside).tissue == 0
    bedside.run(rate="100")
    bedside.wait(40 * MINUTE)
    assert grade_of(bedside.state, hand(bedside)) == 4


@pytest.mark.parametrize(
    ("grade", "says"),
    [(1, "red at the catheter"), (2, "painful"), (3, "cord"), (4, "pus")],
)
def test_phlebitis_shows_its_grade_and_still_lets_fluid_into_the_vein(grade, says):
    assert INS_PHLEBITIS
    bedside = bedside_with(Site.PHLEBITIS, grade=grade)
    bedside.run(rate="60")
    bedside.wait(HOUR)
    later = carry(bedside.state, bedside.now_ms)
    assert dict(later.ledger.vein) == {"saline": 60 * ML}
    assert grade_of(later, later.access[0]) == grade
    assert says in site_text(later, later.access[0])


def test_a_blocked_catheter_lets_nothing_through_and_alarms():
    bedside = bedside_with(Site.BLOCKED)
    bedside.run(rate="60")
    bedside.wait(HOUR)
    assert bedside.state.ledger.vein == ()
    assert [kind.value for kind, _ in bedside.alarms()] == ["downstream occlusion"]


def test_what_a_dislodged_catheter_gives_is_lost():
    bedside = bedside_with(Site.DISLODGED)
    bedside.run(rate="60")
    bedside.wait(HOUR)
    later = carry(bedside.state, bedside.now_ms)
    assert (later.ledger.vein, dict(later.ledger.waste)) == ((), {"saline": 60 * ML})


@pytest.mark.parametrize("rate", ["100", "300", "500"])
def test_an_infiltration_does_not_alarm_at_a_high_limit(rate):
    # Source: ANIMAL_MODEL: none of 20 infiltrations at 100 to 500 mL/h reached the high limit.
    assert ANIMAL_MODEL
    bedside = bedside_with(Site.INFILTRATED)
    bedside.run(rate=rate, volume="450")
    bedside.wait(40 * MINUTE)
    assert not any(kind.value == "downstream occlusion" for kind, _ in bedside.alarms())
    assert hand(bedside).tissue > 60 * ML


def test_what_is_true_of_a_site_is_not_seen_before_a_look():
    bedside = Bedside(a_scenario(events=(becomes(Site.INFILTRATED, at_ms=10 * MINUTE),)))
    bedside.run()
    bedside.do(Verb.LOOK_AT_SITE, access="hand")
    bedside.wait(HOUR)
    assert "flat" in hand(bedside).seen
    assert hand(bedside).site is Site.INFILTRATED


# --- taking a catheter out, and placing another ---------------------------------------


def test_a_catheter_comes_out_only_when_its_lines_are_off_it():
    bedside = Bedside(a_scenario())
    bedside.run()
    bedside.do(Verb.REMOVE_CATHETER, access="hand")
    assert bedside.reason() is Refusal.RUNNING
    bedside.do(Verb.STOP, line="1")
    bedside.do(Verb.REMOVE_CATHETER, access="hand")
    assert bedside.reason() is Refusal.IN_USE
    assert "disconnect it first" in bedside.refusal.text
    bedside.do(Verb.DISCONNECT, line="1", at="access")
    bedside.do(Verb.REMOVE_CATHETER, access="hand")
    assert hand(bedside).site is Site.REMOVED
    bedside.do(Verb.REMOVE_CATHETER, access="hand")
    assert bedside.reason() is Refusal.ALREADY_DONE


def test_nothing_is_connected_to_a_catheter_that_is_out():
    bedside = Bedside(a_scenario())
    bedside.do(Verb.DISCONNECT, line="1", at="access")
    bedside.do(Verb.REMOVE_CATHETER, access="hand")
    bedside.do(Verb.CONNECT, line="1", at="access")
    assert bedside.reason() is Refusal.NOTHING_THERE
    assert "place a new one" in bedside.refusal.text


def test_a_new_catheter_is_well_and_has_not_been_looked_at():
    bedside = bedside_with(Site.INFILTRATED)
    bedside.run()
    bedside.wait(10 * MINUTE)
    bedside.do(Verb.LOOK_AT_SITE, access="hand")
    bedside.do(Verb.STOP, line="1")
    bedside.do(Verb.DISCONNECT, line="1", at="access")
    bedside.do(Verb.RESITE, access="hand")
    assert hand(bedside) == AccessState(
        id="hand", pressure_u=hand(bedside).pressure_u, height_mm=hand(bedside).height_mm
    )
    assert bedside.happened("CatheterRemoved") == bedside.happened("Resited") == [10 * MINUTE]
    bedside.do(Verb.CONNECT, line="1", at="access")
    bedside.do(Verb.START, line="1")
    bedside.wait(HOUR)
    assert dict(carry(bedside.state, bedside.now_ms).ledger.vein)["saline"] == 100 * ML


def test_nothing_befalls_a_catheter_that_is_out():
    event = becomes(Site.INFILTRATED, at_ms=HOUR)
    bedside = Bedside(a_scenario(events=(event,)))
    bedside.do(Verb.DISCONNECT, line="1", at="access")
    bedside.do(Verb.REMOVE_CATHETER, access="hand")
    bedside.wait(2 * HOUR)
    assert hand(bedside).site is Site.REMOVED


def test_lines_on_one_catheter_swell_the_same_site():
    lines = (a_ready_line(1), a_ready_line(2, hung="second-bag"))
    bedside = Bedside(
        a_scenario(
            lines=lines,
            supplies=(a_bag(), a_bag("second-bag", "glucose", 250)),
            events=(becomes(Site.INFILTRATED),),
        )
    )
    bedside.wait(0)
    bedside.run(rate="60")
    bedside.run(rate="30", line="2")
    bedside.wait(HOUR)
    assert hand(bedside).tissue == 90 * ML
    assert hand(bedside).tissue_fluids == ("saline", "glucose")
    assert Fraction(sum(volume for _, volume in carry(bedside.state, HOUR).ledger.tissue), ML) == 90


def test_what_swelled_is_still_swollen_after_the_catheter_has_come_out():
    bedside = bedside_with(Site.INFILTRATED)
    bedside.run()
    bedside.wait(10 * MINUTE)
    swollen = grade_of(bedside.state, hand(bedside))
    bedside.do(Verb.STOP, line="1")
    bedside.do(Verb.DISCONNECT, line="1", at="access")
    bedside.do(Verb.REMOVE_CATHETER, access="hand")
    assert grade_of(bedside.state, hand(bedside)) == swollen > 0
    bedside.do(Verb.LOOK_AT_SITE, access="hand")
    text = bedside.of_kind("Perceived")[-1].text
    assert "the catheter is out" in text
    assert "swollen" in text


def test_a_flat_site_is_flat_after_the_catheter_has_come_out():
    bedside = Bedside(a_scenario())
    bedside.do(Verb.DISCONNECT, line="1", at="access")
    bedside.do(Verb.REMOVE_CATHETER, access="hand")
    bedside.do(Verb.LOOK_AT_SITE, access="hand")
    assert grade_of(bedside.state, hand(bedside)) == 0
    assert "swollen" not in bedside.of_kind("Perceived")[-1].text


@pytest.mark.parametrize(
    ("site", "told"),
    [
        (Site.PHLEBITIS, "released into the vein"),
        (Site.INFILTRATED, "released into the tissue"),
        (Site.DISLODGED, "released under the dressing"),
    ],
)
def test_what_stood_under_pressure_is_told_to_go_where_the_site_lets_it(site, told):
    bedside = Bedside(a_scenario(events=(becomes(site), a_block())))
    bedside.run()
    bedside.wait(HOUR)
    bedside.do(Verb.STRAIGHTEN, line="1")
    lines = event_lines(bedside.scenario, bedside.log)
    assert any(line.endswith(told) for line in lines)

"""What the bedside offers and says covers the whole vocabulary."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from tests.build import MINUTE, a_bag, a_dry_line, a_patient, a_ready_line, a_scenario
from trainer.engine.actions import act
from trainer.engine.begin import initial_state
from trainer.engine.clearing import CLEARINGS
from trainer.engine.state import State
from trainer.paths import TEMPLATES
from trainer.scenario.model import Sign
from trainer.terms import SHAPES, AlarmKind, Drive, Param, Priority, Running, Verb
from trainer.web import phrases, views_bedside, views_trolley
from trainer.web.deeds import Deed

HOURS_FOR_DURATION = {"hours", "minutes"}


GLUCOSE_LEVEL = Sign(name="glucose", value="5.4", unit="mmol/L", measured=True, takes_ms=MINUTE)


def a_bedside(drive: Drive) -> State:
    """A bedside with a bottle, and something to measure."""
    patient = replace(a_patient(), signs=(*a_patient().signs, GLUCOSE_LEVEL))
    line = a_dry_line(drive=drive, has_port=drive is not Drive.SYRINGE)
    supplies = (a_bag(), a_bag("flask", kind="bottle"), a_bag("pushed", kind="syringe"))
    return initial_state(a_scenario(lines=(line,), supplies=supplies, patient=patient))


def deeds_at(state: State) -> list[Deed]:
    """Every deed of a bedside."""
    view = views_bedside.bedside_view(state)
    found = [*view.at_patient, view.measure, view.chart, view.teach]
    for line in view.lines:
        found += [*line.at_pump, *line.by_hand, line.second_check]
        found += [deed for drawer in line.drawers for deed in drawer.deeds]
    for supply in views_trolley.trolley_view(state):
        found += supply.deeds
    return found


def all_deeds() -> list[Deed]:
    """Every deed of bedsides with every kind of line."""
    return [deed for drive in Drive for deed in deeds_at(a_bedside(drive))]


def test_every_deed_carries_what_its_verb_needs_and_nothing_that_it_does_not_know():
    for deed in all_deeds():
        carried = {name for name, _ in deed.params} | {ask.name for ask in deed.asks}
        shape = SHAPES[deed.verb]
        assert set(shape.needs) <= carried <= {*shape.needs, *shape.may}, deed


def test_every_verb_but_waiting_can_be_done_on_the_page():
    """Waiting is what the ward clock's pace and the next happening are for."""
    offered = {deed.verb for deed in all_deeds()}
    in_forms = {
        Verb(text)
        for path in TEMPLATES.rglob("*.html")
        for text in re.findall(r'name="verb" value="([a-z ]+)"', path.read_text())
    }
    elsewhere = {
        Verb.VERIFY_ORDER,
        Verb.QUESTION_ORDER,
        Verb.READ_BACK,  # on each order
        Verb.PAUSE_SOUND,  # under an alarm
    }
    assert offered | in_forms | elsewhere | {Verb.WAIT} == set(Verb)


@pytest.mark.parametrize("verb", list(Verb))
def test_every_verb_has_a_phrase_that_leaves_no_gap_open(verb):
    scenario = a_scenario()
    bare = phrases.did(scenario, act(verb))
    full = phrases.did(scenario, act(verb, **{str(param): "1" for param in Param}))
    for text in (bare, full):
        assert text
        assert "{" not in text


def test_a_phrase_uses_the_names_on_labels_and_orders():
    scenario = a_scenario()
    supply, order = scenario.supplies[0], scenario.orders[0]
    assert phrases.did(scenario, act(Verb.CHOOSE, supply=supply.id)) == f"Took {supply.label}"
    assert order.title in phrases.did(scenario, act(Verb.VERIFY_ORDER, order=order.id))


def test_what_was_entered_is_said_as_typed():
    typed = act(Verb.ENTER, line="1", role="primary", volume="80", duration="2 h")
    assert phrases.did(a_scenario(), typed) == "Entered for line 1, primary: 80 mL over 2 h"


def test_every_alarm_condition_has_its_meaning_and_every_state_its_word():
    assert set(phrases.MEANINGS) == set(AlarmKind)
    assert set(phrases.PRIORITY_WORDS) == set(Priority)
    assert set(phrases.RUNNING_WORDS) == set(Running)


def test_a_line_without_a_port_offers_nothing_of_a_secondary():
    state = initial_state(a_scenario(lines=(a_ready_line(has_port=False),)))
    drawers = views_bedside.bedside_view(state).lines[0].drawers
    assert not [drawer.id for drawer in drawers if "secondary" in drawer.id or "port" in drawer.id]


def test_a_gravity_line_is_set_by_clamp_and_count_and_has_no_pump():
    view = views_bedside.bedside_view(a_bedside(Drive.GRAVITY)).lines[0]
    assert [deed.verb for deed in view.by_hand] == [Verb.TURN_CLAMP, Verb.COUNT_DROPS]
    assert view.at_pump == ()
    offered = {deed.verb for drawer in view.drawers for deed in drawer.deeds}
    assert not offered & {Verb.LOAD, Verb.UNLOAD, Verb.START, Verb.PLUG_IN, Verb.RESET_ALARM}


def test_a_syringe_line_takes_a_syringe_and_has_neither_chamber_nor_roller_clamp():
    view = views_bedside.bedside_view(a_bedside(Drive.SYRINGE)).lines[0]
    names = [drawer.id.removeprefix("at-1-") for drawer in view.drawers]
    assert names == ["primary-container", "pump", "tubing", "patient-clamp", "site"]
    which = next(d for d in view.drawers[0].deeds if d.verb is Verb.ATTACH_SYRINGE).asks[0]
    assert which.choices[0].value == "pushed"


def test_every_way_of_clearing_air_is_offered():
    ways = {dict(deed.params)["how"] for deed in all_deeds() if deed.verb is Verb.CLEAR_AIR}
    assert ways == set(CLEARINGS)


def test_an_air_inlet_is_offered_only_where_there_is_a_bottle():
    bags_only = initial_state(a_scenario(lines=(a_dry_line(),), supplies=(a_bag(),)))
    assert Verb.OPEN_AIR_INLET not in {deed.verb for deed in deeds_at(bags_only)}
    assert Verb.OPEN_AIR_INLET in {deed.verb for deed in all_deeds()}


def test_the_pump_is_told_of_no_fluid_unless_the_learner_says_so():
    fluids = views_bedside.bedside_view(a_bedside(Drive.PUMP)).lines[0].fluids
    assert (fluids[0].value, fluids[0].text) == ("", "not told")
    assert "sedative" in [one.value for one in fluids]


def test_only_what_a_look_does_not_show_can_be_chosen_for_measuring():
    measure = views_bedside.bedside_view(a_bedside(Drive.PUMP)).measure
    named = [choice.value for choice in measure.asks[0].choices]
    assert named == ["glucose", "urine", "fluid balance", "weight"]


def test_bare_numbers_are_said_with_their_unit():
    scenario = a_scenario()
    turned = act(Verb.TURN_CLAMP, line="1", opening="12.5")
    assert phrases.did(scenario, turned) == "Turned the roller clamp of line 1 to 12.5 %"
    raised = act(Verb.SET_HEIGHT, line="1", height="90 cm")
    assert phrases.did(scenario, raised) == "Set the height of line 1 to 90 cm"


def test_a_reason_and_the_fluid_told_stand_in_the_record():
    typed = act(
        Verb.ENTER,
        line="1",
        role="primary",
        volume="50",
        rate="20",
        fluid="sedative",
        reason="x-ray",
    )
    assert phrases.did(a_scenario(), typed) == (
        "Entered for line 1, primary: 50 mL at 20 mL/h of an invented sedative 2 mg/mL, "
        "because: x-ray"
    )

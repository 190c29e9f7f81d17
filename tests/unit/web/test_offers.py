"""What the bedside offers and says covers the whole vocabulary."""

from __future__ import annotations

import re

import pytest

from tests.build import a_dry_line, a_ready_line, a_scenario
from trainer.engine.actions import act
from trainer.engine.begin import initial_state
from trainer.paths import TEMPLATES
from trainer.terms import SHAPES, AlarmKind, Param, Priority, Running, Verb
from trainer.web import phrases, views_bedside, views_trolley
from trainer.web.deeds import Deed

HOURS_FOR_DURATION = {"hours", "minutes"}


def all_deeds() -> list[Deed]:
    """Every deed of a bedside with a port."""
    state = initial_state(a_scenario(lines=(a_dry_line(has_port=True),)))
    view = views_bedside.bedside_view(state)
    found = [*view.at_patient, view.chart, view.teach]
    for line in view.lines:
        found += [line.start, line.stop, line.second_check]
        found += [deed for drawer in line.drawers for deed in drawer.deeds]
    for supply in views_trolley.trolley_view(state):
        found += supply.deeds
    return found


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

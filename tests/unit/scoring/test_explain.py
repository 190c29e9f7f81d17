"""Words of the findings: things are called as the learner saw them, not by their ids."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.unit.scoring.ward import a_scenario
from trainer.engine.actions import act
from trainer.scenario.model import Supply
from trainer.scoring import explain
from trainer.terms import Verb


def a_bag(name: str, label: str, looks: str = "") -> Supply:
    return Supply(
        id=name, kind="bag", fluid="saline", volume_ml=Fraction(500), label=label, looks=looks
    )


TROLLEY = (
    a_bag("drug", "ceFAZolin 1 g in 50 mL sodium chloride 0.9 %, made up 12:50 today"),
    a_bag("running", "Ringer's acetate, 500 mL, hung at 11:30 today", "Half full."),
    a_bag("new", "Ringer's acetate, 500 mL", "Clear, closed, in date. It holds no glucose."),
    a_bag("old", "Ringer's acetate, 500 mL", "The date on it passed two months ago."),
    a_bag("plain", "Ringer's acetate, 500 mL"),
)


@pytest.mark.parametrize(
    ("supply", "words"),
    [
        pytest.param("drug", "ceFAZolin 1 g in 50 mL sodium chloride 0.9 %", id="its own name"),
        pytest.param("running", "Ringer's acetate, hung at 11:30 today", id="its own words"),
        pytest.param("new", "Ringer's acetate: clear, closed, in date", id="what a look shows"),
        pytest.param("old", "Ringer's acetate: the date on it passed two months ago", id="why not"),
        pytest.param("plain", "Ringer's acetate, 500 mL", id="the whole label if nothing tells"),
        pytest.param("nowhere", "nowhere", id="what names nothing is told as typed"),
    ],
)
def test_a_container_is_told_by_as_much_of_its_label_as_tells_it_apart(supply, words):
    scenario = replace(a_scenario(), supplies=TROLLEY)
    told = explain.action_words(scenario, act(Verb.CHOOSE, supply=supply))
    assert told == f"Choose ({words})"


def test_a_site_and_an_order_are_told_by_name_and_title():
    scenario = a_scenario()
    access, order = scenario.patient.access[0], scenario.orders[0]
    look = explain.action_words(scenario, act(Verb.LOOK_AT_SITE, access=access.id))
    read = explain.action_words(scenario, act(Verb.READ_BACK, order=order.id))
    assert look == f"Look at site ({access.name})"
    assert read == f"Read back ({order.title})"

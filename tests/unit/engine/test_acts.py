"""Acts at the bedside: what each needs, what it shows, and why it is refused."""

import pytest

from tests.build import (
    HOUR,
    MINUTE,
    Bedside,
    a_block,
    a_dry_line,
    a_ready_line,
    a_scenario,
    an_event,
)
from trainer.engine.actions import Action, act
from trainer.engine.amounts import MOTES_PER_ML
from trainer.engine.carry import carry
from trainer.engine.decide import ACTS, decide
from trainer.scenario.model import Effect, Trigger
from trainer.terms import Happening, Refusal, Site, Verb


def test_every_verb_does_something():
    assert set(ACTS) == set(Verb)


DRY, READY = a_dry_line(), a_ready_line()


@pytest.mark.parametrize(
    ("spec", "verb", "params", "reason", "says"),
    [
        (DRY, Verb.HANG, {"line": "1", "role": "primary", "supply": "bag"}, Refusal.NOTHING_THERE, "choose"),
        (DRY, Verb.HANG, {"line": "1", "role": "third", "supply": "bag"}, Refusal.NOT_UNDERSTOOD, "primary"),
        (DRY, Verb.CHOOSE, {"supply": "nothing"}, Refusal.NOT_UNDERSTOOD, "bag"),
        (DRY, Verb.SPIKE, {"line": "1", "role": "primary"}, Refusal.NOTHING_THERE, "hang"),
        (DRY, Verb.FILL_CHAMBER, {"line": "1", "role": "primary"}, Refusal.NOT_SPIKED, "spike"),
        (DRY, Verb.PRIME, {"line": "1", "role": "primary"}, Refusal.NOT_SPIKED, "chamber"),
        (DRY, Verb.TAKE_DOWN, {"line": "1", "role": "primary"}, Refusal.NOTHING_THERE, "container"),
        (DRY, Verb.LOWER_PRIMARY, {"line": "1"}, Refusal.NOTHING_THERE, "hang"),
        (DRY, Verb.DISCONNECT, {"line": "1", "at": "access"}, Refusal.ALREADY_DONE, "not connected"),
        (DRY, Verb.CLOSE_CLAMP, {"line": "1", "clamp": "primary"}, Refusal.ALREADY_DONE, "closed"),
        (DRY, Verb.RELEASE_PRESSURE, {"line": "1"}, Refusal.NOTHING_THERE, "pressure"),
        (DRY, Verb.FLUSH, {"line": "1", "volume": "3"}, Refusal.NOT_CONNECTED, "connect"),
        (READY, Verb.FLUSH, {"line": "1", "volume": "500"}, Refusal.OUT_OF_RANGE, "20"),
        (READY, Verb.FLUSH, {"line": "1", "volume": "some"}, Refusal.NOT_UNDERSTOOD, "number"),
        (READY, Verb.PRIME, {"line": "1", "role": "primary"}, Refusal.ALREADY_DONE, "full"),
        (READY, Verb.CLEAR_AIR, {"line": "1", "how": "hope"}, Refusal.NOT_UNDERSTOOD, "chamber"),
        (READY, Verb.CLEAR_AIR, {"line": "1", "how": "draw off at the port"}, Refusal.NOTHING_THERE, "air"),
        (READY, Verb.LOAD, {"line": "1"}, Refusal.ALREADY_DONE, "pump"),
        (READY, Verb.CONNECT, {"line": "1", "at": "access"}, Refusal.ALREADY_DONE, "connected"),
        (READY, Verb.CONNECT, {"line": "1", "at": "roof"}, Refusal.NOT_UNDERSTOOD, "port"),
        (READY, Verb.SCRUB_HUB, {"line": "1", "at": "port", "seconds": "0"}, Refusal.OUT_OF_RANGE, "15"),
        (READY, Verb.SPIKE, {"line": "1", "role": "primary"}, Refusal.ALREADY_DONE, "spiked"),
        (READY, Verb.LOOK_AT_SITE, {"access": "ear"}, Refusal.NOT_UNDERSTOOD, "hand"),
        (READY, Verb.CALCULATE, {"order": "other", "what": "rate", "entered": "4"}, Refusal.NOT_UNDERSTOOD, "maintenance"),
        (READY, Verb.WAIT, {"length": "a while"}, Refusal.NOT_UNDERSTOOD, "5 min"),
        (READY, Verb.WAIT, {"length": "5"}, Refusal.NOT_UNDERSTOOD, "5 min"),
        (READY, Verb.CHART, {"what": "start", "line": "9"}, Refusal.NOT_UNDERSTOOD, "lines"),
        (READY, Verb.CHART, {"what": "x" * 3000}, Refusal.NOT_UNDERSTOOD, "too long"),
    ],
)  # fmt: skip
def test_an_act_is_refused_with_what_would_make_it_possible(spec, verb, params, reason, says):
    bedside = Bedside(a_scenario(lines=(spec,)))
    bedside.do(verb, **params)
    assert (bedside.refusal.reason, bedside.refusal.verb) == (reason, verb)
    assert says in bedside.refusal.text
    assert bedside.refusal.text.endswith(".")


def a_line_connected_beside_its_pump(**rules) -> Bedside:
    bedside = Bedside(a_scenario(lines=(a_ready_line(),), **rules))
    bedside.do(Verb.UNLOAD, line="1")
    bedside.wait(10 * MINUTE)
    return bedside


def test_a_set_that_closes_by_itself_does_not_run_beside_its_pump():
    bedside = a_line_connected_beside_its_pump(closes_when_unloaded=True)
    assert carry(bedside.state, bedside.now_ms).ledger.vein == ()


def test_an_open_set_beside_its_pump_runs_freely_into_the_patient():
    bedside = a_line_connected_beside_its_pump(closes_when_unloaded=False)
    ((fluid, volume),) = carry(bedside.state, bedside.now_ms).ledger.vein
    # 66.2 - 10 mmHg over 0.012 mmHg/(mL/h): 4683 mL/h, in ten minutes all of the bag
    assert (fluid, volume) == ("saline", 510 * MOTES_PER_ML)


def test_one_container_hangs_in_one_place():
    lines = (a_ready_line(1), a_dry_line(2, access="foot"))
    bedside = Bedside(a_scenario(lines=lines))
    bedside.do(Verb.HANG, line="2", role="primary", supply="bag")
    assert bedside.refusal.reason is Refusal.IN_USE


def test_a_running_container_is_not_taken_down():
    bedside = Bedside(a_scenario())
    bedside.run()
    bedside.do(Verb.TAKE_DOWN, line="1", role="primary")
    assert bedside.refusal.reason is Refusal.RUNNING
    bedside.do(Verb.DISCONNECT, line="1", at="access")
    assert bedside.refusal.reason is Refusal.RUNNING


@pytest.mark.parametrize(
    ("site", "says"),
    [(Site.PATENT, "dry and flat"), (Site.INFILTRATED, "swollen"), (Site.DISLODGED, "wet")],
)
def test_a_site_shows_nothing_until_someone_looks(site, says):
    effect = Effect(happening=Happening.SITE_CHANGES, access="hand", site=site)
    bedside = Bedside(a_scenario(events=(an_event("site", Trigger(at_ms=0), effect),)))
    bedside.wait(HOUR)
    assert bedside.state.access[0].seen == ""
    bedside.do(Verb.LOOK_AT_SITE, access="hand")
    seen = bedside.state.access[0]
    assert says in seen.seen
    assert seen.seen.startswith("Left hand")
    assert seen.seen_ms == HOUR


def test_following_a_line_shows_what_holds_it():
    bedside = Bedside(a_scenario(events=(a_block(),)))
    bedside.wait(0)
    bedside.do(Verb.CLOSE_CLAMP, line="1", clamp="patient")
    bedside.do(Verb.FOLLOW_LINE, line="1")
    text = bedside.of_kind("Perceived")[-1].text
    assert "the tubing is bent under the arm" in text
    assert "the patient clamp is closed" in text


def test_following_a_sound_line_finds_nothing():
    bedside = Bedside(a_scenario())
    bedside.do(Verb.FOLLOW_LINE, line="1")
    assert "nothing is bent" in bedside.of_kind("Perceived")[-1].text


def test_a_look_at_the_container_tells_what_is_left():
    bedside = Bedside(a_scenario())
    bedside.run(rate="100", volume="250")
    bedside.wait(HOUR)
    bedside.do(Verb.LOOK_AT_CONTAINER, line="1")
    assert "about 400 mL left" in bedside.of_kind("Perceived")[-1].text


def test_straightening_a_line_that_is_not_bent_changes_nothing():
    bedside = Bedside(a_scenario())
    bedside.do(Verb.STRAIGHTEN, line="1")
    assert bedside.of_kind("Perceived")[-1].text == "Nothing was bent here."


@pytest.mark.parametrize(
    ("mend", "act_done"),
    [
        (Verb.STRAIGHTEN, act(Verb.STRAIGHTEN, line="1")),
        (Verb.REPOSITION, act(Verb.REPOSITION, access="hand")),
        (Verb.OPEN_CLAMP, act(Verb.OPEN_CLAMP, line="1", clamp="patient")),
    ],
)
def test_the_act_that_mends_a_block_frees_the_line(mend, act_done):
    bedside = Bedside(a_scenario(events=(a_block(mend=mend),)))
    bedside.wait(0)
    bedside.do(act_done.verb, **dict(act_done.params))
    assert [type(event).__name__ for event in bedside.log][-1] == "LineFreed"
    assert bedside.state.line(1).blocked_below == ""


def test_inspecting_shows_the_label_and_what_is_wrong():
    bedside = Bedside(a_scenario())
    bedside.do(Verb.INSPECT, supply="bag")
    bedside.do(Verb.LABEL, supply="bag")
    assert "saline 500 mL" in bedside.of_kind("Perceived")[-1].text
    container = bedside.state.container("bag")
    assert (container.inspected, container.labelled) == (True, True)


def test_an_act_that_is_only_noted_changes_nothing_else():
    bedside = Bedside(a_scenario())
    before = bedside.state
    bedside.do(Verb.CLEAN_HANDS)
    assert bedside.state == before
    assert [type(event).__name__ for event in bedside.log] == ["Acted", "Noted"]


def test_parameters_of_any_kind_never_raise():
    state = Bedside(a_scenario()).state
    for verb in Verb:
        for params in ((), (("line", "\x00"),), (("line", "1"), ("role", "é" * 50))):
            events = decide(state, Action(verb, params), at_ms=0, actor="learner")
            assert events

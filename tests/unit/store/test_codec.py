"""Every event survives the log unchanged, under a name that never changes."""

from __future__ import annotations

import json
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.engine.events import Entered, Event, Noted
from trainer.engine.state import Programme
from trainer.errors import LogDamaged, UnknownEvent
from trainer.store.codec import CLASSES, VERSIONS, decode, encode
from trainer.store.upcast import upcast
from trainer.terms import Role, Verb

NAMES = frozenset(
    """
acted air_cleared air_entered air_reached_detector alarm_cause_gone alarm_ended alarm_raised
chamber_drained chamber_filled clamp_moved clock_held connected container_changed
container_emptied disconnected entered event_came event_due finished flushed
front_reached_vein hub_scrubbed hung injected leapt line_blocked line_freed loaded
near_complete noted opened order_ended order_given pace_set perceived
pressure_reached_limit pressure_released primary_height_changed primed refused said
sign_changed site_changed sound_paused sound_resumed spiked started stopped
suction_reached_limit taken_down volume_complete
""".split()  # noqa: SIM905  one glance, one list
)


@pytest.mark.parametrize("kind", sorted(CLASSES))
@settings(deadline=None, max_examples=30)
@given(chosen=st.data())
def test_every_record_comes_back_as_it_was(kind, chosen):
    record = chosen.draw(st.from_type(CLASSES[kind]))
    name, version, payload = encode(record)
    assert decode(name, version, record.at_ms, payload, "here") == record


def test_every_class_of_the_engines_union_has_a_name():
    classes = {part for union in get_args(Event) for part in (get_args(union) or (union,))}
    assert classes <= set(CLASSES.values())


def test_a_name_that_was_once_stored_is_still_known():
    assert set(CLASSES) >= NAMES


def test_amounts_are_json_integers_and_text_stays_text():
    programme = Programme(volume=288_000_000_000, rate_ul_h=40_000, duration_ms=7_200_000)
    event = Entered(at_ms=1, line=1, role=Role.PRIMARY, programme=programme)
    _, _, payload = encode(event)
    assert json.loads(payload) == {
        "line": 1,
        "role": "primary",
        "programme": {"volume": 288_000_000_000, "rate_ul_h": 40_000, "duration_ms": 7_200_000},
        "fluid": "",
    }


def test_a_field_that_an_older_trainer_did_not_write_has_its_default():
    older = '{"line": 1, "role": "primary", "programme": {"volume": 1, "rate_ul_h": 2, "duration_ms": 3}}'
    event = decode("entered", 1, 7, older, "row 3")
    assert isinstance(event, Entered)
    assert event.fluid == ""


@pytest.mark.parametrize(
    ("kind", "version"), [("bed_raised", 1), ("noted", 2), ("", 1)], ids=["kind", "version", "none"]
)
def test_a_row_of_a_newer_trainer_is_named_as_such(kind, version):
    with pytest.raises(UnknownEvent, match=r"row 3: .*update"):
        decode(kind, version, 0, "{}", "row 3")


@pytest.mark.parametrize(
    "payload",
    [
        '{"verb": "start"',
        '["start"]',
        '{"verb": "fly"}',
        '{"verb": 3}',
        "{}",
        '{"verb": "start", "extra": 1}',
        "[" * 100_000,
    ],
    ids=["cut off", "a list", "no such verb", "a number", "field missing", "field unknown", "deep"],
)
def test_a_broken_row_is_told_with_its_place(payload):
    with pytest.raises(LogDamaged, match=r"^row 3: "):
        decode("noted", 1, 0, payload, "row 3")


def test_a_number_is_not_taken_for_a_truth_value():
    with pytest.raises(LogDamaged):
        decode("clamp_moved", 1, 0, '{"line":1,"clamp":"patient","is_open":1}', "here")


def test_an_older_payload_goes_up_step_by_step():
    steps = {
        ("noted", 1): lambda payload: {"act": payload["done"]},
        ("noted", 2): lambda payload: {"verb": payload["act"]},
    }
    assert upcast("noted", 1, {"done": "start"}, 3, steps) == {"verb": "start"}
    assert upcast("noted", 3, {"verb": "start"}, 3, steps) == {"verb": "start"}


def test_a_stored_row_of_an_older_version_is_read_as_todays_event(monkeypatch):
    monkeypatch.setitem(VERSIONS, "noted", 2)
    steps = {("noted", 1): lambda payload: {"verb": payload["done"]}}
    assert decode("noted", 1, 9, '{"done":"start"}', "here", steps) == Noted(
        at_ms=9, verb=Verb.START
    )


def test_a_missing_step_is_damage_not_a_crash(monkeypatch):
    monkeypatch.setitem(VERSIONS, "noted", 2)
    with pytest.raises(LogDamaged):
        decode("noted", 1, 9, '{"done":"start"}', "here", {})

"""One moment of the debrief: the whole bedside, as it truly was and as the learner saw it."""

from __future__ import annotations

import re
import statistics
import time
from functools import cache

import pytest

from tests.rehearsed import SHIPPED
from tests.web.kept import BENT_LINE, rehearsed
from trainer.engine.events import Event
from trainer.engine.replay import state_at
from trainer.scenario.model import Scenario
from trainer.scoring.course import course
from trainer.scoring.report import report, states_after
from trainer.web import render, views_debrief
from trainer.web.ended import AS_SEEN, Attempt, Looking
from trainer.web.views_moment import MomentView, moment

INFILTRATED = "infiltrated-hand"
MIN = 60_000
BLOCKED_MS = 970_000
"""The line of the first scenario is bent, and nobody has followed it yet."""


def scenario_of(name: str) -> Scenario:
    return SHIPPED[name]


def ended(name: str, events: tuple[Event, ...]) -> Attempt:
    scenario = scenario_of(name)
    return Attempt(
        id="ended",
        learner="ida",
        scenario=scenario,
        seed=0,
        events=events,
        report=report(scenario, events),
        course=course(scenario, events),
        versions=(),
        states=states_after(scenario, events),
    )


@cache
def attempt(name: str, conduct: str) -> Attempt:
    return ended(name, rehearsed(conduct, scenario=name))


def at(
    name: str, conduct: str, at_ms: int, *, seen: bool = False, visible: bool = True
) -> MomentView:
    looking = Looking(at_ms=at_ms, contents_visible=visible)
    return moment(attempt(name, conduct), looking.by(AS_SEEN) if seen else looking)


def stations(view: MomentView) -> str:
    return "; ".join(f"{name}: {says}" for name, says in view.lines[0].listed)


# --- as it truly was --------------------------------------------------------------------


def test_a_site_that_swells_unseen_is_marked_with_how_long_nobody_looked():
    view = at(INFILTRATED, "trusts-the-pump", 40 * MIN)
    assert any(
        "infiltrated" in one.text and one.not_since == "not looked at yet" for one in view.unknown
    )
    assert "infiltrated" in stations(view)
    assert [len(map_.rings) for map_ in view.lines[0].maps] == [1, 1]
    assert view.sites[0].differs


def test_a_bent_line_is_crossed_between_the_pump_and_the_tubing_until_it_is_freed():
    bent = at(BENT_LINE, "model", BLOCKED_MS)
    freed = at(BENT_LINE, "model", attempt(BENT_LINE, "model").course.ends_ms)
    assert [map_.held for map_ in bent.lines[0].maps] == [
        ("translate(577 50)",),
        ("translate(46 372)",),
    ]
    assert all(not map_.held for map_ in freed.lines[0].maps)


def test_what_was_found_by_following_the_line_is_not_called_unknown_any_more():
    followed = next(
        one.at_ms
        for one in attempt(BENT_LINE, "model").course.acts
        if one.action.verb == "follow line"
    )
    assert at(BENT_LINE, "model", followed - 1).unknown
    assert not at(BENT_LINE, "model", followed).unknown


def test_a_site_that_was_looked_at_and_has_not_changed_is_known():
    view = at(BENT_LINE, "model", BLOCKED_MS)
    assert view.sites[0].value == "patent"
    assert not view.sites[0].differs


# --- as the learner saw it --------------------------------------------------------------


def test_the_learner_sees_nothing_of_what_nobody_looked_at():
    seen = at(INFILTRATED, "trusts-the-pump", 40 * MIN, seen=True)
    assert "infiltrated" not in render.text("panels/_moment.html", moment=seen)
    assert seen.sites[0].value == "?"
    assert seen.sites[0].note == "not looked at yet"
    assert not seen.unknown


def test_the_learner_sees_no_bend_before_following_the_line():
    seen = render.text("panels/_moment.html", moment=at(BENT_LINE, "model", BLOCKED_MS, seen=True))
    assert "bent" not in seen
    assert 'class="held"' not in seen


def test_signs_are_those_last_seen_with_when():
    true = at("vasopressor-through-a-slow-line", "more-drug-instead-of-the-line", 25 * MIN)
    seen = at(
        "vasopressor-through-a-slow-line", "more-drug-instead-of-the-line", 25 * MIN, seen=True
    )
    moved = [one.name for one in true.signs if one.differs]
    assert moved
    for name in moved:
        then = next(one for one in seen.signs if one.name == name)
        now = next(one for one in true.signs if one.name == name)
        assert then.value != now.value
        assert now.note == f"last seen {then.value} at {then.note.removeprefix('seen ')}"


def test_where_the_bedside_hid_the_contents_the_learner_s_view_hides_them_too():
    hidden = at(BENT_LINE, "model", BLOCKED_MS, seen=True, visible=False)
    shown = at(BENT_LINE, "model", BLOCKED_MS, visible=False)
    assert "mL left" not in stations(hidden)
    assert not any(tube.plugs for map_ in hidden.lines[0].maps for tube in map_.tubes)
    assert "mL left" in stations(shown)
    assert "was not drawn" in shown.hidden


def test_the_way_of_looking_stays_in_every_address_of_the_card():
    card = at(BENT_LINE, "model", BLOCKED_MS, seen=True)
    assert "&as=seen" in card.earlier_href
    assert "&as=seen" in card.later_href
    assert [way.is_on for way in card.ways] == [False, True]
    assert "as=seen" not in card.ways[0].href


def test_an_unknown_way_in_an_address_is_looked_at_as_it_was():
    one = attempt(BENT_LINE, "model")
    assert views_debrief.look(one, "0", "", "", "elsewhere").way == "true"


# --- the picture and its words ------------------------------------------------------------


def test_the_map_is_one_picture_with_its_words_and_has_nothing_to_press():
    card = render.text("panels/_moment.html", moment=at(BENT_LINE, "model", BLOCKED_MS))
    maps = re.findall(r"<svg class=\"map still.*?</svg>", card, re.DOTALL)
    assert len(maps) == 2
    for drawn in maps:
        assert "<a " not in drawn
        assert 'role="img" aria-label="Line 1 as a map.' in drawn


def test_the_record_until_then_is_the_learner_s_own_and_ends_at_the_moment():
    card = at(BENT_LINE, "model", BLOCKED_MS)
    assert card.told[0].text == "Charted what runs"
    assert all(one.time <= "09:06" for one in card.told)


# --- the same as a replay from the beginning, and fast ------------------------------------


@pytest.mark.parametrize("share", range(0, 101, 10))
def test_a_kept_state_is_the_state_of_a_replay(share):
    one = attempt(BENT_LINE, "pressure-not-released")
    at_ms = one.course.ends_ms * share // 100
    assert one.state_at(at_ms) == state_at(one.scenario, one.events, at_ms)


def test_at_every_event_s_own_moment_the_kept_state_holds_what_it_brought():
    one = attempt(INFILTRATED, "model")
    for at_ms in sorted({event.at_ms for event in one.events}):
        assert one.state_at(at_ms) == state_at(one.scenario, one.events, at_ms)


def test_a_moment_is_answered_well_within_a_tenth_of_a_second():
    one = attempt("insulin-hour-by-hour", "model")
    took = []
    for share in range(1, 20):
        begun = time.perf_counter()
        card = moment(one, Looking(at_ms=one.course.ends_ms * share // 20))
        render.text("panels/_moment.html", moment=card)
        took.append(time.perf_counter() - begun)
    assert statistics.median(took) < 0.1

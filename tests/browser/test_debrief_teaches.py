"""The debrief's play head, its two ways to look, its stages and its print, in a real browser."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from tests.browser.conftest import Trainer
from tests.browser.test_bedside_page import serious
from tests.web.kept import IDA, keep, rehearsed
from trainer.web import learner

PHONE, LAPTOP = (360, 740), (1280, 800)
BENT = "/attempts/restart-without-looking/debrief"
UNSEEN = "/attempts/trusts-the-pump/debrief"
FULLEST = (
    ("insulin-hour-by-hour", "tenfold-rate"),
    ("infiltrated-hand", "trusts-the-pump"),
    ("bolus-and-a-dry-bag", "old-rate-runs-on"),
    ("antibiotic-and-air", "small-bag-runs-on"),
    ("antibiotic-and-air", "weight-left-out"),
    ("vasopressor-through-a-slow-line", "more-drug-instead-of-the-line"),
)
"""The conducts that leave the most to print: findings, lanes, chains, facts."""


@pytest.fixture(scope="module")
def full(kept: Trainer) -> Trainer:
    """The trainer, with the conducts in its record that leave the most to say."""
    for scenario, conduct in FULLEST:
        name = f"{scenario}-{conduct}" if conduct == "tenfold-rate" else conduct
        keep(kept.folder, rehearsed(conduct, scenario=scenario), name=name, scenario=scenario)
    return kept


@pytest.fixture
def visit(full: Trainer, browser: Browser) -> Iterator[Callable[..., Page]]:
    """Open a page as the learner whose attempts they are; nothing may complain."""
    contexts, complaints = [], []
    cookie = learner.sign(learner.load_secret(full.folder), IDA)

    def open_page(path: str, *, size=LAPTOP, script=True, **options: Any) -> Page:
        context = browser.new_context(
            viewport={"width": size[0], "height": size[1]}, java_script_enabled=script, **options
        )
        contexts.append(context)
        context.add_cookies([{"name": learner.COOKIE, "value": cookie, "url": full.address}])
        page = context.new_page()
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.goto(full.address + path)
        return page

    yield open_page
    assert complaints == []
    for context in contexts:
        context.close()


def card(page: Page) -> Locator:
    return page.locator("#moment")


def at_ms(page: Page) -> int:
    return int(card(page).get_attribute("data-at") or 0)


def place_on(strip: Locator, share: float) -> tuple[float, float]:
    """A place on the strip, low on it where no stop lies, by its share of the time."""
    strip.scroll_into_view_if_needed()
    box = strip.bounding_box()
    assert box is not None
    left, right, width = (
        float(strip.evaluate(f"one => {each}"))
        for each in ("one.dataset.left", "one.dataset.right", "one.viewBox.baseVal.width")
    )
    x = box["x"] + box["width"] * (left + share * (right - left)) / width
    return x, box["y"] + box["height"] * 0.5


# --- the play head ----------------------------------------------------------------------


def test_a_press_on_the_strip_looks_at_that_moment(visit):
    page = visit(f"{BENT}?at=0")
    strip = page.locator("svg.strip-wide")
    ends = int(strip.get_attribute("data-until") or 0)
    page.mouse.click(*place_on(strip, 0.5))
    expect(card(page)).not_to_have_attribute("data-at", "0")
    assert abs(at_ms(page) - ends / 2) < 5_000
    assert page.locator("#scrub").input_value() == str(at_ms(page))


def test_dragging_moves_the_head_at_once_and_the_card_follows(visit):
    page = visit(f"{BENT}?at=0")
    strip = page.locator("svg.strip-wide")
    begin, end = place_on(strip, 0.1), place_on(strip, 0.9)
    page.mouse.move(*begin)
    page.mouse.down()
    page.mouse.move(*end, steps=40)
    last = float(strip.locator(".here").get_attribute("x1") or 0)
    page.mouse.up()
    ends = int(strip.get_attribute("data-until") or 0)
    right = float(strip.get_attribute("data-right") or 0)
    assert last > right * 0.85
    expect(card(page)).to_have_attribute("data-at", page.locator("#scrub").input_value())
    assert abs(at_ms(page) - ends * 0.9) < ends * 0.01
    expect(page).to_have_url(re.compile(f"at={at_ms(page)}"))


MANY_MOVES = """() => {
  const scrub = document.getElementById("scrub");
  for (let at = 600000; at <= 800000; at += 1000) {
    scrub.value = at;
    scrub.dispatchEvent(new Event("input", { bubbles: true }));
  }
}"""


def test_of_many_moments_wanted_while_one_is_answered_only_the_newest_is_asked_for(visit):
    page = visit(f"{BENT}?at=0")
    asked: list[str] = []
    page.on("request", lambda one: asked.append(one.url) if "/moment?" in one.url else None)
    page.evaluate(MANY_MOVES)
    expect(card(page)).to_have_attribute("data-at", "800000")
    assert [re.findall(r"at=(\d+)", one)[0] for one in asked] == ["600000", "800000"]


def test_the_keys_go_by_seconds_tens_minutes_and_happenings(visit):
    page = visit(f"{BENT}?at=600000")
    page.locator("#scrub").focus()
    for key, then in (
        ("ArrowRight", 601_000),
        ("Shift+ArrowRight", 611_000),
        ("ArrowLeft", 610_000),
        ("Shift+ArrowLeft", 600_000),
        ("PageUp", 660_000),
        ("PageDown", 600_000),
    ):
        page.keyboard.press(key)
        expect(card(page)).to_have_attribute("data-at", str(then))
    stops = [int(one) for one in (page.locator(".scrub").get_attribute("data-stops") or "").split()]
    page.keyboard.press("ArrowUp")
    expect(card(page)).to_have_attribute("data-at", str(min(one for one in stops if one > 600_000)))
    page.keyboard.press("ArrowDown")
    expect(card(page)).to_have_attribute(
        "data-at", str(max(one for one in stops if one <= 600_000))
    )
    expect(page.locator("#scrub")).to_be_focused()


def test_play_runs_on_at_its_pace_until_it_is_stopped(visit):
    page = visit(f"{BENT}?at=600000")
    page.get_by_role("button", name="Play").click()
    page.wait_for_timeout(700)
    page.get_by_role("button", name="Stop").click()
    then = int(page.locator("#scrub").input_value())
    assert then > 605_000
    expect(card(page)).to_have_attribute("data-at", re.compile(r"^(6|7)\d{5}$"))
    page.wait_for_timeout(300)
    assert int(page.locator("#scrub").input_value()) == then


def test_who_wants_no_movement_is_led_from_happening_to_happening(visit):
    page = visit(f"{BENT}?at=600000", reduced_motion="reduce")
    stops = [int(one) for one in (page.locator(".scrub").get_attribute("data-stops") or "").split()]
    page.get_by_role("button", name="Play").click()
    expect(card(page)).to_have_attribute("data-at", str(min(one for one in stops if one > 600_000)))
    page.get_by_role("button", name="Stop").click()
    expect(page.locator("#pace")).to_be_hidden()


# --- as it was, and as it was seen --------------------------------------------------------


def test_the_two_ways_to_look_are_switched_and_stay_while_one_moves_on(visit):
    page = visit(f"{UNSEEN}?at=2400000")
    expect(card(page)).to_contain_text("True, and not known to the learner")
    expect(card(page).locator("svg.map-wide .not-known")).to_have_count(1)
    page.get_by_role("link", name="As the learner saw it").click()
    expect(card(page)).to_contain_text("looked like this to the learner")
    expect(card(page)).not_to_contain_text("infiltrated")
    expect(page.get_by_role("link", name="As the learner saw it")).to_be_focused()
    page.locator("#scrub").focus()
    page.keyboard.press("PageUp")
    expect(card(page)).to_have_attribute("data-at", "2460000")
    expect(card(page)).to_contain_text("looked like this to the learner")
    expect(page).to_have_url(re.compile("as=seen"))
    page.reload()
    expect(card(page)).to_contain_text("looked like this to the learner")


def test_without_script_both_ways_and_every_moment_can_be_read(visit):
    page = visit(f"{UNSEEN}?at=2400000", script=False)
    page.get_by_role("link", name="As the learner saw it").click()
    expect(card(page)).to_contain_text("looked like this to the learner")
    page.get_by_role("link", name="Later").click()
    expect(card(page)).not_to_have_attribute("data-at", "2400000")
    expect(page.get_by_role("button", name="Look", exact=True)).to_be_visible()
    expect(page.get_by_role("button", name="Play")).to_be_hidden()
    page.locator("details.done-well summary").click()
    expect(page.locator("details.done-well li").first).to_be_visible()


@pytest.mark.parametrize("size", [PHONE, LAPTOP], ids=["phone", "laptop"])
def test_the_bedside_as_seen_has_no_serious_finding(visit, size):
    assert serious(visit(f"{UNSEEN}?at=2400000&as=seen", size=size), unfolded=True) == []


# --- stages ---------------------------------------------------------------------------------


def test_the_stages_stay_in_sight_on_a_phone_and_say_where_one_is(visit):
    page = visit(BENT, size=PHONE)
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]
    stages = page.get_by_role("navigation", name="Stages of this debrief")
    for name, section in (("Facts", "happened"), ("Analysis", "analysis"), ("Marks", "marks")):
        stages.get_by_role("link", name=name).focus()
        page.keyboard.press("Enter")
        expect(page.locator(f"#{section}")).to_be_in_viewport()
        box = stages.bounding_box()
        assert box is not None
        assert 0 <= box["y"] < 10
        expect(stages.get_by_role("link", name=name)).to_have_attribute("aria-current", "step")


@pytest.mark.parametrize(
    "path", [BENT, UNSEEN, "/attempts/insulin-hour-by-hour-tenfold-rate/debrief"]
)
def test_nothing_scrolls_sideways_on_a_phone(visit, path):
    page = visit(path, size=PHONE)
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]


def test_a_station_of_a_chain_leads_to_its_finding(visit):
    page = visit("/attempts/insulin-hour-by-hour-tenfold-rate/debrief")
    link = page.locator(".link.entered-here a[href*='finding']").first
    name = (link.get_attribute("href") or "").partition("#")[2]
    link.click()
    expect(page.locator(f"#{name}")).to_be_focused()
    expect(page.locator(f"#{name}")).to_be_in_viewport()


# --- on paper -------------------------------------------------------------------------------


OVERFULL = """() => [...document.querySelectorAll(".paper-page")].filter((one) =>
  one.scrollWidth > one.clientWidth + 1 || one.scrollHeight > one.clientHeight + 2).length"""


@pytest.mark.parametrize(
    "name",
    ["model", "restart-without-looking", "insulin-hour-by-hour-tenfold-rate"]
    + [conduct for _, conduct in FULLEST[1:]],
)
def test_the_debrief_prints_on_exactly_two_pages(visit, name):
    page = visit(f"/attempts/{name}/debrief", size=(718, 900))
    for paper in ("A4", "Letter"):
        printed = page.pdf(format=paper)
        assert len(re.findall(rb"/Type\s*/Page\b", printed)) == 2
    page.emulate_media(media="print")
    assert page.evaluate(OVERFULL) == 0
    expect(page.locator(".paper-notice")).to_have_count(2)
    to_talk = page.locator("#findings .finding").count()
    assert page.locator(".paper-findings li").count() == max(to_talk, 1)
    expect(page.locator(".paper svg.strip-paper")).to_be_visible()
    expect(page.locator("#happened")).to_be_hidden()
    for words in ("Seed", "Versions", "Learner:"):
        expect(page.locator(".paper-foot")).to_contain_text(words)

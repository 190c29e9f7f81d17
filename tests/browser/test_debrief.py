"""The debrief and the pages before the bedside in a real browser."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import Trainer
from tests.browser.test_bedside_page import serious
from tests.web.kept import BENT_LINE, IDA
from trainer.web import learner

PHONE, LAPTOP, PROJECTOR = (360, 740), (1280, 800), (1920, 1080)
SIZES = {"phone": PHONE, "laptop": LAPTOP, "projector": PROJECTOR}
PAGES = {
    "choose": "/",
    "prebrief": f"/scenarios/{BENT_LINE}",
    "about": "/about",
    "nothing to mend": "/attempts/model/debrief",
    "much to mend": "/attempts/order-not-questioned/debrief",
    "while the alarm is on": "/attempts/restart-without-looking/debrief?at=1000000",
}


@pytest.fixture
def visit(kept: Trainer, browser: Browser) -> Iterator[Callable[..., Page]]:
    """Open a page of the trainer as the learner whose attempts they are."""
    contexts = []
    cookie = learner.sign(learner.load_secret(kept.folder), IDA)

    def open_page(path: str, *, size=LAPTOP, scheme="light", script=True) -> Page:
        context = browser.new_context(
            viewport={"width": size[0], "height": size[1]},
            color_scheme=scheme,
            java_script_enabled=script,
        )
        contexts.append(context)
        context.add_cookies([{"name": learner.COOKIE, "value": cookie, "url": kept.address}])
        page = context.new_page()
        page.goto(kept.address + path)
        return page

    yield open_page
    for context in contexts:
        context.close()


@pytest.mark.parametrize("where", list(PAGES))
def test_no_page_has_a_serious_finding_on_a_phone_or_scrolls_sideways(visit, where):
    page = visit(PAGES[where], size=PHONE)
    assert serious(page, unfolded=True) == []
    for width, height in SIZES.values():
        page.set_viewport_size({"width": width, "height": height})
        assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("where", ["choose", "prebrief", "while the alarm is on"])
def test_in_the_dark_no_page_has_a_serious_finding(visit, where):
    assert serious(visit(PAGES[where], size=LAPTOP, scheme="dark"), unfolded=True) == []


def shown(page: Page) -> str:
    """The strip that this window shows."""
    return "svg.strip-wide" if page.locator("svg.strip-wide").is_visible() else "svg.strip-narrow"


@pytest.mark.parametrize("size", ["phone", "laptop"])
def test_a_number_on_the_strip_moves_the_play_head_and_leads_to_its_finding(visit, size):
    page = visit("/attempts/order-not-questioned/debrief", size=SIZES[size])
    strip = page.locator(shown(page))
    before = strip.locator(".here").get_attribute("x1")
    strip.locator("a.stop.miss").last.click()
    expect(page.locator(".finding.lit")).to_be_focused()
    expect(page.locator("#moment-title time")).to_have_text("08:52")
    assert strip.locator(".here").get_attribute("x1") != before
    assert "at=" in page.url


def test_a_finding_leads_back_to_its_moment(visit):
    page = visit("/attempts/restart-without-looking/debrief?at=0")
    expect(page.locator("#moment-title time")).to_have_text("08:50")
    page.locator(".finding.miss a.see").first.click()
    expect(page.locator("#moment-title time")).to_have_text("09:07")


def test_the_keyboard_alone_walks_through_the_moments(visit):
    page = visit("/attempts/restart-without-looking/debrief?at=0")
    later = page.get_by_role("link", name="Later")
    later.focus()
    times: list[str] = []
    for _ in range(6):
        page.keyboard.press("Enter")
        expect(page.locator("#moment")).not_to_have_attribute(
            "data-at", times[-1] if times else "0"
        )
        times.append(page.locator("#moment").get_attribute("data-at") or "")
        expect(page.get_by_role("link", name="Later")).to_be_focused()
    assert times == sorted(times, key=int)
    assert len(set(times)) == 6


def test_the_slider_moves_the_play_head_by_arrow_keys(visit):
    page = visit("/attempts/model/debrief?at=600000")
    slider = page.locator("#scrub")
    slider.focus()
    for _ in range(5):
        page.keyboard.press("ArrowRight")
    expect(page.locator("#moment")).to_have_attribute("data-at", "605000")
    assert slider.get_attribute("aria-valuetext") == "09:00"


def test_a_phone_sees_the_upright_strip_with_stops_as_large_as_a_fingertip(visit):
    page = visit("/attempts/order-not-questioned/debrief", size=PHONE)
    expect(page.locator("svg.strip-wide")).to_be_hidden()
    for stop in page.locator("svg.strip-narrow a.stop circle").all():
        box = stop.bounding_box()
        assert box["width"] >= 24
        assert box["height"] >= 24


def test_without_script_the_same_links_show_the_same_moment(visit):
    page = visit("/attempts/restart-without-looking/debrief?at=0", script=False)
    page.locator("svg.strip-wide a.stop.miss").first.click()
    expect(page.locator("#moment-title time")).to_have_text("09:07")
    assert re.search(r"#finding-", page.url)


def test_trying_again_goes_to_a_bedside_with_other_numbers(visit):
    page = visit("/attempts/model/debrief")
    page.get_by_role("button", name="Try again with other numbers").click()
    page.wait_for_url(re.compile(r"/attempts/[^/]+$"))
    assert "/attempts/model" not in page.url

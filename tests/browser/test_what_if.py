"""What if? in a real browser: from the debrief to the question, the answer, and back."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import Trainer
from tests.browser.test_bedside_page import serious
from tests.web.kept import IDA, rehearsed
from trainer.scoring.record import deeds
from trainer.terms import Verb
from trainer.web import learner

PHONE, LAPTOP = (360, 740), (1280, 800)


def act_of(conduct: str, verb: Verb) -> int:
    """Where in the log of a scripted run the first such act stands."""
    return next(one.index for one in deeds(rehearsed(conduct)) if one.action.verb is verb)


@pytest.fixture(scope="module")
def entered() -> str:
    """The address of the question about a rate that was entered ten times too high."""
    return f"/attempts/tenfold-rate/what-if?deed={act_of('tenfold-rate', Verb.ENTER)}"


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


def both_courses(page: Page, size: str) -> None:
    """Both courses stand in the picture that this window shows, and in words."""
    picture = page.locator(f"svg.strip-{size}").first
    expect(picture).to_be_visible()
    for which in ("was", "then"):
        line = picture.get_by_role("img", name=f"line 1, rate in mL/h, {which}")
        box = line.bounding_box()
        assert box is not None
        assert box["width"] > 100
    expect(picture.locator("text", has_text="was 548").first).to_be_visible()
    expect(picture.locator("text", has_text="then 54.8").first).to_be_visible()


@pytest.mark.parametrize(("size", "shown"), [(LAPTOP, "wide"), (PHONE, "narrow")])
def test_from_a_finding_of_the_debrief_to_its_right_value_and_back(visit, size, shown):
    page = visit("/attempts/tenfold-rate/debrief", size=size)
    finding = page.locator(".finding.miss", has_text="548 mL/h").first
    finding.locator('a[href*="/what-if?"]').last.click()
    expect(page.locator("#act")).to_contain_text("at 548 mL/h")
    page.get_by_role("link", name="with the right value").click()
    expect(page.locator("#answer-title")).to_contain_text("54.8 mL/h")
    both_courses(page, shown)
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    page.get_by_role("link", name="Back to the debrief").click()
    expect(page.locator("#moment-title time")).to_contain_text("08:55")


def test_the_keyboard_alone_asks_for_another_rate(visit, entered):
    page = visit(entered)
    rate = page.get_by_label("rate", exact=True)
    for _ in range(40):
        page.keyboard.press("Tab")
        if rate.evaluate("one => one === document.activeElement"):
            break
    expect(rate).to_be_focused()
    page.keyboard.press("Control+A")
    page.keyboard.type("54.8")
    page.keyboard.press("Enter")
    expect(page.locator("#answer")).to_be_focused()
    both_courses(page, "wide")
    expect(page.locator(".if-differences")).to_contain_text("better")


def test_the_act_is_moved_by_a_ready_choice_and_marked_at_both_times(visit):
    deed = act_of("model", Verb.STRAIGHTEN)
    page = visit(f"/attempts/model/what-if?deed={deed}", size=PHONE)
    page.get_by_role("link", name="5 min later").click()
    picture = page.locator("svg.strip-narrow").first
    expect(picture.locator("text", has_text="done 09:07:14")).to_be_visible()
    expect(picture.locator("text", has_text="then 09:12:14")).to_be_visible()


def test_what_cannot_be_read_is_said_beside_the_field_which_keeps_it(visit, entered):
    page = visit(entered)
    page.get_by_label("… done it at").fill("soon")
    page.get_by_label("… done it at").press("Enter")
    expect(page.get_by_role("alert").filter(has_text="`soon` is no time")).to_be_focused()
    expect(page.get_by_label("… done it at")).to_have_value("soon")


@pytest.mark.parametrize("script", [True, False], ids=["with script", "without script"])
def test_the_list_of_acts_is_shortened_by_a_word(visit, script):
    page = visit("/attempts/model/what-if", script=script)
    page.get_by_label("Only acts with").fill("clamp")
    if not script:
        page.get_by_role("button", name="Find").click()
    expect(page.locator("[data-find-count]")).to_contain_text(re.compile(r"^1 of \d+ acts"))
    page.get_by_role("link", name="Opened the primary clamp").click()
    expect(page.locator("#act")).to_contain_text("Opened the primary clamp")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_neither_list_nor_answer_has_a_serious_finding_on_a_phone(visit, entered, scheme):
    for address in ("/attempts/tenfold-rate/what-if", f"{entered}&how=changed&rate=54.8"):
        page = visit(address, size=PHONE, scheme=scheme)
        assert serious(page, unfolded=True) == []
        assert page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]


def test_the_answer_prints_with_the_notice_and_without_the_form(visit, entered):
    page = visit(f"{entered}&how=changed&rate=54.8")
    page.emulate_media(media="print")
    expect(page.locator(".notice")).to_be_visible()
    expect(page.locator("svg.strip-wide").first).to_be_visible()
    expect(page.locator("#act")).to_be_visible()
    expect(page.locator("#question")).to_be_hidden()
    assert len(re.findall(rb"/Type\s*/Page\b", page.pdf(prefer_css_page_size=True))) <= 2

"""The bedside on a screen: updates, what was typed, keys, widths, light, and a dead server."""

from __future__ import annotations

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from tests.browser.learner import (
    Student,
    question_the_order,
    wait_for_the_alarm,
)


def serious(page, *, unfolded: bool = False) -> list[str]:
    """The serious and critical findings of axe-core on a page, if asked with all unfolded."""
    if unfolded:
        page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
    found = Axe().run(page).response["violations"]
    return [
        f"{one['id']}: {node['html'][:160]}"
        for one in found
        if one["impact"] in ("serious", "critical")
        for node in one["nodes"]
    ]


def test_the_third_value_appears_while_typing_and_is_not_sent(open_page):
    student = Student(open_page().page)
    student.arrive()
    give = student.page.locator("#give-1")
    give.locator('[name="volume"]').press_sequentially("112.8")
    give.locator('[name="hours"]').press_sequentially("2")
    rate = give.locator('[name="rate"]')
    expect(rate).to_have_attribute("placeholder", "56.4")
    expect(rate).to_have_class(re.compile("third"))
    expect(rate).to_have_value("")
    expect(student.page.locator("#third-1")).to_have_text("112.8 mL over 2 h at 56.4 mL/h")


def test_a_second_tab_shows_what_the_first_does_without_a_reload(open_page):
    watched = open_page()
    student = Student(watched.page)
    student.arrive()
    other = watched.page.context.new_page()
    other.goto(student.page.url)
    expect(other.locator("#clock")).to_have_attribute("data-seen", "0")
    other.evaluate("window.notReloaded = true")
    student.do("Clean your hands")
    expect(other.locator("#record")).to_contain_text("Cleaned hands")
    assert other.evaluate("window.notReloaded") is True


def test_what_is_being_typed_and_the_focus_outlast_a_push(open_page):
    watched = open_page()
    student = Student(watched.page)
    student.arrive()
    question_the_order(student)
    typing = student.page.locator("#work-maintenance-today-rate .worked")
    typing.press_sequentially("54.")
    other = watched.page.context.new_page()
    other.goto(student.page.url)
    Student(other).do("Clean your hands")
    expect(student.page.locator("#record li").first).to_contain_text("Cleaned hands")
    student.page.keyboard.type("8 mL/h")
    expect(typing).to_have_value("54.8 mL/h")
    expect(typing).to_be_focused()


def test_a_refused_act_says_why_where_it_is_seen_and_read_out(open_page):
    student = Student(open_page().page)
    student.arrive()
    student.at("primary-container", "Spike it")
    slip = student.page.locator("#slip")
    expect(slip).to_contain_text("Not possible:")
    expect(slip).to_have_attribute("aria-live", "polite")


def test_a_double_click_acts_once(open_page):
    student = Student(open_page().page)
    student.arrive()
    student.page.get_by_role("button", name="Clean your hands").dblclick()
    expect(student.page.locator("#record")).to_contain_text("Cleaned hands")
    student.do("Check the allergies")
    expect(student.page.locator("#record li", has_text="Cleaned hands")).to_have_count(1)


def test_pressing_twice_on_purpose_acts_twice(open_page):
    student = Student(open_page().page)
    student.arrive()
    student.do("Clean your hands")
    student.do("Clean your hands")
    expect(student.page.locator("#record li", has_text="Cleaned hands")).to_have_count(2)


def test_the_ward_clock_and_the_volume_move_between_happenings(at_the_running_line):
    student = at_the_running_line()
    student.press(student.page.get_by_role("button", name="Ward clock 60 times as fast"))
    given = student.page.locator('#running-1 [data-show="given"]')
    before, clock = given.inner_text(), student.page.locator(".clock-time").inner_text()
    expect(given).not_to_have_text(before)
    expect(student.page.locator(".clock-time")).not_to_have_text(clock)


def test_an_alarm_is_an_alert_with_its_priority_in_words_and_marks(at_the_alarm):
    student = at_the_alarm()
    alert = student.page.get_by_role("alert").filter(has_text="High priority")
    expect(alert).to_contain_text("Downstream occlusion, line 1")
    expect(alert.locator(".marks")).to_have_text("!!!")
    assert serious(student.page) == []
    student.do("Pause the sound for 2 min")
    expect(student.page.locator("[data-pause-left]")).to_contain_text("left on the ward clock")


def test_an_alarm_sounds_until_it_is_paused_and_can_be_switched_off_for_the_page(
    at_the_running_line,
):
    student = at_the_running_line()
    page = student.page
    student.do("Look at the patient")
    expect(page.get_by_role("button", name="Sound is on")).to_be_visible()
    wait_for_the_alarm(student)
    expect(page.locator("html")).to_have_attribute("data-sounding", "high")
    student.do("Pause the sound for 2 min")
    expect(page.locator("html")).to_have_attribute("data-sounding", "")
    student.press(page.get_by_role("button", name="Sound is on"))
    page.reload()
    student.do("Clean your hands")
    expect(page.get_by_role("button", name="Sound is off")).to_be_visible()
    expect(page.locator(".alarm-high")).to_be_visible()


def test_with_reduced_motion_the_light_stands_still_and_stays_red(at_the_alarm):
    student = at_the_alarm(reduced_motion="reduce")
    lamp = student.page.locator(".alarm-high .lamp")
    assert lamp.evaluate("one => getComputedStyle(one).animationName") == "none"
    assert lamp.evaluate("one => getComputedStyle(one).fill") == "rgb(179, 18, 29)"


def test_keys_open_their_list_enlarge_the_values_and_stay_out_of_the_way_of_typing(open_page):
    student = Student(open_page().page)
    student.arrive()
    page = student.page
    page.keyboard.press("?")
    expect(page.locator("#keys")).to_be_visible()
    page.keyboard.press("Escape")
    expect(page.locator("#keys")).to_be_hidden()
    page.keyboard.press("v")
    expect(page.locator("#chart")).to_be_hidden()
    expect(page.locator("#running-1")).to_be_visible()
    size = page.locator("#running-1 .counters b").first.evaluate(
        "one => parseFloat(getComputedStyle(one).fontSize)"
    )
    assert size >= 100
    page.keyboard.press("Escape")
    expect(page.locator("#chart")).to_be_visible()
    page.keyboard.press("g")
    volume = page.locator('#give-1 [name="volume"]')
    expect(volume).to_be_focused()
    page.keyboard.type("v7")
    expect(volume).to_have_value("v7")
    expect(page.locator("#chart")).to_be_visible()


def test_the_skip_link_comes_first_and_leads_to_the_content(open_page):
    student = Student(open_page().page)
    student.arrive()
    student.page.reload()
    student.page.keyboard.press("Tab")
    expect(student.page.locator(".skip")).to_be_focused()
    student.page.keyboard.press("Enter")
    expect(student.page.locator("#main")).to_be_focused()


@pytest.mark.parametrize(
    ("width", "height", "wider"), [(360, 740, 768), (1280, 800, 1920)], ids=["hand", "desk"]
)
def test_nothing_scrolls_sideways_and_axe_finds_nothing_serious(open_page, width, height, wider):
    page = open_page(width, height).page
    Student(page).arrive()
    assert serious(page) == []
    for each in (width, wider):
        page.set_viewport_size({"width": each, "height": height})
        assert page.evaluate("document.documentElement.scrollWidth") <= each


def test_large_text_doubles_it_and_still_nothing_scrolls_sideways(open_page):
    student = Student(open_page(1280, 800).page)
    student.arrive()
    student.press(student.page.get_by_role("button", name="Large text"))
    page = student.page
    assert page.evaluate("parseFloat(getComputedStyle(document.documentElement).fontSize)") == 32
    assert page.evaluate("document.documentElement.scrollWidth") <= 1280
    page.reload()
    assert page.evaluate("parseFloat(getComputedStyle(document.documentElement).fontSize)") == 32


def test_in_the_dark_ward_axe_finds_nothing_serious(open_page):
    student = Student(open_page(color_scheme="dark").page)
    student.arrive()
    student.at("pump", "Lay the set into the pump")
    assert serious(student.page) == []


def test_on_a_phone_parts_are_as_large_as_thumbs_and_the_map_stands_upright(open_page):
    student = Student(open_page(360, 740, has_touch=True).page)
    student.arrive()
    page = student.page
    expect(page.locator(".map-wide")).to_be_hidden()
    tops = []
    for part in page.locator(".map-upright .station").all():
        box = part.bounding_box()
        assert box is not None
        tops.append(box["y"])
        assert box["width"] >= 44
        assert box["height"] >= 44
    assert tops == sorted(tops)


def test_on_a_phone_the_give_sentence_and_its_start_button_fit_one_screen(open_page):
    student = Student(open_page(360, 740).page)
    student.arrive()
    part = student.page.locator(".give-part").bounding_box()
    assert part is not None
    assert part["height"] <= 740 - 260  # what the patient's band, the slip and the tabs take


def test_a_long_name_stays_on_the_map_and_the_newest_word_in_sight(open_page):
    student = Student(open_page(1280, 740).page)
    student.arrive("vasopressor-through-a-slow-line")
    page = student.page
    drawn = page.locator(".path-part").bounding_box()
    assert drawn is not None
    for name in page.locator(".map-wide .nm").all():
        box = name.bounding_box()
        assert box is not None
        assert drawn["x"] <= box["x"]
        assert box["x"] + box["width"] <= drawn["x"] + drawn["width"], name.inner_text()
    page.set_viewport_size({"width": 360, "height": 740})
    for _ in range(2):
        student.do("Inspect it", "#trolley .supply:first-child")
        newest, slip = (
            page.locator("#slip li").last.bounding_box(),
            page.locator("#slip").bounding_box(),
        )
        assert newest is not None
        assert slip is not None
        assert newest["y"] + newest["height"] <= slip["y"] + slip["height"] + 1


def test_everything_to_press_is_at_least_24_by_24_and_mostly_44_high(open_page):
    student = Student(open_page().page)
    student.arrive()
    for button in student.page.locator("button:visible").all():
        box = button.bounding_box()
        assert box is not None
        assert box["height"] >= 44, button.inner_text()


def test_without_script_the_bedside_works_by_plain_forms(open_page):
    watched = open_page(java_script_enabled=False)
    page = watched.page
    page.goto("/")
    page.locator('a[href="/scenarios/maintenance-and-a-bent-line"]').click()
    page.get_by_role("button", name="Begin").first.click()
    page.get_by_role("button", name="Clean your hands").click()
    expect(page.locator("#record")).to_contain_text("Cleaned hands")
    page.locator('.map-wide .station[data-drawer="at-1-primary-clamp"]').click()
    page.get_by_role("button", name="Open the clamp").first.click()
    expect(page.locator("#record")).to_contain_text("Opened the primary clamp")


def test_without_its_stream_a_page_asks_now_and_then(browser, trainer):
    context = browser.new_context(base_url=trainer.address)
    student = Student(context.new_page())
    student.arrive()
    other = context.new_page()
    other.route("**/stream*", lambda route: route.abort())
    other.clock.install()
    other.goto(student.page.url)
    student.do("Clean your hands")
    other.clock.fast_forward(10_000)
    expect(other.locator("#record")).to_contain_text("Cleaned hands")
    context.close()


def test_the_chart_prints_with_orders_flowsheet_and_notice_and_without_buttons(open_page):
    student = Student(open_page().page)
    student.arrive()
    student.chart("site", "soft and dry")
    page = student.page
    page.emulate_media(media="print")
    for part in (".notice", "#orders", "#flowsheet", "#record", ".wrist"):
        expect(page.locator(part)).to_be_visible()
    assert page.locator("button:visible").count() == 0


def test_a_killed_server_loses_nothing_and_the_page_goes_on_by_itself(browser, own_trainer):
    first = own_trainer(0)
    context = browser.new_context(base_url=first.address)
    student = Student(context.new_page())
    student.arrive()
    student.do("Clean your hands")
    first.kill()
    student.press(student.page.get_by_role("button", name="Check the allergies"))
    expect(student.page.locator("#fault")).to_contain_text("The trainer does not answer.")
    own_trainer(first.port)
    expect(student.page.locator("#fault")).to_be_empty(timeout=60_000)
    student.do("Check the allergies")
    record = student.page.locator("#record")
    expect(record).to_contain_text("Cleaned hands")
    expect(record).to_contain_text("Checked the allergies")
    context.close()

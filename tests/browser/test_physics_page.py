"""What moves on the page as physics has it: a drip set by hand, and plugs in the tubing."""

from __future__ import annotations

import re

from playwright.sync_api import expect

from tests.browser.learner import Student
from tests.browser.test_bedside_page import serious
from tests.web.three_lines import NAME


def test_a_drip_is_set_by_clamp_and_count_on_a_phone_by_keyboard(open_page):
    student = Student(open_page(width=360, height=780).page)
    student.arrive(NAME)
    page = student.page
    line = page.locator("#at-line-2")
    slider = line.locator(".hand-part .slider")
    drops = page.locator("#line-2 .station[data-drops]:visible")
    before = int(drops.get_attribute("data-drops") or 0)
    slider.focus()
    page.keyboard.press("PageUp")  # ten percent more
    expect(line.locator('.hand-part [name="opening"]')).to_have_value("26")
    expect(page.locator("#line-2")).to_have_attribute("data-opening", "26")
    assert int(drops.get_attribute("data-drops") or 0) > before
    student.act(line.locator(".hand-part").get_by_role("button", name="Count drops"))
    expect(page.locator("#running-2 .counters")).to_contain_text("drops/min at 08:0")
    expect(page.locator("#running-2 .counters")).to_contain_text("mL/h")
    expect(line.locator(".drops-told")).to_be_hidden()
    student.press(line.locator(".hand-part [data-hear]"))
    expect(page.locator("html")).to_have_attribute("data-drops", re.compile(r"\d+"))
    assert page.evaluate("document.documentElement.scrollWidth") == 360
    assert serious(page) == []


def test_plugs_move_to_the_vein_as_the_syringe_pushes_them(open_page):
    student = Student(open_page().page)
    student.arrive(NAME)
    page = student.page
    drawer = page.locator("#at-3-tubing")
    student.act(page.locator("#at-line-3 .go").get_by_role("button", name="Stop"))
    student.press(page.locator('.station[data-drawer="at-3-tubing"]:visible'))
    drawer.locator('[name="volume"]').fill("0.6")
    student.act(drawer.get_by_role("button", name="Flush"))
    plain = page.locator('#line-3 .map-wide [data-tube="below"] .tone-fluid')
    expect(plain).to_have_attribute("stroke-dasharray", "500.0 2000")  # 0.6 of 1.2 mL
    expect(plain).to_have_attribute("stroke-dashoffset", "0.0")
    give = page.locator("#give-3")
    give.locator('[name="volume"]').fill("6")
    give.locator('[name="rate"]').fill("6")  # fast enough to fill what the flush left slack
    student.act(give.get_by_role("button"))
    student.act(page.locator("#at-line-3 .go").get_by_role("button", name="Start line 3"))
    student.press(page.get_by_role("button", name="Ward clock 60 times as fast"))
    expect(plain).not_to_have_attribute("stroke-dashoffset", "0.0")
    lying = page.locator("#line-3 [data-lying]")
    expect(lying).not_to_have_text("0.6 mL")
    offset = -float(plain.get_attribute("stroke-dashoffset") or 0)
    assert 0 < offset <= 1000


def test_with_reduced_motion_no_drop_falls_and_the_count_is_told(open_page):
    student = Student(open_page(reduced_motion="reduce").page)
    student.arrive(NAME)
    expect(student.page.locator("#line-2 .drops-told")).to_contain_text("drops/min")
    expect(student.page.locator("#line-2 .drop").first).to_have_css("opacity", "0")

"""The student does the first scenario, rightly and wrongly, from choosing to the debrief."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.browser.learner import (
    KeyboardStudent,
    Student,
    mend_rightly,
    prepare_the_line,
    question_the_order,
    start_rightly,
    wait_for_the_alarm,
)


@pytest.mark.parametrize("hands", [Student, KeyboardStudent])
def test_a_student_who_does_everything_rightly_finds_nothing_to_mend(open_page, hands):
    student = hands(open_page().page)
    student.begin()
    question_the_order(student)
    prepare_the_line(student)
    start_rightly(student)
    wait_for_the_alarm(student)
    mend_rightly(student)
    expect(student.page.locator("#running-1")).to_contain_text("running")
    student.end()
    expect(student.page.locator("main")).to_contain_text("Nothing to mend")


def test_ten_times_the_rate_is_found_and_named_in_the_debrief(at_the_ready_line):
    student = at_the_ready_line()
    student.give(volume="109.6", rate="548")
    student.do("Start line 1")
    student.end()
    findings = student.page.locator("main")
    expect(findings).not_to_contain_text("Nothing to mend")
    expect(findings).to_contain_text("548 mL/h")
    expect(findings).to_contain_text("54.8 mL/h")


def test_starting_again_before_looking_at_the_site_is_found_in_the_debrief(at_the_alarm):
    student = at_the_alarm()
    student.at("tubing", "Release pressure away from the patient")
    student.at("tubing", "Straighten the tubing")
    student.at("pump", "Reset the alarm")
    student.do("Start line 1")
    student.end()
    findings = student.page.locator("main")
    expect(findings).to_contain_text("Fluid must not be pressed into a site")

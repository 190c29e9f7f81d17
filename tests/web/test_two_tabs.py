"""Double clicks, two tabs, a page that is behind, and a server that was killed."""

from __future__ import annotations

from tests.web.at_bedside import OPEN_PAGE, Visit, begin, panel, panels_in
from tests.web.kept import browsing


def done(visit: Visit) -> int:
    return visit.client.get(f"{visit.address}/record").text.count("Cleaned hands")


def test_a_double_click_counts_once(visit):
    for _ in range(2):
        visit.act("clean hands", token="one-press", seen=0)
    assert done(visit) == 1


def test_a_double_click_still_gets_the_page_as_it_is(visit):
    first = visit.act("clean hands", token="one-press", seen=0)
    again = visit.act("clean hands", token="one-press", seen=0)
    assert panel(first, "record") == panel(again, "record")


def test_the_same_act_pressed_again_counts_again(visit):
    visit.act("clean hands", token="first-press")
    visit.act("clean hands", token="second-press")
    assert done(visit) == 2


def test_one_token_does_not_swallow_another_act(visit):
    visit.act("clean hands", token="shared")
    pieces = visit.act("identify patient", token="shared")
    assert "Identified the patient" in panel(pieces, "record")


def test_without_script_the_same_form_from_the_same_page_counts_once(visit):
    for _ in range(2):
        visit.client.post(
            f"{visit.address}/acts",
            data={"verb": "clean hands", "seen": "0"},
            follow_redirects=False,
        )
    assert done(visit) == 1


def test_an_act_from_a_page_that_is_behind_counts_and_says_what_it_missed(visit):
    visit.act("check allergies", seen=0)
    pieces = visit.act("clean hands", seen=0)
    slip = panel(pieces, "slip")
    assert "This page was behind. Meanwhile:" in slip
    assert "Checked the allergies" in slip
    assert done(visit) == 1


def test_a_page_that_is_up_to_date_is_not_called_behind(visit):
    visit.act("check allergies", seen=0)
    pieces = visit.act("clean hands", seen=visit.seen())
    assert "This page was behind" not in pieces


def test_the_second_tab_asks_and_gets_what_the_first_one_did(visit):
    before = visit.seen()
    visit.act("close clamp", line="1", clamp="patient")
    answer = visit.client.get(f"{visit.address}/panels?after={before}", headers=OPEN_PAGE)
    assert {"line-1", "record", "slip", "clock"} <= panels_in(answer.text)


def test_a_tab_that_is_up_to_date_gets_nothing(visit):
    visit.act("clean hands")
    answer = visit.client.get(f"{visit.address}/panels?after={visit.seen()}")
    assert answer.status_code == 204
    assert answer.text == ""


def test_a_tab_with_a_number_from_elsewhere_gets_everything(visit):
    answer = visit.client.get(f"{visit.address}/panels?after=9999")
    assert {"orders", "trolley", "line-1", "running-1", "alarms"} <= panels_in(answer.text)


def test_a_new_server_on_the_same_record_goes_on_where_the_log_ends(tmp_path):
    with browsing(tmp_path) as client:
        visit = begin(client)
        visit.act("clean hands", token="press")
        cookies = dict(client.cookies)
    with browsing(tmp_path) as client:
        client.cookies.update(cookies)
        again = Visit(client, visit.address)
        assert "Cleaned hands" in again.page()
        again.act("clean hands", token="press")
        assert done(again) == 1

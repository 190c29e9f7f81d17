"""The bedside: beginning, looking, acting, the ward clock, and the end."""

from __future__ import annotations

import json

import pytest

from tests.web.at_bedside import OPEN_PAGE, begin, panel, panels_in, set_up
from tests.web.kept import BENT_LINE
from trainer.terms import TRAINING_NOTICE


def test_beginning_leads_to_the_bedside_and_remembers_the_learner(client):
    answer = client.post("/attempts", data={"scenario": BENT_LINE}, follow_redirects=False)
    assert answer.status_code == 303
    assert answer.headers["location"].startswith("/attempts/")
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=lax" in cookie


def test_a_scenario_that_does_not_exist_gets_a_page_that_says_so(client):
    answer = client.post("/attempts", data={"scenario": "no-such"}, follow_redirects=False)
    assert answer.status_code == 404
    assert "There is no such scenario" in answer.text
    assert BENT_LINE in answer.text


def test_a_seed_changes_the_numbers_and_the_same_seed_gives_the_same(client):
    weights = [
        panel_of_wrist(begin(client, seed=seed).page()) for seed in ("", "0", "7", "7", "11")
    ]
    assert weights[0] == weights[1] == "17.4 kg"
    assert weights[2] == weights[3]
    assert len(set(weights)) > 1


def panel_of_wrist(page: str) -> str:
    return page.partition('wrist-weight num">')[2].partition("<")[0]


@pytest.mark.parametrize("seed", ["-1", "seven", "1.5", "99999999999", "٣"])
def test_a_seed_that_is_no_whole_number_is_told_with_the_mend(client, seed):
    answer = client.post("/attempts", data={"scenario": BENT_LINE, "seed": seed})
    assert answer.status_code == 400
    assert "The seed is a whole number" in answer.text


def test_the_bedside_shows_who_lies_here_the_ward_clock_orders_and_the_notice(visit):
    page = visit.page()
    for text in ("Linnea Arvo", "17.4 kg", "4 years 7 months", "none known", "08:50:0"):
        assert text in page
    assert "maintenance by the 4-2-1 rule for 15 kg" in page
    assert TRAINING_NOTICE in page


def test_an_order_that_has_not_come_yet_is_not_on_the_page(visit):
    assert "by phone" not in visit.page()


def test_an_act_brings_back_only_the_panels_that_it_changed(visit):
    pieces = visit.act("clean hands", seen=0)
    assert panels_in(pieces) == {"clock", "slip", "record"}
    assert "Cleaned hands" in panel(pieces, "record")


def test_an_act_on_a_line_redraws_that_line(visit):
    pieces = visit.act("close clamp", line="1", clamp="patient", seen=0)
    assert {"line-1", "running-1"} <= panels_in(pieces)
    assert "clamp: closed" in panel(pieces, "line-1")


def test_an_impossible_act_is_refused_on_the_page_with_its_reason(visit):
    pieces = visit.act("spike", line="1", role="primary", seen=0)
    assert "Not possible:" in panel(pieces, "slip")
    record = panel(pieces, "record")
    assert "Not possible:" in record
    assert "Tried: Spiked the primary container of line 1" in record


def test_a_value_that_cannot_be_read_is_refused_with_how_to_write_it(visit):
    set_up(visit)
    pieces = visit.act("enter", line="1", role="primary", volume="a lot", rate="50")
    assert "Not possible:" in panel(pieces, "slip")
    assert "waits for start" not in visit.page()


def test_a_plain_form_without_script_is_answered_by_the_whole_page(visit):
    answer = visit.client.post(
        f"{visit.address}/acts", data={"verb": "clean hands"}, follow_redirects=False
    )
    assert answer.status_code == 303
    assert answer.headers["location"] == visit.address
    assert "Cleaned hands" in visit.page()


def test_the_give_sentence_waits_until_start_and_is_then_in_force(visit):
    set_up(visit)
    waiting = visit.act("enter", line="1", role="primary", volume="109.6", hours="2")
    assert "waits for start" in panel(waiting, "running-1")
    assert "109.6 mL over 2 h at 54.8 mL/h" in panel(waiting, "running-1")
    running = panel(visit.act("start", line="1"), "running-1")
    assert "in force" in running
    assert "waits for start" not in running
    assert 'data-pump="54800"' in running


def test_hours_and_minutes_travel_as_one_duration(visit):
    set_up(visit)
    pieces = visit.act("enter", line="1", role="primary", volume="75", hours="1", minutes="30")
    assert "75 mL over 1 h 30 min at 50 mL/h" in panel(pieces, "running-1")


def test_the_four_parts_of_a_call_are_joined_each_with_its_name(visit):
    pieces = visit.act(
        "notify",
        who="prescriber",
        situation="the line is blocked",
        background="",
        assessment="bent tubing",
        recommendation="",
    )
    assert "Situation: the line is blocked Assessment: bent tubing" in panel(pieces, "record")


def test_what_is_charted_stands_in_the_flowsheet(visit):
    pieces = visit.act("chart", line="1", what="interruption", text="3 min, bent tubing")
    assert "Interruption, line 1: 3 min, bent tubing" in panel(pieces, "flowsheet")


def test_what_is_worked_out_is_kept_as_typed(visit):
    pieces = visit.act(
        "calculate", order="maintenance", what="rate", entered=" 54.80 mL/h ", sure="fairly"
    )
    assert "Hourly rate, Maintenance fluid: 54.80 mL/h (fairly)" in panel(pieces, "worked")


def test_what_a_learner_writes_is_printed_not_run(visit):
    answer = visit.client.post(
        f"{visit.address}/acts",
        data={"verb": "chart", "what": "site", "text": "<script>alert(1)</script>"},
        headers=OPEN_PAGE,
    )
    assert "<script>" not in answer.text
    assert "&lt;script&gt;" in answer.text


def test_the_pace_can_be_set_and_is_shown(visit):
    pieces = visit.post("pace", pace="x10")
    assert 'data-factor="10"' in panel(pieces, "clock")
    assert 'value="x10" aria-label="Ward clock 10 times as fast" aria-pressed="true"' in panel(
        pieces, "paces"
    )


def test_a_pace_that_does_not_exist_is_a_fault(visit):
    answer = visit.client.post(f"{visit.address}/pace", data={"pace": "x1000"})
    assert answer.status_code == 400
    assert "The pace is one of: held, x1, x5, x10, x30, x60." in answer.text


def test_a_leap_goes_to_the_next_happening_and_shows_it(visit):
    visit.act("question order", order="maintenance", text="15 kg is not today's weight")
    pieces = visit.post("leap", seen="2")
    assert "New order" in panel(pieces, "slip")
    assert "by the 4-2-1 rule for today's weight" in panel(pieces, "orders")
    assert "Hourly rate" in panel(pieces, "work")


def test_after_the_end_the_bedside_leads_to_the_debrief(visit):
    answer = visit.client.post(f"{visit.address}/finish", follow_redirects=False)
    assert answer.status_code == 415
    answer = visit.client.post(
        f"{visit.address}/finish", data={"seen": "0"}, follow_redirects=False
    )
    assert answer.status_code == 303
    assert answer.headers["location"] == f"{visit.address}/debrief"
    again = visit.client.get(visit.address, follow_redirects=False)
    assert again.headers["location"] == f"{visit.address}/debrief"


def test_ending_twice_is_ending_once(visit):
    for _ in range(2):
        answer = visit.client.post(
            f"{visit.address}/finish", data={"seen": "0"}, follow_redirects=False
        )
        assert answer.status_code == 303


def test_an_act_after_the_end_is_told_and_not_recorded(visit):
    visit.client.post(f"{visit.address}/finish", data={"seen": "0"}, follow_redirects=False)
    answer = visit.client.post(
        f"{visit.address}/acts", data={"verb": "clean hands"}, headers=OPEN_PAGE
    )
    assert answer.status_code == 409
    assert "This attempt has ended" in answer.text
    assert f'href="{visit.address}/debrief"' in answer.text
    assert "Cleaned hands" not in visit.client.get(f"{visit.address}/record").text


def test_the_whole_record_is_a_page_of_its_own(visit):
    for _ in range(20):
        visit.act("clean hands")
    assert "The whole record" in visit.page()
    record = visit.client.get(f"{visit.address}/record").text
    assert record.count("Cleaned hands") == 20


def test_the_key_cannot_be_read_from_the_export_before_the_end(visit):
    assert "export.jsonl" not in visit.page()
    answer = visit.client.get(f"{visit.address}/export.jsonl")
    assert "This attempt has not ended yet" in answer.text
    assert "content-disposition" not in answer.headers
    assert "conduct:" not in answer.text


def test_the_export_of_an_ended_attempt_holds_the_log_from_its_first_row(visit):
    visit.act("clean hands")
    visit.post("finish", token="t")
    answer = visit.client.get(f"{visit.address}/export.jsonl")
    rows = [json.loads(line) for line in answer.text.splitlines()]
    assert answer.headers["content-disposition"].startswith("attachment")
    assert [row["kind"] for row in rows] == ["opened", "acted", "noted", "finished"]


def test_a_leap_with_nothing_ahead_says_what_to_do_and_leaves_the_attempt_open(visit):
    told = visit.client.post(f"{visit.address}/leap", data={"token": "t"}, headers=OPEN_PAGE)
    assert "There is nothing to leap to" in told.text
    assert "Maintenance fluid" in visit.page()

"""The bedside's button for a cue: in practice, with what it may cost, told where all is told."""

from __future__ import annotations

from pathlib import Path

from starlette.testclient import TestClient

from tests.web.at_bedside import OPEN_PAGE, Visit, begin
from trainer.web.app import create_app
from trainer.web.settings import Settings

BUTTON = "Give me a cue"


def test_the_bedside_has_a_button_that_says_what_a_cue_may_cost(visit: Visit):
    page = visit.page()
    assert f'<button aria-describedby="cue-note">{BUTTON}</button>' in page
    assert "A cue may lower the credit of the one step that it helps with." in page
    assert "After a cue that leads you to the act it earns 50 % of its points." in page


def test_a_cue_is_told_on_the_slip_and_in_the_record(visit: Visit):
    pieces = visit.post("cue", seen="0")
    assert 'id="slip"' in pieces
    assert pieces.count("What have you not yet made sure of, before you go on?") == 2
    assert "<b>Cue:</b> What have you not yet made sure of" in pieces
    assert "<b>Cue:</b>" in visit.page()


def test_one_press_is_one_cue(visit: Visit):
    for _ in range(2):
        visit.post("cue", token="one press")
    assert visit.page().count("What have you not yet made sure of") == 2  # slip and record


def test_without_script_the_button_works_too(visit: Visit):
    answer = visit.client.post(f"{visit.address}/cue", data={"seen": "0"}, follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, visit.address)
    assert "What have you not yet made sure of" in visit.page()


def test_when_nothing_is_open_the_page_says_so(visit: Visit):
    presses = ({"token": f"press {number}"} for number in range(200))
    answers = (
        visit.client.post(f"{visit.address}/cue", data=p, headers=OPEN_PAGE) for p in presses
    )
    refused = next(answer for answer in answers if answer.status_code != 200)
    assert refused.status_code == 409
    assert "There is no cue" in refused.text


def test_where_cues_are_switched_off_there_is_no_button_and_no_cue(tmp_path: Path):
    with TestClient(create_app(Settings(folder=tmp_path, cues_offered=False))) as client:
        visit = begin(client)
        assert BUTTON not in visit.page()
        answer = client.post(f"{visit.address}/cue", data={"seen": "0"}, headers=OPEN_PAGE)
        assert answer.status_code == 409
        assert "There is no cue" in answer.text


def test_another_learner_gets_no_cue_here(visit: Visit):
    visit.client.cookies.clear()
    assert visit.client.post(f"{visit.address}/cue").status_code == 404

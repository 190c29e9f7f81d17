"""Forms that no page of ours sends, wrong methods, wrong addresses: a clear page each."""

from __future__ import annotations

import pytest

from tests.web.at_bedside import OPEN_PAGE
from trainer.web.settings import MOST_BODY_BYTES, MOST_FIELDS

FORM = {"Content-Type": "application/x-www-form-urlencoded"}


def is_a_page(answer) -> bool:
    return "<h1>" in answer.text and "Traceback" not in answer.text


@pytest.mark.parametrize(
    ("body", "says"),
    [
        (b"", "does not say what to do"),
        (b"verb=fly", "does not say what to do"),
        (b"verb=%FF%FE", "not written in UTF-8"),
        ("verb=clean hands\u00e9".encode(), "not written in UTF-8"),
        (b"verb=clean+hands&verb=spike", "comes twice"),
        (b"verb=clean+hands&colour=red", "There is no field colour"),
        (b"verb=chart&what=" + b"x" * 4001, "too long"),
        (b"verb=chart&what=%00", "cannot be kept"),
        (b"verb=clean+hands&token=" + b"t" * 65, "token is not one"),
        (b"verb=clean+hands&token=%0a", "token is not one"),
        (b"&".join(b"f%d=1" % n for n in range(MOST_FIELDS + 1)), "at most"),
    ],
)
def test_a_malformed_form_gets_a_page_that_says_what_is_wrong(visit, body, says):
    answer = visit.client.post(f"{visit.address}/acts", content=body, headers=FORM)
    assert answer.status_code == 400
    assert is_a_page(answer)
    assert says in answer.text
    assert "Nothing has been done yet." in visit.page()


@pytest.mark.parametrize(
    "kind", ["application/json", "text/plain", "multipart/form-data; boundary=x", ""]
)
def test_a_body_that_is_no_form_gets_a_page_that_says_so(visit, kind):
    answer = visit.client.post(
        f"{visit.address}/acts", content=b'{"verb": "clean hands"}', headers={"Content-Type": kind}
    )
    assert answer.status_code == 415
    assert is_a_page(answer)


def test_a_body_that_is_far_too_large_is_turned_away(visit):
    body = b"verb=chart&what=" + b"x" * MOST_BODY_BYTES
    answer = visit.client.post(f"{visit.address}/acts", content=body, headers=FORM)
    assert answer.status_code == 413
    assert "That was far too much" in answer.text


def test_a_body_without_a_length_is_read_no_further_than_the_limit(visit):
    def pieces():
        for _ in range(100):
            yield b"x" * 4096

    answer = visit.client.post(f"{visit.address}/acts", content=pieces(), headers=FORM)
    assert answer.status_code == 413
    assert is_a_page(answer)


def test_a_parameter_that_the_verb_does_not_know_is_refused_at_the_bedside(visit):
    assert "Not possible:" in visit.act("clean hands", rate="50")


def test_a_parameter_that_is_missing_is_refused_at_the_bedside(visit):
    assert "Not possible:" in visit.act("spike")


@pytest.mark.parametrize("where", ["/acts", "/pace", "/leap", "/finish"])
def test_opening_the_address_of_a_form_says_how_it_works(visit, where):
    answer = visit.client.get(f"{visit.address}{where}")
    assert answer.status_code == 405
    assert is_a_page(answer)


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH"])
def test_a_method_that_no_page_uses_says_how_it_works(visit, method):
    answer = visit.client.request(method, visit.address)
    assert answer.status_code == 405


@pytest.mark.parametrize("where", ["/nowhere", "/attempts", "/attempts/x/y/z", "/static/x.js"])
def test_an_address_that_does_not_exist_gets_a_page_with_the_mend(client, where):
    answer = client.get(where)
    assert answer.status_code in (404, 405)
    assert is_a_page(answer)
    assert 'href="/"' in answer.text


@pytest.mark.parametrize("after", ["x", "-5", "99999999", "1.5", ""])
def test_a_number_of_events_that_makes_no_sense_does_no_harm(visit, after):
    answer = visit.client.get(f"{visit.address}/panels?after={after}", headers=OPEN_PAGE)
    assert answer.status_code in (200, 400)
    assert "Traceback" not in answer.text


def test_a_fault_on_an_open_page_is_shown_in_place(visit):
    answer = visit.client.post(f"{visit.address}/acts", data={"verb": "fly"}, headers=OPEN_PAGE)
    assert answer.status_code == 400
    assert answer.text.startswith('<hx-partial hx-target="#fault"')
    assert "<html" not in answer.text

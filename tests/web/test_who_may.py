"""Whose attempt it is, and what another site, another learner and a stranger get."""

from __future__ import annotations

import pytest
from starlette.testclient import TestClient

from tests.web.at_bedside import OPEN_PAGE, begin
from trainer.errors import StoreUnavailable
from trainer.web import learner
from trainer.web.guard import HEADERS

REDO = "/redo/maintenance-today/rate?seed=7"
READ = ["", "/panels?after=0", "/stream", "/third?line=1", "/record", "/export.jsonl", REDO]
FORMS = ["/acts", "/pace", "/leap", "/finish", "/reflection", REDO, "/remark"]


def a_stranger(visit) -> TestClient:
    return TestClient(visit.client.app)


def another_learner(visit) -> TestClient:
    text = learner.sign(visit.client.app.state.secret, learner.new_learner())
    return TestClient(visit.client.app, cookies={learner.COOKIE: text})


@pytest.mark.parametrize("who", [a_stranger, another_learner])
@pytest.mark.parametrize("where", READ)
def test_nobody_reads_anothers_attempt(visit, who, where):
    answer = who(visit).get(f"{visit.address}{where}")
    assert answer.status_code == 404
    assert "There is nothing here" in answer.text


@pytest.mark.parametrize("who", [a_stranger, another_learner])
@pytest.mark.parametrize("where", FORMS)
def test_nobody_acts_in_anothers_attempt(visit, who, where):
    fields = {"verb": "clean hands", "pace": "x60"}
    assert who(visit).post(f"{visit.address}{where}", data=fields).status_code == 404
    assert "Nothing has been done yet." in visit.page()


def test_anothers_attempt_and_none_at_all_look_the_same(visit):
    other = another_learner(visit)
    theirs = other.get(visit.address)
    none = other.get("/attempts/there-is-no-such")
    assert (theirs.status_code, theirs.text) == (none.status_code, none.text)


@pytest.mark.parametrize(
    "text", ["", "x", "x.y", "a" * 5000, f"{'a' * 32}.{'0' * 64}", "\u00e9.\u00e9"]
)
def test_a_cookie_that_is_not_ours_is_nobody(text):
    assert learner.read(b"secret", text) == ""


@pytest.mark.parametrize("content", [b"", b"short"])
def test_a_secret_too_short_to_sign_with_is_told(tmp_path, content):
    (tmp_path / "cookie.secret").write_bytes(content)
    with pytest.raises(StoreUnavailable, match=f"has {len(content)} bytes instead of 32"):
        learner.load_secret(tmp_path)
    assert (tmp_path / "cookie.secret").read_bytes() == content


def test_a_secret_is_made_once_and_kept(tmp_path):
    made = learner.load_secret(tmp_path)
    assert len(made) == 32
    assert learner.load_secret(tmp_path) == made


def test_a_cookie_of_ours_is_its_learner():
    assert learner.read(b"secret", learner.sign(b"secret", "ida")) == "ida"
    assert learner.read(b"another secret", learner.sign(b"secret", "ida")) == ""


def test_the_secret_outlasts_a_restart_and_is_its_owners_only(tmp_path):
    first = learner.load_secret(tmp_path / "new")
    assert learner.load_secret(tmp_path / "new") == first
    assert (tmp_path / "new" / "cookie.secret").stat().st_mode & 0o077 == 0
    assert [path.name for path in (tmp_path / "new").iterdir()] == ["cookie.secret"]


def test_a_folder_that_cannot_be_used_is_told_with_the_mend(tmp_path):
    in_the_way = tmp_path / "a-file"
    in_the_way.write_text("not a folder")
    with pytest.raises(StoreUnavailable, match="make room, or give yourself"):
        learner.load_secret(in_the_way)


@pytest.mark.parametrize(
    "headers",
    [
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
        {"Origin": "https://elsewhere.example"},
        {"Origin": "null"},
    ],
)
def test_a_form_sent_by_another_site_does_nothing(visit, headers):
    answer = visit.client.post(
        f"{visit.address}/acts", data={"verb": "clean hands"}, headers=headers
    )
    assert answer.status_code == 403
    assert "This came from another site" in answer.text
    assert "Nothing has been done yet." in visit.page()


@pytest.mark.parametrize(
    "headers",
    [{}, {"Sec-Fetch-Site": "same-origin"}, {"Origin": "http://testserver"}],
)
def test_a_form_of_our_own_page_is_taken(visit, headers):
    answer = visit.client.post(
        f"{visit.address}/acts",
        data={"verb": "clean hands"},
        headers={**headers, **OPEN_PAGE},
    )
    assert answer.status_code == 200


@pytest.mark.parametrize("where", ["/", "/nowhere", "/static/app.css", "/static/nothing.css"])
def test_every_answer_carries_the_guarding_headers(client, where):
    answer = client.get(where)
    for name, value in HEADERS:
        assert answer.headers[name] == value


def test_the_bedside_carries_nothing_that_the_policy_would_block(client):
    page = begin(client).page()
    assert "<style" not in page
    assert " style=" not in page
    assert " onclick=" not in page
    assert "<script>" not in page
    assert "http://" not in page.replace("http://www.w3.org/2000/svg", "")

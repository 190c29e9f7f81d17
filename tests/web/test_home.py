"""Choosing, the prebrief, and the page about what this is not."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path

import pytest

from tests.web.kept import BENT_LINE, IDA, OTTO, browsing, keep, rehearsed
from trainer.engine.simplifications import SIMPLIFICATIONS
from trainer.errors import DatabaseDamaged
from trainer.paths import SCENARIOS
from trainer.store.log import Log
from trainer.terms import TRAINING_NOTICE


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "trainer"


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    """A folder of scenarios that a test may spoil; its ward is the shipped one."""
    own = tmp_path / "shelf"
    own.mkdir()
    return own


def test_the_first_page_says_in_a_sentence_what_the_trainer_is_for(folder):
    with browsing(folder) as client:
        page = client.get("/").text
    assert "Turn an infusion order into a safely running line." in page


def test_each_scenario_says_who_lies_there_how_long_it_takes_and_what_it_is_for(folder):
    with browsing(folder) as client:
        page = client.get("/").text
    assert f'href="/scenarios/{BENT_LINE}"' in page
    assert "Maintenance fluid, and a line that stops flowing" in page
    assert "about 40 min" in page
    assert "Linnea Arvo" in page
    assert "Hold an order against the child it is for" in page


def test_an_empty_folder_of_scenarios_says_what_to_do(folder, shelf):
    with browsing(folder, scenarios=shelf) as client:
        page = client.get("/").text
    assert "No scenario is ready" in page
    assert "trainer check" in page


def test_a_folder_that_is_missing_is_named_with_the_mend(folder, tmp_path):
    with browsing(folder, scenarios=tmp_path / "nowhere") as client:
        answer = client.get("/")
    assert answer.status_code == 200
    assert "there is no such folder" in answer.text
    assert "line 1, column 1" not in answer.text
    assert "line 0" not in answer.text


def test_a_damaged_database_is_not_told_as_one_attempts_fault(folder, monkeypatch):
    def refuse(*_: object) -> None:
        raise DatabaseDamaged("trainer.sqlite is damaged")

    monkeypatch.setattr(Log, "attempts", refuse)
    with browsing(folder, IDA) as client:
        answer = client.get("/")
    assert answer.status_code == 500
    assert "The database is damaged" in answer.text
    assert "other attempts are not touched" not in answer.text


def test_a_broken_file_is_listed_with_its_place_and_mend_and_hides_no_other(folder, shelf):
    good = (SCENARIOS / f"{BENT_LINE}.yaml").read_text()
    (shelf / "good.yaml").write_text(good)
    (shelf / "broken.yaml").write_text(good.replace("takes: 40 min", "tekes: 40 min"))
    with browsing(folder, scenarios=shelf) as client:
        page = client.get("/").text
    assert f'href="/scenarios/{BENT_LINE}"' in page
    assert "broken.yaml" in page
    assert re.search(r"line \d+, column \d+: .*tekes.*Mend: ", page)


def test_what_an_author_writes_is_never_read_as_markup(folder, shelf):
    good = (SCENARIOS / f"{BENT_LINE}.yaml").read_text()
    (shelf / "one.yaml").write_text(
        good.replace(
            "title: Maintenance fluid, and a line", "title: <script>bad</script> a line", 1
        )
    )
    with browsing(folder, scenarios=shelf) as client:
        for address in ("/", f"/scenarios/{BENT_LINE}"):
            page = client.get(address).text
            assert "<script>bad" not in page
            assert "&lt;script&gt;bad" in page


def test_a_learner_finds_their_own_attempts_to_go_on_with_or_look_at_again(folder):
    ended = rehearsed("model")
    keep(folder, ended[:6], name="half-way")
    keep(folder, ended, name="whole")
    with browsing(folder, IDA) as client:
        page = client.get("/").text
    assert 'href="/attempts/half-way"' in page
    assert 'href="/attempts/whole/debrief"' in page


def test_nobody_sees_the_attempts_of_another(folder):
    keep(folder, rehearsed("model"), name="whole")
    for who in (OTTO, ""):
        with browsing(folder, who) as client:
            assert "/attempts/whole" not in client.get("/").text


def test_the_prebrief_tells_objectives_what_is_real_cautions_time_and_the_record(folder):
    with browsing(folder) as client:
        page = client.get(f"/scenarios/{BENT_LINE}").text
    for words in (
        "Work out a maintenance rate by weight",
        "The fluid path, pressures and volumes follow physics",
        "An open line outside the pump does not run by gravity",
        "Follow your own local policy",
        "The ward clock begins at",
        "08:50",
        "Everything you do and when is recorded",
        "Mistakes are what this is for",
        "17.4 kg",
    ):
        assert words in page


def test_the_prebrief_gives_no_answer_away(folder):
    with browsing(folder) as client:
        page = client.get(f"/scenarios/{BENT_LINE}").text
    assert "54.8" not in page
    assert "109.6" not in page
    assert "bent sharply" not in page


def test_an_attempt_begins_with_the_numbers_as_written(folder):
    with browsing(folder) as client:
        answer = client.post(
            "/attempts", data={"scenario": BENT_LINE, "seed": "0"}, follow_redirects=False
        )
        assert answer.status_code == 303
        assert "17.4 kg" in client.get(answer.headers["location"]).text


def test_other_numbers_are_offered_as_a_seed_that_is_not_the_written_one(folder):
    with browsing(folder) as client:
        page = client.get(f"/scenarios/{BENT_LINE}").text
    seeds = re.findall(r'name="seed" value="(\d+)"', page)
    assert seeds[0] == "0"
    assert 1 <= int(seeds[1]) <= 9_999


@pytest.mark.parametrize("typed", ["abc", "-3", "1.5", "9" * 30])
def test_a_seed_that_is_no_whole_number_is_refused_with_how_to_write_it(folder, typed):
    with browsing(folder) as client:
        answer = client.post("/attempts", data={"scenario": BENT_LINE, "seed": typed})
    assert answer.status_code == 400
    assert "whole number" in answer.text


def test_a_scenario_that_is_not_there_gets_a_page_that_says_so(folder):
    with browsing(folder) as client:
        answer = client.get("/scenarios/no-such-case")
    assert answer.status_code == 404
    assert "Traceback" not in answer.text


def test_a_broken_scenario_cannot_be_opened_and_tells_its_faults(folder, shelf):
    good = (SCENARIOS / f"{BENT_LINE}.yaml").read_text()
    (shelf / "broken.yaml").write_text(good.replace("takes: 40 min", "tekes: 40 min"))
    with browsing(folder, scenarios=shelf) as client:
        answer = client.get("/scenarios/broken")
    assert answer.status_code == 422
    assert "tekes" in answer.text


@pytest.mark.parametrize("address", ["/", "/about", f"/scenarios/{BENT_LINE}"])
def test_every_page_carries_the_training_notice_and_no_inline_style_or_script(folder, address):
    with browsing(folder) as client:
        page = client.get(address).text
    assert TRAINING_NOTICE.replace("'", "&#39;") in page
    assert not re.search(r"\sstyle=|<style|\son[a-z]+=|<script>", page)


def test_the_about_page_lists_what_is_simplified(folder):
    with browsing(folder) as client:
        page = unescape(client.get("/about").text)
    assert "for training only" in page.lower()
    for _, sentence in SIMPLIFICATIONS:
        assert sentence in page

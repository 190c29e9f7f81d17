"""After the end: reflecting, one step again with other numbers, marked again by later rules."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator
from html import unescape
from itertools import count
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from tests.web.at_bedside import OPEN_PAGE
from tests.web.kept import BENT_LINE, IDA, OTTO, browsing, keep, rehearsed
from trainer.engine.events import Finished
from trainer.paths import SCENARIOS
from trainer.terms import TRAINING_NOTICE
from trainer.web.views_after import LONGEST_REFLECTION

STEP = "redo/maintenance-today/rate"
POTASSIUM = "potassium-at-its-limit"


NOTHING_DONE = (Finished(at_ms=60_000, by="learner"),)
"""The log of an attempt that was ended after a minute: all that these pages need."""
numbers = count(1)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "trainer"


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One record for the tests that each bring an attempt of their own."""
    return tmp_path_factory.mktemp("shared") / "trainer"


@pytest.fixture(scope="module")
def idas(shared: Path) -> Iterator[TestClient]:
    """Ida's browser at that record."""
    with browsing(shared, IDA) as client:
        yield client


@pytest.fixture
def ended(shared: Path, idas: TestClient) -> tuple[TestClient, str]:
    """Ida's browser, and the address of an attempt of hers that has ended."""
    return idas, f"/attempts/{keep(shared, NOTHING_DONE, name=f'ended-{next(numbers)}')}"


def rows(client: TestClient, address: str, kind: str) -> list[dict[str, object]]:
    """What the export holds of one kind."""
    lines = client.get(f"{address}/export.jsonl").text.splitlines()
    found = [json.loads(line) for line in lines]
    return [row["payload"] for row in found if row["kind"] == kind]


def reflect(client: TestClient, address: str, **more: str):
    fields = {"part": "first", "token": "press", "went-well": "", "have-back": "", **more}
    return client.post(f"{address}/reflection", data=fields, headers=OPEN_PAGE)


def field(page: str, name: str) -> str:
    """What stands in a text field of a page."""
    found = re.search(rf'<textarea id="reflect-{name}"[^>]*>\n(.*?)</textarea>', page, re.S)
    assert found is not None
    return unescape(found[1])


# --- reflecting ---------------------------------------------------------------------


def test_what_is_written_is_kept_shown_with_its_time_and_exported(ended):
    client, address = ended
    answer = reflect(client, address, **{"went-well": "I looked at the site first."})
    assert answer.status_code == 200
    assert re.search(r"Kept at \d\d:\d\d, \d+ \w+ \d{4}\.", answer.text)
    kept = rows(client, address, "reflected")
    assert kept == [{"question": "went-well", "text": "I looked at the site first."}]


def test_the_panel_answers_itself_and_nothing_else(ended):
    client, address = ended
    text = reflect(client, address, **{"have-back": "The start."}).text.strip()
    assert text.startswith('<section id="reflection-first"')
    assert text.endswith("</section>")
    assert "<html" not in text


def test_without_script_the_form_leads_back_to_its_place_on_the_debrief(ended):
    client, address = ended
    answer = client.post(
        f"{address}/reflection",
        data={"part": "closing", "next-time": "Release first."},
        follow_redirects=False,
    )
    assert answer.status_code == 303
    assert answer.headers["location"] == f"{address}/debrief#reflection-closing"
    assert "Release first." in client.get(f"{address}/debrief").text


def test_the_latest_wording_is_shown_and_the_earlier_one_stays_in_the_log(ended):
    client, address = ended
    first = reflect(client, address, **{"went-well": "All of it."}).text
    seen = re.findall(r'name="seen-went-well" value="(\d+)"', first)[0]
    second = reflect(
        client, address, token="next", **{"went-well": "Most of it.", "seen-went-well": seen}
    )
    assert field(second.text, "went-well") == "Most of it."
    texts = [row["text"] for row in rows(client, address, "reflected")]
    assert texts == ["All of it.", "Most of it."]


def test_what_did_not_change_is_not_kept_again(ended):
    client, address = ended
    for token in ("one", "two", "two"):
        reflect(client, address, token=token, **{"went-well": "All of it."})
    assert len(rows(client, address, "reflected")) == 1


def test_an_answer_can_be_taken_back(ended):
    client, address = ended
    first = reflect(client, address, **{"went-well": "All of it."}).text
    seen = re.findall(r'name="seen-went-well" value="(\d+)"', first)[0]
    reflect(client, address, token="two", **{"went-well": "", "seen-went-well": seen})
    assert [row["text"] for row in rows(client, address, "reflected")] == ["All of it.", ""]


def test_a_page_that_is_behind_does_not_wipe_out_what_another_window_kept(ended):
    client, address = ended
    reflect(client, address, token="first window", **{"have-back": "The start."})
    reflect(client, address, token="second window", **{"went-well": "The call."})
    kept = {row["question"]: row["text"] for row in rows(client, address, "reflected")}
    assert kept == {"have-back": "The start.", "went-well": "The call."}


def test_lines_are_kept_as_lines_and_letters_of_every_script(ended):
    client, address = ended
    reflect(client, address, **{"went-well": "one\r\ntwo: ünï 漢字 😀"})
    assert rows(client, address, "reflected")[0]["text"] == "one\ntwo: ünï 漢字 😀"


def test_what_a_learner_writes_is_never_markup(ended):
    client, address = ended
    typed = "</textarea><script>bad()</script>"
    answer = reflect(client, address, **{"went-well": typed})
    assert "<script>bad" not in answer.text
    assert field(answer.text, "went-well") == typed
    assert "<script>bad" not in client.get(f"{address}/debrief").text


@pytest.mark.parametrize("headers", [OPEN_PAGE, {}], ids=["open page", "no script"])
def test_a_text_too_long_is_refused_and_comes_back_as_typed(ended, headers):
    client, address = ended
    typed = "x" * 20_000
    answer = client.post(
        f"{address}/reflection",
        data={"part": "first", "went-well": typed, "have-back": "The start."},
        headers=headers,
    )
    assert answer.status_code == 422
    assert f"20000 characters; at most {LONGEST_REFLECTION} are kept" in answer.text
    assert field(answer.text, "went-well") == typed
    assert field(answer.text, "have-back") == "The start."
    assert rows(client, address, "reflected") == []


def test_the_longest_text_is_kept(ended):
    client, address = ended
    reflect(client, address, **{"went-well": "y" * LONGEST_REFLECTION})
    assert len(str(rows(client, address, "reflected")[0]["text"])) == LONGEST_REFLECTION


@pytest.mark.parametrize(
    "fields",
    [
        {"token": "x"},
        {"part": "second"},
        {"part": "first", "next-time": "belongs elsewhere"},
        {"part": "first", "mood": "fine"},
        {"part": "first", "went-well": "a\0b"},
        {"part": "first", "went-well": "ok", "token": "é"},
    ],
)
def test_a_form_that_is_none_of_ours_keeps_nothing(ended, fields):
    client, address = ended
    assert client.post(f"{address}/reflection", data=fields).status_code == 400
    assert rows(client, address, "reflected") == []


@pytest.mark.parametrize("seen", ["-1", "x", "99999999999999", "²"])
def test_a_row_that_cannot_be_is_taken_as_none(ended, seen):
    client, address = ended
    answer = reflect(client, address, **{"went-well": "ok", "seen-went-well": seen})
    assert answer.status_code == 200
    assert len(rows(client, address, "reflected")) == 1


def test_it_outlasts_a_restart(folder):
    address = f"/attempts/{keep(folder, NOTHING_DONE, name='long')}"
    with browsing(folder, IDA) as client:
        reflect(client, address, **{"went-well": "The call."})
    with browsing(folder, IDA) as client:
        page = client.get(f"{address}/debrief").text
    assert field(page, "went-well") == "The call."


# --- one step again -----------------------------------------------------------------


def redo_page(client: TestClient, address: str, seed: int = 7, step: str = STEP) -> str:
    answer = client.get(f"{address}/{step}?seed={seed}")
    assert answer.status_code == 200
    return unescape(answer.text)


def check(client: TestClient, address: str, entered: str, *, step: str = STEP, **more: str):
    token = re.findall(r'name="token" value="(\w+)"', redo_page(client, address, step=step))
    fields = {"entered": entered, "token": token[0] if token else "again", **more}
    return client.post(f"{address}/{step}?seed=7", data=fields)


def maintenance_of(page: str) -> str:
    """The rate by 4-2-1 for the weight on a page between 10 and 20 kg: 40 + 2 (kg - 10) mL/h."""
    weight = re.findall(r"<dt>Weight today</dt><dd>([0-9.]+) kg", page)[0]
    return f"{40 + 2 * (float(weight) - 10):.1f}".removesuffix(".0")


def test_without_a_seed_the_page_draws_one(ended):
    client, address = ended
    answer = client.get(f"{address}/{STEP}", follow_redirects=False)
    assert answer.status_code == 303
    assert re.fullmatch(rf"{address}/{STEP}\?seed=[1-9]\d*", answer.headers["location"])


def test_the_page_asks_with_the_order_and_the_givens_and_tells_no_answer(ended):
    client, address = ended
    page = redo_page(client, address)
    assert "maintenance by the 4-2-1 rule for today's weight" in page
    assert "Once, at the end, half up to 0.1 mL/h" in page
    assert "500 mL" in page
    assert f"{maintenance_of(page)} mL/h" not in page
    assert TRAINING_NOTICE in page
    assert not re.search(r"\sstyle=|<style|\son[a-z]+=|<script>", page)


def test_a_right_value_is_right_and_the_try_is_kept(ended):
    client, address = ended
    right = maintenance_of(redo_page(client, address))
    page = check(client, address, f"{right} mL/h", sure="fairly").text
    assert "Right</h2>" in page
    assert "Worked out" in page
    assert "Once more with other numbers" in page
    assert "Back to the debrief" in page
    assert rows(client, address, "redone") == [
        {
            "order": "maintenance-today",
            "quantity": "rate",
            "seed": 7,
            "entered": f"{right} mL/h",
            "sure": "fairly",
            "right": True,
        }
    ]


def test_a_wrong_value_is_told_with_its_slip_the_working_and_how_sure_it_was(folder):
    address = f"/attempts/{keep(folder, NOTHING_DONE, scenario=POTASSIUM)}"
    step = "redo/potassium/rate"
    with browsing(folder, IDA) as client:
        # 0.25 mmol/kg/h from 20 mmol in 500 mL is 6.25 mL/kg/h; the weight left out, 6.3 mL/h
        page = unescape(check(client, address, "6.3 mL/h", step=step, sure="certain").text)
    assert "Wrong</h2>" in page
    assert re.search(r"the weight of [0-9.]+ kg was left out", page)
    assert "Look first at: <b>weight" in page
    assert "You were certain." in page
    assert '<s class="struck">' in page


def test_a_reload_shows_the_same_result_and_keeps_nothing_more(ended):
    client, address = ended
    check(client, address, "1 mL/h")
    for _ in range(2):
        assert "Wrong</h2>" in redo_page(client, address)
    assert len(rows(client, address, "redone")) == 1


def test_a_double_click_is_one_try(ended):
    client, address = ended
    for _ in range(2):
        client.post(f"{address}/{STEP}?seed=7", data={"entered": "1 mL/h", "token": "press"})
    assert len(rows(client, address, "redone")) == 1


def test_tries_are_counted_over_all_numbers(ended):
    client, address = ended
    check(client, address, "1 mL/h")
    right = maintenance_of(redo_page(client, address, seed=8))
    client.post(f"{address}/{STEP}?seed=8", data={"entered": f"{right} mL/h"})
    assert "Tried again 2 times since the attempt, right 1 of 2." in redo_page(client, address)


@pytest.mark.parametrize("entered", ["", "   ", "9" * 300])
def test_what_is_no_entry_at_all_comes_back_and_is_no_try(ended, entered):
    client, address = ended
    answer = check(client, address, entered, sure="guess")
    assert answer.status_code == 422
    assert f'value="{entered}"' in answer.text
    assert 'value="guess" checked' in answer.text
    assert rows(client, address, "redone") == []


@pytest.mark.parametrize("entered", ["abc", "1/2", "1e3", "\uff15\uff10 mL/h", "5 furlongs"])
def test_what_is_typed_is_kept_as_typed_and_told_what_is_wrong_with_it(ended, entered):
    client, address = ended
    page = check(client, address, entered).text
    assert rows(client, address, "redone")[0]["entered"] == entered
    assert rows(client, address, "redone")[0]["right"] is False
    assert "cannot be read" in page or "unit" in page


def test_a_typed_value_is_never_markup(ended):
    client, address = ended
    assert "<script>bad" not in check(client, address, '"><script>bad()</script>').text


@pytest.mark.parametrize(
    ("where", "status", "says"),
    [
        ("redo/nobody/rate?seed=1", 404, "There is no such step"),
        ("redo/maintenance-today/colour?seed=1", 404, "There is no such step"),
        ("redo/maintenance-today/colour", 404, "There is no such step"),
        ("redo/%3Cb%3E/rate?seed=1", 404, "There is no such step"),
        (f"{STEP}?seed=0", 422, "from 1 to"),
        (f"{STEP}?seed=-1", 422, "from 1 to"),
        (f"{STEP}?seed=one", 422, "from 1 to"),
        (f"{STEP}?seed=1000000000", 422, "from 1 to"),
        (f"{STEP}?seed=²", 422, "from 1 to"),
        ("redo/maintenance-today/duration?seed=1", 422, "no other numbers"),
    ],
)
def test_an_address_that_means_nothing_says_so_and_leads_back(ended, where, status, says):
    client, address = ended
    for answer in (
        client.get(f"{address}/{where}"),
        client.post(f"{address}/{where}", data={"entered": "1 mL/h"}),
    ):
        assert answer.status_code == (
            422 if "?" not in where and answer.request.method == "POST" else status
        )
        assert f'href="{address}/debrief"' in answer.text
    if "?" in where:
        assert says in client.get(f"{address}/{where}").text
    assert rows(client, address, "redone") == []


def test_a_sureness_of_ones_own_is_refused(ended):
    client, address = ended
    assert check(client, address, "1 mL/h", sure="very").status_code == 400
    assert rows(client, address, "redone") == []


def test_the_numbers_differ_from_the_attempts_own(folder):
    """An attempt with other numbers has its own weight; its answer does not come again."""
    address = f"/attempts/{keep(folder, NOTHING_DONE, name='varied', seed=12)}"
    with browsing(folder, IDA) as client:
        weight = re.findall(r"([0-9.]+) kg", client.get(f"{address}/record").text)[0]
        own = maintenance_of(f"<dt>Weight today</dt><dd>{weight} kg")
        drawn = {maintenance_of(redo_page(client, address, seed=seed)) for seed in range(1, 12)}
    assert len(drawn) > 2
    assert own not in drawn


# --- marked again -------------------------------------------------------------------


@pytest.fixture
def own_ward(tmp_path: Path) -> Path:
    """A copy of the shipped scenarios whose policy a test may change."""
    place = tmp_path / "scenarios"
    shutil.copytree(SCENARIOS, place)
    return place


def change_policy(place: Path, was: str, now: str) -> None:
    path = place / "policies" / "alder-ward.yaml"
    text = path.read_text(encoding="utf-8")
    assert was in text
    path.write_text(text.replace(was, now), encoding="utf-8")


WHOLE_RATES = ("- {of: rate, to: 0.1 mL/h}", "- {of: rate, to: 1 mL/h}")
LONG_SCRUB = ("hub_scrub: 15 s", "hub_scrub: 30 s")


@pytest.fixture
def marked(folder: Path, own_ward: Path) -> Iterator[tuple[TestClient, str, Path]]:
    attempt = keep(folder, rehearsed("model"), name="marked")
    with browsing(folder, IDA, scenarios=own_ward) as client:
        yield client, f"/attempts/{attempt}", own_ward


def panel(client: TestClient, address: str) -> str:
    page = unescape(client.get(f"{address}/debrief").text)
    return page.partition('id="remarked"')[2].partition("</section>")[0]


def mark_again(client: TestClient, address: str):
    policy = re.findall(r'name="policy" value="(\w+)"', panel(client, address))[0]
    return client.post(f"{address}/remark", data={"policy": policy})


def test_while_the_rules_are_the_same_nothing_is_offered(marked):
    client, address, _ = marked
    assert panel(client, address) == ""


def test_a_rule_that_bears_on_no_mark_is_no_change(marked):
    client, address, ward = marked
    change_policy(ward, "pressure_alarm: 250 mmHg", "pressure_alarm: 300 mmHg")
    assert panel(client, address) == ""


def test_changed_rules_are_told_with_what_they_were(marked):
    client, address, ward = marked
    change_policy(ward, *LONG_SCRUB)
    told = panel(client, address)
    assert "The ward's marking rules have changed since" in told
    assert re.search(r"the hub is scrubbed for</th><td>15 s</td><td class=\"now\">30 s", told)
    assert rows(client, address, "remarked") == []


def test_changed_rules_mark_the_attempt_at_once_beside_the_mark_of_the_day(marked):
    client, address, ward = marked
    before = client.get(f"{address}/debrief").text.partition('id="marks"')[2]
    change_policy(ward, *LONG_SCRUB)
    told = panel(client, address)
    assert "The mark by the rules as they are today" in told
    assert "What is seen otherwise, and why" in told
    assert "Scrubbed the hub" in told
    total = re.search(r'<tr class="moved"><th scope="row">all parts</th><td>([^<]+)</td>', told)
    assert total is not None
    assert total[1] in before


def test_marking_again_shows_both_marks_and_why_they_differ(marked):
    client, address, ward = marked
    before = client.get(f"{address}/debrief").text
    change_policy(ward, *LONG_SCRUB)
    answer = mark_again(client, address)
    assert answer.status_code == 200
    told = panel(client, address)
    assert "Marked again by later rules" in told
    assert "of the day" in told
    assert "What is seen otherwise, and why" in told
    assert "Scrubbed the hub" in told
    assert "30 s" in told
    kept = rows(client, address, "remarked")
    assert len(kept) == 1
    assert "hub_scrub: 30 s" in str(kept[0]["policy_text"])
    mark = re.compile(r'<section id="marks".*?(?=<section|</section>)', re.S)
    old, new = (mark.findall(page)[0] for page in (before, client.get(f"{address}/debrief").text))
    assert old == new  # the mark of the day stays


def test_marking_again_twice_by_the_same_rules_is_marking_once(marked):
    client, address, ward = marked
    change_policy(ward, *LONG_SCRUB)
    policy = re.findall(r'name="policy" value="(\w+)"', panel(client, address))[0]
    for _ in range(2):
        client.post(f"{address}/remark", data={"policy": policy})
    assert len(rows(client, address, "remarked")) == 1


def test_every_later_mark_stays_listed_the_newest_first(marked):
    client, address, ward = marked
    change_policy(ward, *LONG_SCRUB)
    mark_again(client, address)
    change_policy(ward, *WHOLE_RATES)
    assert "rounding of rate" in panel(client, address)
    mark_again(client, address)
    told = panel(client, address)
    assert told.count("<summary>Marked again at") == 2
    assert told.count("<details open>") == 1
    assert told.index("half up to 1 mL/h") < told.rindex("<summary>")


def test_a_button_from_a_page_with_other_rules_keeps_nothing(marked):
    client, address, ward = marked
    change_policy(ward, *LONG_SCRUB)
    policy = re.findall(r'name="policy" value="(\w+)"', panel(client, address))[0]
    change_policy(ward, *WHOLE_RATES)
    client.post(f"{address}/remark", data={"policy": policy})
    client.post(f"{address}/remark", data={})
    assert rows(client, address, "remarked") == []


def test_a_scenario_that_is_gone_or_broken_offers_nothing(marked):
    client, address, ward = marked
    change_policy(ward, *LONG_SCRUB)
    (ward / f"{BENT_LINE}.yaml").unlink()
    assert panel(client, address) == ""
    assert client.get(f"{address}/debrief").status_code == 200


# --- doors --------------------------------------------------------------------------

FORMS = [
    ("reflection", {"part": "first", "went-well": "mine"}),
    (f"{STEP}?seed=7", {"entered": "1 mL/h"}),
    ("remark", {"policy": "x"}),
]


@pytest.mark.parametrize("who", [OTTO, ""], ids=["another learner", "a stranger"])
def test_nobody_else_reads_or_keeps_anything_here(folder, who):
    address = f"/attempts/{keep(folder, NOTHING_DONE, name='hers')}"
    with browsing(folder, who) as client:
        assert client.get(f"{address}/{STEP}?seed=7").status_code == 404
        for where, fields in FORMS:
            answer = client.post(f"{address}/{where}", data=fields)
            assert answer.status_code == 404
            assert "mL/h" not in answer.text
    with browsing(folder, IDA) as client:
        assert len(client.get(f"{address}/export.jsonl").text.splitlines()) == 2


@pytest.mark.parametrize(
    "headers", [{"Sec-Fetch-Site": "cross-site"}, {"Origin": "https://elsewhere.example"}]
)
@pytest.mark.parametrize(("where", "fields"), FORMS)
def test_another_site_keeps_nothing_in_a_learners_name(ended, headers, where, fields):
    client, address = ended
    before = client.get(f"{address}/export.jsonl").text
    answer = client.post(f"{address}/{where}", data=fields, headers=headers)
    assert answer.status_code == 403
    assert client.get(f"{address}/export.jsonl").text == before


def test_before_the_end_all_of_it_is_shut(folder):
    address = f"/attempts/{keep(folder, (), name='running')}"
    with browsing(folder, IDA) as client:
        answers = [client.get(f"{address}/{STEP}"), client.get(f"{address}/{STEP}?seed=7")]
        answers += [client.post(f"{address}/{where}", data=fields) for where, fields in FORMS]
        for answer in answers:
            assert answer.status_code == 409
            assert "has not ended yet" in answer.text
            assert f'href="{address}"' in answer.text
        assert client.get(address).status_code == 200

"""What if I had done one act otherwise: who may ask, how it is asked, what comes back."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from html import unescape
from pathlib import Path
from urllib.parse import urlencode

import pytest
from hypothesis import given
from hypothesis import strategies as st
from starlette.testclient import TestClient

from tests.web.kept import IDA, OTTO, browsing, keep
from tests.web.kept import rehearsed as run
from trainer.engine.events import Finished
from trainer.scoring.moments import Point
from trainer.scoring.record import deeds
from trainer.terms import TRAINING_NOTICE, Verb
from trainer.web.drawing import Scale
from trainer.web.sheet import NARROW, Sheet, curve
from trainer.web.strip_lane_both import path
from trainer.web.strip_pairs import level_at, values_at

CONDUCTS = ("model", "tenfold-rate", "order-not-questioned", "pressure-not-released")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record that holds ended attempts of one learner, one that runs, one without an act."""
    found = tmp_path_factory.mktemp("trainer")
    for conduct in CONDUCTS:
        keep(found, run(conduct), name=conduct)
    keep(found, run("model")[:30], name="running")
    keep(found, (Finished(at_ms=0, by="learner"),), name="nothing")
    return found


@pytest.fixture(scope="module")
def client(folder: Path) -> Iterator[TestClient]:
    with browsing(folder, IDA) as found:
        yield found


def act_of(conduct: str, verb: Verb) -> str:
    """Where in the log the first such act stands, as an address names it."""
    return str(next(one.index for one in deeds(run(conduct)) if one.action.verb is verb))


def ask(client: TestClient, conduct: str, verb: Verb | None = None, **query: str) -> str:
    """The page about an act of a scripted run."""
    if verb is not None:
        query = {"deed": act_of(conduct, verb), **query}
    answer = client.get(f"/attempts/{conduct}/what-if?{urlencode(query)}")
    assert answer.status_code == 200
    return unescape(answer.text)


def card(page: str, ident: str) -> str:
    """A section of the page, from its id to its end."""
    return page.partition(f'id="{ident}"')[2].partition("</section>")[0]


# --- who may ask, and when -------------------------------------------------------------------


def test_before_the_end_a_page_says_so_and_shows_no_answer(client):
    page = client.get("/attempts/running/what-if?deed=3&how=left+out").text
    assert "has not ended yet" in page
    assert "54.8" not in page


@pytest.mark.parametrize("who", [OTTO, ""], ids=["another learner", "a stranger"])
def test_nobody_asks_about_the_attempt_of_another(folder, who):
    with browsing(folder, who) as other:
        assert other.get("/attempts/model/what-if").status_code == 404


# --- choosing an act -------------------------------------------------------------------------


def test_without_an_act_the_page_lists_them_all_those_with_a_finding_first(client):
    page = ask(client, "tenfold-rate")
    assert "Which act would you have back?" in page
    first = page.partition("Acts that a finding is about")[2].partition("All acts")[0]
    assert "at 548 mL/h" in first
    every = page.partition("data-find-list")[2].partition("</ol>")[0]
    assert every.count("<li") == len(deeds(run("tenfold-rate")))


def test_a_long_list_can_be_shortened_by_a_word_without_script(client):
    every = ask(client, "model", find="clamp").partition("data-find-list")[2].partition("</ol>")[0]
    assert every.count("<li") == 1
    assert "Opened the primary clamp" in every


@pytest.mark.parametrize("deed", ["soon", "-1", "99999", "1e3", "1", "9" * 40, "\uff11\uff12"])
def test_an_act_that_is_none_is_answered_with_the_list_and_a_sentence(client, deed):
    page = ask(client, "model", deed=deed)
    assert f"There is no act `{deed[:20]}` in this attempt." in page
    assert "data-find-list" in page


def test_an_attempt_in_which_nothing_was_done_says_so(client):
    page = client.get("/attempts/nothing/what-if").text
    assert "Nothing was done in this attempt" in page


# --- the question ----------------------------------------------------------------------------


def test_the_act_stands_on_top_with_its_ward_time_and_its_finding(client):
    done = card(ask(client, "tenfold-rate", Verb.ENTER), "act")
    assert "08:55:50" in done
    assert "Entered for line 1, primary: 109.6 mL at 548 mL/h" in done
    assert re.search(r"/attempts/tenfold-rate/debrief\?at=\d+#finding-[^\"]*keyed-rate", done)


def test_the_fields_of_an_act_are_filled_in_as_they_were_typed(client):
    question = card(ask(client, "tenfold-rate", Verb.ENTER), "question")
    for name, value in (("at", "08:55:50"), ("rate", "548"), ("volume", "109.6")):
        assert re.search(rf'name="{name}" value="{value}"', question)


def test_an_act_whose_parameters_are_called_like_the_question_keeps_both_apart(client):
    page = ask(client, "model", Verb.SCRUB_HUB, how="changed", seconds="5")
    question = card(page, "question")
    assert re.search(r'<option value="access" selected>', question)
    assert "What if it had been: scrubbed the hub at the access of line 1 for 5 s?" in page


@pytest.mark.parametrize(
    ("verb", "right"),
    [
        (Verb.ENTER, "109.6 mL and 54.8 mL/h"),
        (Verb.CALCULATE, "54.8 mL/h"),
    ],
)
def test_a_wrong_value_has_the_right_one_as_a_ready_choice(client, verb, right):
    conduct = {Verb.ENTER: "tenfold-rate", Verb.CALCULATE: "order-not-questioned"}[verb]
    question = card(ask(client, conduct, verb), "question")
    assert f"with the right value: {right}" in question


def test_a_right_value_has_no_ready_choice(client):
    assert "with the right value" not in ask(client, "model", Verb.ENTER)


def test_the_ready_choices_for_a_time_end_where_the_attempt_ends(client):
    question = card(ask(client, "model", Verb.CLEAN_HANDS), "question")
    assert "1 min later" in question
    assert "earlier" not in question


# --- what cannot be read ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("query", "told"),
    [
        ({"how": "moved", "at": "soon"}, "`soon` is no time on the ward clock. Write"),
        ({"how": "moved", "at": "9.30"}, "Write the ward clock's time as hours and minutes"),
        ({"how": "moved", "at": "25:00"}, "`25:00` is no time on the ward clock"),
        ({"how": "moved", "at": "12:00"}, "The attempt ran from 08:50 to "),
        ({"how": "moved", "at": ""}, "That is when you did it"),
        ({"how": "undone"}, "`undone` is no way to change an act; choose one of"),
        ({"how": "changed"}, "That is what you did. Write at least one other value."),
        ({"how": "changed", "rate": "fast"}, "`fast` is not a number; write it plainly"),
        ({"how": "changed", "rate": "x" * 3000}, "write at most 2000 characters"),
        ({"how": "changed", "rate": "5", "line": "7"}, "There is no line `7` here"),
        ({"how": "changed", "rate": "", "volume": ""}, "volume"),
    ],
)
def test_what_cannot_be_read_comes_back_with_what_was_typed_and_how_to_write_it(
    client, query, told
):
    page = ask(client, "model", Verb.ENTER, **query)
    fault = page.partition('role="alert" tabindex="-1">')[2].partition("</p>")[0]
    assert told in fault
    assert "svg" not in page.partition('class="if-answers"')[2]
    for value in query.values():
        if value not in ("", "undone"):
            assert value in page


def test_what_a_learner_typed_is_never_read_as_markup(client):
    query = {"deed": act_of("model", Verb.ENTER), "how": "moved", "at": "<script>bad"}
    page = client.get(f"/attempts/model/what-if?{urlencode(query)}").text
    assert "<script>bad" not in page
    assert "&lt;script&gt;bad" in page


@pytest.mark.parametrize(
    "tail",
    [
        "how=changed&rate=key:maintenance-today.rate",
        "how=changed&rate=key:nothing.at.all",
        "how=changed&rate=%00",
        "how=changed&rate=%FF%FE",
        "how=changed&rate=1e999",
        "how=changed&rate=-5",
        "how=changed&rate=\u00bd",
        "how=changed&rate=54.8&rate=7",
        "how=changed&strange=1",
        "how=moved&at=24:00",
        "how=moved&at=9:38:61",
        "how=moved",
        "how=left+out&at=soon&rate=x",
        "how=%20left%20%20out%20",
        "how=",
        "&&&=;",
    ],
)
def test_no_address_is_answered_with_a_fault_of_the_program(client, tail):
    deed = act_of("model", Verb.ENTER)
    assert client.get(f"/attempts/model/what-if?deed={deed}&{tail}").status_code == 200


# --- the answer ------------------------------------------------------------------------------


def test_both_courses_are_drawn_to_one_scale_and_named_in_words(client):
    page = ask(client, "tenfold-rate", Verb.ENTER, how="changed", rate="54.8", volume="109.6")
    for size in ("wide", "narrow"):
        picture = page.partition(f'class="strip strip-{size}"')[2].partition("</svg>")[0]
        for which in ("was", "then"):
            assert re.search(
                rf'class="course-{which}" [^>]*aria-label="line 1, rate in mL/h, {which}"', picture
            )
        assert re.search(r">was 548</text>", picture)
        assert re.search(r">then 54.8</text>", picture)
    assert "then: as it would have gone, thick and broken" in page


def test_only_what_differs_is_drawn_and_the_rest_is_named(client):
    page = ask(client, "model", Verb.CLEAN_HANDS, how="left out")
    wide = page.partition('class="strip strip-wide"')[2].partition("</svg>")[0]
    assert "line 1, rate" in wide
    assert "pressure below the pump" not in wide
    assert "The same in both:" in page


def test_the_right_rate_takes_the_finding_away_and_the_page_says_so(client):
    page = ask(client, "tenfold-rate", Verb.ENTER, how="changed", rate="54.8")
    gone = page.partition("Findings that would be gone")[2].partition("</ul>")[0]
    assert "rate entered: 548 mL/h" in gone
    rows = page.partition("The differences")[2].partition("</table>")[0]
    assert rows.count("<tr") > 1
    assert "better" in rows


def test_an_act_left_out_makes_later_ones_impossible_and_the_page_says_which(client):
    page = ask(client, "model", Verb.SPIKE, how="left out")
    impossible = page.partition("Would then have been impossible")[2].partition("</ul>")[0]
    assert "Filled the primary drip chamber of line 1" in impossible
    new = page.partition("Findings that would be new")[2].partition("</ul>")[0]
    assert "Missed" in new


def test_an_act_moved_is_marked_at_both_times(client):
    page = ask(client, "model", Verb.STRAIGHTEN, how="moved", at="09:15")
    assert "What if I had done it at 09:15 instead of 09:07:14?" in page
    assert ">done 09:07:14</text>" in page
    assert ">then 09:15</text>" in page


def test_the_answer_stands_as_a_table_too(client):
    page = ask(client, "model", Verb.STRAIGHTEN, how="left out")
    table = page.partition("Both courses as a table")[2].partition("</table>")[0]
    assert "line 1, volume into the vein in mL, was" in table
    assert "line 1, volume into the vein in mL, then" in table
    assert re.search(r'<th scope="row">09:10</th>', table)


def test_the_page_leads_back_to_the_moment_of_the_act(client):
    page = ask(client, "model", Verb.STRAIGHTEN, how="left out")
    at_ms = next(one.at_ms for one in deeds(run("model")) if one.action.verb is Verb.STRAIGHTEN)
    assert f'href="/attempts/model/debrief?at={at_ms}#moment">Back to the debrief' in page


def test_every_act_can_be_left_out_moved_and_asked_for_without_a_fault(client):
    """The empty question and the one that changes nothing: once for each kind of act."""
    asked: set[Verb] = set()
    for one in deeds(run("pressure-not-released")):
        ways = ["how=left+out", "how=moved&at=08:55:01"]
        if one.action.verb not in asked:
            ways += ["how=changed", ""]
        asked.add(one.action.verb)
        for way in ways:
            address = f"/attempts/pressure-not-released/what-if?deed={one.index}&{way}"
            assert client.get(address).status_code == 200, (one, way)


def test_the_same_question_again_gives_the_same_page(client):
    first = ask(client, "model", Verb.START, how="left out")
    assert ask(client, "model", Verb.START, how="left out") == first


def test_the_page_carries_the_notice_and_no_inline_style_or_script(client):
    page = ask(client, "tenfold-rate", Verb.ENTER, how="left out")
    assert TRAINING_NOTICE in page
    assert not re.search(r"\sstyle=|<style|\son[a-z]+=|<script>", page)


def test_an_identifier_stands_on_the_page_only_once(client):
    for query in ({}, {"how": "left out"}, {"how": "moved", "at": "soon"}):
        page = ask(client, "tenfold-rate", Verb.ENTER, **query)
        idents = re.findall(r'\sid="([^"]+)"', page)
        assert len(idents) == len(set(idents))


# --- the drawing -----------------------------------------------------------------------------

A_COURSE = st.lists(
    st.tuples(st.integers(0, 7_200_000), st.fractions(0, 500, max_denominator=1000)),
    min_size=1,
    max_size=12,
).map(lambda pairs: tuple(Point(at_ms=at, value=value) for at, value in sorted(pairs)))


@given(A_COURSE)
def test_a_path_runs_through_the_same_places_as_the_strip_draws_it(points):
    """In whole numbers as with fractions; only points on one spot are left out."""
    sheet = Sheet(format=NARROW, from_ms=0, until_ms=7_200_000)
    scale = Scale(Fraction(0), Fraction(500), Fraction(80), Fraction(20))
    quick, exact = path(sheet, points, scale), curve(sheet, points, scale)
    places = exact[1:].split("L")
    apart = [one for place, one in enumerate(places) if place == 0 or one != places[place - 1]]
    assert quick == "M" + "L".join(apart)


@given(A_COURSE, st.lists(st.integers(0, 7_200_000), max_size=9))
def test_values_taken_in_one_go_are_those_taken_one_by_one(points, moments):
    rising = tuple(sorted(moments))
    assert values_at(points, rising) == tuple(level_at(points, at) for at in rising)


def test_at_a_jump_the_value_after_it_counts_and_before_the_first_point_nothing():
    zero, high = Fraction(0), Fraction(54)
    jump = (Point(at_ms=10, value=zero), Point(at_ms=10, value=high), Point(at_ms=20, value=high))
    assert values_at(jump, (9, 10, 15, 20, 30)) == (zero, high, high, high, high)

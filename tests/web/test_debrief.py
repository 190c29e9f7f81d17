"""The debrief of an attempt: when it opens, in which order it speaks, what leads where."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from tests.rehearsed import SHIPPED
from tests.web.kept import BENT_LINE, IDA, OTTO, browsing, keep, rehearsed
from trainer.engine.events import Event, Finished
from trainer.scenario.model import ConductStep
from trainer.scoring.rehearse import rehearse
from trainer.terms import TRAINING_NOTICE, Verb


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One record, in which every attempt has a name of its own."""
    return tmp_path_factory.mktemp("debriefs") / "trainer"


@pytest.fixture(scope="module")
def client(folder: Path) -> Iterator[TestClient]:
    """Ida's browser at that record."""
    with browsing(folder, IDA) as found:
        yield found


@pytest.fixture(scope="module")
def debrief_of(folder: Path, client: TestClient) -> Callable[..., str]:
    """The debrief page of a scripted run; each run is kept, and each page asked for, once."""
    kept = cache(lambda conduct: keep(folder, rehearsed(conduct), name=conduct))

    @cache
    def page(conduct: str, at: str = "") -> str:
        answer = client.get(f"/attempts/{kept(conduct)}/debrief{at}")
        assert answer.status_code == 200
        return answer.text

    return page


def section(page: str, ident: str) -> str:
    """A section of the page, from its id to the next section's end."""
    return page.partition(f'id="{ident}"')[2].partition("</section>")[0]


def test_before_the_end_a_page_says_so_and_shows_no_answer(folder, client):
    attempt = keep(folder, rehearsed("model")[:30], name="running")
    for address in ("debrief", "debrief/moment"):
        page = client.get(f"/attempts/{attempt}/{address}").text
        assert "has not ended yet" in page
        assert "54.8" not in page


@pytest.mark.parametrize("who", [OTTO, ""], ids=["another learner", "a stranger"])
def test_nobody_sees_the_debrief_of_another(folder, who):
    attempt = keep(folder, rehearsed("model"), name=f"whole-{who[:1]}")
    with browsing(folder, who) as client:
        for address in (f"/attempts/{attempt}/debrief", f"/attempts/{attempt}/debrief/moment"):
            answer = client.get(address)
            assert answer.status_code == 404
            assert "54.8" not in answer.text


def test_an_owner_having_looked_opens_it_to_nobody_else(folder):
    attempt = keep(folder, rehearsed("model"), name="looked-at")
    with browsing(folder, IDA) as client:
        assert client.get(f"/attempts/{attempt}/debrief").status_code == 200
    with browsing(folder, OTTO) as client:
        assert client.get(f"/attempts/{attempt}/debrief").status_code == 404


def test_an_attempt_that_never_was_has_no_debrief(client):
    assert client.get("/attempts/never/debrief").status_code == 404


def test_reactions_come_first_then_facts_then_analysis_then_what_next_and_marks_last(debrief_of):
    page = debrief_of("restart-without-looking")
    stages = ("reactions", "happened", "strip", "findings", "keys", "next", "marks")
    order = [page.index(f'id="{part}"') for part in stages]
    assert order == sorted(order)
    assert "What went as you meant it to?" in page[: order[1]]
    before_marks = page[page.index("<main") : page.index('id="marks"')]
    assert not re.search(r"\d+(\.\d+)? of \d+", re.sub(r"<[^>]+>", " ", before_marks))
    assert "all parts" not in before_marks


def test_each_number_on_the_strip_leads_to_its_finding_and_back(debrief_of):
    page = debrief_of("restart-without-looking")
    stops = re.findall(r'<a class="stop (?:miss|near)" href="[^"]*\?at=(\d+)#([^"]+)"', page)
    assert stops
    for at_ms, anchor in set(stops):
        finding = page.partition(f'id="{anchor}"')[2].partition("</article>")[0]
        assert f'?at={at_ms}#moment" data-at="{at_ms}"' in finding


def test_both_sizes_of_the_strip_have_the_same_numbered_stops(debrief_of):
    page = debrief_of("order-not-questioned")
    wide, narrow = (
        re.findall(r'<a class="stop (?:miss|near)" href="([^"]+)"', one)
        for one in page.split('class="strip strip-')[1:3]
    )
    assert wide
    assert wide == narrow


def test_the_strip_is_told_in_words_and_every_mark_has_a_label(debrief_of):
    page = debrief_of("model")
    wide = page.partition('class="strip strip-wide"')[2].partition("</svg>")[0]
    assert "<title" in wide
    assert "Time runs from left to right on the ward clock" in wide
    labels = re.findall(r'role="img" aria-label="([^"]+)"', wide)
    assert any("downstream occlusion, line 1, high priority" in one for one in labels)
    assert any("event: The line is bent" in one for one in labels)
    assert any(one.endswith("straighten") for one in labels)
    assert "What happened, as a table" in page


def test_the_table_holds_every_act_in_the_words_of_the_bedside(debrief_of):
    page = debrief_of("model")
    table = page.partition("What happened, as a table")[2].partition("</table>")[0]
    assert "Straightened the tubing of line 1" in table
    assert "The prescriber answers" in table
    assert "High priority alarm: downstream occlusion, line 1" in table


def test_the_play_head_shows_what_was_true_and_what_had_been_looked_at(debrief_of):
    blocked = "?at=970000"
    page = debrief_of("model", at=blocked)
    card = section(page, "moment")
    assert "09:06" in card
    assert "blocked below the pump" in card
    assert "bent sharply under her forearm</b> <span>the line not followed yet" in card
    assert "as seen at 08:55" in card


@pytest.mark.parametrize(
    "at", ["?at=soon", "?at=-5", "?at=1e9", "?at=99999999999", "?from=9&until=2"]
)
def test_a_moment_that_cannot_be_read_still_gives_the_page(debrief_of, at):
    assert 'id="moment"' in debrief_of("model", at=at)


def test_one_moment_alone_is_one_element_that_takes_its_own_place(folder, client):
    attempt = keep(folder, rehearsed("model"), name="moment")
    piece = client.get(f"/attempts/{attempt}/debrief/moment?at=960000").text.strip()
    assert piece.startswith('<section id="moment"')
    assert piece.endswith("</section>")
    assert "<html" not in piece


def test_earlier_and_later_walk_through_every_finding_without_end(folder, client):
    attempt = keep(folder, rehearsed("pressure-not-released"), name="walk")
    seen: list[int] = []
    address = f"/attempts/{attempt}/debrief?at=0"
    while address and len(seen) < 99:
        card = section(client.get(address).text, "moment")
        seen.append(int(re.findall(r'data-at="(\d+)" data-clock', card)[0]))
        address = re.findall(r'data-later="([^"#]*)', card)[0]
    assert seen == sorted(set(seen))
    assert 1_014_373 in seen  # the bend is opened with the pressure still in the line


def test_a_closer_look_draws_its_own_stretch_and_can_be_left(debrief_of):
    page = debrief_of("model", at="?at=960000&from=600000&until=1500000")
    assert 'data-from="600000" data-until="1500000"' in page
    assert "Whole attempt" in page


def test_a_tenfold_rate_is_told_with_what_was_expected_and_what_was_entered(debrief_of):
    page = debrief_of("tenfold-rate")
    findings = section(page, "findings")
    assert "548 mL/h" in findings
    assert "54.8 mL/h" in findings
    assert "Wrong" in findings
    assert "To do." in findings


def test_a_worked_solution_strikes_out_the_units_that_cancel(debrief_of):
    keys = section(debrief_of("model"), "keys")
    assert re.search(r'<s class="struck">h</s>', keys)
    assert "= 109.6 mL" in keys
    assert "10 kg x 4 + 7.4 kg x 2 = 54.8 mL/h" in keys


@pytest.mark.parametrize(
    ("conduct", "told"),
    [
        ("pressure-not-released", "ran into the vein at once"),
        ("model", "was let go away from the patient"),
    ],
)
def test_what_stood_under_pressure_is_told_with_where_it_went(debrief_of, conduct, told):
    happened = section(debrief_of(conduct), "happened")
    assert re.search(rf"09:0\d: 0\.\d+ mL that stood under pressure in line 1 {told}", happened)


def test_full_marks_say_that_nothing_is_to_be_mended(debrief_of):
    page = debrief_of("model")
    assert "Nothing to mend" in page
    assert "must be right" not in page


def test_a_missed_critical_step_is_told_above_the_marks(debrief_of):
    marks = section(debrief_of("pressure-not-released"), "marks")
    assert "To be right every time, and was not here" in marks
    assert "Did not release the pressure in line 1" in marks


def test_what_was_ordered_stands_beside_what_was_given(debrief_of):
    page = debrief_of("model")
    table = page.partition('class="delivered"')[2].partition("</table>")[0]
    assert "Maintenance fluid, today&#39;s weight" in table
    assert re.search(r"\d+(\.\d)? mL", table)


def test_the_record_names_scenario_seed_and_versions_and_the_log_can_be_taken_away(
    debrief_of, client
):
    page = debrief_of("model")
    record = section(page, "record-title")
    for words in (BENT_LINE, "Seed", "trainer ", "engine ", "SHA-256"):
        assert words in record
    href = re.findall(r'href="([^"]+)" download', page)[0]
    lines = client.get(href).text.splitlines()
    assert len(lines) == len(rehearsed("model")) + 1


def test_trying_again_offers_other_numbers_and_the_same(debrief_of):
    following = debrief_of("model").partition('id="next"')[2].partition('id="marks"')[0]
    assert f'name="scenario" value="{BENT_LINE}"' in following
    assert re.search(r'name="seed" value="[1-9]\d*">Try again with other numbers', following)
    assert 'name="seed" value="0">Again with the same numbers' in following


def test_the_page_carries_the_notice_and_no_inline_style_or_script(debrief_of):
    page = debrief_of("order-not-questioned")
    assert TRAINING_NOTICE.replace("'", "&#39;") in page
    assert not re.search(r"\sstyle=|<style|\son[a-z]+=|<script>", page)


def test_an_identifier_stands_on_the_page_only_once(debrief_of):
    page = debrief_of("order-not-questioned")
    idents = re.findall(r'\sid="([^"]+)"', page)
    assert len(idents) == len(set(idents))


def with_step_before(verb: Verb, extra: ConductStep) -> tuple[Event, ...]:
    """The log of the model conduct with one more act before the first act of a kind."""
    scenario = SHIPPED[BENT_LINE]
    steps = list(scenario.conducts[0].steps)
    place = next(n for n, step in enumerate(steps) if step.verb is verb)
    steps.insert(place, extra)
    return rehearse(scenario, replace(scenario.conducts[0], steps=tuple(steps)))


def test_a_slip_that_was_caught_before_the_start_is_praised_and_costs_nothing(folder, client):
    slip = ConductStep(
        verb=Verb.ENTER,
        params=(("line", "1"), ("rate", "548"), ("role", "primary"), ("volume", "109.6")),
    )
    attempt = keep(folder, with_step_before(Verb.ENTER, slip), name="caught")
    page = client.get(f"/attempts/{attempt}/debrief").text
    findings = section(page, "findings")
    assert "Near miss, caught" in findings
    assert "You caught this before it reached the patient" in findings
    assert "must be right" not in findings


def test_what_a_learner_typed_is_never_read_as_markup(folder, client):
    typed = ConductStep(verb=Verb.NOTIFY, params=(("text", "<script>bad"), ("who", "prescriber")))
    attempt = keep(folder, with_step_before(Verb.START, typed), name="typed")
    page = client.get(f"/attempts/{attempt}/debrief").text
    assert "<script>bad" not in page
    assert "&lt;script&gt;bad" in page


def test_an_attempt_ended_at_once_still_has_a_debrief_that_says_what_is_missing(folder, client):
    nothing_done = (Finished(at_ms=0, by="learner"),)
    attempt = keep(folder, nothing_done, name="nothing")
    answer = client.get(f"/attempts/{attempt}/debrief")
    assert answer.status_code == 200
    assert "Line 1 never ran." in answer.text
    assert "not enough evidence" in answer.text
    assert "Missed" in section(answer.text, "findings")


def primed_while_connected() -> tuple[Event, ...]:
    """The model run by someone who connects before priming, then flushes."""
    scenario = SHIPPED[BENT_LINE]
    steps = list(scenario.conducts[0].steps)
    prime = next(place for place, one in enumerate(steps) if one.verb is Verb.PRIME)
    start = next(place for place, one in enumerate(steps) if one.verb is Verb.START)
    early = steps.pop(prime)
    flush = ConductStep(verb=Verb.FLUSH, params=(("line", "1"), ("volume", "5")))
    steps[start - 1 : start - 1] = [early, flush]
    return rehearse(scenario, replace(scenario.conducts[0], steps=tuple(steps)))


def test_air_in_the_vein_is_told_everywhere_and_never_as_volume(folder, client):
    attempt = keep(folder, primed_while_connected(), name="air")
    page = client.get(f"/attempts/{attempt}/debrief?at=99999999999").text
    happened, findings = section(page, "happened"), section(page, "findings")
    assert re.search(r"mL of air reached the vein through line 1, as the line was primed", happened)
    assert "1 flush gave 5 mL of what went into the vein through line 1." in happened
    assert "mL of air reached the vein through line 1" in findings
    assert "must be right" in findings
    assert "air that had reached the vein" in section(page, "moment")


def test_without_air_the_moment_says_nothing_of_it(debrief_of):
    assert "air that had reached" not in debrief_of("model", at="?at=970000")

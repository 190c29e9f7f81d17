"""A pump, a drip and a syringe on one page: every new act by its form, every panel."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from starlette.testclient import TestClient

from tests.web.at_bedside import Visit, begin, panel, panels_in
from tests.web.kept import browsing
from tests.web.three_lines import NAME, folder_with_three_lines
from trainer.engine.events import LineFreed, PowerChanged
from trainer.live.library import Library
from trainer.scenario.load import load_scenario
from trainer.terms import Where
from trainer.web import panels
from trainer.web.app import create_app
from trainer.web.settings import Settings


@pytest.fixture(scope="module")
def three(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    place = tmp_path_factory.mktemp("three")
    with browsing(place / "data", scenarios=folder_with_three_lines(place)) as found:
        yield found


@pytest.fixture
def visit(three: TestClient) -> Visit:
    three.cookies.clear()
    return begin(three, NAME)


def test_each_line_shows_what_drives_it(visit):
    page = visit.page()
    assert re.findall(r'data-drive="(\w+)"', page) == ["pump", "gravity", "syringe"]
    assert "not plugged in" in page
    assert "16 % open" in page


def test_the_gravity_line_is_set_by_hand_and_has_no_give_sentence(visit):
    page = visit.page()
    assert 'id="give-1"' in page
    assert 'id="give-2"' not in page
    assert 'id="give-3"' in page
    slider = re.search(r'<input type="range"[^>]*data-sets="hand-2-1-opening"[^>]*>', page)
    assert slider is not None
    assert 'aria-label="Opening of the roller clamp, line 2"' in slider[0]
    assert 'step="0.1"' in slider[0]


def test_turning_the_clamp_moves_the_map_and_the_drops(visit):
    pieces = visit.act("turn clamp", line="2", opening="12.5")
    line = panel(pieces, "line-2")
    assert "12.5 % open" in line
    assert 'data-opening="12.5"' in line
    assert "Turned the roller clamp of line 2 to 12.5 %" in panel(pieces, "slip")


def test_an_opening_that_makes_no_sense_is_refused_with_the_way_to_write_it(visit):
    assert "from 0 to 100 %" in panel(visit.act("turn clamp", line="2", opening="130"), "slip")


def test_counted_drops_stand_with_the_line_and_what_they_come_to(visit):
    pieces = visit.act("count drops", line="2", seconds="30")
    found = re.search(r"(\d+) drops? fell", panel(pieces, "slip"))
    assert found is not None
    drops = int(found[1])
    running = panel(pieces, "running-2")
    assert f'<b class="num">{drops * 2}</b> drops/min' in running
    assert f'<b class="num">{drops * 6}</b> mL/h' in running  # 20 drops/mL


def test_the_page_counts_no_drops_for_a_learner_who_sees_them_fall(visit):
    page = visit.page()
    gravity = page[page.index('id="line-2"') : page.index('id="at-line-3"')]
    assert re.search(r'class="nowrap soft drops-told">\d+ drops/min', gravity)
    assert "Hear the drops" in gravity


def test_another_height_changes_the_flow_of_a_drip(visit):
    drops = r'data-role="primary"[^>]*data-drops="(\d+)"'
    before = re.findall(drops, visit.page()[visit.page().index('id="line-2"') :])
    line = panel(visit.act("set height", line="2", height="45"), "line-2")
    assert "45 cm above" in line
    after = re.findall(drops, line)
    assert int(after[0]) < int(before[0])


def test_a_height_without_sense_is_refused(visit):
    assert "from 0 to 250 cm" in panel(visit.act("set height", line="2", height="9 m"), "slip")


def test_a_pump_is_plugged_in_and_says_so(visit):
    running = panel(visit.act("plug in", line="3"), "running-3")
    assert "Pump on the mains" in running
    assert 'data-show="battery"' not in running


def test_a_set_is_taken_out_of_its_pump(visit):
    visit.act("stop", line="1")
    assert "no set in it" in panel(visit.act("unload", line="1"), "line-1")


def test_a_syringe_is_changed(visit):
    visit.act("stop", line="3")
    visit.act("unload", line="3")
    assert "none attached" in panel(visit.act("take down", line="3", role="primary"), "line-3")
    visit.act("choose", supply="next-syringe")
    pieces = visit.act("attach syringe", line="3", supply="next-syringe")
    assert "50 mL left" in panel(pieces, "line-3")
    assert "hangs on line 3" in panel(pieces, "trolley")


def test_a_measurement_is_under_way_and_then_known(visit):
    pieces = visit.act("measure", what="glucose")
    assert "Glucose: taken 08:00, result about 08:02" in panel(pieces, "signs")
    page = visit.page()
    for press in range(3):
        if "Glucose: taken" not in page:
            break
        visit.post("leap", token=f"press-{press}")
        page = visit.page()
    assert "Glucose: taken" not in page
    assert re.search(r"Glucose <span[^>]*>taken 08:00</span></dt><dd", page, re.S)
    assert "glucose 5.6 mmol/L, taken at 08:00" in page


def test_only_measured_signs_can_be_chosen(visit):
    page = visit.page()
    select = re.search(r'<select id="measure-what".*?</select>', page, re.S)
    assert select is not None
    assert re.findall(r'value="([^"]+)"', select[0])[0] == "glucose"
    assert "heart rate" not in select[0]


def test_a_soft_limit_asks_for_a_reason_in_the_same_form_and_takes_it(visit):
    dose = {"line": "1", "role": "secondary", "volume": "100", "rate": "60"}
    pieces = visit.act("enter", **dose, fluid="vancomycin-500mg-100")
    limit = panel(pieces, "limit-1")
    assert "limit-asks" in limit
    assert "above the highest" in limit
    accepted = visit.act("enter", **dose, fluid="vancomycin-500mg-100", reason="asked by phone")
    assert 'class="limit none"' in panel(accepted, "limit-1")
    assert "waits for start" in panel(accepted, "running-1")
    assert "because: asked by phone" in panel(accepted, "slip")


def test_a_hard_limit_asks_for_no_reason(visit):
    pieces = visit.act(
        "enter", line="3", role="primary", volume="50", rate="500", fluid="noradrenaline-1mg-50"
    )
    limit = panel(pieces, "limit-3")
    assert "Outside a limit that holds." in limit
    assert "limit-asks" not in limit


def test_a_pump_that_was_told_nothing_asks_nothing(visit):
    pieces = visit.act("enter", line="3", role="primary", volume="50", rate="500")
    assert 'class="limit none"' in panel(pieces, "limit-3")


def test_the_reason_stands_in_the_give_form_and_comes_up_without_a_script(visit):
    form = re.search(r'<form class="give" id="give-1".*?</form>', visit.page(), re.S)
    assert form is not None
    assert form[0].index('id="limit-1"') < form[0].index('name="reason"')


def test_a_catheter_is_taken_out_and_placed_anew(visit):
    visit.act("close clamp", line="2", clamp="primary")
    visit.act("disconnect", line="2", at="access")
    out = visit.act("remove catheter", access="right-arm")
    assert "line-2" in panels_in(out)
    assert "Took out the catheter: right arm" in panel(out, "slip")
    assert "Not possible" not in panel(visit.act("resite", access="right-arm"), "slip")


def test_a_catheter_with_a_line_on_it_stays(visit):
    assert "disconnect it first" in panel(visit.act("remove catheter", access="neck"), "slip")


def test_what_a_look_at_the_site_showed_stays_under_the_map(visit):
    line = panel(visit.act("look at site", access="right-arm"), "line-2")
    assert re.search(r'site-seen">Site at 08:00: Right arm: dry and flat', line)


def test_what_of_the_drug_lies_in_the_tubing_is_told(visit):
    assert re.search(r'data-lying="drug-[ab]">1\.2 mL</b> of noradrenaline', visit.page())


def test_in_an_assessment_nothing_of_the_contents_is_shown(tmp_path):
    settings = Settings(
        folder=tmp_path / "data",
        scenarios=folder_with_three_lines(tmp_path),
        contents_visible=False,
    )
    with TestClient(create_app(settings)) as client:
        page = begin(client, NAME).page()
    assert 'data-plugs=""' in page
    assert not re.search(r'data-plugs="[^"]', page)
    assert "data-lying" not in page
    assert "mmHg steady" in page  # the pump shows its pressure all the same


def test_the_mains_touch_every_line_and_a_block_only_its_own(tmp_path):
    source = Library((folder_with_three_lines(tmp_path),)).find(NAME).source
    assert source is not None
    scenario = load_scenario(source)
    touched = panels.touched(scenario, (PowerChanged(at_ms=0, mains_on=False),))
    assert {"running-1", "running-2", "running-3"} <= touched
    freed = LineFreed(at_ms=0, line=1, where=Where.DOWNSTREAM)
    assert panels.touched(scenario, (freed,)) == {"line-1", "running-1"}

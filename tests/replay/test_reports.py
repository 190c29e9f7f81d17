"""Whole attempts: the report of every shipped scenario's conducts, as text.

A change here is a change of what learners are told: review it as clinical content, then
run `pytest --update-goldens`.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.rehearsed import LIBRARY, RUNS, SHIPPED, conduct_named, log_of, model_of, report_of
from trainer.scoring.rehearse import rehearse
from trainer.scoring.report import report
from trainer.scoring.telling import report_lines
from trainer.terms import Verdict

GOLDENS = Path(__file__).parent / "goldens"
NAMES = [f"{scenario}/{conduct}" for scenario, conduct in RUNS]


def test_there_are_shipped_scenarios_and_each_has_a_model_and_mistakes():
    assert len(SHIPPED) == len(LIBRARY.shelf().listings) >= 3
    assert all(len(one.conducts) > 1 for one in SHIPPED.values())


@pytest.mark.parametrize(("scenario", "conduct"), RUNS, ids=NAMES)
def test_a_conducts_report_is_the_one_reviewed(scenario, conduct, request):
    text = "\n".join(report_lines(report_of(scenario, conduct))) + "\n"
    golden = GOLDENS / scenario / f"{conduct}.txt"
    if request.config.getoption("--update-goldens"):
        golden.parent.mkdir(parents=True, exist_ok=True)
        golden.write_text(text, encoding="utf-8")
    assert golden.is_file(), f"there is no {golden.name}; run pytest --update-goldens and review it"
    assert text == golden.read_text(encoding="utf-8")


@pytest.mark.parametrize(("scenario", "conduct"), RUNS, ids=NAMES)
def test_a_report_is_the_same_every_time(scenario, conduct):
    again = rehearse(SHIPPED[scenario], conduct_named(scenario, conduct))
    assert again is not log_of(scenario, conduct)
    assert again == log_of(scenario, conduct)
    assert report(SHIPPED[scenario], again) == report_of(scenario, conduct)


@pytest.mark.parametrize(("scenario", "conduct"), RUNS, ids=NAMES)
def test_the_model_earns_every_mark_and_a_mistake_does_not(scenario, conduct):
    assert report_of(scenario, conduct).full is (conduct == model_of(scenario).id)


@pytest.mark.parametrize(("scenario", "conduct"), RUNS, ids=NAMES)
def test_a_mistake_shows_where_its_author_says(scenario, conduct):
    found = {one.id: one.verdict for one in report_of(scenario, conduct).findings}
    for name in conduct_named(scenario, conduct).shows:
        assert found[name] not in {Verdict.RIGHT, Verdict.NOT_NEEDED}


@pytest.mark.parametrize(("scenario", "conduct"), RUNS, ids=NAMES)
def test_findings_are_in_time_order_with_reasons_and_fair_points(scenario, conduct):
    found = report_of(scenario, conduct).findings
    moments = [one.at_ms for one in found if one.at_ms is not None]
    assert moments == sorted(moments)
    assert all(one.reason for one in found)
    assert all(0 <= one.points <= one.most for one in found)
    assert len({one.id for one in found}) == len(found)


def test_no_golden_is_left_of_a_conduct_that_is_gone():
    there = {str(path.relative_to(GOLDENS).with_suffix("")) for path in GOLDENS.rglob("*.txt")}
    assert {name for name in there if not name.startswith("courses/")} == set(NAMES)

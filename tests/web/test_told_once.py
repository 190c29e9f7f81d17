"""What lies behind a wrong value is told once; findings after it point there."""

from __future__ import annotations

from tests.web.kept import IDA, browsing, keep, rehearsed


def debrief(folder, conduct: str) -> str:
    name = keep(folder, rehearsed(conduct), name=conduct)
    with browsing(folder, IDA) as client:
        return client.get(f"/attempts/{name}/debrief").text


def card(page: str, finding: str) -> str:
    _, _, after = page.partition(f'id="finding-{finding}"')
    return after.partition("</article>")[0]


def test_one_slip_behind_three_values_is_told_once_and_pointed_at_from_the_others(tmp_path):
    page = debrief(tmp_path, "kilograms-taken-for-pounds")
    # the volume was typed as certain, so it is talked of first; then what must be right
    volume, keyed, rate = (
        card(page, f"entry-maintenance-today-{name}") for name in ("volume", "keyed-rate", "rate")
    )
    told = "<dt>Pounds and kilograms mixed</dt>"
    assert [told in one for one in (volume, keyed, rate)] == [True, False, False]
    assert 'href="#finding-entry-maintenance-today-volume"' in keyed
    assert 'href="#finding-entry-maintenance-today-keyed-rate"' in rate


def test_one_sum_is_worked_out_once(tmp_path):
    page = debrief(tmp_path, "kilograms-taken-for-pounds")
    keyed, rate = (card(page, f"entry-maintenance-today-{name}") for name in ("keyed-rate", "rate"))
    assert 'class="solution' in keyed
    assert 'class="solution' not in rate


def test_what_was_left_undone_is_told_as_a_sentence_and_once(tmp_path):
    page = debrief(tmp_path, "pressure-not-released")
    missed = card(page, "bent-line-release-pressure")
    assert "Did not release the pressure in line 1 away from the patient" in missed
    assert "It was not done" not in missed
    assert "<dt>expected</dt>" not in missed

"""The give sentence's third value, worked out while typing."""

from __future__ import annotations

import pytest

from tests.web.at_bedside import OPEN_PAGE


def third(visit, **typed: str) -> str:
    answer = visit.client.get(
        f"{visit.address}/third", params={"line": "1", **typed}, headers=OPEN_PAGE
    )
    assert answer.status_code == 200
    return str(answer.text)


# Any two of rate, volume and duration fix the third (common practice, no source); 100 mL
# over 30 min runs at 200 mL/h (common practice, no source).
@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ({"volume": "100", "minutes": "30"}, 'data-rate="200"'),
        ({"volume": "112.8", "hours": "2"}, 'data-rate="56.4"'),
        ({"rate": "200", "minutes": "30"}, 'data-volume="100"'),
        ({"rate": "40", "hours": "2"}, 'data-volume="80"'),
        ({"volume": "75", "rate": "50"}, 'data-hours="1" data-minutes="30"'),
        ({"volume": "28", "rate": "28"}, 'data-hours="1" data-minutes="0"'),
    ],
)
def test_any_two_give_the_third(visit, typed, found):
    assert found in third(visit, **typed)


@pytest.mark.parametrize("typed", [{}, {"volume": "100"}, {"rate": "50"}, {"hours": "2"}])
def test_one_alone_gives_nothing(visit, typed):
    answer = third(visit, **typed)
    assert 'data-rate=""' in answer
    assert "third-wrong" not in answer


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"volume": "ten", "rate": "50"}, "ten"),
        ({"volume": "100", "rate": "0"}, "more than zero"),
        ({"volume": "100", "rate": "0.05"}, "steps of 0.1 mL/h"),
        ({"volume": "80", "rate": "0.0000001"}, "enter 0.1 mL/h"),
        ({"volume": "0.04", "rate": "10"}, "enter 0.1 mL."),
        ({"volume": "0.1", "hours": "24"}, "enter a larger volume or a shorter duration"),
        ({"rate": "0.1", "minutes": "1"}, "enter a higher rate or a longer duration"),
        ({"volume": "80", "minutes": "-30"}, "without a minus"),
        ({"volume": "80", "hours": "1", "minutes": "-30"}, "without a minus"),
        ({"volume": "80", "hours": "1", "minutes": "half"}, "write it as 1 h 30 min or 90 min"),
        ({"volume": "100", "rate": "9999"}, "outside the pump"),
        ({"volume": "100", "hours": "2", "rate": "60"}, "leave one of the three empty"),
    ],
)
def test_what_cannot_be_is_said_while_typing(visit, typed, says):
    answer = third(visit, **typed)
    assert "third-wrong" in answer
    assert says in answer


def test_typing_leaves_no_trace_in_the_record(visit):
    third(visit, volume="100", minutes="30")
    assert "Nothing has been done yet." in visit.page()


def test_a_very_long_field_is_turned_away(visit):
    answer = visit.client.get(f"{visit.address}/third", params={"line": "1", "rate": "1" * 41})
    assert answer.status_code == 400
    assert "Traceback" not in answer.text

"""The ward clock against a wall clock moved by hand."""

from __future__ import annotations

import pytest

from trainer.live.pacing import GRACE_MS, Pacing
from trainer.store.records import Pace


def begun(pace: Pace = Pace.X1, watchers: int = 1) -> Pacing:
    return Pacing(anchor_ms=0, wall_ms=500, seen_ms=500, pace=pace, watchers=watchers)


@pytest.mark.parametrize(
    ("pace", "moment_ms"),
    [
        (Pace.HELD, 0),
        (Pace.X1, 10_000),
        (Pace.X5, 50_000),
        (Pace.X10, 100_000),
        (Pace.X30, 300_000),
        (Pace.X60, 600_000),
    ],
)
def test_ten_seconds_of_wall_time_at_each_pace(pace, moment_ms):
    assert begun(pace).moment_ms(10_500) == moment_ms


def test_a_change_of_pace_keeps_what_has_passed():
    pacing = begun(Pace.X1).paced(Pace.X10, 1_500).paced(Pace.HELD, 2_500)
    assert pacing.moment_ms(9_999_999) == 1_000 + 10_000


def test_the_clock_does_not_run_while_it_is_held_and_goes_on_from_there():
    pacing = begun(Pace.X1).paced(Pace.HELD, 1_500).paced(Pace.X1, 60_500)
    assert pacing.moment_ms(61_500) == 2_000


def test_an_unwatched_clock_runs_for_a_minute_and_then_holds():
    pacing = begun(watchers=0)
    assert pacing.moment_ms(500 + GRACE_MS) == GRACE_MS
    assert pacing.moment_ms(500 + 10 * GRACE_MS) == GRACE_MS


def test_a_look_after_a_break_goes_on_where_the_clock_held():
    pacing = begun(watchers=0).looked(500 + 10 * GRACE_MS)
    assert pacing.moment_ms(500 + 10 * GRACE_MS + 7_000) == GRACE_MS + 7_000


def test_a_watched_clock_never_holds():
    assert begun(watchers=1).moment_ms(500 + 100 * GRACE_MS) == 100 * GRACE_MS


def test_the_minute_counts_from_the_last_page_that_closed():
    pacing = begun(watchers=2).watched(-1, 10_500).watched(-1, 20_500)
    assert pacing.moment_ms(20_500 + 5 * GRACE_MS) == 20_000 + GRACE_MS


def test_a_page_that_opens_after_a_break_does_not_make_up_for_it():
    pacing = begun(watchers=0).watched(+1, 500 + 10 * GRACE_MS)
    assert pacing.moment_ms(500 + 10 * GRACE_MS) == GRACE_MS


@pytest.mark.parametrize(
    ("pace", "delay_ms"), [(Pace.X1, 9_000), (Pace.X5, 1_800), (Pace.X60, 150), (Pace.HELD, None)]
)
def test_how_long_to_sleep_until_a_happening(pace, delay_ms):
    assert begun(pace).wall_delay_ms(9_000, 500) == delay_ms


def test_a_happening_is_never_looked_for_too_early():
    delay_ms = begun(Pace.X60).wall_delay_ms(1_001, 500)
    assert delay_ms == 17
    assert begun(Pace.X60).moment_ms(500 + delay_ms) >= 1_001

"""The alarm's light and sound, as the page's own style and script have them.

Read from `static/app.css` and `static/app.js`: flash rate and share of light, pulses,
their pitch, length and spacing, bursts, harmonics and levels. The limits are those of
IEC 60601-1-8, most of them from memory (see each row's provenance).
"""

from __future__ import annotations

import json
import re
from itertools import pairwise
from math import log10
from typing import Any

from tests.reference.published import Answer, Row, hold, rows
from trainer.paths import STATIC

CSS = (STATIC / "app.css").read_text(encoding="utf-8")
JS = (STATIC / "app.js").read_text(encoding="utf-8")
MS_PER_S = 1000


def found(pattern: str, text: str) -> re.Match[str]:
    match = re.search(pattern, text, re.DOTALL)
    assert match, f"the page no longer says what this test reads: {pattern}"
    return match


# --- light ----------------------------------------------------------------------------


def flash_hz(priority: str) -> float:
    length = found(rf"\.alarm-{priority} \.lamp {{ animation: lamp (\d+)ms", CSS)
    return MS_PER_S / int(length[1])


def lit_percent() -> float:
    """Share of a flash in which the lamp has its own colour."""
    frames = found(r"@keyframes lamp {([^\n]*)}", CSS)[1]
    stops = re.findall(r"(\d+)% { fill: var\((--[a-z]+)\)", frames)
    assert [colour for _, colour in stops] == ["--lamp", "--card"]
    return float(stops[1][0]) - float(stops[0][0])


# --- sound ----------------------------------------------------------------------------


def bursts() -> dict[str, dict[str, Any]]:
    """The script's table of bursts, read as it stands."""
    table = found(r"const BURSTS = ({.*?\n  });", JS.replace("\r", ""))[1]
    return dict(json.loads(re.sub(r",\s*}", "}", re.sub(r"(\w+):", r'"\1":', table))))


def pulses(priority: str) -> list[tuple[float, float, float]]:
    """(begins, ends, pitch) of every pulse of one burst, in seconds, as the script lays them."""
    one = bursts()[priority]
    long, gap, twice = one["pulse"], one["gap"], one.get("twice", False)
    between = float(found(r"at \+= (0\.\d+);\n", JS)[1])
    step = found(r"at \+= long \+ \((.*?)\);", JS)[1]
    assert step == "twice && place === 2 ? 2 * gap + long : gap"
    at, laid = 0.0, []
    for _ in range(2 if twice else 1):
        for place, pitch in enumerate(one["pitches"]):
            laid.append((at, at + long, float(pitch)))
            at += long + (2 * gap + long if twice and place == 2 else gap)
        at += between
    return laid


def spacings(priority: str) -> list[float]:
    laid = pulses(priority)
    return [later[0] - earlier[1] for earlier, later in pairwise(laid)]


def between_bursts_s(priority: str) -> float:
    return float(bursts()[priority]["every"]) - pulses(priority)[-1][1]


def harmonics() -> list[float]:
    """Strength of the fundamental and of every harmonic over it."""
    parts = found(r"new Float32Array\(\[0, ([^\]]*)\]\)", JS)[1]
    return [float(part) for part in parts.split(",")]


def fewest_harmonics() -> int:
    """Of any pitch: parts between 300 and 4000 Hz, within 15 dB of the fundamental."""
    strengths = harmonics()
    counts: list[int] = [
        sum(
            300 <= pitch * (number + 1) <= 4000 and abs(20 * log10(strength / strengths[0])) <= 15
            for number, strength in enumerate(strengths)
        )
        for one in bursts().values()
        for pitch in one["pitches"]
    ]
    return min(counts)


def level_spread_db() -> float:
    """All pulses are raised to one and the same level."""
    one_pulse = found(r"function pulse\(.*?\n  }", JS)[0]
    levels = {float(level) for level in re.findall(r"AtTime\((0\.\d+), at", one_pulse)}
    assert levels
    return 20 * log10(max(levels) / min(levels))


def all_pitches() -> list[float]:
    return [float(pitch) for one in bursts().values() for pitch in one["pitches"]]


ANSWERS: dict[str, Answer] = {
    "ALM-01": lambda _row: flash_hz("high"),
    "ALM-03": lambda _row: lit_percent(),
    "ALM-05": lambda _row: len(pulses("high")),
    "ALM-08": lambda _row: all_pitches(),
    "ALM-10": lambda _row: [bursts()[name]["pulse"] * MS_PER_S for name in ("medium", "low")],
    "ALM-11": lambda _row: [s * MS_PER_S for s in (*spacings("high")[:2], spacings("high")[3])],
    "ALM-12": lambda _row: [s * MS_PER_S for name in ("medium", "low") for s in spacings(name)],
    "ALM-13": lambda _row: spacings("high")[4],
    "ALM-14": lambda _row: between_bursts_s("high"),
    "ALM-16": lambda _row: between_bursts_s("low"),
    "ALM-17": lambda _row: fewest_harmonics(),
    "ALM-19": lambda _row: level_spread_db(),
}


@rows(ANSWERS)
def test_the_pages_alarm_signals_are_as_the_standard_wants_them(row: Row) -> None:
    hold(row, ANSWERS[row["id"]](row))


def test_the_fourth_pulse_of_a_high_burst_waits_twice_the_gap_and_a_pulse() -> None:
    """IEC 60601-1-8 table 4, from memory: 2x + pulse length."""
    one = bursts()["high"]
    assert abs(spacings("high")[2] - (2 * one["gap"] + one["pulse"])) < 1e-9


def test_a_more_urgent_alarm_is_heard_more_often() -> None:
    """IEC 60601-1-8, from memory: the gap of high is at most medium's, medium's at most low's."""
    gaps = [between_bursts_s(name) for name in ("high", "medium", "low")]
    assert gaps == sorted(gaps)


def test_the_medium_light_flashes_slower_than_the_high_one() -> None:
    """0.4 to 0.8 Hz: IEC 60601-1-8 table 2, from memory."""
    assert 0.4 <= flash_hz("medium") <= 0.8 < flash_hz("high")

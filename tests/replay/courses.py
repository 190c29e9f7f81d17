"""Courses that are played again and compared, line by line, with what they gave before."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from tests.build import (
    MINUTE,
    SECOND,
    Bedside,
    a_block,
    a_dry_line,
    a_ready_line,
    a_scenario,
    an_event,
)
from trainer.scenario.model import Effect, Trigger
from trainer.terms import Happening, Verb


def a_line_from_dry_to_running() -> Bedside:
    """Hung, spiked, filled, loaded, primed, connected, entered, started, complete, KVO."""
    bedside = Bedside(a_scenario(lines=(a_dry_line(),), near_end_ms=2 * MINUTE))
    for verb, params in (
        (Verb.CHOOSE, {"supply": "bag"}),
        (Verb.HANG, {"line": "1", "role": "primary", "supply": "bag"}),
        (Verb.SPIKE, {"line": "1", "role": "primary"}),
        (Verb.FILL_CHAMBER, {"line": "1", "role": "primary"}),
        (Verb.OPEN_CLAMP, {"line": "1", "clamp": "primary"}),
        (Verb.PRIME, {"line": "1", "role": "primary"}),
        (Verb.CLOSE_CLAMP, {"line": "1", "clamp": "primary"}),
        (Verb.LOAD, {"line": "1"}),
        (Verb.SCRUB_HUB, {"line": "1", "at": "access", "seconds": "15"}),
        (Verb.CONNECT, {"line": "1", "at": "access"}),
        (Verb.OPEN_CLAMP, {"line": "1", "clamp": "primary"}),
        (Verb.ENTER, {"line": "1", "role": "primary", "volume": "10", "duration": "10 min"}),
        (Verb.START, {"line": "1"}),
    ):
        bedside.do(verb, **params)
        bedside.wait(10 * SECOND)
    bedside.wait(20 * MINUTE)
    return bedside


def a_bent_line_answered_badly_then_well() -> Bedside:
    """Blocked, alarm, started against the block, followed, released, straightened."""
    block = a_block(when=Trigger(given_ml=Fraction(2), line=1))
    bedside = Bedside(a_scenario(events=(block,)))
    bedside.run(rate="56.4", volume="100")
    bedside.wait(4 * MINUTE)
    for verb, params in (
        (Verb.PAUSE_SOUND, {}),
        (Verb.START, {"line": "1"}),
        (Verb.LOOK_AT_SITE, {"access": "hand"}),
        (Verb.FOLLOW_LINE, {"line": "1"}),
        (Verb.RELEASE_PRESSURE, {"line": "1"}),
        (Verb.STRAIGHTEN, {"line": "1"}),
        (Verb.START, {"line": "1"}),
    ):
        bedside.do(verb, **params)
        bedside.wait(20 * SECOND)
    bedside.wait(5 * MINUTE)
    return bedside


def a_secondary_then_air_then_a_dry_bag() -> Bedside:
    """A drug by the secondary, handed back; a bubble; the primary runs dry unseen."""
    bubble = an_event(
        "bubble",
        Trigger(at_ms=25 * MINUTE),
        Effect(happening=Happening.AIR_ENTERS, line=1, volume_ml=Fraction("0.4")),
    )
    line = a_ready_line(hung_left_ml=Fraction(30))
    bedside = Bedside(a_scenario(lines=(line,), events=(bubble,), drop_sensor=False))
    bedside.run(rate="60", volume="90")
    for verb, params in (
        (Verb.CHOOSE, {"supply": "small-bag"}),
        (Verb.HANG, {"line": "1", "role": "secondary", "supply": "small-bag"}),
        (Verb.SPIKE, {"line": "1", "role": "secondary"}),
        (Verb.FILL_CHAMBER, {"line": "1", "role": "secondary"}),
        (Verb.OPEN_CLAMP, {"line": "1", "clamp": "secondary"}),
        (Verb.PRIME, {"line": "1", "role": "secondary"}),
        (Verb.CONNECT, {"line": "1", "at": "port"}),
        (Verb.LOWER_PRIMARY, {"line": "1"}),
        (Verb.ENTER, {"line": "1", "role": "secondary", "volume": "20", "rate": "120"}),
        (Verb.START, {"line": "1"}),
    ):
        bedside.do(verb, **params)
        bedside.wait(10 * SECOND)
    bedside.wait(15 * MINUTE)
    bedside.do(Verb.RAISE_PRIMARY, line="1")
    bedside.wait(15 * MINUTE)
    bedside.do(Verb.CLEAR_AIR, line="1", how="tap up to the chamber")
    bedside.do(Verb.START, line="1")
    bedside.wait(60 * MINUTE)
    return bedside


COURSES: dict[str, Callable[[], Bedside]] = {
    "dry_to_running": a_line_from_dry_to_running,
    "bent_line": a_bent_line_answered_badly_then_well,
    "secondary_air_dry_bag": a_secondary_then_air_then_a_dry_bag,
}

"""Syringes that are lowered, and the time until a fresh one gives anything."""

from __future__ import annotations

from fractions import Fraction

from tests.build import HOUR
from tests.reference.at_the_line import a_syringe_line, in_vein_ml, now, run, the_ward
from tests.reference.in_the_body import first_moment_h, in_ms
from tests.reference.published import Answer, Row, given, hold, rows
from trainer.engine.carry import carry
from trainer.scenario.model import SyringeSize
from trainer.terms import Verb

DROP_CM = Fraction(130)
"""The greater of the two drops of the study; its abstract does not say which it means."""
PARAMS = {
    Verb.CLOSE_CLAMP: {"line": "1", "clamp": "patient"},
    Verb.OPEN_CLAMP: {"line": "1", "clamp": "patient"},
    Verb.DISCONNECT: {"line": "1", "at": "access"},
    Verb.CONNECT: {"line": "1", "at": "access"},
    Verb.PRIME: {"line": "1", "role": "primary"},
}


def of_the_ward(size_ml: int) -> SyringeSize:
    return next(one for one in the_ward().hydraulics.syringes if one.size_ml == size_ml)


def minutes_without_delivery(row: Row) -> Fraction:
    """The ward's syringe of that size, lowered while it runs."""
    bedside = a_syringe_line(of_the_ward(row["given"]["syringe_ml"]))
    bedside.do(Verb.SET_HEIGHT, line="1", height=f"{DROP_CM} cm")
    run(bedside, given(row, "rate_ml_h"), volume="9")
    bedside.wait(3 * HOUR)
    before = in_vein_ml(now(bedside))
    assert before > 0
    bedside.do(Verb.SET_HEIGHT, line="1", height="0 cm")
    assert not bedside.of_kind("Refused"), bedside.refusal
    return 60 * first_moment_h(lambda h: _given_by(bedside, h) > before, Fraction(3))


def _given_by(bedside, later_h: Fraction) -> Fraction:
    return in_vein_ml(carry(bedside.state, bedside.now_ms + in_ms(later_h)))


def minutes_to_first_fluid(size_ml: int, rate: Fraction) -> Fraction:
    """A freshly loaded syringe of the ward."""
    bedside = a_syringe_line(of_the_ward(size_ml))
    run(bedside, rate, volume="5")
    return 60 * first_moment_h(lambda h: _given_by(bedside, h) > 0, Fraction(10))


ANSWERS: dict[str, Answer] = {
    "HGT-02": minutes_without_delivery,
    "HGT-03": minutes_without_delivery,
    "STA-01": lambda row: minutes_to_first_fluid(50, given(row, "rate_ml_h")),
    "STA-05": lambda row: minutes_to_first_fluid(50, given(row, "rate_ml_h")),
    "STA-06": lambda row: minutes_to_first_fluid(10, given(row, "rate_ml_h")),
}
"""Rows STA-05 and STA-06 measured 60 and 3 mL; the ward's largest and smallest stand for them."""


@rows(ANSWERS)
def test_a_syringe_of_the_ward_does_what_was_measured(row: Row) -> None:
    hold(row, ANSWERS[row["id"]](row))


def test_a_primed_syringe_gives_fluid_at_once() -> None:
    """Priming with the pump takes the slack up. Common practice; direction: row STA-04."""
    bedside = a_syringe_line(of_the_ward(50))
    for verb in (Verb.CLOSE_CLAMP, Verb.DISCONNECT, Verb.OPEN_CLAMP, Verb.PRIME, Verb.CONNECT):
        bedside.do(verb, **PARAMS[verb])
    run(bedside, 1, volume="5")
    assert _given_by(bedside, Fraction(1, 60)) > 0

"""The course of the patient: vital signs as they truly were, and drug levels.

Only a drug's level bends, so it is sampled at a fixed number of moments.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical.quantity import parse_number
from trainer.engine import carry, view
from trainer.engine.events import Event, SignChanged
from trainer.errors import QuantityError
from trainer.scenario.model import Scenario
from trainer.scoring.moments import Moment, Point

LEVEL_SAMPLES = 240
"""Moments at which a drug's level is taken. Chosen by us: finer than a pen's width."""

LEVEL_STEP = Fraction(1, 1000)
"""Levels are taken to a thousandth of their unit per litre. Chosen by us."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SignPoint:
    """A sign as it truly was from a moment on; `number` is None where it is no number."""

    at_ms: int
    text: str
    number: Fraction | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SignCourse:
    """One vital sign over time."""

    name: str
    unit: str
    points: tuple[SignPoint, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelCourse:
    """A drug's level in the patient, sampled."""

    drug: str
    name: str
    unit: str
    points: tuple[Point, ...]


def sign_courses(scenario: Scenario, events: tuple[Event, ...]) -> tuple[SignCourse, ...]:
    """Each sign as it truly was, seen or not."""
    return tuple(
        SignCourse(
            name=sign.name,
            unit=sign.unit,
            points=(
                _sign_point(0, sign.value),
                *(
                    _sign_point(event.at_ms, event.value)
                    for event in events
                    if isinstance(event, SignChanged) and event.sign == sign.name
                ),
            ),
        )
        for sign in scenario.patient.signs
    )


def _sign_point(at_ms: int, text: str) -> SignPoint:
    try:
        number = parse_number(text)
    except QuantityError:
        return SignPoint(at_ms=at_ms, text=text, number=None)
    return SignPoint(at_ms=at_ms, text=text, number=number)


def level_courses(
    scenario: Scenario, moments: tuple[Moment, ...], ends_ms: int
) -> tuple[LevelCourse, ...]:
    """The level of each drug that reached the patient, sampled."""
    reached = {one.drug for moment in moments for one in moment.after.drugs if one.amount}
    return tuple(
        _level(scenario, drug, moments, ends_ms)
        for drug in sorted(reached)
        if scenario.drug(drug).volume_l_per_kg
    )


def _level(scenario: Scenario, drug: str, moments: tuple[Moment, ...], ends_ms: int) -> LevelCourse:
    """One drug's level at evenly set moments, each carried from the happening before it."""
    points = []
    unit = ""
    place = 0
    for sample in range(LEVEL_SAMPLES + 1):
        at_ms = ends_ms * sample // LEVEL_SAMPLES
        while place + 1 < len(moments) and moments[place + 1].at_ms <= at_ms:
            place += 1
        state = carry.carry(moments[place].after, at_ms)
        level, unit = view.drug_level_per_l(state, drug, LEVEL_STEP)
        points.append(Point(at_ms=at_ms, value=level))
    return LevelCourse(drug=drug, name=scenario.drug(drug).name, unit=unit, points=tuple(points))

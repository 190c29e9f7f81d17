"""The course of the patient: vital signs as they truly were, and drug levels.

Levels and what signs answer to bend, so both are sampled at a fixed number of moments, and
signs also wherever something happened.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.engine import carry, signs, view
from trainer.engine.state import VOLUME, State
from trainer.scenario.model import Scenario
from trainer.scoring.moments import Moment, Point

LEVEL_SAMPLES = 240
"""Moments at which levels and signs are taken. Chosen by us: finer than a pen's width."""

LEVEL_STEP = Fraction(1, 1_000_000)
"""Levels are taken to a millionth of their unit per litre. Chosen by us."""

FINER = {"g/L": "mg/L", "mg/L": "mcg/L"}
"""The unit a thousand times finer, for a level that never reaches one of the other."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SignPoint:
    """A sign as it truly was from a moment on, as it would have been charted.

    `number` is None where it is no number; of a blood pressure it is the upper one.
    """

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
    """A drug's level in the patient, sampled; the effect site's too if it has one."""

    drug: str
    name: str
    unit: str
    points: tuple[Point, ...]
    effect_site: tuple[Point, ...] = ()


def sampled(moments: tuple[Moment, ...], ends_ms: int) -> tuple[State, ...]:
    """The bedside at evenly set moments, each carried from the happening before it."""
    found = []
    place = 0
    for sample in range(LEVEL_SAMPLES + 1):
        at_ms = ends_ms * sample // LEVEL_SAMPLES
        while place + 1 < len(moments) and moments[place + 1].at_ms <= at_ms:
            place += 1
        found.append(carry.carry(moments[place].after, at_ms))
    return tuple(found)


def sign_courses(
    scenario: Scenario, moments: tuple[Moment, ...], samples: tuple[State, ...]
) -> tuple[SignCourse, ...]:
    """Each sign as it truly was, seen or not: at every sample, and after every happening."""
    states = sorted(
        (*samples, *(moment.after for moment in moments)), key=lambda state: state.as_of_ms
    )
    return tuple(
        SignCourse(name=sign.name, unit=sign.unit, points=_sign_points(states, sign.name))
        for sign in scenario.patient.signs
    )


def _sign_points(states: list[State], name: str) -> tuple[SignPoint, ...]:
    """One sign from change to change."""
    found: list[SignPoint] = []
    for state in states:
        text = signs.sign_now(state, name)
        if not found or found[-1].text != text:
            number = signs.number_now(state, name)
            found.append(SignPoint(at_ms=state.as_of_ms, text=text, number=number))
    return tuple(found)


def level_courses(
    scenario: Scenario, moments: tuple[Moment, ...], samples: tuple[State, ...]
) -> tuple[LevelCourse, ...]:
    """The level of each drug that reached the patient, sampled."""
    bodies = (one for moment in moments for one in moment.after.drugs)
    reached = {one.drug for one in bodies if one.amount and one.drug != VOLUME}
    return tuple(
        _level(scenario, drug, samples)
        for drug in sorted(reached)
        if scenario.drug(drug).volume_l_per_kg
    )


def _level(scenario: Scenario, drug: str, samples: tuple[State, ...]) -> LevelCourse:
    """One drug's level and effect site at the samples."""
    spec = scenario.drug(drug)
    points, effect_site = [], []
    unit = ""
    for state in samples:
        level, unit = view.drug_level_per_l(state, drug, LEVEL_STEP)
        points.append(Point(at_ms=state.as_of_ms, value=level))
        if spec.effect_site_half_ms:
            there, _ = view.effect_site_per_l(state, drug, LEVEL_STEP)
            effect_site.append(Point(at_ms=state.as_of_ms, value=there))
    most = max(point.value for point in points)
    times = 1
    while 0 < most * times < 1 and unit in FINER:
        unit, times = FINER[unit], times * 1_000
    return LevelCourse(
        drug=drug,
        name=spec.name,
        unit=unit,
        points=_times(points, times),
        effect_site=_times(effect_site, times),
    )


def _times(points: list[Point], times: int) -> tuple[Point, ...]:
    return tuple(Point(at_ms=point.at_ms, value=point.value * times) for point in points)

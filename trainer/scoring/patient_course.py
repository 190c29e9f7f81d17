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


def sample_moments(ends_ms: int) -> tuple[int, ...]:
    """Evenly set moments from the beginning to the end."""
    return tuple(ends_ms * sample // LEVEL_SAMPLES for sample in range(LEVEL_SAMPLES + 1))


def sampled(moments: tuple[Moment, ...], ends_ms: int, from_ms: int = 0) -> tuple[State, ...]:
    """The bedside at evenly set moments, each carried from the happening before it.

    Only the moments from `from_ms` on.
    """
    found = []
    place = 0
    for at_ms in sample_moments(ends_ms):
        if at_ms < from_ms:
            continue
        while place + 1 < len(moments) and moments[place + 1].at_ms <= at_ms:
            place += 1
        found.append(carry.carry(moments[place].after, at_ms))
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class Begun:
    """Signs and levels of another course of the same length, the same until a moment.

    `until_ms` is the first moment at which anything may differ.
    """

    until_ms: int = 0
    ends_ms: int = 0
    signs: tuple[SignCourse, ...] = ()
    levels: tuple[LevelCourse, ...] = ()

    def sign_points(self, name: str) -> list[SignPoint]:
        """The points of a sign before that moment."""
        known = (sign for sign in self.signs if sign.name == name)
        return [one for sign in known for one in sign.points if one.at_ms < self.until_ms]

    def level_points(self, drug: str, unit: str) -> tuple[list[Point], list[Point]]:
        """A drug's level and its effect site's at the samples before that moment."""
        known = next((one for one in self.levels if one.drug == drug), None)
        if known is None:
            nothing = [
                Point(at_ms=at_ms, value=Fraction(0))
                for at_ms in sample_moments(self.ends_ms)
                if at_ms < self.until_ms
            ]
            return nothing, list(nothing)
        times = 1
        while unit != known.unit:
            unit, times = FINER[unit], times * 1_000
        return self._coarser(known.points, times), self._coarser(known.effect_site, times)

    def _coarser(self, points: tuple[Point, ...], times: int) -> list[Point]:
        before = (point for point in points if point.at_ms < self.until_ms)
        if times == 1:
            return list(before)
        return [Point(at_ms=point.at_ms, value=point.value / times) for point in before]


NOTHING_BEGUN = Begun()


def sign_courses(
    scenario: Scenario,
    moments: tuple[Moment, ...],
    samples: tuple[State, ...],
    begun: Begun = NOTHING_BEGUN,
) -> tuple[SignCourse, ...]:
    """Each sign as it truly was, seen or not: at every sample, and after every happening.

    `samples` are those from the moment on until which `begun` tells the same.
    """
    after = (moment.after for moment in moments if moment.at_ms >= begun.until_ms)
    states = sorted((*samples, *after), key=lambda state: state.as_of_ms)
    return tuple(
        SignCourse(
            name=sign.name,
            unit=sign.unit,
            points=_sign_points(states, sign.name, begun.sign_points(sign.name)),
        )
        for sign in scenario.patient.signs
    )


def _sign_points(states: list[State], name: str, begun: list[SignPoint]) -> tuple[SignPoint, ...]:
    """One sign from change to change."""
    found = list(begun)
    for state in states:
        text = signs.sign_now(state, name)
        if not found or found[-1].text != text:
            number = signs.number_now(state, name)
            found.append(SignPoint(at_ms=state.as_of_ms, text=text, number=number))
    return tuple(found)


def level_courses(
    scenario: Scenario,
    moments: tuple[Moment, ...],
    samples: tuple[State, ...],
    begun: Begun = NOTHING_BEGUN,
) -> tuple[LevelCourse, ...]:
    """The level of each drug that reached the patient, sampled.

    `samples` are those from the moment on until which `begun` tells the same.
    """
    bodies = (one for moment in moments for one in moment.after.drugs)
    reached = {one.drug for one in bodies if one.amount and one.drug != VOLUME}
    return tuple(
        _level(scenario, drug, samples, begun)
        for drug in sorted(reached)
        if scenario.drug(drug).volume_l_per_kg
    )


def _level(scenario: Scenario, drug: str, samples: tuple[State, ...], begun: Begun) -> LevelCourse:
    """One drug's level and effect site at the samples."""
    spec = scenario.drug(drug)
    _, unit = view.drug_level_per_l(samples[0], drug, LEVEL_STEP)
    points, effect_site = begun.level_points(drug, unit)
    for state in samples:
        level, _ = view.drug_level_per_l(state, drug, LEVEL_STEP)
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
        points=_finer(points, times),
        effect_site=_finer(effect_site, times) if spec.effect_site_half_ms else (),
    )


def _finer(points: list[Point], times: int) -> tuple[Point, ...]:
    if times == 1:
        return tuple(points)
    return tuple(Point(at_ms=point.at_ms, value=point.value * times) for point in points)

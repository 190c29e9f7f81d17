"""The patient's signs as last seen, each with when, and measurements under way.

What is true of the patient is shown nowhere here: a sign moves unseen until someone looks
or measures.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trainer.engine.events import Event, Perceived
from trainer.engine.signs import unit_of
from trainer.engine.state import Sample, State
from trainer.scenario.known_signs import DERIVED
from trainer.scenario.model import Scenario
from trainer.terms import Param, Verb
from trainer.web import words
from trainer.web.deeds import Ask, Choice, Deed, deed

FROM_CHART = "from the chart"


@dataclass(frozen=True, slots=True, kw_only=True)
class SignView:
    """A vital sign as it was when someone last saw or measured it."""

    name: str
    value: str
    unit: str
    seen: str  # when
    is_measured: bool

    @property
    def taken(self) -> str:
        """When a measured value was taken: `taken 07:30`, or that it is from the chart."""
        return self.seen if self.seen == FROM_CHART else f"taken {self.seen}"


@dataclass(frozen=True, slots=True, kw_only=True)
class SignsView:
    """All signs, when the patient was last looked at, and what is under way."""

    time: str
    signs: tuple[SignView, ...]
    under_way: tuple[str, ...]


def signs_view(state: State, events: Sequence[Event]) -> SignsView:
    """The signs as last seen."""
    listed = {sign.name: sign.measured for sign in state.scenario.patient.signs}
    seen_ms = dict(state.signs_seen_ms)
    return SignsView(
        time=_when(state.scenario, _last_look_ms(events)),
        signs=tuple(
            SignView(
                name=name,
                value=value,
                unit=unit_of(state, name),
                seen=_when(state.scenario, seen_ms.get(name)),
                is_measured=listed.get(name, True),
            )
            for name, value in state.signs_seen
        ),
        under_way=tuple(_under_way(state.scenario, sample) for sample in state.samples),
    )


def _last_look_ms(events: Sequence[Event]) -> int | None:
    looks = (e.at_ms for e in reversed(events) if isinstance(e, Perceived) and e.of == "patient")
    return next(looks, None)


def _when(scenario: Scenario, at_ms: int | None) -> str:
    return FROM_CHART if at_ms is None else words.ward_time(scenario, at_ms)


def _under_way(scenario: Scenario, sample: Sample) -> str:
    """A measurement of which the result is not there yet."""
    taken, due = (words.ward_time(scenario, at) for at in (sample.taken_ms, sample.due_ms))
    return f"{sample.sign.capitalize()}: taken {taken}, result about {due}"


def measure_deed(scenario: Scenario) -> Deed:
    """Measuring what a look does not show: the patient's measured signs, then what is reckoned."""
    listed = {sign.name: sign.measured for sign in scenario.patient.signs}
    reckoned = tuple(name for name in DERIVED if name not in listed)
    names = (*(name for name, is_measured in listed.items() if is_measured), *reckoned)
    named = tuple(Choice(value=name, text=name.capitalize()) for name in names)
    return deed("Measure it", Verb.MEASURE, Ask(name=Param.WHAT, label="Measure", choices=named))

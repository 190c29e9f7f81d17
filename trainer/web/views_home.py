"""Choosing a scenario and the prebrief, as views: strings ready to print."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.clinical.quantity import format_quantity
from trainer.clinical.timebase import format_duration
from trainer.errors import Fault
from trainer.live.library import Listing, Shelf
from trainer.scenario.model import Scenario
from trainer.store.records import AttemptLine
from trainer.terms import Drive
from trainer.web import words

SHORT_OBJECTIVES = 3
"""Objectives shown when choosing; the prebrief has them all. Chosen by us."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseView:
    """One scenario that can be begun."""

    id: str
    title: str
    summary: str
    minutes: str
    runs: str  # what drives the line
    patient: str
    weight: str
    objectives: tuple[str, ...]
    href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BrokenView:
    """One file that cannot be used, with each fault and its mend."""

    path: str
    faults: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class YoursView:
    """One attempt of this learner."""

    title: str
    opened: str
    is_open: bool
    href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChooseView:
    """The first page."""

    cases: tuple[CaseView, ...]
    broken: tuple[BrokenView, ...]
    folder_faults: tuple[str, ...]
    open_attempts: tuple[YoursView, ...]
    ended_attempts: tuple[YoursView, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PrebriefView:
    """The page before an attempt begins."""

    id: str
    title: str
    summary: str
    minutes: str
    starts_at: str
    ends_after: str
    objectives: tuple[str, ...]
    name: str
    age: str
    weight: str
    weight_varies: str
    allergies: str
    story: str
    real: tuple[str, ...]
    unreal: tuple[str, ...]
    cautions: tuple[str, ...]
    orders: int
    can_vary: bool
    other_seed: str


def choose(shelf: Shelf, attempts: tuple[AttemptLine, ...]) -> ChooseView:
    """The first page: what there is to begin, and what this learner has begun."""
    latest_first = attempts[::-1]
    return ChooseView(
        cases=_shortest_first(shelf),
        broken=tuple(_broken(one) for one in shelf.listings if one.faults),
        folder_faults=tuple(told(fault) for fault in shelf.faults),
        open_attempts=tuple(_yours(one) for one in latest_first if one.ended_at is None),
        ended_attempts=tuple(_yours(one) for one in latest_first if one.ended_at is not None),
    )


def _shortest_first(shelf: Shelf) -> tuple[CaseView, ...]:
    """The scenarios that can be begun; the shortest is the gentlest to begin with."""
    ready = [one.scenario for one in shelf.listings if one.scenario is not None]
    return tuple(_case(one) for one in sorted(ready, key=lambda one: (one.minutes, one.title)))


def _case(scenario: Scenario) -> CaseView:
    return CaseView(
        id=scenario.id,
        title=scenario.title,
        summary=scenario.summary,
        minutes=_lasts(scenario),
        runs=_runs(scenario),
        patient=f"{scenario.patient.name}, {scenario.patient.age_text}",
        weight=format_quantity(scenario.patient.weight),
        objectives=scenario.objectives[:SHORT_OBJECTIVES],
        href=f"/scenarios/{scenario.id}",
    )


def _lasts(scenario: Scenario) -> str:
    """About how long it takes at the bedside, by the ward clock."""
    return f"about {format_duration(scenario.minutes * words.MINUTE_MS)}"


def _runs(scenario: Scenario) -> str:
    """What the first line is driven by."""
    return _DRIVES[scenario.lines[0].drive]


_DRIVES = {
    Drive.PUMP: "by pump",
    Drive.SYRINGE: "by syringe pump",
    Drive.GRAVITY: "by gravity",
}


def _broken(listing: Listing) -> BrokenView:
    return BrokenView(path=listing.path.name, faults=tuple(told(fault) for fault in listing.faults))


def told(fault: Fault) -> str:
    """A fault with the place inside its file (if it has one), what is wrong and the mend."""
    mend = f" Mend: {fault.mend}." if fault.mend else ""
    place = f"line {fault.line}, column {fault.column}: " if fault.line else ""
    return f"{place}{fault.what}.{mend}"


def _yours(line: AttemptLine) -> YoursView:
    address = f"/attempts/{line.id}"
    is_open = line.ended_at is None
    return YoursView(
        title=line.title,
        opened=line.opened_at.astimezone().strftime("%-d %B %Y, %H:%M"),
        is_open=is_open,
        href=address if is_open else f"{address}/debrief",
    )


def prebrief(scenario: Scenario, other_seed: int) -> PrebriefView:
    """The page before an attempt: what is asked, who lies here, what is real and what is not."""
    patient = scenario.patient
    weights = [one for one in scenario.vary if one.what == "patient.weight"]
    varies = ""
    if weights:
        least, most = (format_quantity(one) for one in (weights[0].least, weights[0].most))
        varies = f"anything from {least} to {most}"
    return PrebriefView(
        id=scenario.id,
        title=scenario.title,
        summary=scenario.summary,
        minutes=_lasts(scenario),
        starts_at=words.ward_time(scenario, 0),
        ends_after=format_duration(scenario.ends_ms),
        objectives=scenario.objectives,
        name=patient.name,
        age=patient.age_text,
        weight=format_quantity(patient.weight),
        weight_varies=varies,
        allergies=", ".join(patient.allergies) or "none known",
        story=patient.story,
        real=scenario.real,
        unreal=scenario.unreal,
        cautions=scenario.cautions,
        orders=sum(order.active for order in scenario.orders),
        can_vary=bool(scenario.vary),
        other_seed=str(other_seed),
    )

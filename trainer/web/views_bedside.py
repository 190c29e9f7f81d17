"""The bedside as a page: its addresses, what does not move, and the give sentence's third."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.engine.begin import BOTTLE
from trainer.engine.state import Programme, State
from trainer.scenario.model import Scenario
from trainer.terms import Drive, Verb
from trainer.web import views_chart, views_signs, views_trolley, words
from trainer.web.deeds import Ask, Choice, Deed, Drawer, choices, deed
from trainer.web.drawers import Tools, count_drops, drawers, turn_clamp
from trainer.web.views_ward import WristView, wrist_view

HOUR_MS = 3_600_000
SYRINGE = "syringe"
"""The kind of a supply that a syringe line takes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where the page's forms go, and how far the log goes that the page shows."""

    id: str
    seen: str

    @property
    def page(self) -> str:
        """The bedside itself."""
        return f"/attempts/{self.id}"

    @property
    def acts(self) -> str:
        """Where acts go."""
        return f"{self.page}/acts"

    @property
    def pace(self) -> str:
        """Where the pace is set."""
        return f"{self.page}/pace"

    @property
    def leap(self) -> str:
        """To the next happening."""
        return f"{self.page}/leap"

    @property
    def cue(self) -> str:
        """Where a cue is asked for."""
        return f"{self.page}/cue"

    @property
    def finish(self) -> str:
        """Where the attempt is ended."""
        return f"{self.page}/finish"

    @property
    def third(self) -> str:
        """The give sentence's third value."""
        return f"{self.page}/third"

    @property
    def record(self) -> str:
        """The whole record."""
        return f"{self.page}/record"

    @property
    def panels(self) -> str:
        """What has changed."""
        return f"{self.page}/panels"

    @property
    def stream(self) -> str:
        """What changes, as it changes."""
        return f"{self.page}/stream"

    @property
    def debrief(self) -> str:
        """What comes after."""
        return f"{self.page}/debrief"


@dataclass(frozen=True, slots=True, kw_only=True)
class LineDesk:
    """What stands still at a line: its drawers, and the deeds beside the give sentence.

    A gravity line has no give sentence and no pump to start: `by_hand` holds its clamp and
    its count instead.
    """

    number: str
    drawers: tuple[Drawer, ...]
    has_port: bool
    fluids: tuple[Choice, ...]  # what the pump can be told runs
    at_pump: tuple[Deed, ...]
    by_hand: tuple[Deed, ...]
    second_check: Deed


@dataclass(frozen=True, slots=True, kw_only=True)
class BedsideView:
    """Everything on the bedside that no push replaces."""

    wrist: WristView
    story: str
    lines: tuple[LineDesk, ...]
    at_patient: tuple[Deed, ...]
    measure: Deed
    chart: Deed
    teach: Deed
    who: tuple[Choice, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ThirdView:
    """The give sentence's third value, for the field that is empty."""

    line: str
    text: str = ""
    wrong: bool = False
    volume: str = ""
    hours: str = ""
    minutes: str = ""
    rate: str = ""


def bedside_view(state: State) -> BedsideView:
    """The still parts of the bedside."""
    scenario = state.scenario
    what = Ask(name="what", label="What", choices=views_chart.chart_choices(scenario), wide=True)
    words_field = Ask(name="text", label="In your words, with amounts and times", wide=True)
    numbers = choices(*(str(line.number) for line in scenario.lines))
    line_field = Ask(name="line", label="Line", choices=numbers)
    told = Ask(name="what", label="What", choices=views_chart.teach_choices(scenario), wide=True)
    return BedsideView(
        wrist=wrist_view(scenario),
        story=scenario.patient.story,
        lines=tuple(_desk(state, scenario, line.number) for line in scenario.lines),
        at_patient=(
            deed("Clean your hands", Verb.CLEAN_HANDS),
            deed("Identify by name and record number", Verb.IDENTIFY_PATIENT),
            deed("Check the allergies", Verb.CHECK_ALLERGIES),
            deed("Look at the patient", Verb.LOOK_AT_PATIENT),
        ),
        measure=views_signs.measure_deed(scenario),
        chart=deed("Chart it", Verb.CHART, what, line_field, words_field),
        teach=deed("Explain it", Verb.TEACH, told),
        who=views_chart.who_choices(scenario),
    )


def _desk(state: State, scenario: Scenario, number: int) -> LineDesk:
    tools = _tools(state, scenario, number)
    text, by_gravity = str(number), tools.drive is Drive.GRAVITY
    pump = (
        deed(f"Start line {text}", Verb.START, line=text, main=True),
        deed("Stop", Verb.STOP, line=text),
    )
    hand = (turn_clamp(tools), count_drops(text))
    return LineDesk(
        number=text,
        drawers=drawers(tools),
        has_port=tools.has_port,
        fluids=_fluid_choices(scenario),
        at_pump=() if by_gravity else pump,
        by_hand=hand if by_gravity else (),
        second_check=deed("Independent double check", Verb.SECOND_CHECK, line=text),
    )


def _tools(state: State, scenario: Scenario, number: int) -> Tools:
    spec = scenario.line(number)
    access = next(one for one in scenario.patient.access if one.id == spec.access)
    opening = state.line(number).primary.opening
    is_syringe = spec.drive is Drive.SYRINGE
    kinds = frozenset({SYRINGE}) if is_syringe else frozenset[str]()
    return Tools(
        line=number,
        drive=spec.drive,
        has_port=spec.has_port and not is_syringe,
        has_bottle=any(supply.kind == BOTTLE for supply in scenario.supplies),
        access=access.id,
        access_name=access.name,
        height_cm=words.number(scenario.policy.hydraulics.container_height_cm),
        opening=words.number(Fraction(opening, 10)),
        supplies=views_trolley.hang_choices(state, kinds),
    )


def _fluid_choices(scenario: Scenario) -> tuple[Choice, ...]:
    """What the pump can be told runs; at first nothing."""
    named = tuple(Choice(value=one.id, text=one.name) for one in scenario.formulary.fluids)
    return (Choice(value="", text="not told"), *named)


def third_view(line: str, missing: str, found: Programme | str) -> ThirdView:
    """The value that was left out, or why there is none.

    `missing` is the field that was left empty: volume, duration, rate, or nothing.
    """
    if isinstance(found, str):
        return ThirdView(line=line, text=found, wrong=True)
    hours, rest = divmod(found.duration_ms, HOUR_MS)
    minutes = words.number(Fraction(rest, words.MINUTE_MS))
    is_duration = missing == "duration"
    return ThirdView(
        line=line,
        text=words.sentence(found),
        volume=words.ml(found.volume) if missing == "volume" else "",
        hours=str(hours) if is_duration else "",
        minutes=minutes if is_duration else "",
        rate=words.rate(found.rate_ul_h) if missing == "rate" else "",
    )

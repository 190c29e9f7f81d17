"""The strip of an ended attempt, drawn once for each size and window and then kept.

The play head is the only thing on it that moves; it is put in afterwards, so no moment
draws the strip again.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.engine.blend import name_of
from trainer.terms import AIR
from trainer.web import strip
from trainer.web.drawing import Scale, coordinate
from trainer.web.ended import Attempt, Looking
from trainer.web.sheet import NARROW, WIDE, Format
from trainer.web.strip import Strip
from trainer.web.strip_lines import FluidMark
from trainer.web.strip_stops import StopMark
from trainer.web.tones import tone_of, tones
from trainer.web.views_facts import facts
from trainer.web.views_findings import FindingView

PAPER = replace(WIDE, name="paper")
"""As the wide one, for the print."""

MOST_KEPT = 24
"""Strips kept for one attempt. Chosen by us: a few windows in each size and way."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TickView:
    """A happening on the slider: where, and what kind."""

    x: str
    kind: str  # miss, near, alarm or event


def strips(attempt: Attempt, found: tuple[FindingView, ...], looking: Looking) -> tuple[Strip, ...]:
    """The strip twice: for a wide page and for a phone."""
    return tuple(
        _with_head(_drawn(attempt, found, looking, form), looking) for form in (WIDE, NARROW)
    )


def on_paper(attempt: Attempt, found: tuple[FindingView, ...]) -> Strip:
    """The whole attempt's strip for the print."""
    return _drawn(attempt, found, Looking(at_ms=0), PAPER)


def _with_head(drawn: Strip, looking: Looking) -> Strip:
    """A strip with the play head where the reader looks."""
    x = Scale(
        Fraction(drawn.from_ms),
        Fraction(drawn.until_ms),
        Fraction(drawn.plot_left),
        Fraction(drawn.plot_right),
    ).place(looking.at_ms)
    return replace(drawn, here_x=coordinate(x))


def _drawn(
    attempt: Attempt, found: tuple[FindingView, ...], looking: Looking, form: Format
) -> Strip:
    """A strip, drawn now or earlier."""
    key = (form.name, looking.tail)
    known = attempt.drawn.get(key)
    if known is None:
        known = strip.draw(
            attempt.course,
            _marks(attempt, found, looking),
            sheet_format=form,
            fluids=_fluid_marks(attempt),
            clock=attempt.clock,
            title=f"The strip: {attempt.scenario.title}",
            desc=_desc(attempt),
            at_ms=0,
            window=looking.window,
        )
        while len(attempt.drawn) >= MOST_KEPT:
            attempt.drawn.pop(next(iter(attempt.drawn)))
        attempt.drawn[key] = known
    return known


def _marks(
    attempt: Attempt, found: tuple[FindingView, ...], looking: Looking
) -> tuple[StopMark, ...]:
    """Findings that have a moment, in the order of time."""
    shown = [(one.at_ms, one) for one in found if one.at_ms is not None and one.tone != "aside"]
    return tuple(
        StopMark(
            number=one.number,
            at_ms=at_ms,
            tone=one.tone,
            label=_stop_label(one),
            href=f"{attempt.address}?at={at_ms}{looking.tail}#{one.anchor}",
        )
        for at_ms, one in sorted(shown, key=lambda pair: (pair[0], pair[1].anchor))
    )


def ticks(
    attempt: Attempt, found: tuple[FindingView, ...], looking: Looking
) -> tuple[TickView, ...]:
    """What happened, as ticks over the slider, in thousandths of its width."""
    from_ms, until_ms = looking.window or (0, max(attempt.course.ends_ms, 1))
    scale = Scale(Fraction(from_ms), Fraction(until_ms), Fraction(0), Fraction(1000))
    told = [(one.at_ms, "event") for one in attempt.course.events]
    told += [(one.from_ms, "alarm") for one in attempt.course.alarms]
    told += [(one.at_ms, one.tone) for one in found if one.at_ms is not None and one.number]
    return tuple(
        TickView(x=coordinate(scale.place(at_ms)), kind=kind)
        for at_ms, kind in told
        if from_ms <= at_ms <= until_ms
    )


def _fluid_marks(attempt: Attempt) -> dict[str, FluidMark]:
    """Name and tone of each fluid, the tones as on the bedside's line map; blends as well."""
    scenario = attempt.scenario
    paint = tones(scenario)
    reached_vein = (one.fluid for line in attempt.course.lines for one in line.reaching)
    every = dict.fromkeys((*(one.id for one in scenario.formulary.fluids), AIR, *reached_vein))
    return {
        fluid: FluidMark(name=name_of(scenario, fluid), tone=tone_of(paint, fluid))
        for fluid in every
    }


def reached(attempt: Attempt) -> tuple[FluidMark, ...]:
    """What reached the vein, for the strip's legend."""
    marks = _fluid_marks(attempt)
    seen = dict.fromkeys(one.fluid for line in attempt.course.lines for one in line.reaching)
    return tuple(marks[fluid] for fluid in seen)


def _stop_label(one: FindingView) -> str:
    number = f"Finding {one.number}, " if one.number else ""
    return f"{number}{one.clock}, {one.verdict.lower()}: {one.title}"


def _desc(attempt: Attempt) -> str:
    """The picture in words, for those who do not see it."""
    return (
        "Time runs from left to right on the ward clock. From top to bottom: findings, alarms, "
        "events and acts, then for each line the rate ordered (dashed) and run, what flowed into "
        "the vein, the volume and the pressure, then what went into the tissue, the patient's "
        "signs and drug levels. "
        + " ".join(facts(attempt)[2:])
        + " The same stands as tables below."
    )

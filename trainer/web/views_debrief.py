"""The debrief as one view: reactions, facts, analysis, what next, and marks last.

Views only: strings and addresses ready to print. Nothing is judged or computed here; the
report, the course and the states come from `scoring` and `engine`. The parts: `ended`,
`views_facts`, `views_strip`, `views_moment`, `views_findings`, `views_traces`, `views_sure`,
`views_gates`, `views_paper`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from trainer.clinical.quantity import format_quantity
from trainer.engine.simplifications import SIMPLIFICATIONS
from trainer.scenario.model import Scenario
from trainer.scoring.findings import Finding
from trainer.scoring.record import deeds
from trainer.terms import Domain, Verdict
from trainer.web import (
    strip_table,
    views_facts,
    views_findings,
    views_gates,
    views_moment,
    views_paper,
    views_strip,
    views_sure,
    views_traces,
    words,
)
from trainer.web.ended import AS_IT_WAS, AS_SEEN
from trainer.web.ended import Attempt as Attempt
from trainer.web.ended import Looking as Looking
from trainer.web.strip import Strip
from trainer.web.strip_lines import FluidMark
from trainer.web.strip_table import Table
from trainer.web.views_facts import DeliveredView, RowView
from trainer.web.views_findings import FindingView, GroupView, StepView
from trainer.web.views_gates import MarksView
from trainer.web.views_moment import MomentView
from trainer.web.views_moment import moment as moment
from trainer.web.views_paper import PaperView
from trainer.web.views_strip import TickView
from trainer.web.views_sure import SureView
from trainer.web.views_traces import TraceView
from trainer.web.views_worked import OrderKeysView, order_keys
from trainer.web.what_if_right import right_values

CLOSER_MS = 10 * 60_000
"""Half the width of the closer look. Chosen by us: an alarm and its answer fit in it."""

REDONE = frozenset({Verdict.WRONG, Verdict.ROUNDED_EARLY, Verdict.MISSED})
"""A calculation that is worth doing again with fresh numbers."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DebriefView:
    """The whole page."""

    title: str
    name: str
    patient: str
    seed: str
    address: str
    facts: tuple[str, ...]
    delivered: tuple[DeliveredView, ...]
    strips: tuple[Strip, ...]
    ticks: tuple[TickView, ...]
    stops: str  # the moments that Earlier and Later stop at, for the script
    begins_ms: int  # the ward clock at the beginning, milliseconds after midnight
    moment: MomentView
    ends_ms: int
    is_close: bool
    closer_href: str
    whole_href: str
    rows: tuple[RowView, ...]
    tables: tuple[Table, ...]
    simplified: tuple[str, ...]
    groups: tuple[GroupView, ...]
    well: tuple[tuple[str, tuple[FindingView, ...]], ...]  # by domain
    well_count: int
    aside: tuple[FindingView, ...]
    traces: tuple[TraceView, ...]
    sure: SureView | None
    keys: tuple[OrderKeysView, ...]
    marks: MarksView
    objectives: tuple[str, ...]
    scenario_id: str
    other_seed: str  # empty: this scenario has no other numbers
    export_href: str
    record: tuple[tuple[str, str], ...]
    unchanged: str
    fluids: tuple[FluidMark, ...]  # what reached the vein, for the strip's legend
    paper: PaperView


def debrief(
    attempt: Attempt,
    looking: Looking,
    other_seed: int,
    reflected: Mapping[str, str] | None = None,
) -> DebriefView:
    """The debrief page of an ended attempt, with the play head where the reader looks.

    Args:
        attempt: with everything that was made of it.
        looking: where the reader looks.
        other_seed: for trying again with other numbers.
        reflected: the questions of the reflection, and what was kept for each.
    """
    scenario, report = attempt.scenario, attempt.report
    found = _findings(attempt, looking)
    return DebriefView(
        title=scenario.title,
        name=scenario.patient.name,
        patient=_patient(scenario),
        seed=str(attempt.seed),
        address=attempt.address,
        facts=views_facts.facts(attempt),
        delivered=tuple(views_facts.delivered(one) for one in report.delivered),
        strips=views_strip.strips(attempt, found, looking),
        ticks=views_strip.ticks(attempt, found, looking),
        stops=" ".join(str(at_ms) for at_ms in views_moment.stops(attempt)),
        begins_ms=words.start_minute(scenario) * words.MINUTE_MS,
        moment=moment(attempt, looking),
        ends_ms=attempt.course.ends_ms,
        is_close=looking.window is not None,
        closer_href=_closer(attempt, looking),
        whole_href=_whole(attempt, looking),
        rows=views_facts.rows(attempt, looking),
        tables=strip_table.tables(attempt.course, attempt.clock, looking.window),
        simplified=tuple(sentence for _, sentence in SIMPLIFICATIONS),
        groups=views_findings.groups(found),
        well=_by_domain(tuple(one for one in found if one.tone == "well")),
        well_count=sum(one.tone == "well" for one in found),
        aside=tuple(one for one in found if one.tone == "aside"),
        traces=views_traces.traces(attempt, looking),
        sure=views_sure.sure_view(report.findings),
        keys=order_keys(scenario, report.keys),
        marks=views_gates.marks_view(report),
        objectives=scenario.objectives,
        scenario_id=scenario.id,
        other_seed=str(other_seed) if scenario.vary else "",
        export_href=f"/attempts/{attempt.id}/export.jsonl",
        record=_record(attempt),
        unchanged=views_facts.unchanged(attempt.course),
        fluids=views_strip.reached(attempt),
        paper=_paper(attempt, found, reflected or {}),
    )


def _patient(scenario: Scenario) -> str:
    return f"{scenario.patient.age_text}, {format_quantity(scenario.patient.weight)}"


# --- findings and where they lead ------------------------------------------------------------


def _findings(attempt: Attempt, looking: Looking) -> tuple[FindingView, ...]:
    return views_findings.findings(
        attempt.report,
        clock=attempt.clock,
        see=lambda at_ms, _anchor: f"{attempt.address}?at={at_ms}{looking.tail}#moment",
        onwards=lambda finding: onwards(attempt, finding),
    )


def onwards(attempt: Attempt, finding: Finding) -> tuple[StepView, ...]:
    """What to do next about a finding: one step again, or one act otherwise."""
    steps = [_redo(attempt, finding), _right_keyed(attempt, finding), _what_if(attempt, finding)]
    return tuple(one for one in steps if one is not None)


def _redo(attempt: Attempt, finding: Finding) -> StepView | None:
    is_sum = finding.domain is Domain.CALCULATING and finding.verdict in REDONE
    if not (is_sum and finding.order and finding.quantity):
        return None
    quantity = finding.quantity.replace(" ", "%20")
    href = f"/attempts/{attempt.id}/redo/{finding.order}/{quantity}"
    return StepView(text="Redo this step with fresh numbers", href=href)


def _right_keyed(attempt: Attempt, finding: Finding) -> StepView | None:
    """The question that a wrongly keyed value asks: what if it had been right?"""
    is_wrong = finding.domain is Domain.ENTERING and finding.verdict in REDONE
    if finding.deed is None or not is_wrong:
        return None
    done = next((one for one in deeds(attempt.events) if one.index == finding.deed), None)
    if done is None:
        return None
    right = right_values(attempt.scenario, attempt.events, attempt.report, done)
    if not right:
        return None
    query = {"deed": str(finding.deed), "how": "changed", **dict(right)}
    text = "What if the right value had been keyed?"
    return StepView(text=text, href=f"/attempts/{attempt.id}/what-if?{urlencode(query)}")


def _what_if(attempt: Attempt, finding: Finding) -> StepView | None:
    if finding.deed is None:
        return None
    href = f"/attempts/{attempt.id}/what-if?deed={finding.deed}"
    return StepView(text="What if?", href=href)


def _by_domain(
    found: tuple[FindingView, ...],
) -> tuple[tuple[str, tuple[FindingView, ...]], ...]:
    domains = tuple(dict.fromkeys(one.domain for one in found))
    return tuple(
        (domain, tuple(one for one in found if one.domain == domain)) for domain in domains
    )


# --- where the reader looks --------------------------------------------------------------------


def _closer(attempt: Attempt, looking: Looking) -> str:
    ends, at_ms = attempt.course.ends_ms, looking.at_ms
    from_ms = max(0, min(at_ms - CLOSER_MS, ends - 2 * CLOSER_MS))
    until_ms = min(ends, from_ms + 2 * CLOSER_MS)
    closer = Looking(at_ms=at_ms, window=(from_ms, until_ms), way=looking.way)
    return f"{attempt.address}?at={at_ms}{closer.tail}#strip"


def _whole(attempt: Attempt, looking: Looking) -> str:
    return f"{attempt.address}?at={looking.at_ms}{Looking(at_ms=0, way=looking.way).tail}#strip"


def look(attempt: Attempt, at: str, from_: str, until: str, way: str = "") -> Looking:
    """Where the reader looks, from an address; whatever cannot be read is passed over.

    Without `at`, the play head stands at the first finding to talk about, else at the
    first alarm, else at the end.
    """
    ends = attempt.course.ends_ms
    start, stop = _moment_of(from_), _moment_of(until)
    window = None
    if start is not None and stop is not None and start < min(stop, ends):
        window = (start, min(stop, ends))
    at_ms = _moment_of(at)
    if at_ms is None:
        at_ms = _first_of_interest(attempt)
    return Looking(
        at_ms=min(max(at_ms, 0), ends),
        window=window,
        way=AS_SEEN if way == AS_SEEN else AS_IT_WAS,
    )


def _moment_of(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) <= 12 else None


def _first_of_interest(attempt: Attempt) -> int:
    moments = [
        one.at_ms
        for one in attempt.report.findings
        if one.at_ms is not None and views_findings.tone(one.verdict) in ("miss", "near")
    ]
    alarms = [one.from_ms for one in attempt.course.alarms]
    return min(moments, default=min(alarms, default=attempt.course.ends_ms))


# --- the record, and the print -------------------------------------------------------------------


def _record(attempt: Attempt) -> tuple[tuple[str, str], ...]:
    """Who, what, with which numbers and versions: enough to find and rerun the attempt."""
    return (
        ("Attempt", attempt.id),
        ("Learner", attempt.learner),
        ("Scenario", f"{attempt.scenario.title} ({attempt.scenario.id})"),
        ("Seed", f"{attempt.seed} (0: the numbers as written)"),
        *attempt.versions,
    )


def _paper(
    attempt: Attempt, found: tuple[FindingView, ...], reflected: Mapping[str, str]
) -> PaperView:
    scenario, report = attempt.scenario, attempt.report
    lines = views_paper.paper_lines(found)
    kept = tuple(views_paper.reflected_view(one, text) for one, text in reflected.items())
    every = views_facts.facts(attempt)
    aside = sum(one.tone == "aside" for one in found)
    return PaperView(
        title=scenario.title,
        who=(
            ("Patient", f"{scenario.patient.name}, {_patient(scenario)}"),
            ("Begun", dict(attempt.versions).get("Begun", "")),
            ("Ward clock", every[0]),
        ),
        facts=views_paper.shortened(every[1:]),
        delivered=tuple(views_facts.delivered(one) for one in report.delivered),
        strip=views_strip.on_paper(attempt, found),
        traces=views_traces.traces(attempt, Looking(at_ms=0)),
        marks=views_gates.marks_view(report),
        lines=lines,
        well=views_paper.counted(found),
        never=str(aside) if aside else "",
        reflected=kept,
        record=_record(attempt),
        print=views_paper.print_size(lines, kept),
    )

"""Findings as the debrief prints them, in the order in which they are worth talking about.

Views only: strings ready to print. What they say was decided in `scoring`. First comes what
the learner was certain of and had wrong, then what must be right every time, then the rest
as it came; near misses stand apart and are praised.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from trainer.clinical.slips.names import Slip
from trainer.scoring.findings import Finding, Report, Why
from trainer.scoring.match import NOT_DONE
from trainer.scoring.slip_words import comes_out
from trainer.terms import Credit, Domain, Reach, Verdict
from trainer.web.views_worked import WorkedView, worked

GOOD = frozenset({Verdict.RIGHT})
NEAR = frozenset({Verdict.CORRECTED, Verdict.ROUNDED_EARLY, Verdict.LATE, Verdict.OUT_OF_ORDER})
ASIDE = frozenset({Verdict.NOT_NEEDED})
TOLD_BY_TITLE = frozenset(
    {Verdict.MISSED, Verdict.LATE, Verdict.OUT_OF_ORDER, Verdict.NEVER_DONE, Verdict.RIGHT}
)
"""How an act went, where its title says all of it."""

WORDS: dict[Verdict, str] = {
    Verdict.RIGHT: "Right",
    Verdict.ROUNDED_EARLY: "Rounded too early",
    Verdict.WRONG: "Wrong",
    Verdict.LATE: "Late",
    Verdict.OUT_OF_ORDER: "Out of order",
    Verdict.MISSED: "Missed",
    Verdict.NEVER_DONE: "Should not be done here",
    Verdict.CORRECTED: "Near miss, caught",
    Verdict.NOT_NEEDED: "Not needed",
}
"""Verdicts as a heading. The sign beside each has the verdict's own name as its class."""

SIGNS: dict[Verdict, str] = {
    Verdict.RIGHT: "tick",
    Verdict.ROUNDED_EARLY: "nearly",
    Verdict.WRONG: "cross",
    Verdict.LATE: "late",
    Verdict.OUT_OF_ORDER: "order",
    Verdict.MISSED: "gap",
    Verdict.NEVER_DONE: "bar",
    Verdict.CORRECTED: "caught",
    Verdict.NOT_NEEDED: "gap",
}
"""Name of the drawn sign in `panels/_signs.html`."""

PRAISE = (
    "You caught this before it reached the patient. Noticing and mending is the skill that "
    "checks are for; it counts in full."
)

NEXT: dict[Domain, str] = {
    Domain.CALCULATING: "Do this one sum again with other numbers, units written at every step, "
    "before you look at the worked solution.",
    Domain.ENTERING: "Next time read the give sentence aloud against your own result before you "
    "start: volume, time, rate.",
    Domain.VERIFYING: "Say what you would compare with what, and where on the chart it stands. "
    "Then do it first next time.",
    Domain.SETTING_UP: "Trace the line from the container to the vein with a finger and name each "
    "part and its state.",
    Domain.WATCHING: "Stand at this moment on the strip: what could be seen, and what was not "
    "looked at yet? Say the order in which you would do things now.",
    Domain.COMMUNICATING: "Say it aloud in four sentences: situation, background, assessment, "
    "recommendation. Then write the line for the chart.",
}
"""Something to do about a finding, by its domain. Chosen by us, from what the learner can
do alone in a minute."""

NEVER_LOOKED = (
    "Drag the orange line on the strip to where it was due. What would it have shown you? Say "
    "the order in which you would do things now."
)
"""The same for what was to be watched and never was."""


SLIPS: dict[Slip, str] = {
    Slip.TENFOLD: "Ten times off",
    Slip.HUNDREDFOLD: "A hundred times off",
    Slip.THOUSANDFOLD: "A thousand times off, as between mg and mcg",
    Slip.POUNDS: "Pounds and kilograms mixed",
    Slip.PER_MINUTE: "Hour and minute mixed",
    Slip.WEIGHT_LEFT_OUT: "The weight left out",
    Slip.WEIGHT_TWICE: "The weight used twice",
    Slip.UPSIDE_DOWN: "A ratio upside down",
    Slip.OTHER_CONCENTRATION: "Another concentration",
    Slip.PER_DAY: "Day and single dose mixed",
    Slip.HOURS_FOR_MINUTES: "Hours and minutes mixed",
    Slip.DROP_FACTOR: "Drops and mL mixed, or another set",
    Slip.EARLY_ROUNDING: "Rounded too early",
    Slip.TRUNCATED: "Cut off instead of rounded",
    Slip.SWAPPED: "The value of the neighbouring field",
    Slip.DOSE_AS_RATE: "The dose taken for the rate",
    Slip.SUPERSEDED: "A value that is out of date",
    Slip.DIGITS: "A slip of the finger: a digit doubled, dropped or swapped",
    Slip.UNIT: "The unit",
    Slip.WRITTEN_FORM: "The way it was written",
}
"""Slips in plain words, as a heading; the sentence beside each has the numbers."""

REACHES: dict[Reach, str] = {
    Reach.CAUGHT: "Caught before the patient",
    Reach.NO_HARM: "Reached the patient, no harm",
    Reach.WATCH: "Reached the patient, who must be watched",
    Reach.HARM: "Harm",
}
"""How far an error came, where there was one."""

CREDITS: dict[Credit, str] = {
    Credit.AFTER_REALITY_CUE: "After a cue about how it really looked",
    Credit.AFTER_CONCEPTUAL_CUE: "After a cue that led towards it",
    Credit.SELF_CORRECTED: "Noticed and mended alone",
}
"""Credit that is worth a word; done alone, or not at all, is told by the verdict."""

GROUPS: dict[str, tuple[str, str]] = {
    "certain": (
        "Certain, and wrong",
        "Begin here. What one is certain of is not looked at a second time, so nothing would "
        "have caught it.",
    ),
    "must": ("To be right every time", "No points elsewhere make up for these."),
    "rest": ("The rest, as it came", ""),
    "caught": (
        "Near misses, caught",
        "Something was wrong and somebody noticed in time. That is the skill that checks are for.",
    ),
}
"""Headings of what is to be talked about, in their order, and why each stands where it does."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SlipView:
    """One slip that leads to the value: its plain name and its sentence."""

    name: str
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StepView:
    """Something to do next: a link."""

    text: str
    href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingView:
    """One finding as printed."""

    anchor: str
    number: str  # empty: done well, or aside
    group: str  # a key of GROUPS; empty: done well, or aside
    tone: str  # miss, near, well, aside
    verdict: str
    sign: str
    domain: str
    title: str
    clock: str  # empty: it never happened
    at_ms: int | None
    reason: str
    expected: str
    entered: str
    sure: str
    critical: bool
    praise: str
    todo: str
    slips: tuple[SlipView, ...]
    question: str
    worked: WorkedView | None
    astray: str  # the factor that went wrong, where no drawn factor could be marked
    reach: str
    credit: str
    cue: str
    steps: tuple[StepView, ...]
    see_href: str
    told_at: str = ""  # number of the finding that tells already what lies behind this one
    told_href: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupView:
    """Findings to talk about under one heading."""

    key: str
    title: str
    why: str
    findings: tuple[FindingView, ...]


Onwards = Callable[[Finding], tuple[StepView, ...]]
"""What to do next about a finding."""


def _no_steps(_: Finding) -> tuple[StepView, ...]:
    return ()


def tone(verdict: Verdict) -> str:
    """How a finding is toned: miss, near, well or aside."""
    if verdict in GOOD:
        return "well"
    if verdict in ASIDE:
        return "aside"
    return "near" if verdict in NEAR else "miss"


def group_of(finding: Finding) -> str:
    """Under which heading a finding is talked about; empty if it is not."""
    shown = tone(finding.verdict)
    if shown not in ("miss", "near"):
        return ""
    if finding.verdict is Verdict.CORRECTED:
        return "caught"
    if finding.sure == CERTAIN and shown == "miss":
        return "certain"
    return "must" if finding.critical else "rest"


CERTAIN = "certain"
"""What a learner says of a value that needs no second look."""


def findings(
    report: Report,
    *,
    clock: Callable[[int], str],
    see: Callable[[int, str], str],
    onwards: Onwards = _no_steps,
) -> tuple[FindingView, ...]:
    """Every finding: those to talk about in their order and numbered from 1, then the others.

    Within a group, and among the others, in the order of time; what never came follows in
    the order in which it was to come, which is the report's.

    Args:
        report: the debrief's findings.
        clock: writes a moment as ward clock.
        see: the address that shows a moment on the strip, from it and the finding's anchor.
        onwards: what to do next about a finding.
    """
    rank = {key: place for place, key in enumerate((*GROUPS, ""))}
    ordered = sorted(
        report.findings,
        key=lambda one: (rank[group_of(one)], one.at_ms is None, one.at_ms or 0),
    )
    views: list[FindingView] = []
    told: dict[tuple[object, ...], FindingView] = {}
    for count, finding in enumerate(ordered, start=1):
        number = str(count) if group_of(finding) else ""
        when = "" if finding.at_ms is None else clock(finding.at_ms)
        href = "" if finding.at_ms is None else see(finding.at_ms, anchor(finding.id))
        steps = onwards(finding) if number else ()
        view = _finding(finding, number, when, href, steps)
        is_again = not when and view.todo in {one.todo for one in views}
        view = replace(view, todo="") if is_again else view
        views.append(_told_once(view, finding, told))
    return tuple(views)


def _told_once(
    view: FindingView, finding: Finding, told: dict[tuple[object, ...], FindingView]
) -> FindingView:
    """A finding without what an earlier one tells already: the same slips, the same sum.

    So a value keyed as it was worked out does not tell the answer before the question is asked.
    """
    sum_of = (finding.order, finding.quantity, view.slips) if view.worked is not None else ()
    first = told.setdefault(sum_of, view) if sum_of else view
    if first is not view:
        asked = "" if view.question == first.question else view.question
        view = replace(view, worked=None, astray="", slips=(), question=asked)
    elif view.slips:
        first = told.setdefault(view.slips, view)
        view = view if first is view else replace(view, slips=())
    is_first = view.anchor == first.anchor
    return view if is_first else replace(view, told_at=first.number, told_href=f"#{first.anchor}")


def groups(found: tuple[FindingView, ...]) -> tuple[GroupView, ...]:
    """What is to be talked about, under its headings."""
    keys = tuple(dict.fromkeys(one.group for one in found if one.group))
    views = tuple(
        GroupView(
            key=key,
            title=GROUPS[key][0],
            why=GROUPS[key][1],
            findings=tuple(one for one in found if one.group == key),
        )
        for key in keys
    )
    is_alone = tuple(one.key for one in views if one.key != "caught") == ("rest",)
    if not is_alone:
        return views
    return tuple(replace(one, title="As it came") if one.key == "rest" else one for one in views)


def _finding(
    finding: Finding, number: str, clock: str, href: str, steps: tuple[StepView, ...]
) -> FindingView:
    shown, key = tone(finding.verdict), group_of(finding)
    caught, why = key == "caught", finding.why if key else Why()
    solution = worked(finding.chain, finding.worked, why.wrong_factor) if key else None
    is_marked = solution is not None and solution.marks_astray
    return FindingView(
        anchor=anchor(finding.id),
        number=number,
        group=key,
        tone=shown,
        verdict=WORDS[finding.verdict],
        sign=SIGNS[finding.verdict],
        domain=str(finding.domain),
        title=finding.title,
        clock=clock,
        at_ms=finding.at_ms,
        reason=_before_the_answer(finding),
        expected="" if _is_told_by_title(finding) else finding.expected,
        entered=_entered(finding),
        sure=finding.sure if key else "",
        critical=finding.critical and not caught and shown != "well",
        praise=PRAISE if caught else "",
        todo=_todo(finding) if key and not caught else "",
        slips=_slips(why),
        question=why.question,
        worked=solution,
        astray="" if is_marked else why.wrong_factor.replace("_", " "),
        reach=REACHES.get(finding.reach, "") if key else "",
        credit=CREDITS.get(finding.credit, ""),
        cue=finding.cue,
        steps=steps,
        see_href=href,
    )


def _todo(finding: Finding) -> str:
    """Something to do about it; what was left undone has no moment to stand at."""
    if finding.at_ms is None and finding.domain is Domain.WATCHING:
        return NEVER_LOOKED
    return NEXT[finding.domain]


def _is_told_by_title(finding: Finding) -> bool:
    """Whether the title says already what was to be done: an act, done or left undone."""
    return not finding.quantity and finding.verdict in TOLD_BY_TITLE


def _entered(finding: Finding) -> str:
    """What was done or typed, where the title does not hold it already."""
    entered = finding.actual.removesuffix(f" ({finding.sure})")
    return "" if _is_told_by_title(finding) and entered in finding.title else entered


def _before_the_answer(finding: Finding) -> str:
    """The reason without the sentence that the question is to be asked before."""
    if finding.reason == NOT_DONE:
        return ""  # the title says so
    if not finding.why.question:
        return finding.reason
    return " ".join(finding.reason.replace(comes_out(finding.why.slips), "").split())


def _slips(why: Why) -> tuple[SlipView, ...]:
    """The slips, each sentence once: two that go together are told in one."""
    by_sentence = {one.explanation: one for one in why.slips}
    return tuple(SlipView(name=SLIPS[one.slip], sentence=said) for said, one in by_sentence.items())


def anchor(finding_id: str) -> str:
    """Where a finding stands on the page."""
    kept = "".join(letter if letter.isalnum() else "-" for letter in finding_id)
    return f"finding-{kept}"

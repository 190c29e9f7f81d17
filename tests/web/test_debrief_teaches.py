"""What the debrief makes of findings, chains, confidence, gates, and how it goes on paper."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from tests.web.kept import BENT_LINE
from tests.web.test_debrief_moment import attempt
from trainer.clinical.slips.diagnose import NamedSlip
from trainer.clinical.slips.names import Slip
from trainer.scoring.findings import Finding, Gate, Link, ObjectiveMark, Report, Trace, Why
from trainer.terms import (
    CaughtBy,
    Credit,
    Domain,
    Outcome,
    Reach,
    Stage,
    Verdict,
)
from trainer.web import (
    render,
    views_debrief,
    views_findings,
    views_gates,
    views_paper,
    views_sure,
    views_traces,
    views_worked,
)
from trainer.web.ended import Attempt, Looking

TENFOLD = NamedSlip(
    slip=Slip.TENFOLD, explanation="408 mL/h is ten times the right 40.8 mL/h: a zero was added."
)
DOSE_AS_RATE = NamedSlip(slip=Slip.DOSE_AS_RATE, explanation="408 is the dose in mg.")


def finding(ident: str, verdict: Verdict = Verdict.WRONG, **more: object) -> Finding:
    plain = {
        "domain": Domain.CALCULATING,
        "title": f"Title of {ident}",
        "reason": "Its reason.",
        "at_ms": 60_000,
        "plan": "entry",
    }
    return Finding(id=ident, verdict=verdict, **{**plain, **more})  # type: ignore[arg-type]


def with_report(**more: object) -> Attempt:
    """The antibiotic's attempt with another report."""
    one = attempt("antibiotic-and-air", "model")
    return replace(one, report=replace(one.report, **more), drawn={})  # type: ignore[arg-type]


def page_of(one: Attempt) -> str:
    view = views_debrief.debrief(one, Looking(at_ms=0), 7)
    panels = {"groups": view.groups, "well": view.well, "well_count": view.well_count}
    return render.text("panels/_findings.html", aside=view.aside, **panels)


def report_of(*found: Finding) -> Report:
    return replace(attempt("antibiotic-and-air", "model").report, findings=found)


# --- the order in which findings are talked about ------------------------------------------


def test_what_was_certain_and_wrong_comes_first_then_what_must_be_right_then_time_then_near_misses():
    found = (
        finding("late", Verdict.LATE, at_ms=1),
        finding("caught", Verdict.CORRECTED, at_ms=2, critical=True),
        finding("never", Verdict.NEVER_DONE, at_ms=3, critical=True),
        finding("missed", Verdict.MISSED, at_ms=None),
        finding("certain", at_ms=9, sure="certain"),
        finding("guess", at_ms=8, sure="guess"),
        finding("well", Verdict.RIGHT, at_ms=4),
    )
    views = views_findings.findings(
        report_of(*found), clock=str, see=lambda at_ms, _: f"?at={at_ms}"
    )
    talked = [(one.number, one.title.split()[-1]) for one in views if one.number]
    assert talked == [
        ("1", "certain"),
        ("2", "never"),
        ("3", "late"),
        ("4", "guess"),
        ("5", "missed"),
        ("6", "caught"),
    ]
    assert [one.key for one in views_findings.groups(views)] == [
        "certain",
        "must",
        "rest",
        "caught",
    ]


def test_a_value_that_was_certain_and_right_is_not_talked_about():
    assert views_findings.group_of(finding("a", Verdict.RIGHT, sure="certain")) == ""


def test_a_near_miss_is_praised_and_never_called_must_be_right():
    (view,) = views_findings.findings(
        report_of(finding("a", Verdict.CORRECTED, critical=True)), clock=str, see=lambda *_: ""
    )
    assert view.praise
    assert not view.critical
    assert not view.todo


# --- why, asked before it is told -----------------------------------------------------------


def wrong_rate(**more: Any) -> Finding:
    key = next(
        one
        for one in attempt("antibiotic-and-air", "model").report.keys
        if one.order == "antibiotic" and one.quantity == "rate"
    )
    why = Why(slips=(TENFOLD,), wrong_factor="concentration")
    plain: dict[str, Any] = {
        "chain": key.chain,
        "worked": key.worked,
        "order": "antibiotic",
        "quantity": "rate",
    }
    return finding("entry.antibiotic.rate", **{"why": why, **plain, **more})


def test_the_first_wrong_factor_is_marked_with_a_word_and_told_to_those_who_do_not_see():
    page = page_of(with_report(findings=(wrong_rate(),)))
    marked = re.findall(r'<span class="astray">(.*?astray-word.*?)</span>', page, re.DOTALL)
    assert len(marked) == 1
    assert "20" in marked[0]
    assert "here it went astray: concentration" in marked[0]
    assert "Here it went astray: concentration</p>" in page


def test_a_factor_that_no_term_carries_is_told_in_words():
    why = Why(slips=(TENFOLD,), wrong_factor="drop_factor")
    page = page_of(with_report(findings=(wrong_rate(why=why),)))
    assert "it went astray at: <b>drop factor</b>" in page


@pytest.mark.parametrize(
    ("lines", "marked"),
    [
        (("the rule: 4-2-1", "the weight: 40 lb"), ["", "weight"]),
        (("10 kg x 4 = 40 mL/h", "rounded"), ["weight", ""]),
    ],
    ids=["the line that names it", "else the sum itself"],
)
def test_of_a_sum_the_line_in_which_it_went_astray_is_marked(lines, marked):
    view = views_worked.worked(None, lines, "weight")
    assert view is not None
    assert [line.astray for line in view.lines] == marked


def test_where_several_slips_fit_the_question_stands_before_the_fold_with_the_answer():
    why = Why(slips=(TENFOLD, DOSE_AS_RATE), wrong_factor="", question="Did you X, or Y?")
    page = page_of(with_report(findings=(wrong_rate(why=why),)))
    fold = page.partition('<details class="ask-first">')[2].partition("</details>")[0]
    before, _, inside = fold.partition("</summary>")
    assert "Ask yourself first." in before
    assert "Did you X, or Y?" in before
    assert TENFOLD.explanation in inside
    assert '<div class="solution' in inside
    assert page.count(TENFOLD.explanation) == 1


def test_the_reason_does_not_give_the_answer_away_before_the_question():
    from trainer.scoring.slip_words import comes_out

    why = Why(slips=(TENFOLD, DOSE_AS_RATE), question="Did you X, or Y?")
    told = f"It is ten times. {comes_out(why.slips)}"
    page = page_of(with_report(findings=(wrong_rate(why=why, reason=told),)))
    assert "It is ten times." in page
    assert comes_out(why.slips) not in page


def test_every_slip_has_plain_words():
    assert set(views_findings.SLIPS) == set(Slip)


def test_reach_credit_and_cue_are_told_where_there_is_something_to_tell():
    one = wrong_rate(reach=Reach.WATCH, credit=Credit.AFTER_REALITY_CUE, cue="Look at the bag.")
    page = page_of(with_report(findings=(one,)))
    assert "Reached the patient, who must be watched" in page
    assert "After a cue about how it really looked" in page
    assert "Look at the bag." in page
    assert "Reached the patient" not in page_of(with_report(findings=(wrong_rate(),)))


# --- what to do next -------------------------------------------------------------------------


def test_a_wrong_sum_leads_to_the_same_step_with_fresh_numbers():
    page = page_of(with_report(findings=(wrong_rate(),)))
    assert 'href="/attempts/ended/redo/antibiotic/rate"' in page


def test_an_act_that_decided_leads_to_what_if_and_a_wrong_key_to_the_right_one():
    one = attempt("antibiotic-and-air", "tenfold-dose")
    entered = next(
        place
        for place, event in enumerate(one.events)
        if getattr(getattr(event, "action", None), "verb", "") == "enter"
    )
    wrong = finding("keyed", domain=Domain.ENTERING, deed=entered)
    steps = views_debrief.onwards(one, wrong)
    assert [step.text for step in steps] == ["What if the right value had been keyed?", "What if?"]
    assert f"/attempts/ended/what-if?deed={entered}" == steps[-1].href
    assert f"deed={entered}&how=changed&" in steps[0].href


def test_a_missed_step_has_no_act_to_change():
    assert (
        views_debrief.onwards(attempt(BENT_LINE, "model"), finding("a", domain=Domain.WATCHING))
        == ()
    )


# --- how sure -------------------------------------------------------------------------------


def test_the_grid_counts_how_sure_against_what_was_right():
    grid = views_sure.sure_view(
        (
            finding("a", sure="certain"),
            finding("b", Verdict.RIGHT, sure="certain"),
            finding("c", Verdict.RIGHT, sure="guess"),
            finding("d"),
        )
    )
    assert grid is not None
    counts = {row: [len(cell.told) for cell in cells] for row, cells in grid.rows}
    assert counts == {"right": [1, 0, 1], "not right": [0, 0, 1]}
    assert grid.sentence == "Of 2 that you were certain of, 1 was right."
    assert "begin with these" in render.text("panels/_sure.html", sure=grid)


def test_without_a_word_about_how_sure_there_is_no_grid():
    assert views_sure.sure_view((finding("a"),)) is None


# --- from the chart to the vein ---------------------------------------------------------------


def chain_of(**more: object) -> Trace:
    links = (
        Link(stage=Stage.ORDERED, text="30 mg/kg", right=True, at_ms=0),
        Link(stage=Stage.CALCULATED, text="40.8 mL/h", right=True, at_ms=60_000),
        Link(stage=Stage.KEYED, text="408 mL/h", right=False, at_ms=90_000, slip="tenfold"),
        Link(stage=Stage.DELIVERED, text="20.4 mL of 20.4 mL", right=True),
    )
    plain = {
        "order": "antibiotic",
        "title": "Antibiotic",
        "quantity": "rate",
        "links": links,
        "sentence": "It was keyed ten times too fast and changed before the start.",
        "entered": Stage.KEYED,
        "is_slip_of_hand": True,
        "caught_by": CaughtBy.SECOND_CHECK,
        "caught_ms": 100_000,
        "reach": Reach.CAUGHT,
        "praise": "The check did its work.",
    }
    return Trace(**{**plain, **more})  # type: ignore[arg-type]


def test_a_chain_says_where_the_error_entered_and_where_it_was_stopped():
    (view,) = views_traces.traces(with_report(traces=(chain_of(),)), Looking(at_ms=0))
    assert [link.sign for link in view.links] == ["tick", "tick", "cross", "tick"]
    assert [link.onward for link in view.links] == ["plain", "plain", "caught", ""]
    assert view.links[2].entered_here
    assert view.links[2].slip == "Ten times off"
    assert view.links[2].caught.startswith("caught by the second check, ")
    assert view.kind == "a slip of the hand"
    told = render.text("panels/_traces.html", traces=(view,))
    for words in (
        "here it went astray: Ten times off",
        "caught by the second check",
        "The check did its work.",
    ):
        assert words in told


def test_an_error_that_nobody_caught_goes_on_to_the_vein_with_its_size():
    wrong = chain_of(
        caught_by=CaughtBy.NOBODY,
        caught_ms=None,
        reach=Reach.WATCH,
        deviation=Fraction(9),
        praise="",
    )
    (view,) = views_traces.traces(with_report(traces=(wrong,)), Looking(at_ms=0))
    assert view.links[2].onward == "wrong"
    assert view.caught == "Nobody caught it."
    assert view.deviation == "10 times what was due"
    assert view.reach == "It reached the patient, who must be watched."


def test_chains_with_an_error_come_before_those_that_were_right():
    right = replace(chain_of(), entered=None, links=chain_of().links[:2], title="Right")
    views = views_traces.traces(with_report(traces=(right, chain_of())), Looking(at_ms=0))
    assert [one.title for one in views] == ["Antibiotic", "Right"]


def test_no_chain_no_grid_and_no_reach_leave_no_empty_frame():
    bare = with_report(traces=(), findings=())
    view = views_debrief.debrief(bare, Looking(at_ms=0), 7)
    assert view.traces == ()
    assert view.sure is None


# --- gates and marks --------------------------------------------------------------------------


def marks_text(**more: object) -> str:
    one = with_report(**more)
    return render.text("panels/_gates.html", marks=views_gates.marks_view(one.report))


def test_a_bar_is_drawn_only_where_the_policy_sets_one():
    gate = Gate(
        name="calculating",
        outcome=Outcome.PASSED,
        words="",
        least=Fraction(9, 10),
        share=Fraction(1),
    )
    with_bar, without = marks_text(gates=(gate,)), marks_text(gates=())
    assert 'class="bar-least" d="M90 0V10"' in with_bar
    assert "reached" in with_bar
    assert "bar-least" not in without
    assert "No bar is set" in without


def test_what_must_be_right_stands_above_the_marks_with_the_way_to_each():
    short = finding("start.scrub", Verdict.MISSED, critical=True)
    gate = Gate(
        name="must-pass",
        outcome=Outcome.NOT_PASSED,
        words="1 of 9 fell short.",
        short=("start.scrub",),
    )
    told = marks_text(gates=(gate,), findings=(short,))
    assert told.index("and was not here") < told.index("mark-table")
    assert '<a href="#finding-start-scrub">Title of start.scrub</a>' in told


def test_not_enough_evidence_is_a_result_that_says_what_is_missing():
    marks = tuple(
        replace(one, seen=one.domain is not Domain.COMMUNICATING)
        for one in attempt(BENT_LINE, "model").report.marks
    )
    told = marks_text(marks=marks, gates=())
    assert "Missing: communicating and charting." in told


def test_objectives_say_what_fell_short():
    aim = ObjectiveMark(
        objective="rate",
        text="Work out a rate.",
        points=Fraction(1),
        most=Fraction(2),
        seen=True,
        missing=("a",),
    )
    told = marks_text(objectives=(aim,), findings=(finding("a"),))
    assert "1 of 2" in told
    assert '<a href="#finding-a">Title of a</a>' in told


# --- on paper ---------------------------------------------------------------------------------


def paper_of(*found: Finding, reflected: dict[str, str] | None = None) -> views_paper.PaperView:
    one = with_report(findings=found)
    return views_debrief.debrief(one, Looking(at_ms=0), 7, reflected).paper


def test_nothing_that_was_wrong_is_lost_on_paper_however_much_there_is():
    many = tuple(finding(f"f{number}", reason="Why. " * 20) for number in range(60))
    paper = paper_of(*many, finding("well", Verdict.RIGHT))
    told = render.text("panels/_paper.html", paper=paper)
    assert all(f"Title of f{number}<" in told for number in range(60))
    assert "Title of well" not in told
    assert paper.print == "closest"


@pytest.mark.parametrize(("count", "print_"), [(1, "roomy"), (16, "usual"), (28, "close")])
def test_the_print_grows_smaller_with_what_there_is_to_say(count, print_):
    assert paper_of(*(finding(f"f{number}") for number in range(count))).print == print_


def test_both_pages_carry_the_training_notice():
    told = render.text("panels/_paper.html", paper=paper_of())
    pages = told.split('<section class="paper-page')[1:]
    assert len(pages) == 2
    assert all("paper-notice" in one for one in pages)


def test_the_reflection_is_printed_and_a_very_long_one_is_cut_and_says_so():
    paper = paper_of(reflected={"What went well?": "Calm.", "Next time?": "More. " * 400})
    assert paper.reflected[0].text == "Calm."
    assert paper.reflected[1].text.endswith("(it goes on in the attempt's record)")
    assert len(paper.reflected[1].text) < 700


# --- the strip is kept ------------------------------------------------------------------------


def test_moving_the_play_head_does_not_draw_the_strip_again():
    one = with_report()
    first = views_debrief.debrief(one, Looking(at_ms=0), 7).strips
    then = views_debrief.debrief(one, Looking(at_ms=600_000), 7).strips
    assert [a.strokes is b.strokes for a, b in zip(first, then, strict=True)] == [True, True]
    assert first[0].here_x != then[0].here_x

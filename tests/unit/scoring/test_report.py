"""The whole debrief: what was delivered, marks by domain, and laws that hold for any attempt."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from hypothesis import given, reject
from hypothesis import strategies as st

from tests.property.examples import tried
from tests.rehearsed import SHIPPED, model_report
from tests.unit.scoring.ward import (
    ANTIBIOTIC,
    MAINTENANCE,
    MIN,
    H,
    a_line,
    a_scenario,
    did,
    step,
)
from trainer.clinical.quantity import parse_quantity
from trainer.engine.events import Finished
from trainer.errors import ProblemError
from trainer.scenario.model import Conduct, ConductStep, Plan
from trainer.scoring import match, record
from trainer.scoring.rehearse import rehearse
from trainer.scoring.report import report
from trainer.terms import Domain, Verb, Verdict

PLAIN = replace(MAINTENANCE, rule="", rate=parse_quantity("40 mL/h"))
LINE = a_line(hung="bag", running_rate_ml_per_h=Fraction(40), running_volume_ml=Fraction(80))
RUNNING = a_scenario(PLAIN, lines=(LINE,))


def run(scenario, *steps):
    return report(scenario, rehearse(scenario, Conduct(id="try", title="A try", steps=steps)))


def do(verb, pause_ms=0, **params):
    return ConductStep(verb=verb, params=tuple(params.items()), pause_ms=pause_ms)


def wait(duration_ms):
    return ConductStep(pause_ms=duration_ms)


# --- delivered ----------------------------------------------------------------------


def test_what_ran_as_ordered_is_told_with_its_share():
    (one,) = run(RUNNING, wait(H)).delivered
    assert (one.ordered_ml, one.given_ml) == (40, 40)
    assert one.text == ("Ordered by 09:50: 40 mL, 40 mL/h for 1 h. 40 mL reached the vein, 100 %.")


def test_an_interruption_explains_what_is_missing_and_is_no_finding():
    found = run(RUNNING, wait(H), do(Verb.STOP, line="1"), wait(30 * MIN))
    (one,) = found.delivered
    assert (one.ordered_ml, one.given_ml) == (60, 40)
    assert one.text.endswith("It did not run for 30 min after that.")
    assert not [f for f in found.findings if f.plan == "delivered"]


def test_the_time_before_the_first_start_is_told():
    idle = replace(RUNNING, lines=(a_line(hung="bag"),))
    enter = do(Verb.ENTER, pause_ms=10 * MIN, line="1", role="primary", volume="80", rate="40")
    (one,) = run(idle, enter, do(Verb.START, line="1"), wait(30 * MIN)).delivered
    assert "10 min passed before it first ran." in one.text
    assert one.given_ml == 20


SECONDARY = replace(a_scenario(PLAIN, replace(ANTIBIOTIC, ask=()), lines=(LINE,)), ends_ms=6 * H)


def secondary_set_up(*, clamp_open):
    """The antibiotic hung, primed, joined, entered rightly and started."""
    last = do(Verb.OPEN_CLAMP if clamp_open else Verb.CLOSE_CLAMP, line="1", clamp="secondary")
    return [
        do(Verb.CHOOSE, supply="small-bag"),
        do(Verb.HANG, line="1", role="secondary", supply="small-bag"),
        do(Verb.SPIKE, line="1", role="secondary"),
        do(Verb.FILL_CHAMBER, line="1", role="secondary"),
        do(Verb.OPEN_CLAMP, line="1", clamp="secondary"),
        do(Verb.PRIME, line="1", role="secondary"),
        do(Verb.CONNECT, line="1", at="port"),
        do(Verb.LOWER_PRIMARY, line="1"),
        do(
            Verb.ENTER,
            line="1",
            role="secondary",
            volume="key:antibiotic.volume",
            rate="key:antibiotic.rate",
        ),
        last,
        do(Verb.START, line="1"),
    ]


def astray(found):
    return [one for one in found.findings if one.plan == "delivered"]


def test_a_small_bag_that_runs_on_after_its_dose_is_a_finding():
    # It holds more than the dose. When the programme is complete the pump goes back to the
    # primary's rate, but the higher container runs on.
    steps = secondary_set_up(clamp_open=True)
    assert astray(run(SECONDARY, *steps, wait(H + 5 * MIN))) == []
    (excess,) = astray(run(SECONDARY, *steps, wait(2 * H + 30 * MIN)))
    assert (excess.id, excess.verdict) == ("delivered.antibiotic", Verdict.WRONG)
    assert excess.critical


def test_a_dose_that_the_pump_counted_and_that_never_came_is_a_finding():
    # With the secondary's clamp shut the primary runs at the secondary's rate, no alarm.
    steps = secondary_set_up(clamp_open=False)
    shut = {one.id: one for one in astray(run(SECONDARY, *steps, wait(H + 5 * MIN)))}
    assert shut["delivered.antibiotic"].actual == "0 mL"
    assert "look at clamps" in shut["delivered.antibiotic"].reason
    assert set(shut) == {"delivered.antibiotic", "delivered.maintenance"}


def test_what_follows_from_a_wrong_entry_is_not_punished_twice():
    enter = do(Verb.ENTER, line="1", role="primary", volume="160", rate="80")
    found = run(RUNNING, enter, do(Verb.START, line="1"), wait(H))
    by_id = {one.id: one.verdict for one in found.findings}
    assert by_id["entry.maintenance.keyed-rate"] is Verdict.WRONG
    assert found.delivered[0].given_ml == 80
    assert astray(found) == []


# --- marks --------------------------------------------------------------------------


def test_marks_are_told_by_domain_and_nothing_seen_is_a_result():
    plan = Plan(steps=(step("hands", Verb.CLEAN_HANDS, domain=Domain.SETTING_UP),))
    found = run(replace(RUNNING, plan=plan), do(Verb.CLEAN_HANDS))
    by_domain = {mark.domain: mark for mark in found.marks}
    assert set(by_domain) == set(Domain)
    setting_up = by_domain[Domain.SETTING_UP]
    assert (setting_up.points, setting_up.most, setting_up.seen) == (1, 1, True)
    assert not by_domain[Domain.COMMUNICATING].seen
    assert by_domain[Domain.CALCULATING].most == 2  # rate and volume were asked
    assert not by_domain[Domain.CALCULATING].seen


def test_a_critical_step_missed_is_named_whatever_the_points():
    plan = Plan(steps=(step("who", Verb.IDENTIFY_PATIENT, critical=True),))
    scenario = replace(RUNNING, plan=plan)
    assert run(scenario).missed_critical == ("start.who",)
    assert run(scenario, do(Verb.IDENTIFY_PATIENT)).missed_critical == ()


def test_findings_stand_in_time_order_and_what_was_not_done_comes_last():
    plan = Plan(
        steps=(
            step("never", Verb.CHART),
            step("second", Verb.CLEAN_HANDS),
            step("first", Verb.IDENTIFY_PATIENT),
        )
    )
    acts = (do(Verb.IDENTIFY_PATIENT, pause_ms=1), do(Verb.CLEAN_HANDS, pause_ms=1))
    found = run(replace(RUNNING, plan=plan), *acts).findings
    assert [one.id for one in found if one.plan == "start"] == [
        "start.first",
        "start.second",
        "start.never",
    ]


def test_an_attempt_that_is_still_going_on_has_a_report_too():
    assert report(RUNNING, ()).points == 0


def test_doing_nothing_earns_nothing():
    for scenario in SHIPPED.values():
        found = report(scenario, (Finished(at_ms=1, by="learner"),))
        assert found.points == 0
        assert found.missed_critical


# --- laws ---------------------------------------------------------------------------

EACH = st.sampled_from(list(SHIPPED.values()))


def harmless(scenario):
    """Looks, checks and words that no plan of this scenario forbids."""
    acts = [
        do(Verb.CLEAN_HANDS),
        do(Verb.IDENTIFY_PATIENT),
        do(Verb.CHECK_ALLERGIES),
        do(Verb.LOOK_AT_PATIENT),
        do(Verb.PAUSE_SOUND),
        do(Verb.TEACH, what="the alarm"),
        do(Verb.CHART, what="how he is"),
        do(Verb.NOTIFY, who="charge nurse"),
    ]
    acts += [do(Verb.VERIFY_ORDER, order=order.id) for order in scenario.orders]
    acts += [do(Verb.LOOK_AT_SITE, access=one.id) for one in scenario.patient.access]
    acts += [do(Verb.LOOK_AT_CONTAINER, line=str(one.number)) for one in scenario.lines]
    acts += [do(Verb.FOLLOW_LINE, line=str(one.number)) for one in scenario.lines]
    plans = (scenario.plan, *(event.plan for event in scenario.events))
    forbidden = {never.pattern.verb for plan in plans for never in plan.nevers}
    return [act for act in acts if act.verb not in forbidden]


@given(choice=st.data())
@tried(60, costs=40)
def test_a_harmless_act_added_to_the_model_never_lowers_the_mark(choice):
    scenario = choice.draw(EACH)
    steps = scenario.conducts[0].steps
    place = choice.draw(st.integers(0, len(steps)))
    act = choice.draw(st.sampled_from(harmless(scenario)))
    added = replace(scenario.conducts[0], steps=(*steps[:place], act, *steps[place:]))
    assert report(scenario, rehearse(scenario, added)).full


@given(choice=st.data())
@tried(60, costs=40)
def test_a_step_left_out_of_the_model_never_raises_the_mark(choice):
    scenario = choice.draw(EACH)
    model = scenario.conducts[0]
    place = choice.draw(st.integers(0, len(model.steps) - 1))
    less = replace(model, steps=(*model.steps[:place], *model.steps[place + 1 :]))
    try:
        points = report(scenario, rehearse(scenario, less)).points
    except ProblemError:
        reject()  # it waits for what now never comes
    assert points <= model_report(scenario.id).points


NAMES = ("a", "b", "c", "d")
VERBS = (Verb.LOOK_AT_PATIENT, Verb.LOOK_AT_SITE, Verb.CHART, Verb.NOTIFY)


@st.composite
def plans(draw):
    """Some steps, each after some of those before it; two may want the same act."""
    steps = []
    for number, name in enumerate(NAMES):
        after = draw(st.lists(st.sampled_from(NAMES[:number]), unique=True)) if number else []
        steps.append(step(name, draw(st.sampled_from(VERBS)), after=tuple(after)))
    return Plan(steps=tuple(steps))


def points_of(plan, verbs):
    log = tuple(did(at_ms, verb) for at_ms, verb in enumerate(verbs, start=1))
    found = match.findings(RUNNING, plan, record.deeds(log), name="start", began=(-1, 0))
    return sum(one.points for one in found)


@given(plan=plans(), verbs=st.lists(st.sampled_from(VERBS), max_size=8), choice=st.data())
@tried(100)
def test_one_look_more_never_lowers_the_points_of_a_plan(plan, verbs, choice):
    place = choice.draw(st.integers(0, len(verbs)))
    more = [*verbs[:place], choice.draw(st.sampled_from(VERBS)), *verbs[place:]]
    assert points_of(plan, more) >= points_of(plan, verbs)

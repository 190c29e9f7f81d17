"""A whole scenario read: what comes out, all faults at once, the ward's files."""

from fractions import Fraction

import pytest
import yaml

from tests.unit.scenario.small_files import (
    FORMULARY,
    POLICY,
    SCENARIO,
    changed,
    loaded,
    place,
    source,
    told,
)
from trainer.errors import ScenarioError
from trainer.scenario.load import (
    fault_at,
    kind_of_file,
    load_formulary,
    load_policy,
    load_scenario,
    own_faults,
    references,
)
from trainer.scenario.model import Pattern
from trainer.terms import AlarmKind, Domain, Priority, Role, Running, Verb

TEN = [
    ("title: A small scenario", "titel: A small scenario"),
    ('starts_at: "08:00"', "starts_at: noon"),
    ("weight: 18.2 kg", "weight: 18 stone"),
    ("fluid: saline, volume", "fluid: salt, volume"),
    ("    access: left-hand", "    access: right-hand"),
    ("    rule: 4-2-1\n", ""),
    ("role: secondary\n", "role: second\n"),
    ("before: clean hands", "before: scrub"),
    ("reason: a kink", "because: a kink"),
    ("key:maintenance.rate", "key:upkeep.rate"),
]


def test_a_scenario_with_ten_faults_is_told_all_ten_in_file_order():
    text = SCENARIO
    for old, new in TEN:
        text = changed(text, old, new)
    lines = told(text)
    assert len(lines) == len(TEN), lines
    numbers = [int(line.split(":")[1]) for line in lines]
    assert numbers == sorted(numbers)


def test_faults_of_all_three_files_are_told_scenario_first():
    lines = told(
        changed(SCENARIO, "age: 5 years", "age: old"),
        changed(POLICY, "sound_pause: 2 min", "sound_pause: 3 min"),
        changed(FORMULARY, "drug: drug,", "drug: durg,"),
    )
    assert lines == [
        "s.yaml:13:8: `old` is no age; write it so: `5 years` or `3 years 4 months`",
        "p.yaml:29:16: sound is paused for two minutes at most; write `2 min` or less",
        "f.yaml:7:53: there is no drug `durg`; did you mean `drug`?",
    ]


def test_a_broken_policy_does_not_hide_the_faults_of_the_scenario():
    lines = told(changed(SCENARIO, "age: 5 years", "age: old"), "")
    assert [line.split(";")[0] for line in lines] == [
        "s.yaml:13:8: `old` is no age",
        "p.yaml:1:1: this file is empty",
    ]


def test_values_are_exact_and_in_the_units_of_their_names():
    scenario = loaded()
    assert scenario.patient.weight.to("kg") == Fraction("18.2")
    line = scenario.line(1)
    assert (line.above_ml, line.port_ml) == (Fraction(12), Fraction(5))
    assert line.running_rate_ml_per_h == 40
    assert line.has_port
    assert scenario.ends_ms == 3_600_000
    assert scenario.minutes == 30
    assert scenario.order("dose").role is Role.SECONDARY
    assert scenario.fluid("drug-bag").concentration is not None
    assert scenario.is_child


def test_a_step_takes_its_id_its_domain_and_its_pattern_from_its_act():
    first, second = loaded().plan.steps
    assert first.id == "clean-hands"
    assert first.domain is Domain.SETTING_UP
    assert second.pattern == Pattern(verb=Verb.START, params=(("line", "1"),))
    assert second.after == ("clean-hands",)


def test_a_mistake_is_the_model_with_what_differs():
    model, dirty = loaded().conducts
    assert [step.verb for step in dirty.steps] == [step.verb for step in model.steps[1:]]


def test_a_policy_is_read_alone():
    policy = load_policy(POLICY, "p.yaml")
    assert policy.pump.at_end is Running.KEEPING_OPEN
    assert dict(policy.priorities)[AlarmKind.INFUSION_COMPLETE] is Priority.MEDIUM
    assert policy.pump.compliance_below_ul_per_mmhg == Fraction("1.2")
    assert policy.rounding.apply("rate", "mL/h", Fraction("56.45")) == Fraction("56.5")


def test_a_formulary_is_read_alone():
    drug = load_formulary(FORMULARY, "f.yaml").drugs[0]
    assert drug.least_duration_ms == 1_200_000
    assert drug.limits[0].least == 10
    assert drug.limits[0].most == 40
    assert drug.limits[0].unit == "mg/kg"


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        (
            "sound_pause: 2 min",
            "sound_pause: 121 s",
            "29:16: sound is paused for two minutes at most; write `2 min` or less",
        ),
        (
            "lowest_rate: 0.1 mL/h",
            "lowest_rate: 700 mL/h",
            "17:17: this is not above the lowest rate; write a higher rate",
        ),
        (
            "keep_open_rate: 2 mL/h",
            "keep_open_rate: 2.05 mL/h",
            "19:19: this is no multiple of the rate step; write one that can be entered",
        ),
        (
            "pressure_alarm: 250 mmHg",
            "pressure_alarm: 10 mmHg",
            "23:19: the alarm would sound in an open line; write more than the resting pressure",
        ),
        (
            "  air in line: high\n",
            "",
            "31:1: the alarm `air in line` has no priority; add `air in line: high`, medium or low",
        ),
        (
            "  air in line: high\n",
            "  air in the line: high\n  air in line: high\n",
            "34:3: `air in the line` is no known alarm condition; did you mean `air in line`?",
        ),
        (
            "{of: rate, to: 0.1 mL/h}",
            "{of: rate}",
            "6:5: a rounding is to a step or to digits, one of the two; "
            "add `to:` or `digits:`, and not both",
        ),
        (
            "{of: any, digits: 3}",
            "{of: any, digits: 0}",
            "7:23: 0 digits make no sense; write 1 to 9",
        ),
        (
            "{of: rate, to: 0.1 mL/h}",
            "{of: rate, to: 0 mL/h}",
            "6:20: the step must be more than zero; write a larger one",
        ),
        (
            "{of: rate, to: 0.1 mL/h}",
            "{of: rate, to: 0.1 mL/h, below: 1 mL}",
            "6:37: `below` and `to` differ in unit; write both in one",
        ),
        (
            "resting_pressure: 20 mmHg",
            "resting_pressure: 2,5 mmHg",
            "22:21: `2,5` has a decimal comma; write 2.5",
        ),
        ("hub_scrub: 15 s", "hub_scrub: 15", "10:12: `15` has no unit; write it so: `15 s`"),
        (
            "lb_per_kg: 2.2 lb per kg",
            "lb_per_kg: '2.2'",
            "12:12: `2.2` is no such rule; write it so: `2.2 lb per kg`",
        ),
        (
            "hours_at_once: 2 h",
            "hours_at_once: two",
            "8:16: a number is missing; write it so: `2 h`",
        ),
        (
            "kind: policy",
            "kind: scenario",
            "2:7: this is a scenario, not a policy; write `kind: policy`",
        ),
    ],
)
def test_a_fault_of_a_policy_is_told_with_its_place(old: str, new: str, expected: str):
    with pytest.raises(ScenarioError) as caught:
        load_policy(changed(POLICY, old, new), "p.yaml")
    lines = [str(fault) for fault in caught.value.faults]
    assert f"p.yaml:{expected}" in lines
    assert len(lines) <= 2  # a rate out of order is also out of range for another


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        (
            ", strength: 1 g in 50 mL",
            "",
            "7:47: `drug` needs `strength`; add `strength:`, or leave both out",
        ),
        (
            "strength: 1 g in 50 mL",
            "strength: 1 g",
            "7:69: `1 g` is mass, not an amount in a volume; "
            "write 2 mg/mL, 400 mg in 250 mL or 10 %",
        ),
        ("{id: saline,", "{id: air,", "6:10: `air` always means air; choose another name"),
        (
            "least: 10 mg/kg, most: 40 mg/kg",
            "least: 50 mg/kg, most: 40 mg/kg",
            "13:43: this is less than the lower end; swap the two",
        ),
        (
            "least: 10 mg/kg, most: 40 mg/kg",
            "least: 10 mg, most: 40 mg/kg",
            "13:40: the two ends differ in unit; write both in one",
        ),
        (
            "least: 10 mg/kg, most: 40 mg/kg, ",
            "",
            "13:9: a limit needs an end; add least or most",
        ),
        (
            ", because: invented",
            "",
            "13:9: `because` is missing here; add `because:` with words",
        ),
        (
            "    least_duration: 20 min",
            "    half_life: 6 h",
            "11:5: a level needs both `half_life` and `distribution`; "
            "add the other one, or leave both out",
        ),
        (
            "id: drug-bag",
            "id: saline",
            "7:10: there is already a fluid `saline`; choose another name",
        ),
        (
            "kind: formulary",
            "kind: policy",
            "2:7: this is a policy, not a formulary; write `kind: formulary`",
        ),
    ],
)
def test_a_fault_of_a_formulary_is_told_with_its_place(old: str, new: str, expected: str):
    with pytest.raises(ScenarioError) as caught:
        load_formulary(changed(FORMULARY, old, new), "f.yaml")
    assert [str(fault) for fault in caught.value.faults] == [f"f.yaml:{expected}"]


def test_a_double_check_of_something_unknown_is_told():
    policy = POLICY + "second_check: [morphine]\n"
    assert told(policy=policy) == [
        "s.yaml:9:9: policy `small-ward` wants a double check of `morphine`, which is in no "
        "container; name a fluid or drug of formulary `small-ward` there"
    ]


@pytest.mark.parametrize("text", ["- a\n- b\n", "just words\n"])
def test_a_file_that_is_no_mapping_is_refused(text: str):
    what = "1:1: this file should be keys with values; begin it with `format: 1`"
    assert told(text) == [f"s.yaml:{what}"]
    assert told(policy=text) == [f"p.yaml:{what}"]
    assert told(formulary=text) == [f"f.yaml:{what}"]


def test_references_name_the_two_other_files():
    assert references(SCENARIO, "s.yaml") == ("small-ward", "small-ward")


def test_references_that_are_missing_are_told():
    text = changed(changed(SCENARIO, "policy: small-ward\n", ""), "formulary: small-ward\n", "")
    with pytest.raises(ScenarioError) as caught:
        references(text, "s.yaml")
    assert [fault.what for fault in caught.value.faults] == [
        "`policy` is missing here",
        "`formulary` is missing here",
    ]


def test_the_kind_of_a_file_is_what_it_says_and_else_a_scenario():
    assert kind_of_file(POLICY, "p.yaml") == "policy"
    assert kind_of_file(SCENARIO, "s.yaml") == "scenario"


def test_own_faults_are_told_without_the_ward():
    assert own_faults(SCENARIO, "s.yaml") == ()
    text = changed(SCENARIO, "age: 5 years", "age: old")
    assert [fault.line for fault in own_faults(text, "s.yaml")] == [13]


def test_a_fault_found_outside_is_put_at_the_entry_it_is_about():
    fault = fault_at(SCENARIO, "s.yaml", ("orders", "dose"), "this", "that")
    assert f"{fault.line}:{fault.column}" == place(SCENARIO, "id: dose")


@pytest.mark.parametrize("flow", [True, False, None])
@pytest.mark.parametrize("sorted_keys", [True, False])
def test_how_a_scenario_is_laid_out_does_not_matter(flow: bool | None, sorted_keys: bool):
    written = [
        yaml.dump(yaml.safe_load(text), default_flow_style=flow, sort_keys=sorted_keys, width=1000)
        for text in (SCENARIO, POLICY, FORMULARY)
    ]
    assert load_scenario(source(*written)) == loaded()


def test_loading_twice_gives_the_same_scenario():
    assert loaded() == loaded()
    assert hash(loaded()) == hash(loaded())


def test_line_ends_of_another_system_do_not_matter():
    assert (
        loaded(*(text.replace("\n", "\r\n") for text in (SCENARIO, POLICY, FORMULARY))) == loaded()
    )


def test_a_ward_file_with_another_id_than_its_name_is_told_in_that_file():
    assert told(policy=changed(POLICY, "id: small-ward", "id: small")) == [
        "p.yaml:3:5: the id is `small`, but scenarios name this file `small-ward`; "
        "write `id: small-ward`"
    ]


@pytest.mark.parametrize(
    ("text", "said", "place"),
    [
        (changed(SCENARIO, "format: 1\n", "format: 1\nkind: policy\n"), "policy", "2:7"),
        (changed(POLICY, "kind: policy\n", ""), "scenario", "1:1"),
        (changed(FORMULARY, "kind: formulary", "kind: policy"), "policy", "2:7"),
    ],
)
def test_a_wrong_kind_is_told_in_one_sentence(text: str, said: str, place: str):
    with pytest.raises(ScenarioError) as caught:
        kind_of_file(text, "x.yaml")
    (fault,) = caught.value.faults
    assert str(fault).startswith(f"x.yaml:{place}: this is read as a {said}, but its keys are ")

"""Every fault that a scenario file can have: the whole message, with its place and its mend.

Each case changes one place of a small sound scenario. Line and column count from 1.
"""

import pytest

from tests.unit.scenario.small_files import SCENARIO, changed, told

CASES = [
    ("title: A small scenario\n", "", ["1:1: `title` is missing here; add `title:` with words"]),
    (
        "title: A small scenario",
        "titel: A small scenario",
        ["3:1: `titel` is no key of this section; did you mean `title`?"],
    ),
    (
        "weight: 18.2 kg",
        "weight: 18.2",
        [
            "16:11: `18.2` is a bare number; write a physical value with its unit, such as 18.2 kg, or put it in quotes"
        ],
    ),
    ("weight: 18.2 kg", "weight: '18.2'", ["16:11: 18.2 has no unit; write it so: `18.2 kg`"]),
    (
        "weight: 18.2 kg",
        "weight: 18.2 mL",
        ["16:11: `18.2 mL` is no weight; write it so: `18.2 kg`"],
    ),
    (
        "weight: 18.2 kg",
        "weight: 1820 kg",
        ["16:11: `1820 kg` is no patient's weight; check the number"],
    ),
    ("weight: 18.2 kg", "weight: 18,2 kg", ["16:11: `18,2` has a decimal comma; write 18.2"]),
    ("age: 5 years", "age: 5", ["13:8: `5` has no unit; write it so: `5 years`"]),
    (
        "age: 5 years",
        "age: 5 yrs",
        ["13:8: `5 yrs` is no age; write it so: `5 years` or `3 years 4 months`"],
    ),
    (
        'record_number: "12345"',
        "record_number: 12345",
        ["15:18: `12345` is not read as text; put it in quotes"],
    ),
    (
        "heart rate: 112 /min",
        "heart rate: 112",
        ["18:23: `112` has no unit; write it so: `112 /min`"],
    ),
    (
        "volume: 500 mL, label",
        "volume: 500 cc, label",
        ["20:49: `cc` is misread and not used in orders; write mL"],
    ),
    (
        "volume: 500 mL, label",
        "volume: 0 mL, label",
        ["20:49: `0 mL` must be more than zero; write a larger value"],
    ),
    (
        "volume: 500 mL, label",
        "volume: 500 mg, label",
        ["20:49: `500 mg` is not in mL; write it so: `40 mL`"],
    ),
    (
        "kind: bag, fluid: saline",
        "kind: bage, fluid: saline",
        ["20:21: `bage` is no known kind of container; did you mean `bag`?"],
    ),
    (
        "fluid: saline, volume",
        "fluid: salin, volume",
        ["20:33: there is no fluid `salin`; did you mean `saline`?"],
    ),
    (
        "label: saline",
        "label: saline, fit: false",
        [
            "20:77: `bag` is not fit, but a look shows nothing; add `looks:` with what is wrong with it",
            "35:13: `bag` is not fit for use; name a sound container",
        ],
    ),
    (
        "label: saline",
        "label: saline, fit: no",
        ["20:77: `no` is neither true nor false; write false"],
    ),
    (
        "id: small-bag",
        "id: bag",
        [
            "21:10: there is already a container `bag`; choose another name",
            "45:13: there is no container `small-bag`; the containers here are bag",
        ],
    ),
    (
        "id: small-bag",
        "id: Small Bag",
        [
            "21:10: `Small Bag` is no id; write small letters, digits and hyphens, such as `small-bag`"
        ],
    ),
    (
        "    access: left-hand",
        "    access: left-hnad",
        ["24:13: there is no catheter `left-hnad`; did you mean `left-hand`?"],
    ),
    (
        "port: 5 mL, ",
        "",
        [
            "25:56: `secondary` needs a port; add `port:` with the volume to the pump",
            "25:73: `secondary_chamber` needs a port; add `port:` with the volume to the pump",
            "44:11: line 1 has no port; add `port:` to the line's tubing",
        ],
    ),
    (
        "secondary: 7 mL, ",
        "",
        ["25:43: a line with a port needs `secondary`; add `secondary:` with a volume"],
    ),
    (
        "port: 5 mL",
        "port: 15 mL",
        [
            "25:49: the port lies between chamber and pump, so `port` is a part of `above`; write a smaller volume"
        ],
    ),
    (
        "left: 300 mL",
        "left: 600 mL",
        ["26:31: more is left in it than it holds; write a smaller volume"],
    ),
    (", volume: 80 mL}", "}", ["26:39: `rate` needs `volume`; add `volume:`, or leave both out"]),
    (
        "hung: {supply: bag",
        "hung: {supply: bog",
        ["26:20: there is no container `bog`; did you mean `bag`?"],
    ),
    ("number: 1", "number: 0", ["23:13: 0 is no line's number; number lines 1 to 9"]),
    (
        "    rule: 4-2-1\n",
        "",
        ["28:5: order `maintenance` does not say how much; add one of rule, dose or rate"],
    ),
    (
        "    rule: 4-2-1\n",
        "    rule: 4-2-1\n    rate: 40 mL/h\n",
        ["37:5: `rate` and `rule` both say how much; keep one of the two"],
    ),
    ("rule: 4-2-1", "rule: 4-2-2", ["36:11: `4-2-2` is no known rule; did you mean `4-2-1`?"]),
    (
        "dose: 30 mg/kg",
        "dose: 30 mg/kg/h",
        [
            "46:11: `30 mg/kg/h` runs on, and this is a dose to be ended; leave the time out, or make the order continuous"
        ],
    ),
    (
        "dose: 30 mg/kg",
        "dose: 30 units/kg",
        [
            "46:11: `30 units/kg` is units of activity per body weight, and `drug-bag` holds mass per volume; write both in the same kind of unit"
        ],
    ),
    (
        "dose: 30 mg/kg",
        "dose: 30 kg",
        [
            "46:11: `30 kg` is no dose; write an amount, perhaps per kg and per time, such as `50 mg/kg` or `20 mL/kg`"
        ],
    ),
    (
        "dose: 30 mg/kg",
        "dose: 300 mg/kg",
        [
            "45:13: the order needs 300 mL, and 50 mL of `drug-bag` is there; put more on the trolley"
        ],
    ),
    (
        "    rule: 4-2-1",
        "    dose: 3 mL/kg",
        [
            "36:11: `3 mL/kg` has an end, and the order runs on; add the time, such as mL/kg/h, or make the order a bolus"
        ],
    ),
    (
        "    rule: 4-2-1",
        "    rule: 4-2-1\n    over: 3 h",
        [
            "37:5: `over` does not go with an order that runs on; leave it out, or make the order intermittent"
        ],
    ),
    (
        "    supply: small-bag",
        "    supply: bag",
        [
            "45:13: `bag` holds `saline`, and the order is for `drug-bag`; name a container that holds it"
        ],
    ),
    (
        "    dose: 30 mg/kg",
        "    dose: 30 mg/kg\n    over: 20 min\n    least: 30 min",
        ["47:11: this is less than the least duration; write a longer one"],
    ),
    (
        "    dose: 30 mg/kg",
        "    dose: 30 mg/kg\n    active: false",
        ["47:13: no event brings order `dose`; add the effect `order given`, or delete `active`"],
    ),
    (
        "    dose: 30 mg/kg",
        "    dose: 30 mg/kg\n    supersedes: dose",
        ["47:17: an order cannot replace itself; name the older one"],
    ),
    (
        "    dose: 30 mg/kg",
        "    dose: 30 mg/kg\n    supersedes: maintenence",
        ["47:17: there is no order `maintenence`; did you mean `maintenance`?"],
    ),
    (
        "ask: [dose, rate]",
        "ask: [dose, speed]",
        ["47:17: `speed` is no known quantity; write dose, volume, rate, duration or drip_rate"],
    ),
    (
        "kind: intermittent\n    fluid: drug-bag",
        "kind: intermittent\n    fluid: saline",
        [
            "37:5: order `dose` does not say over how long; add `over:` or `least:` with a duration",
            "45:13: `small-bag` holds `drug-bag`, and the order is for `saline`; name a container that holds it",
            "46:11: there is no drug in `saline`; write the dose as a volume, or order a fluid that holds a drug",
        ],
    ),
    (
        "- {do: clean hands}\n  - {do: start",
        "- {do: clean hand}\n  - {do: start",
        ["49:10: `clean hand` is no known act; did you mean `clean hands`?"],
    ),
    (
        "after: clean hands, critical",
        "after: clean hand, critical",
        ["50:33: no step here is called `clean-hand`; did you mean `clean-hands`?"],
    ),
    (
        "- {do: clean hands}\n  - {do: start",
        "- {do: clean hands, line: 1}\n  - {do: start",
        ["49:23: `line` does not go with `clean hands`; it takes no such keys"],
    ),
    (
        "- {do: clean hands}\n  - {do: start",
        "- {do: clean hands, after: start}\n  - {do: start",
        [
            "49:30: `clean-hands` would have to come before itself; take one of the steps out of `after`",
            "50:33: `start` would have to come before itself; take one of the steps out of `after`",
        ],
    ),
    (
        "- {do: clean hands}\n  - {do: start",
        "- {do: clean hands}\n  - {do: clean hands}\n  - {do: start",
        [
            "50:10: an earlier step here is already called `clean-hands`; give this one an `id` of its own"
        ],
    ),
    (
        "before: clean hands",
        "before: wash",
        ["52:34: no step here is called `wash`; the steps here are clean-hands or start"],
    ),
    (
        "- {do: start, line: 1, before",
        "- {do: start, line: 2, before",
        ["52:23: there is no line `2`; the lines here are 1"],
    ),
    (
        "when: {given: 9 mL, line: 1}",
        "when: {given: 9 mL, line: 1, time: 5 min}",
        [
            "56:12: `given` and `time` both bring the event; keep one",
            "56:25: `line` does not go with `time`; leave it out",
        ],
    ),
    (
        "when: {given: 9 mL, line: 1}",
        "when: {delay: 5 min}",
        [
            "56:11: `when` does not say what brings the event; add one of time, given, after, alarm, event, sign or by_hand"
        ],
    ),
    (
        "when: {given: 9 mL, line: 1}",
        "when: {given: 9 mL}",
        ["56:19: `given` needs `line`; add `line:` with its number"],
    ),
    (
        "when: {given: 9 mL, line: 1}",
        "when: {given: 900 mL, line: 1}",
        ["56:19: there is not so much fluid on the trolley; write a smaller volume"],
    ),
    (
        "when: {given: 9 mL, line: 1}",
        "when: {time: 2 h}",
        ["56:18: the scenario ends before; write an earlier moment"],
    ),
    (
        "when: {given: 9 mL, line: 1}",
        "when: {time: 5 min, delay: 1 min}",
        ["56:25: `delay` does not go with `time`; leave it out, or put it into `time`"],
    ),
    (
        "when: {given: 9 mL, line: 1}",
        "when: {alarm: attention reminder}",
        [
            "56:19: by policy `small-ward` the alarm `attention reminder` never comes; choose another trigger, or change the policy"
        ],
    ),
    (
        "when: {given: 9 mL, line: 1}",
        "when: {event: kink}",
        ["56:19: `kink` waits for itself and never comes; let one of the events come otherwise"],
    ),
    (
        "when: {given: 9 mL, line: 1}",
        "when: {event: kinc}",
        ["56:19: there is no event `kinc`; did you mean `kink`?"],
    ),
    (
        "when: {given: 9 mL, line: 1}",
        "when: {after: verify order, order: dosis}",
        ["56:40: there is no order `dosis`; did you mean `dose`?"],
    ),
    (
        "when: {given: 9 mL, line: 1}",
        "when: {by_hand: false}",
        ["56:21: `by_hand: false` brings nothing; write `by_hand: true`"],
    ),
    (
        "when: {given: 9 mL, line: 1}",
        "when: {time: 5 min, order: dose}",
        ["56:25: `order` does not go with `time`; leave it out"],
    ),
    ("where: downstream, ", "", ["58:19: `line blocked` needs `where`; add `where:`"]),
    (
        "mend: straighten",
        "mend: start",
        [
            "58:83: `start` is no known act that frees a line; write straighten, reposition or open clamp"
        ],
    ),
    (
        "mend: straighten",
        "mend: straighten, volume: 1 mL",
        ["58:95: `volume` does not go with `line blocked`; it takes line, where, reason or mend"],
    ),
    (
        "{happens: line blocked, line: 1, where: downstream, reason: a kink, mend: straighten}",
        "{happens: air enters, line: 1, volume: 20 mL}",
        [
            "58:48: there is no room for so much air above the pump of line 1; write a smaller volume"
        ],
    ),
    (
        "{happens: line blocked, line: 1, where: downstream, reason: a kink, mend: straighten}",
        "{happens: air enters, line: 1, volume: 0.01 mL}",
        ["58:48: so little air does not alarm by this ward's policy; write a larger volume"],
    ),
    (
        "{happens: line blocked, line: 1, where: downstream, reason: a kink, mend: straighten}",
        "{happens: sign changes, sign: hart rate, value: '100'}",
        ["58:39: there is no vital sign `hart rate`; did you mean `heart rate`?"],
    ),
    (
        "within: 5 min",
        "within: 0 min",
        ["61:65: `0 min` must be more than zero; write a larger value"],
    ),
    ("to: 20 kg", "to: 15 kg", ["63:37: the range ends before it begins; write a larger end"]),
    (
        "step: 0.2 kg",
        "step: 0.3 kg",
        ["63:50: the step does not divide the range; write one that does"],
    ),
    (
        "patient.weight:",
        "patient.height:",
        ["63:3: `patient.height` is no known value that can vary; did you mean `patient.weight`?"],
    ),
    (
        "key:maintenance.rate",
        "key:maintenanse.rate",
        ["69:51: there is no order `maintenanse`; did you mean `maintenance`?"],
    ),
    (
        "key:maintenance.rate",
        "key:maintenance.rat",
        ["69:51: there is no computed `rat`; did you mean `rate`?"],
    ),
    (
        "key:maintenance.rate",
        "key:rate",
        ["69:51: `key:rate` names no computed value; write it so: `key:maintenance.rate`"],
    ),
    (
        "alarm: downstream occlusion",
        "alarm: occlusion",
        ["70:25: `occlusion` is no known alarm condition; did you mean `upstream occlusion`?"],
    ),
    (
        "{until: {alarm: downstream occlusion}}",
        "{until: {given: 9 mL}}",
        ["70:25: `given` needs `line`; add `line:` with its number"],
    ),
    (
        "{until: {alarm: downstream occlusion}}",
        "{line: 1}",
        [
            "70:9: this step does nothing; add `do`, `until` or `pause`",
            "70:10: `line` goes with an act; add `do:`, or leave it out",
        ],
    ),
    (
        "{until: {alarm: downstream occlusion}}",
        "{do: hang, line: 1}",
        ["70:14: `hang` needs `role`; add `role:`", "70:14: `hang` needs `supply`; add `supply:`"],
    ),
    (
        "like: model",
        "like: modell",
        ["73:11: no earlier conduct is called `modell`; did you mean `model`?"],
    ),
    (
        "leave_out: clean-hands",
        "leave_out: clean-hand",
        ["74:16: `model` has no step `clean-hand`; did you mean `clean-hands`?"],
    ),
    ("format: 1", "format: 2", ["1:9: `2` is no version of the format; write 1"]),
    (
        "takes: 30 min",
        "takes: 3 h",
        [
            "7:7: the scenario ends before the time that it `takes`; "
            "write a longer time here, or a shorter one there"
        ],
    ),
    (
        "ends: 60 min",
        "ends: 169 h",
        ["7:7: a scenario lasts a week at most; write `168 h` or less"],
    ),
    (
        "ends: 60 min",
        "ends: 999999999999999 h",
        ["7:7: `999999999999999 h` is longer than 10000 h; check the number"],
    ),
    (
        "weight: 18.2 kg",
        "weight: 182 kg",
        [
            "16:11: 182 kg is no weight at the age of 5 years; check both numbers and their units",
            "45:13: the order needs 273 mL, and 50 mL of `drug-bag` is there; "
            "put more on the trolley",
        ],
    ),
    (
        "weight: 18.2 kg",
        "weight: 1.82 kg",
        ["16:11: 1.82 kg is no weight at the age of 5 years; check both numbers and their units"],
    ),
    (
        "weight: 18.2 kg",
        "weight: 21 kg",
        ["16:11: 21 kg is outside of what `vary` draws; write one inside that range, or widen it"],
    ),
    (
        'starts_at: "08:00"',
        'starts_at: "8 am"',
        [
            "6:12: `8 am` is not a time of day; write HH:MM on the 24-hour clock, such as 08:30 or 22:15"
        ],
    ),
    (
        "objectives: [Know that the loader reads.]",
        "objectives: Know",
        ["8:13: `objectives` should be a list; begin each entry with `- `, or write `[one, two]`"],
    ),
    (
        "supplies:\n",
        "supplies: none\nsupplied:\n",
        [
            "19:11: `supplies` should be a list; begin each entry with `- `",
            "20:1: `supplied` is no key of this section; did you mean `supplies`?",
        ],
    ),
    (
        "patient:\n",
        "patient: nobody\npatients:\n",
        [
            "11:10: here should be keys with values; write `key: value` lines",
            "12:1: `patients` is no key of this section; did you mean `patient`?",
        ],
    ),
    (
        "id: small\n",
        "id: small\nkind: policy\n",
        ["3:7: this is a policy, not a scenario; write `kind: scenario`, or leave it out"],
    ),
    (
        "    title: Maintenance\n",
        "    title:\n",
        ["29:11: nothing is written here; write a value, or leave the key out"],
    ),
    (
        "    title: Maintenance\n",
        "    title: [a, b]\n",
        ["29:12: here should be words, not a list or keys; write one text"],
    ),
    (
        "    title: Maintenance\n",
        "    title: 5\n",
        ["29:12: `5` is not read as text; put it in quotes"],
    ),
    (
        "left: 300 mL",
        "left: 0.123456789 mL",
        ["26:31: `0.123456789 mL` is finer than the trainer counts; use fewer digits"],
    ),
    (
        "rate: 40 mL/h, volume",
        "rate: 40.0001 mL/h, volume",
        ["26:45: `40.0001 mL/h` is finer than the trainer counts; use at most three decimals"],
    ),
    ("gauge: 24", "gauge: many", ["17:52: `many` is no whole number; write digits, such as 24"]),
    (
        "    supply: small-bag\n",
        "    suply: small-bag\n",
        ["45:5: `suply` is no key of this section; did you mean `supply`?"],
    ),
    (
        "  - {do: start, line: 1, after: clean hands, critical: true}\n",
        "  - [start]\n",
        ["50:5: here should be keys with values; write `key: value` lines"],
    ),
    (
        "    leave_out: clean-hands\n",
        "    steps: [{do: clean hands}]\n",
        ["74:5: `steps` and `like` exclude each other; put the steps into `change`"],
    ),
    (
        "    like: model\n",
        "",
        [
            "71:5: conduct `dirty` does nothing; add `steps:` or `like:`",
            "73:5: `leave_out` needs `like`; add `like:` with an id",
        ],
    ),
    (
        "{until: {alarm: downstream occlusion}}",
        "{until: {alarm: air in line, event: kink}}",
        ["70:38: one wait is for one thing, here `alarm`; make two steps"],
    ),
    (
        "{until: {alarm: downstream occlusion}}",
        "{do: clean hands, until: {event: kink}}",
        ["70:27: one step acts or waits; make two steps of it"],
    ),
    (
        "{until: {alarm: downstream occlusion}}",
        "{until: {}}",
        ["70:17: `until` waits for nothing; add alarm, event or given"],
    ),
    (
        "{until: {alarm: downstream occlusion}}",
        "{do: clear air, line: 1, how: shake it}",
        [
            "70:39: `shake it` is no way to clear air; write tap up to the chamber, "
            "draw off at the port or draw off below the pump"
        ],
    ),
    (
        "      - {happens: line blocked, line: 1, where: downstream, reason: a kink, mend: straighten}\n",
        "      []\n",
        ["58:7: event `kink` does nothing; add an effect, such as `happens: call`"],
    ),
    (
        "  - number: 1\n",
        "  - number: 2\n    access: left-hand\n    tubing: {chamber: 8 mL, above: 12 mL, below: 3 mL, drop_factor: 20 gtt/mL}\n    hung: {supply: bag}\n  - number: 1\n",
        ["30:20: `bag` hangs at two lines; give each line its own"],
    ),
    (
        "- {do: start, line: 1, before",
        "- {do: connect, line: 1, at: prot, before",
        ["52:32: `prot` is no known place on a line; did you mean `port`?"],
    ),
    (
        "objectives: [Know that the loader reads.]",
        "objectives: []",
        ["8:13: `objectives` is empty; add at least one"],
    ),
    ("to: 20 kg", "to: 320 kg", ["63:37: `320 kg` is no patient's weight; check the number"]),
    (
        "    leave_out: clean-hands\n",
        "    change: [{step: wash, to: [{do: clean hands}]}]\n    ends_after: end\n",
        [
            "74:21: `model` has no step `wash`; the steps here are clean-hands, enter or wait",
            "75:17: `model` has no step `end`; the steps here are clean-hands, enter or wait",
        ],
    ),
    (
        "    dose: 30 mg/kg\n",
        "    rule: 4-2-1\n",
        [
            "46:11: a maintenance rule does not go with a dose that ends; "
            "make the order continuous, or write a dose"
        ],
    ),
    (
        "{happens: line blocked, line: 1, where: downstream, reason: a kink, mend: straighten}",
        "{happens: order given, order: dose}",
        ["37:5: an event brings order `dose`, which is there from the start; add `active: false`"],
    ),
    (
        "port: 5 mL, below: 3 mL, secondary: 7 mL, secondary_chamber: 6 mL,",
        "below: 3 mL,",
        ["44:11: line 1 has no port; add `port:` to the line's tubing"],
    ),
    (
        "- {do: start, line: 1, before: clean hands}",
        "- {do: prime, line: 2, role: secondary, before: clean hands}",
        ["52:23: there is no line `2`; the lines here are 1"],
    ),
    (
        "signs: {heart rate: 112 /min}",
        "signs: [112]",
        ["18:10: `signs` should be keys with values; write `key: value` lines"],
    ),
    (
        "vary:\n  patient.weight: {from: 16 kg, to: 20 kg, step: 0.2 kg}",
        "vary: some",
        ["62:7: `vary` should be keys with values; write `key: value` lines"],
    ),
    (
        "within: 5 min",
        "within: 0.0000001 s",
        ["61:65: `0.0000001 s` is no whole number of milliseconds; use fewer digits"],
    ),
    (
        "{do: follow line, line: 1}",
        "{do: xyzzy, line: 1}",
        [
            "60:14: `xyzzy` is no known act; look in the format reference, scenarios/README.md",
            "61:42: no step here is called `follow-line`; the steps here are xyzzy or straighten",
        ],
    ),
]


def test_the_small_scenario_is_sound():
    assert told() == []


@pytest.mark.parametrize(("old", "new", "expected"), CASES, ids=[case[2][0][:70] for case in CASES])
def test_a_fault_is_told_with_its_place_and_its_mend(old: str, new: str, expected: list[str]):
    assert told(changed(SCENARIO, old, new)) == [f"s.yaml:{line}" for line in expected]

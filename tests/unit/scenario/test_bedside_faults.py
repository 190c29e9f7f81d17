"""Every fault about drives, hydraulics, signs and what they answer to: place and mend.

Each case changes one place of a sound scenario, its policy or its formulary. Line and column
count from 1; `s`, `p` and `f` are the three files.
"""

import pytest

from tests.unit.scenario.bedside_files import BEDSIDE, DRUGS, WARD, faults
from tests.unit.scenario.small_files import changed

SCENARIO_CASES = [
    (
        "drive: gravity",
        "drive: drip",
        ["s.yaml:32:12: `drip` is no known drive of a line; write pump, syringe or gravity"],
    ),
    (
        "    opening: 12.5 %\n",
        "",
        [
            "s.yaml:34:11: what hangs on a gravity line runs, as fast as its roller clamp lets it; add `opening:` to the line, such as `12 %` or `0 %`"
        ],
    ),
    (
        "opening: 12.5 %",
        "opening: 120 %",
        ["s.yaml:35:14: `120 %` is more than the whole; write 100 % or less"],
    ),
    (
        "opening: 12.5 %",
        "opening: 12.55 %",
        ["s.yaml:35:14: `12.55 %` is finer than the trainer counts; use at most one decimal"],
    ),
    (
        "    opening: 12.5 %\n",
        "    opening: 12.5 %\n    battery: 1 h\n",
        ["s.yaml:36:5: a gravity line has no pump; leave `battery` out"],
    ),
    (
        "    opening: 12.5 %\n",
        "    opening: 12.5 %\n    plugged_in: false\n",
        ["s.yaml:36:5: a gravity line has no pump; leave it out"],
    ),
    (
        "hung: {supply: bag}",
        "hung: {supply: bag, rate: 40 mL/h, volume: 80 mL}",
        [
            "s.yaml:34:25: `rate` is entered at a pump, and this line runs by gravity; leave it out; `opening` of the line says how fast",
            "s.yaml:34:40: `volume` is entered at a pump, and this line runs by gravity; leave it out; `opening` of the line says how fast",
        ],
    ),
    (
        "hung: {supply: bag}",
        "hung: {supply: syringe}",
        [
            "s.yaml:34:20: `syringe` is a syringe, and line 1 runs by gravity; name a bag or a bottle"
        ],
    ),
    (
        "chamber: 8 mL, ",
        "",
        [
            "s.yaml:33:13: `chamber` is missing here; add `chamber:`, or write `drive: syringe` at the line"
        ],
    ),
    (
        "{below: 1.2 mL}",
        "{below: 1.2 mL, above: 3 mL}",
        ["s.yaml:39:29: a syringe line has no `above`; leave it out; only `below` is needed"],
    ),
    (
        "    battery: 40 min\n",
        "    battery: 40 min\n    opening: 50 %\n",
        ["s.yaml:41:5: a syringe line has no roller clamp; leave `opening` out"],
    ),
    (
        "    battery: 40 min\n",
        "    battery: 40 min\n    valve: stuck\n",
        [
            "s.yaml:41:5: without a port there is no check valve; add `port:` to the tubing, or leave `valve` out"
        ],
    ),
    (
        "    battery: 40 min\n",
        "    battery: 40 min\n    valve: loose\n",
        ["s.yaml:41:12: `loose` is no known state of a valve; write works or stuck"],
    ),
    (
        "gauge: 24",
        "gauge: 20",
        [
            "s.yaml:18:47: policy `small-ward` does not say how a 20 gauge flows; write 22 or 24, or add it there"
        ],
    ),
    (
        "size: 50 mL",
        "size: 60 mL",
        [
            "s.yaml:28:71: policy `small-ward` knows no syringe of this size; write `size:` with 50 mL or 10 mL, or add it there"
        ],
    ),
    (
        "size: 50 mL",
        "size: 30 mL",
        [
            "s.yaml:28:71: more is in the syringe than it holds; write a larger size, or a smaller volume",
            "s.yaml:28:71: policy `small-ward` knows no syringe of this size; write `size:` with 50 mL or 10 mL, or add it there",
        ],
    ),
    (
        "size: 50 mL",
        "size: 50 mL, overfill: 2 mL",
        ["s.yaml:28:78: a syringe holds what was drawn up, and no more; leave `overfill` out"],
    ),
    ("overfill: 15 mL", "size: 500 mL", ["s.yaml:27:57: a bag has no `size`; leave it out"]),
    (
        "site: phlebitis, grade: 1",
        "site: phlebitis, grade: 5",
        ["s.yaml:18:75: there is no grade 5; write 1 to 4"],
    ),
    (
        "site: phlebitis, grade: 1",
        "grade: 1",
        [
            "s.yaml:18:51: a site that is patent has no grade; leave `grade` out, or write `site:` infiltrated or phlebitis"
        ],
    ),
    (
        "height: -5 cm",
        "height: 5 km",
        [
            "s.yaml:19:53: `km` is not a unit the trainer knows; write one of mg, nanograms, mcg, g, units, milliunits, million units, mEq, mmol, micromol, mol, mL, L, tsp, tbsp, fl oz, h, s, min, day, week, gtt, cm, mm, m, ft, in, m2, cm2, kg, lb, oz, %, doses"
        ],
    ),
    (
        "height: -5 cm",
        "height: 500 cm",
        ["s.yaml:19:53: `500 cm` is farther than 300 cm; check the number"],
    ),
    ("height: -5 cm", "height: 5", ["s.yaml:19:53: `5` has no unit; write it so: `90 cm`"]),
    (
        "measured: true, takes",
        "takes",
        [
            "s.yaml:25:34: a sign that is seen at once takes no time; add `measured: true`, or leave `takes` out"
        ],
    ),
    ("value: 7.5 mmol/L", "value: 7", ["s.yaml:25:22: `7` has no unit; write it so: `112 /min`"]),
    (
        "value: 7.5 mmol/L, ",
        "",
        [
            "s.yaml:25:14: `value` is missing here; add `value:` with a value and its unit, `112 /min`"
        ],
    ),
    (
        "mood: cheerful",
        "mood: [cheerful]",
        ["s.yaml:24:11: here should be keys with values; write `key: value` lines"],
    ),
    (
        "    supply: syringe\n    dose",
        "    supply: bag\n    dose",
        [
            "s.yaml:60:13: `bag` holds `saline`, and the order is for `pressor`; name a container that holds it",
            "s.yaml:60:13: `bag` is a bag, and line 2 is a syringe line; name a syringe",
        ],
    ),
    (
        "dose: 0.1 mcg/kg/min",
        "dose: 0.1 mcg/kg/min\n    ask: [drip_rate]",
        ["s.yaml:62:10: no drops fall on line 2, a syringe line; leave `drip_rate` out"],
    ),
    (
        "- {do: attach syringe, line: 2, supply: syringe}\n  - {do: turn",
        "- {do: attach syringe, line: 1, supply: syringe}\n  - {do: turn",
        [
            "s.yaml:63:10: line 1 runs by gravity, so there is no `attach syringe`; leave it out: the roller clamp is opened, turned and closed"
        ],
    ),
    (
        "- {do: attach syringe, line: 2, supply: syringe}\n  - {do: turn",
        "- {do: attach syringe, line: 2, supply: bag}\n  - {do: turn",
        ["s.yaml:63:43: `bag` is a bag, and line 2 is a syringe line; name a syringe"],
    ),
    (
        "{do: turn clamp, line: 1, opening: key}",
        "{do: start, line: 1}",
        [
            "s.yaml:64:10: line 1 runs by gravity, so there is no `start`; leave it out: the roller clamp is opened, turned and closed"
        ],
    ),
    (
        "{do: turn clamp, line: 1, opening: key}",
        "{do: turn clamp, line: 2, opening: key}",
        [
            "s.yaml:64:10: line 2 is a syringe line, so there is no `turn clamp`; leave it out: a syringe is attached, loaded, entered and started"
        ],
    ),
    (
        "{do: turn clamp, line: 1, opening: key}",
        "{do: close clamp, line: 2, clamp: primary}",
        [
            "s.yaml:64:39: line 2 is a syringe line: its one clamp is the patient's; write `clamp: patient`"
        ],
    ),
    (
        "{do: turn clamp, line: 1, opening: key}",
        "{do: turn clamp, line: 1, height: 3 cm}",
        ["s.yaml:64:31: `height` does not go with `turn clamp`; it takes line or opening"],
    ),
    (
        "{do: measure, what: glucose}",
        "{do: measure, what: glocose}",
        ["s.yaml:65:25: there is no vital sign `glocose`; did you mean `glucose`?"],
    ),
    (
        "fluid: pressor, reason",
        "fluid: presor, reason",
        ["s.yaml:89:90: there is no fluid `presor`; did you mean `pressor`?"],
    ),
    (
        "{sign: heart rate, above: 130.5 /min}",
        "{sign: hart rate, above: 130 /min}",
        ["s.yaml:69:18: there is no vital sign `hart rate`; did you mean `heart rate`?"],
    ),
    (
        "{sign: heart rate, above: 130.5 /min}",
        "{sign: heart rate}",
        ["s.yaml:69:18: a sign passes one number; add one of above or below, and not both"],
    ),
    (
        "{sign: heart rate, above: 130.5 /min}",
        "{sign: heart rate, above: 130 /min, below: 60 /min}",
        ["s.yaml:69:18: a sign passes one number; add one of above or below, and not both"],
    ),
    (
        "{sign: heart rate, above: 130.5 /min}",
        "{sign: heart rate, above: 130 bpm}",
        ["s.yaml:69:37: `heart rate` is charted in /min; write the number in /min"],
    ),
    (
        "{sign: heart rate, above: 130.5 /min}",
        "{sign: heart rate, above: 130}",
        ["s.yaml:69:37: `130` has no unit; write it so: `130 /min`"],
    ),
    (
        "{sign: heart rate, above: 130.5 /min}",
        "{sign: heart rate, above: fast}",
        ["s.yaml:69:37: `fast` is no number with a unit; write it so: `130 /min`"],
    ),
    (
        "{sign: heart rate, above: 130.5 /min}",
        "{sign: mood, above: 3 /min}",
        [
            "s.yaml:69:18: `mood` is `cheerful`, which passes no number; name a sign that is a number"
        ],
    ),
    (
        "{sign: heart rate, above: 130.5 /min}",
        "{sign: consciousness, above: 3 /min}",
        [
            "s.yaml:69:40: `consciousness` is charted in states; write alert, voice, pain or unresponsive"
        ],
    ),
    (
        "{sign: heart rate, above: 130.5 /min}",
        "{time: 5 min, above: 3 /min}",
        ["s.yaml:69:25: `above` needs `sign`; add `sign:` with its name"],
    ),
    (
        "{sign: heart rate, above: 130.5 /min}",
        "{alarm: air in line, line: 1}",
        [
            "s.yaml:69:19: line 1 runs by gravity, and only a pump alarms; choose another trigger, or name another line"
        ],
    ),
    (
        "{sign: heart rate, above: 130.5 /min}",
        "{after: start, line: 1}",
        [
            "s.yaml:69:19: line 1 runs by gravity, so there is no `start`; leave it out: the roller clamp is opened, turned and closed"
        ],
    ),
    (
        "resistance: 0.5 mmHg per mL/h",
        "resistance: 0.5 mmHg",
        ["s.yaml:71:54: `0.5 mmHg` is not in mmHg per mL/h; write it so: `0.012 mmHg per mL/h`"],
    ),
    (
        "resistance: 0.5 mmHg per mL/h, ",
        "",
        ["s.yaml:71:19: `line narrows` needs `resistance`; add `resistance:`"],
    ),
    (
        ", half_time: 10 min",
        "",
        ["s.yaml:72:19: `sign drifts` needs `half_time`; add `half_time:`"],
    ),
    (
        'sign: glucose, value: "12"',
        'sign: glucose, value: "12/8"',
        ["s.yaml:72:54: `12/8` is not written as `glucose` is; write it so: `7.5`"],
    ),
    (
        'sign: glucose, value: "12"',
        "sign: blood pressure, value: low",
        ["s.yaml:72:61: `low` is not written as `blood pressure` is; write it so: `90/50`"],
    ),
    (
        'sign: glucose, value: "12"',
        "sign: mood, value: sad",
        [
            "s.yaml:72:38: `mood` is `cheerful`, and from words there is no way; write `happens: sign changes`, without `half_time`"
        ],
    ),
    (
        "heart rate: 112 /min",
        "heart rate: -1 /min",
        ["s.yaml:21:17: `heart rate` cannot be -1; write it as it would be charted"],
    ),
    (
        "blood pressure: 90/50 mmHg",
        "blood pressure: 90/99999 mmHg",
        ["s.yaml:22:21: `blood pressure` cannot be 99999; write it as it would be charted"],
    ),
    (
        "value: 7.5 mmol/L",
        "value: -7.5 mmol/L",
        ["s.yaml:25:22: `glucose` cannot be -7.5; write it as it would be charted"],
    ),
    (
        "{happens: power fails}",
        "{happens: power fails, line: 2}",
        ["s.yaml:78:32: `line` does not go with `power fails`; it takes no other keys"],
    ),
    (
        "{happens: set slips, line: 2}",
        "{happens: set slips, line: 1}",
        [
            "s.yaml:77:19: line 1 runs by gravity, so there is no `set slips`; leave it out, or name another line"
        ],
    ),
    (
        "{happens: set slips, line: 2}",
        "{happens: valve sticks, line: 1}",
        ["s.yaml:77:39: line 1 has no port, so no check valve; add `port:` to the line's tubing"],
    ),
    (
        "{happens: set slips, line: 2}",
        "{happens: valve sticks, line: 2}",
        [
            "s.yaml:77:19: line 2 is a syringe line, so there is no `valve sticks`; leave it out, or name another line"
        ],
    ),
    (
        "{happens: set slips, line: 2}",
        "{happens: line blocked, line: 2, where: upstream, reason: a kink}",
        [
            "s.yaml:77:49: line 2 is a syringe line, with no tubing above its pump; write `where: downstream`"
        ],
    ),
    (
        "volume: 0.02 mL, where: downstream",
        "volume: 0.02 mL",
        [
            "s.yaml:76:19: line 2 is a syringe line, with no tubing above its pump; add `where: downstream`"
        ],
    ),
    (
        "volume: 0.02 mL, where",
        "volume: 1.2 mL, where",
        [
            "s.yaml:76:48: there is no room for so much air below the pump of line 2; write a smaller volume"
        ],
    ),
    (
        "site: infiltrated, grade: 2",
        "site: patent, grade: 2",
        [
            "s.yaml:75:66: a site that is patent has no grade; leave `grade` out, or write `site:` infiltrated or phlebitis"
        ],
    ),
    (
        "{to: volume, sign: heart rate, most: -0.5 /min per mL/kg",
        "{to: volum, sign: heart rate, most: -0.5 /min per mL/kg",
        ["s.yaml:81:10: there is no drug `volum`; did you mean `volume`?"],
    ),
    (
        "{to: volume, sign: heart rate",
        "{to: volume, sign: hart rate",
        ["s.yaml:81:24: there is no vital sign `hart rate`; did you mean `heart rate`?"],
    ),
    (
        "most: -0.5 /min per mL/kg",
        "most: -0.5 mmHg per mL/kg",
        ["s.yaml:81:42: `heart rate` is charted in /min; write the change in /min"],
    ),
    (
        "most: -0.5 /min per mL/kg",
        "most: -0.5 /min",
        [
            "s.yaml:81:42: the change of a linear curve is per unit of what drives it; add it, such as `0.5 mmHg per mL/kg` or `1.6 per units/mL`"
        ],
    ),
    (
        "most: -0.5 /min per mL/kg",
        "most: -0.5 /min per mcg/L",
        [
            "s.yaml:81:42: `mcg/L` is mass per volume, and what drives this is volume per body weight; write it in mL/kg"
        ],
    ),
    (
        "most: -0.5 /min per mL/kg",
        "most: much",
        ["s.yaml:81:42: `much` is no number with a unit; write it so: `-25 /min`"],
    ),
    (
        "most: -0.5 /min per mL/kg,",
        "most: -0.5 /min per mL/kg, driver: rate,",
        ["s.yaml:81:71: the volume of a fluid has no rate; leave `driver` out"],
    ),
    (
        "glucose: {value: 7.5 mmol/L, measured: true, takes: 5 min}",
        "clotting time: 30 s\n    blood pressures: 1 kPa",
        [
            "s.yaml:66:25: there is no vital sign `glucose`; the vital signs here are heart rate, blood pressure, consciousness, mood, clotting time or blood pressures",
            "s.yaml:73:38: there is no vital sign `glucose`; the vital signs here are heart rate, blood pressure, consciousness, mood, clotting time or blood pressures",
        ],
    ),
    (
        "blood pressure: 90/50 mmHg",
        "blood pressure: 12/7 kPa",
        ["s.yaml:22:21: `pressor` moves `blood pressure` in mmHg; chart it in mmHg"],
    ),
]

POLICY_CASES = [
    (
        "container_height: 80 cm",
        "container_height: -80 cm",
        ["p.yaml:40:21: `-80 cm` must be more than zero; write a larger value"],
    ),
    (
        "container_height: 80 cm",
        "container_height: 20 cm",
        [
            "p.yaml:40:3: a lowered container would hang no higher than the patient; write less than `container_height`"
        ],
    ),
    (
        "0.02 mmHg per mL/h",
        "0.02 mmHg/(mL/h)",
        [
            "p.yaml:41:19: `0.02 mmHg/(mL/h)` is not in mmHg per mL/h; write it so: `0.012 mmHg per mL/h`"
        ],
    ),
    (
        "{gauge: 22, flow",
        "{gauge: 0, flow",
        ["p.yaml:43:15: there is no 0 gauge; write it as a whole number, such as 24"],
    ),
    (
        "{gauge: 24, flow",
        "{gauge: 22, flow",
        [
            "s.yaml:18:47: policy `small-ward` does not say how a 24 gauge flows; write 22 or 22, or add it there",
            "p.yaml:44:15: this gauge stands in an earlier row already; keep one of the two",
        ],
    ),
    (
        "{size: 10 mL,",
        "{size: 50 mL,",
        ["p.yaml:48:14: this size stands in an earlier row already; keep one of the two"],
    ),
    (
        "[0 mL, 4 mL, 16 mL, 40 mL]",
        "[0 mL, 4 mL, 16 mL]",
        [
            "p.yaml:45:24: there are 4 grades, each beginning at a larger volume; write it so: `[0 mL, 5 mL, 20 mL, 50 mL]`"
        ],
    ),
    (
        "[0 mL, 4 mL, 16 mL, 40 mL]",
        "[0 mL, 16 mL, 4 mL, 40 mL]",
        [
            "p.yaml:45:24: there are 4 grades, each beginning at a larger volume; write it so: `[0 mL, 5 mL, 20 mL, 50 mL]`"
        ],
    ),
    (
        "flow: 45 mL/min",
        "flow: 45 mL",
        ["p.yaml:43:25: `45 mL` is not in mL/min; write it so: `20 mL/min`"],
    ),
    (
        "  reminder: 0 min\n",
        "  reminder: 0 min\n  battery: 20 min\n",
        ["p.yaml:14:3: a full battery would be told low at once; write less than `battery`"],
    ),
    (
        "  reminder: 0 min\n",
        "  reminder: 0 min\n  battery_end: 40 min\n",
        [
            "p.yaml:31:16: the battery would be told depleted before it is told low; write less than `battery_low`"
        ],
    ),
]

FORMULARY_CASES = [
    (
        "    effect_site: 1 min\n",
        "",
        [
            "f.yaml:17:106: `pressor` has no effect site; add `effect_site:` to the drug, or write `driver: level`"
        ],
    ),
    (
        "    half_life: 2 min\n    distribution: 0.1 L/kg\n",
        "",
        [
            "f.yaml:11:5: an effect is behind a level, and this drug has none; add `half_life:` and `distribution:`",
            "f.yaml:16:106: no level is computed for `pressor`; add `half_life:` and `distribution:`, or write `driver: rate`",
            "f.yaml:17:9: no level is computed for `pressor`; add `half_life:` and `distribution:`, or write `driver: rate`",
            "f.yaml:18:9: no level is computed for `pressor`; add `half_life:` and `distribution:`, or write `driver: rate`",
        ],
    ),
    (
        "half_life: 2 min\n    distribution: 0.1 L/kg\n",
        "behaviour: vasopresor\n",
        ["f.yaml:11:16: there is no ready behaviour `vasopresor`; did you mean `vasopressor`?"],
    ),
    (
        "half_at: 5 mcg/L, ",
        "",
        ["f.yaml:18:54: `saturating` needs `half_at`; add what gives half of `most`"],
    ),
    (
        "half_at: 5 mcg/L",
        "half_at: 5 units/L",
        [
            "f.yaml:18:75: `units/L` is units of activity per volume, and what drives this is mass per volume; write it in mg/L"
        ],
    ),
    (
        "half_at: 5 mcg/L",
        "half_at: 0 mcg/L",
        ["f.yaml:18:75: half of a change is never reached at nothing; write a larger value"],
    ),
    (
        "most: 30 mmHg",
        "most: 30 mmHg per mcg/L",
        [
            "f.yaml:18:38: `most` of a saturating curve is the largest change; leave out `per` and what follows it"
        ],
    ),
    ("steepness: 2", "steepness: 20", ["f.yaml:18:95: 20 is no steepness; write 1 to 9"]),
    (
        "most: -2 /min per mcg/L",
        "most: -2 /min per mcg/L, half_at: 3 mcg/L",
        [
            "f.yaml:19:53: `half_at` goes with a saturating curve; leave it out, or write `curve: saturating`"
        ],
    ),
    (
        "most: 1.6 per mg/L",
        "most: 1.6 s per mg/L",
        [
            "f.yaml:20:37: an exponential curve multiplies the sign, so `most` has no unit of the sign; write it so: `1.6 per units/mL`"
        ],
    ),
    (
        "curve: saturating",
        "curve: bent",
        ["f.yaml:18:54: `bent` is no known curve; write linear, saturating or exponential"],
    ),
    (
        "driver: effect site",
        "driver: site",
        [
            "f.yaml:18:106: `site` is no known driver of a response; write level, effect site or rate"
        ],
    ),
    (
        "  urine_share: 20 %\n",
        "",
        [
            "f.yaml:23:3: `urine_share` is missing here; add `urine_share:`, or `behaviour:` with a ready one"
        ],
    ),
    (
        "  half_life: 30 min\n  urine_share: 20 %\n",
        "  behaviour: colloid\n",
        ["f.yaml:23:14: there is no ready behaviour `colloid`; did you mean `crystalloid`?"],
    ),
    (
        "second: saline,",
        "second: salin,",
        ["f.yaml:29:30: there is no fluid or drug `salin`; did you mean `saline`?"],
    ),
    (
        "second: saline,",
        "second: pressor,",
        ["f.yaml:29:30: `pressor` always meets itself; name another fluid or drug"],
    ),
    (
        "from_age: 1 year",
        "from_age: 17 years",
        ["f.yaml:16:90: no patient is of that age; write an age above `from_age`"],
    ),
    (
        "route: peripheral",
        "route: hand",
        ["f.yaml:16:47: `hand` is no known kind of access; write peripheral or central"],
    ),
    (
        "sign: heart rate, most: -2 /min",
        "sign: glucose, most: -2 mg/dL",
        ["s.yaml:25:14: `pressor` moves `glucose` in mg/dL; chart it in mg/dL"],
    ),
]


def test_the_bedside_is_sound():
    assert faults() == []


def first_of(case: tuple[str, str, list[str]]) -> str:
    return case[2][0][:70]


@pytest.mark.parametrize(
    ("old", "new", "expected"), SCENARIO_CASES, ids=map(first_of, SCENARIO_CASES)
)
def test_a_fault_of_a_scenario_is_told(old: str, new: str, expected: list[str]):
    assert faults(changed(BEDSIDE, old, new)) == expected


@pytest.mark.parametrize(("old", "new", "expected"), POLICY_CASES, ids=map(first_of, POLICY_CASES))
def test_a_fault_of_a_policy_is_told(old: str, new: str, expected: list[str]):
    assert faults(policy=changed(WARD, old, new)) == expected


@pytest.mark.parametrize(
    ("old", "new", "expected"), FORMULARY_CASES, ids=map(first_of, FORMULARY_CASES)
)
def test_a_fault_of_a_formulary_is_told(old: str, new: str, expected: list[str]):
    assert faults(formulary=changed(DRUGS, old, new)) == expected

"""A small sound scenario with its ward, as text, and what is said about changed ones."""

from trainer.errors import ScenarioError
from trainer.scenario.load import load_scenario
from trainer.scenario.model import Scenario
from trainer.scenario.source import ScenarioText

POLICY = """\
format: 1
kind: policy
id: small-ward
title: A small invented ward
rounding:
  - {of: rate, to: 0.1 mL/h}
  - {of: any, digits: 3}
hours_at_once: 2 h
child_below: 16 years
hub_scrub: 15 s
look_at_site_every: 1 h
lb_per_kg: 2.2 lb per kg
pump:
  rate_step: 0.1 mL/h
  volume_step: 0.1 mL
  lowest_rate: 0.1 mL/h
  highest_rate: 600 mL/h
  highest_volume: 1000 mL
  keep_open_rate: 2 mL/h
  at_end: keeping open
  near_end: 0 min
  resting_pressure: 20 mmHg
  pressure_alarm: 250 mmHg
  suction_alarm: 120 mmHg
  compliance_below: 0.0012 mL/mmHg
  compliance_above: 0.0012 mL/mmHg
  air_alarm: 0.1 mL
  drop_sensor: true
  sound_pause: 2 min
  reminder: 0 min
priorities:
  downstream occlusion: high
  upstream occlusion: high
  air in line: high
  container empty: high
  infusion complete: medium
  infusion near complete: low
  attention reminder: low
"""

FORMULARY = """\
format: 1
kind: formulary
id: small-ward
title: A small invented ward
fluids:
  - {id: saline, name: sodium chloride 0.9 %}
  - {id: drug-bag, name: a drug 1 g in 50 mL, drug: drug, strength: 1 g in 50 mL}
drugs:
  - id: drug
    name: an invented drug
    least_duration: 20 min
    limits:
      - {of: dose, least: 10 mg/kg, most: 40 mg/kg, because: invented}
    source: invented
"""

SCENARIO = """\
format: 1
id: small
title: A small scenario
summary: For tests.
takes: 30 min
starts_at: "08:00"
ends: 60 min
objectives: [Know that the loader reads.]
policy: small-ward
formulary: small-ward
patient:
  name: Nobody Real
  age: 5 years
  born: 1 May
  record_number: "12345"
  weight: 18.2 kg
  access: [{id: left-hand, name: left hand, gauge: 24}]
  signs: {heart rate: 112 /min}
supplies:
  - {id: bag, kind: bag, fluid: saline, volume: 500 mL, label: saline}
  - {id: small-bag, kind: bag, fluid: drug-bag, volume: 50 mL, label: drug}
lines:
  - number: 1
    access: left-hand
    tubing: {chamber: 8 mL, above: 12 mL, port: 5 mL, below: 3 mL, secondary: 7 mL, secondary_chamber: 6 mL, drop_factor: 20 gtt/mL}
    hung: {supply: bag, left: 300 mL, rate: 40 mL/h, volume: 80 mL}
orders:
  - id: maintenance
    title: Maintenance
    written: Saline, maintenance.
    by: Dr Nobody
    kind: continuous
    fluid: saline
    line: 1
    supply: bag
    rule: 4-2-1
  - id: dose
    title: A dose
    written: Drug 30 mg/kg.
    by: Dr Nobody
    kind: intermittent
    fluid: drug-bag
    line: 1
    role: secondary
    supply: small-bag
    dose: 30 mg/kg
    ask: [dose, rate]
expect:
  - {do: clean hands}
  - {do: start, line: 1, after: clean hands, critical: true}
never:
  - {do: start, line: 1, before: clean hands}
events:
  - id: kink
    title: A kink
    when: {given: 9 mL, line: 1}
    effects:
      - {happens: line blocked, line: 1, where: downstream, reason: a kink, mend: straighten}
    expect:
      - {do: follow line, line: 1}
      - {do: straighten, line: 1, after: [follow line], within: 5 min}
vary:
  patient.weight: {from: 16 kg, to: 20 kg, step: 0.2 kg}
conduct:
  - id: model
    title: The model
    steps:
      - {do: clean hands}
      - {do: enter, line: 1, role: primary, rate: "key:maintenance.rate", volume: "key:maintenance.volume"}
      - {until: {alarm: downstream occlusion}}
  - id: dirty
    title: Hands are not cleaned
    like: model
    leave_out: clean-hands
"""


def source(
    scenario: str = SCENARIO, policy: str = POLICY, formulary: str = FORMULARY
) -> ScenarioText:
    return ScenarioText("s.yaml", scenario, "p.yaml", policy, "f.yaml", formulary)


def loaded(scenario: str = SCENARIO, policy: str = POLICY, formulary: str = FORMULARY) -> Scenario:
    return load_scenario(source(scenario, policy, formulary))


def told(scenario: str = SCENARIO, policy: str = POLICY, formulary: str = FORMULARY) -> list[str]:
    """What the loader says of these texts, one line each; nothing if they are sound."""
    try:
        loaded(scenario, policy, formulary)
    except ScenarioError as error:
        return [str(fault) for fault in error.faults]
    return []


def changed(text: str, old: str, new: str) -> str:
    """The text with one place changed; the place must be there, and only once."""
    assert text.count(old) == 1, f"`{old}` is there {text.count(old)} times"
    return text.replace(old, new)


def place(text: str, mark: str, within: str = "") -> str:
    """`line:column` of the first `mark` after the first `within`, counted from 1."""
    start = text.index(mark, text.index(within) if within else 0)
    before = text[:start]
    return f"{before.count(chr(10)) + 1}:{start - (before.rfind(chr(10)) + 1) + 1}"

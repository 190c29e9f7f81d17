"""A sound scenario with a syringe line, a gravity line and signs that answer, as text.

Built on the small files; its ward has hydraulics, and a drug with responses.
"""

from tests.unit.scenario.small_files import POLICY, loaded, told
from trainer.scenario.model import Scenario

HYDRAULICS = """\
hydraulics:
  container_height: 80 cm
  set_resistance: 0.02 mmHg per mL/h
  catheters:
    - {gauge: 22, flow: 45 mL/min}
    - {gauge: 24, flow: 20 mL/min}
  infiltration_grades: [0 mL, 4 mL, 16 mL, 40 mL]
  syringes:
    - {size: 50 mL, compliance: 0.0026 mL/mmHg, slack: 0.2 mL}
    - {size: 10 mL, compliance: 0.00048 mL/mmHg, slack: 0.08 mL}
"""
WARD = POLICY + HYDRAULICS

DRUGS = """\
format: 1
kind: formulary
id: small-ward
title: A small invented ward
fluids:
  - {id: saline, name: sodium chloride 0.9 %}
  - {id: pressor, name: a pressor 1 mg in 50 mL, drug: pressor, strength: 1 mg in 50 mL}
drugs:
  - id: pressor
    name: an invented pressor
    half_life: 2 min
    distribution: 0.1 L/kg
    effect_site: 1 min
    vesicant: true
    limits:
      - {of: rate, most: 1 mcg/kg/min, route: peripheral, from_age: 1 year, below_age: 16 years, because: invented}
    responses:
      - {sign: blood pressure, most: 30 mmHg, curve: saturating, half_at: 5 mcg/L, steepness: 2, driver: effect site, lag: 30 s, source: invented}
      - {sign: heart rate, most: -2 /min per mcg/L, source: invented}
      - {sign: clotting time, most: 1.6 per mg/L, curve: exponential, source: invented}
    source: invented
circulation:
  half_life: 30 min
  urine_share: 20 %
  responses:
    - {sign: blood pressure, most: 0.5 mmHg per mL/kg, lag: 1 min, source: invented}
  source: invented
incompatible:
  - {first: pressor, second: saline, blocks: true, looks: White grains lie there., because: invented}
"""

BEDSIDE = """\
format: 1
id: bedside
title: A syringe, a drip and signs that answer
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
  access:
    - {id: left-hand, name: left hand, gauge: 24, site: phlebitis, grade: 1}
    - {id: neck, name: neck, kind: central, height: -5 cm}
  signs:
    heart rate: 112 /min
    blood pressure: 90/50 mmHg
    consciousness: alert
    mood: cheerful
    glucose: {value: 7.5 mmol/L, measured: true, takes: 5 min}
supplies:
  - {id: bag, kind: bag, fluid: saline, volume: 500 mL, overfill: 15 mL, label: saline}
  - {id: syringe, kind: syringe, fluid: pressor, volume: 40 mL, size: 50 mL, label: pressor}
lines:
  - number: 1
    access: left-hand
    drive: gravity
    tubing: {chamber: 8 mL, above: 12 mL, below: 3 mL, drop_factor: 20 gtt/mL}
    hung: {supply: bag}
    opening: 12.5 %
  - number: 2
    access: neck
    drive: syringe
    tubing: {below: 1.2 mL}
    battery: 40 min
    plugged_in: false
orders:
  - id: drip
    title: Fluid
    written: Saline, 60 mL/h by drip.
    by: Dr Nobody
    kind: continuous
    fluid: saline
    line: 1
    supply: bag
    rate: 60 mL/h
    ask: [drip_rate]
  - id: pressor
    title: The pressor
    written: Pressor 0.1 mcg/kg/min.
    by: Dr Nobody
    kind: continuous
    fluid: pressor
    line: 2
    supply: syringe
    dose: 0.1 mcg/kg/min
expect:
  - {do: attach syringe, line: 2, supply: syringe}
  - {do: turn clamp, line: 1, opening: key}
  - {do: measure, what: glucose}
events:
  - id: low
    title: The pressure falls
    when: {sign: heart rate, above: 130.5 /min}
    effects:
      - {happens: line narrows, line: 1, resistance: 0.5 mmHg per mL/h, reason: a tight dressing, mend: reposition}
      - {happens: sign drifts, sign: glucose, value: "12", half_time: 10 min}
      - {happens: arm moves, access: left-hand, height: -20 cm}
      - {happens: vein pressure changes, access: left-hand, pressure: 12 mmHg}
      - {happens: site changes, access: left-hand, site: infiltrated, grade: 2}
      - {happens: air enters, line: 2, volume: 0.02 mL, where: downstream}
      - {happens: set slips, line: 2}
      - {happens: power fails}
      - {happens: power returns}
responses:
  - {to: volume, sign: heart rate, most: -0.5 /min per mL/kg, source: invented}
  - {to: pressor, sign: urine, most: 5 mL/h, curve: saturating, half_at: 0.2 mcg/min, driver: rate, source: invented}
conduct:
  - id: model
    title: The model
    steps:
      - {do: attach syringe, line: 2, supply: syringe}
      - {do: load, line: 2}
      - {do: enter, line: 2, role: primary, rate: "key:pressor.rate", volume: 10, fluid: pressor, reason: as ordered}
      - {do: turn clamp, line: 1, opening: 20 %}
      - {do: set height, line: 2, height: 10 cm}
      - {do: calculate, order: drip, what: drip_rate, entered: "key:drip.drip_rate"}
"""


def bedside(scenario: str = BEDSIDE, policy: str = WARD, formulary: str = DRUGS) -> Scenario:
    """The scenario that these texts hold."""
    return loaded(scenario, policy, formulary)


def faults(scenario: str = BEDSIDE, policy: str = WARD, formulary: str = DRUGS) -> list[str]:
    """What the loader says of these texts."""
    return told(scenario, policy, formulary)

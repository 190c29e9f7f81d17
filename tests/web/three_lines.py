"""A scenario for the pages: a pump line, a gravity line and a syringe line at one patient.

Everything runs from the beginning; a small bag of a drug and a full syringe lie ready.
Patient and orders are invented.
"""

from __future__ import annotations

import shutil
from pathlib import Path

from trainer.paths import SCENARIOS

NAME = "three-lines"

TEXT = """\
format: 1
id: three-lines
title: Three lines at once
summary: A pump, a drip and a syringe run into one child.
takes: 20 min
starts_at: "08:00"
ends: 3 h
objectives: [Keep three lines apart.]
policy: alder-ward
formulary: alder-ward
patient:
  name: Bera Lund
  age: 6 years
  born: 4 June
  record_number: AW 77
  weight: 20 kg
  access:
    - {id: left-hand, name: left hand, gauge: 24}
    - {id: right-arm, name: right arm, gauge: 22}
    - {id: neck, name: neck, kind: central}
  signs:
    heart rate: 118 /min
    blood pressure: 84/46 mmHg
    glucose: {value: 5.6 mmol/L, measured: true, takes: 2 min}
supplies:
  - {id: bag, kind: bag, fluid: saline-glucose, volume: 500 mL, label: saline with glucose 500 mL}
  - {id: small-bag, kind: bag, fluid: vancomycin-500mg-100, volume: 100 mL, label: vancomycin 500 mg in 100 mL}
  - {id: drip-bag, kind: bottle, fluid: saline, volume: 250 mL, label: saline bottle 250 mL}
  - {id: syringe, kind: syringe, fluid: noradrenaline-1mg-50, volume: 50 mL, label: noradrenaline 1 mg in 50 mL}
  - {id: next-syringe, kind: syringe, fluid: noradrenaline-1mg-50, volume: 50 mL, label: noradrenaline 1 mg in 50 mL (second)}
lines:
  - number: 1
    access: left-hand
    tubing: {chamber: 8 mL, above: 14 mL, port: 5 mL, below: 3 mL, secondary_chamber: 5 mL, secondary: 8 mL, drop_factor: 20 gtt/mL}
    hung: {supply: bag, left: 420 mL, rate: 60 mL/h, volume: 120 mL}
  - number: 2
    access: right-arm
    drive: gravity
    tubing: {chamber: 8 mL, above: 16 mL, below: 3 mL, drop_factor: 20 gtt/mL}
    opening: 16 %
    hung: {supply: drip-bag}
  - number: 3
    access: neck
    drive: syringe
    tubing: {below: 1.2 mL}
    battery: 90 min
    plugged_in: false
    hung: {supply: syringe, left: 38 mL, rate: 3 mL/h, volume: 38 mL}
orders:
  - id: maintenance
    title: Maintenance fluid
    written: Maintenance fluid by weight, 4-2-1.
    by: Dr Halden
    kind: continuous
    fluid: saline-glucose
    line: 1
    supply: bag
    rule: 4-2-1
  - id: vancomycin
    title: Vancomycin
    written: Vancomycin 15 mg/kg over 60 min.
    by: Dr Halden
    kind: intermittent
    fluid: vancomycin-500mg-100
    role: secondary
    line: 1
    supply: small-bag
    dose: 15 mg/kg
    over: 60 min
  - id: drip
    title: Fluid by drip
    written: Saline 60 mL/h by drip.
    by: Dr Halden
    kind: continuous
    fluid: saline
    line: 2
    supply: drip-bag
    rate: 60 mL/h
    ask: [drip_rate]
  - id: pressor
    title: Noradrenaline
    written: Noradrenaline 0.05 mcg/kg/min.
    by: Dr Halden
    kind: continuous
    fluid: noradrenaline-1mg-50
    line: 3
    supply: syringe
    dose: 0.05 mcg/kg/min
events:
  - id: narrow
    title: The line is squeezed
    when: {time: 20 min}
    effects:
      - {happens: line narrows, line: 1, resistance: 3 mmHg per mL/h, reason: The rail squeezes the tubing., mend: straighten}
  - id: swelling
    title: The arm swells
    when: {time: 30 min}
    effects: [{happens: site changes, access: right-arm, site: infiltrated}]
"""


def folder_with_three_lines(place: Path) -> Path:
    """The shipped scenarios and this one, in a folder of their own."""
    folder = place / "scenarios"
    shutil.copytree(SCENARIOS, folder)
    (folder / f"{NAME}.yaml").write_text(TEXT, encoding="utf-8")
    return folder

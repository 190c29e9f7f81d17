"""A small folder of scenarios: one line that runs, a call after two minutes, a bent line."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime, timedelta
from pathlib import Path

from trainer.paths import SCENARIOS

MORNING = datetime(2030, 4, 2, 8, 50, tzinfo=UTC)

NIGHT = """\
format: 1
id: {id}
title: A quiet night
summary: One line runs; someone calls; the line bends.
takes: 10 min
starts_at: "23:50"
ends: 30 min
objectives: [Keep watch.]
policy: alder-ward
formulary: alder-ward
patient:
  name: Runa Tell
  age: 5 y
  born: 3 May
  record_number: AW 1
  weight: 18 kg
  access: [{{id: left-hand, name: left hand, gauge: 24}}]
vary:
  patient.weight: {{from: 14 kg, to: 22 kg, step: 0.5 kg}}
supplies:
  - {{id: bag, kind: bag, fluid: saline-glucose, volume: 500 mL, label: saline with glucose}}
lines:
  - number: 1
    access: left-hand
    tubing: {{chamber: 8 mL, above: 12 mL, below: 3 mL, drop_factor: 60 gtt/mL}}
    hung: {{supply: bag, left: 400 mL, rate: 56 mL/h, volume: 100 mL}}
orders:
  - id: maintenance
    title: Maintenance fluid
    written: Maintenance fluid by weight.
    by: Dr Halden
    kind: continuous
    fluid: saline-glucose
    line: 1
    supply: bag
    rule: 4-2-1
events:
  - id: call
    title: A call
    when: {{time: 2 min}}
    effects: [{{happens: call, who: the mother, text: Is all well?}}]
  - id: bent
    title: The line bends
    when: {{time: 5 min}}
    effects:
      - {{happens: line blocked, line: 1, where: downstream, reason: A bend., mend: straighten}}
  - id: swelling
    title: The site swells
    when: {{by_hand: true}}
    effects: [{{happens: site changes, access: left-hand, site: infiltrated}}]
"""


def a_folder(place: Path, *ids: str) -> Path:
    """A folder with the shipped ward's rules and a scenario for each id."""
    folder = place / "scenarios"
    for part in ("policies", "formularies"):
        shutil.copytree(SCENARIOS / part, folder / part)
    for name in ids:
        (folder / f"{name}.yaml").write_text(NIGHT.format(id=name), encoding="utf-8")
    return folder


class HandClock:
    """Wall time that a test moves by hand."""

    def __init__(self) -> None:
        self.now_ms = 1_000_000

    def forward(self, *, s: int = 0, ms: int = 0) -> None:
        self.now_ms += s * 1_000 + ms

    def monotonic_ms(self) -> int:
        return self.now_ms

    def utc_now(self) -> datetime:
        return MORNING + timedelta(milliseconds=self.now_ms)

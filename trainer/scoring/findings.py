"""What the debrief says: findings, each with its moment and its reason, and the report.

Only the shapes; `expect`, `match`, `entries` and `report` fill them. Texts are whole
sentences, ready to print; numbers in them follow the writing rules.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical.chain import Chain
from trainer.terms import Domain, Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One computed right answer: `quantity` of an order ("rate", "volume", "dose" ...).

    `exact` is unrounded, `value` rounded by the policy, both in `unit`. `chain` is the
    product it came from (None where the rule is piecewise); `worked` the solution in
    lines; `order` the order's id. `also` are values that follow from the same data by a
    sound way and differ only by rounding (the entered rate times the hours).
    """

    order: str
    quantity: str
    unit: str
    exact: Fraction
    value: Fraction
    chain: Chain | None
    worked: tuple[str, ...]
    cautions: tuple[str, ...] = ()
    also: tuple[Fraction, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing that went right or wrong, at a moment (None: it never happened)."""

    id: str
    verdict: Verdict
    domain: Domain
    title: str  # "Hourly rate worked out: 123.8 mL/h; right: 56.4 mL/h"
    reason: str
    at_ms: int | None
    plan: str  # "entry", "start" (the scenario's own plan) or the authored event's id
    expected: str = ""
    actual: str = ""
    worked: tuple[str, ...] = ()
    chain: Chain | None = None
    critical: bool = False
    points: Fraction = Fraction(0)
    most: Fraction = Fraction(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """Points in one domain. `seen` False: there was no evidence, which is a result too."""

    domain: Domain
    points: Fraction
    most: Fraction
    seen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivered:
    """What one order asked for by the end and what reached the vein of its fluid, in mL."""

    order: str
    title: str
    ordered_ml: Fraction
    given_ml: Fraction
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """The whole debrief as one value."""

    findings: tuple[Finding, ...]
    marks: tuple[Mark, ...]
    keys: tuple[Key, ...]
    delivered: tuple[Delivered, ...]
    missed_critical: tuple[str, ...]  # finding ids
    points: Fraction
    most: Fraction
    also: tuple[str, ...] = ()  # of flushes, air, limits: told without a mark

    @property
    def full(self) -> bool:
        """Whether every mark was earned and nothing critical was missed."""
        return self.points == self.most and not self.missed_critical

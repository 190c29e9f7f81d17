"""What the debrief says: findings, each with its moment and its reason, and the report.

Only the shapes; `expect`, `match`, `entries`, `why`, `trace`, `gates` and `report` fill them. Texts are whole
sentences, ready to print; numbers in them follow the writing rules.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical.chain import Chain
from trainer.clinical.slips.diagnose import NamedSlip
from trainer.terms import CaughtBy, Credit, Domain, Outcome, Reach, Stage, Verdict


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
class Why:
    """What lies behind a wrong value.

    `slips` are those that lead to it, the likelier first; `wrong_factor` is the name of the
    first factor of the key's chain that went wrong (empty: none can be named); `question`
    is what to ask where several slips fit, or none.
    """

    slips: tuple[NamedSlip, ...] = ()
    wrong_factor: str = ""
    question: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing that went right or wrong, at a moment (None: it never happened).

    `order` and `quantity` name the key that a value was held against, `typed` is the text as
    it was typed, `sure` how certain the learner was (guess, fairly, certain). `deed` is the
    position in the log of the act that decided. `serves` names objectives.
    """

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
    order: str = ""
    quantity: str = ""
    typed: str = ""
    sure: str = ""
    why: Why = Why()
    credit: Credit = Credit.UNAIDED
    cue: str = ""  # the words of the cue that came before it
    serves: tuple[str, ...] = ()
    reach: Reach = Reach.NONE
    deed: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """Points in one domain. `seen` False: there was no evidence, which is a result too."""

    domain: Domain
    points: Fraction
    most: Fraction
    seen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivered:
    """What one order asked for by the end and what reached the vein of its fluid, in mL.

    `share` is given over ordered; None where the order had too little time for it to say much.
    """

    order: str
    title: str
    ordered_ml: Fraction
    given_ml: Fraction
    text: str
    share: Fraction | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ObjectiveMark:
    """Points for one objective. `seen` False: there was no evidence."""

    objective: str  # its id
    text: str
    points: Fraction
    most: Fraction
    seen: bool
    missing: tuple[str, ...] = ()  # ids of its findings that fell short


@dataclass(frozen=True, slots=True, kw_only=True)
class Gate:
    """One condition that no points elsewhere make up for.

    `name` is "must-pass", "all", or a domain's word; `least` the bar from the policy (None:
    none set), `share` what was reached (None: nothing could show); `short` the ids of findings
    that keep it shut; `words` one sentence.
    """

    name: str
    outcome: Outcome
    words: str
    least: Fraction | None = None
    share: Fraction | None = None
    short: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """One stage of a value's way: what stood there, and whether it was right.

    `right` None: nothing was seen of this stage.
    """

    stage: Stage
    text: str  # "56.4 mL/h", "not worked out", "12 mL of 100 mL"
    right: bool | None
    at_ms: int | None = None
    finding: str = ""  # id of the finding that tells it
    slip: str = ""  # the likeliest slip, if the error entered here


@dataclass(frozen=True, slots=True, kw_only=True)
class Trace:
    """One order's value from the order to the vein: where an error entered, and what became of it.

    `entered` is the stage at which the first error entered (None: none did); `is_slip_of_hand`
    tells a finger slip (worked out right, keyed wrong) from one of thinking. `deviation` is
    by what share the patient got too much (above 0) or too little of what was due at the
    moment of the worst error; None if nothing wrong reached the vein.
    """

    order: str
    title: str
    quantity: str
    links: tuple[Link, ...]
    sentence: str  # the whole in a sentence or two
    entered: Stage | None = None
    is_slip_of_hand: bool = False
    caught_by: CaughtBy = CaughtBy.NOBODY
    caught_ms: int | None = None
    reach: Reach = Reach.NONE
    deviation: Fraction | None = None
    praise: str = ""  # a near miss, praised


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
    traces: tuple[Trace, ...] = ()
    objectives: tuple[ObjectiveMark, ...] = ()
    gates: tuple[Gate, ...] = ()

    @property
    def full(self) -> bool:
        """Whether every mark was earned and nothing critical was missed."""
        return self.points == self.most and not self.missed_critical

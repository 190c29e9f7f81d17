"""Two marks of one attempt beside each other: by the policy of the day, and by a later one.

Nothing is judged here; two reports and two policies are compared. The first mark stays what
it was. Which rules bear on a mark, and which findings differ, is for `remark` to say.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from trainer.clinical.rounding import RoundingRule, format_number, round_half_up
from trainer.scenario.model import Bar, Policy
from trainer.scoring import explain
from trainer.scoring.findings import Gate, Report
from trainer.scoring.remark import Changed, changes
from trainer.terms import Outcome

NO_EVIDENCE = "not enough evidence"
NOTHING_SET = "none"
NO_BAR = "no bar set"


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """One thing as it was and as it is now, in words."""

    name: str
    was: str
    now: str

    @property
    def moved(self) -> bool:
        """Whether it differs."""
        return self.was != self.now


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkedAgain:
    """Both marks: by domain, by objective, by gate, all together; and what moved."""

    domains: tuple[Beside, ...]
    objectives: tuple[Beside, ...]
    gates: tuple[Beside, ...]
    total: Beside
    findings: tuple[Changed, ...]

    @property
    def moved(self) -> bool:
        """Whether anything differs at all."""
        parts = (*self.domains, *self.objectives, *self.gates, self.total)
        return bool(self.findings) or any(one.moved for one in parts)


def marked_again(was: Report, now: Report) -> MarkedAgain:
    """Both marks of one attempt, the old one first."""
    return MarkedAgain(
        domains=tuple(
            Beside(
                name=str(old.domain),
                was=_points(old.points, old.most, seen=old.seen),
                now=_points(new.points, new.most, seen=new.seen),
            )
            for old, new in zip(was.marks, now.marks, strict=True)
        ),
        objectives=tuple(
            Beside(
                name=old.text,
                was=_points(old.points, old.most, seen=old.seen),
                now=_points(new.points, new.most, seen=new.seen),
            )
            for old, new in zip(was.objectives, now.objectives, strict=True)
        ),
        gates=_gates(was.gates, now.gates),
        total=Beside(
            name="all parts",
            was=_points(was.points, was.most, seen=True),
            now=_points(now.points, now.most, seen=True),
        ),
        findings=changes(was, now),
    )


def _points(points: Fraction, most: Fraction, *, seen: bool) -> str:
    """`3.5 of 4`, or that there was nothing to go by."""
    if not seen:
        return NO_EVIDENCE
    tenth = Fraction(1, 10)
    return " of ".join(format_number(round_half_up(one, tenth)) for one in (points, most))


def _gates(was: tuple[Gate, ...], now: tuple[Gate, ...]) -> tuple[Beside, ...]:
    """The gates for which one of the policies sets a bar, or that must be passed anyhow."""
    old = {one.name: one.words for one in was if one.outcome is not Outcome.NO_BAR}
    new = {one.name: one.words for one in now if one.outcome is not Outcome.NO_BAR}
    return tuple(
        Beside(name=name, was=old.get(name, NO_BAR), now=new.get(name, NO_BAR))
        for name in dict.fromkeys((*old, *new))
    )


# --- which rules changed ------------------------------------------------------------


def rules_beside(was: Policy, now: Policy) -> tuple[Beside, ...]:
    """The rules that bear on a mark and differ between two policies, in words."""
    return tuple(one for one in _rules(was, now) if one.moved)


def _rules(was: Policy, now: Policy) -> Iterator[Beside]:
    yield from _rounding(was, now)
    for name, words in (
        ("largest share that rounding may move", lambda p: _share(p.rounding.largest_share)),
        ("hours of volume at once for a child", lambda p: f"{format_number(p.hours_at_once)} h"),
        ("a child is below", lambda p: f"{format_number(p.child_below_years)} years"),
        ("the hub is scrubbed for", lambda p: explain.seconds(p.hub_scrub_s)),
        ("a running site is looked at every", lambda p: explain.span(p.least_site_look_ms)),
        ("a drip rate set by hand may differ by", lambda p: _share(p.drip_tolerance)),
        ("a second check for", lambda p: ", ".join(p.second_check) or NOTHING_SET),
        ("least number of items in a part", lambda p: str(p.marking.least_items)),
        ("a dose off by this wants watching", lambda p: _share(p.marking.watch_from)),
        ("a dose off by this counts as harm", lambda p: _share(p.marking.harm_from)),
        ("credit", _credit),
        ("bars", _bars),
    ):
        yield Beside(name=name, was=words(was), now=words(now))


def _rounding(was: Policy, now: Policy) -> Iterator[Beside]:
    """Each row of the rounding; several rows of one kind are told together."""
    old, new = _rows(was), _rows(now)
    for kind in dict.fromkeys((*old, *new)):
        yield Beside(
            name=f"rounding of {'anything else' if kind == '*' else kind.replace('_', ' ')}",
            was="; ".join(old.get(kind, ())) or NOTHING_SET,
            now="; ".join(new.get(kind, ())) or NOTHING_SET,
        )


def _rows(policy: Policy) -> dict[str, list[str]]:
    rows: dict[str, list[str]] = {}
    for rule in policy.rounding.rules:
        rows.setdefault(rule.kind, []).append(_rule_words(rule))
    return rows


def _rule_words(rule: RoundingRule) -> str:
    """`half up to 0.1 mL/h`, `half up to 3 digits`, `... below 1 mL`."""
    unit = "" if rule.unit == "*" else f" {rule.unit}"
    step = f"{rule.digits} digits" if rule.step is None else f"{format_number(rule.step)}{unit}"
    below = f" below {format_number(rule.below)}{unit}" if rule.below is not None else ""
    return f"{rule.manner} to {step}{below}"


def _share(share: Fraction) -> str:
    return f"{format_number(share * 100)} %"


def _credit(policy: Policy) -> str:
    told = (f"{level}: {_share(share)}" for level, share in policy.marking.credit)
    return ", ".join(told) or NOTHING_SET


def _bars(policy: Policy) -> str:
    return ", ".join(_bar_words(one) for one in policy.marking.bars) or NOTHING_SET


def _bar_words(bar: Bar) -> str:
    return f"{bar.purpose}, {bar.domain or 'all parts'}: {_share(bar.least)}"

"""A substance on its way: body, effect site, and what each sign follows of it.

    dA/dt = arrival - k A              amount in the body
    dS/dt = ke0 (A - S)                effect site, as the amount it would hold in balance
    dz/dt = (driver - z) / lag         what a sign follows: A, S, or how fast it arrives

All of it is linear, and every part is behind the one before it, so each can be written as
a sum: what dies away at its own pace alone, and fixed multiples of the parts before it.
For z that follows A with l = 1 / lag, for instance, z = own + l / (l - k) A. The own part
then moves like an amount in one compartment,

    d(own)/dt = (its share of the arrival) - l own,

whose course is known in closed form. Multiples and shares are worked out once, in
`chain_from`. Where two paces are the same to a thousandth, the later one is set apart by a
thousandth, because the multiples would have no end.

Times are ms, paces per ms, amounts in the substance's unit, rates in units per minute.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from trainer.engine.physics.decay import LN_2, left_and_gone
from trainer.terms import Driver

EMPTY = 0.0
"""Nothing in the body, and nothing that a sign follows."""
BODY, SITE, FIRST_LAG = 0, 1, 2
"""Where a substance's values stand: amount, effect site, and then one for each response."""

_MS_PER_MIN = 60_000.0
_APART = 1e-3

Values = tuple[float, ...]
Course = tuple[float, float, int]
"""What arrives in a stretch: evenly, dying away, and the time constant of the latter."""


class Part(NamedTuple):
    """One value of a chain that moves: which it is, its pace, and what it is made of.

    `multiples` are of the body's amount and of the effect site.
    """

    value: int
    pace: int
    share: float
    multiples: tuple[float, float] = (EMPTY, EMPTY)


@dataclass(frozen=True, slots=True)
class Chain:
    """All that moves of one substance; `paces` without repeats, `size` values in all."""

    size: int
    paces: tuple[float, ...]
    parts: tuple[Part, ...]


def chain_from(
    half_life_ms: int, effect_site_half_ms: int, followed: Sequence[tuple[Driver, int]]
) -> Chain:
    """The chain of a substance.

    Args:
        half_life_ms: of the amount in the body; 0 if none is followed.
        effect_site_half_ms: half-time of the effect site; 0 if there is none.
        followed: for each response what it follows, and its lag (0: without one).
    """
    paces: list[float] = []
    parts: list[Part] = []
    k = LN_2 / half_life_ms if half_life_ms else EMPTY
    if k:
        parts.append(Part(BODY, _place(paces, k), 1.0))
    ke0 = EMPTY
    if k and effect_site_half_ms:
        ke0 = _set_apart(LN_2 / effect_site_half_ms, (k,))
        of_body = ke0 / (ke0 - k)
        parts.append(Part(SITE, _place(paces, ke0), -of_body, (of_body, EMPTY)))
    for number, (driver, lag_ms) in enumerate(followed):
        if lag_ms and (k or driver is Driver.RATE):
            parts.append(_lagged(paces, FIRST_LAG + number, driver, 1.0 / lag_ms, k, ke0))
    return Chain(FIRST_LAG + len(followed), tuple(paces), tuple(parts))


def _lagged(
    paces: list[float], value: int, driver: Driver, pace: float, k: float, ke0: float
) -> Part:
    """The part that follows the body, the effect site or the arrival."""
    if driver is Driver.RATE:
        return Part(value, _place(paces, pace), pace * _MS_PER_MIN)
    if driver is Driver.EFFECT_SITE and ke0:
        pace = _set_apart(pace, (k, ke0))
        of_site = pace / (pace - ke0)
        of_body = -of_site * ke0 / (pace - k)
        return Part(value, _place(paces, pace), -of_body, (of_body, of_site))
    pace = _set_apart(pace, (k,))
    of_body = pace / (pace - k)
    return Part(value, _place(paces, pace), -of_body, (of_body, EMPTY))


def _set_apart(pace: float, others: Sequence[float]) -> float:
    """The pace, moved up if it is another's to within a thousandth."""
    for other in sorted(others):
        if abs(pace - other) < _APART * other:
            pace = other * (1.0 + _APART)
    return pace


def _place(paces: list[float], pace: float) -> int:
    """Where this pace stands among the chain's; equal ones stand there once."""
    if pace not in paces:
        paces.append(pace)
    return paces.index(pace)


def later(
    chain: Chain, values: Values, elapsed_ms: int, arrivals: Sequence[Course], at_once: float
) -> Values:
    """A substance's values after a while.

    Args:
        chain: the substance's.
        values: amount, effect site and what each response follows, at the beginning.
        elapsed_ms: how long.
        arrivals: what reaches the body in that time.
        at_once: what reaches it at the end of that time, all at one moment.

    Source: the constant-rate solution of dA/dt = R - kA, superposed; its exponential
    counterpart for a rate that dies away.
    """
    left_and_came = [_at_pace(pace, elapsed_ms, arrivals, at_once) for pace in chain.paces]
    found = [EMPTY] * chain.size
    body, site = values[BODY], values[SITE]
    for value, pace, share, (of_body, of_site) in chain.parts:
        left, came = left_and_came[pace]
        own = values[value] - of_body * body - of_site * site
        own = own * left + share * came
        found[value] = own + of_body * found[BODY] + of_site * found[SITE]
    return tuple(found)


def _at_pace(
    pace: float, elapsed_ms: int, arrivals: Sequence[Course], at_once: float
) -> tuple[float, float]:
    """What is left of each unit at the end, and what is left then of all that arrived."""
    if elapsed_ms <= 0:
        return 1.0, at_once + sum(even + decaying for even, decaying, _ in arrivals)
    times = pace * elapsed_ms
    left, gone = left_and_gone(times)
    came = at_once
    for even, decaying, tau_ms in arrivals:
        came += even * gone / times
        if decaying:
            came += decaying / tau_ms * _overlap(pace, 1.0 / tau_ms, elapsed_ms)
    return left, came


def _overlap(pace: float, other: float, elapsed_ms: int) -> float:
    """The integral of e^(-pace (t - u)) e^(-other u) over u from 0 to t, in ms."""
    slow, fast = (pace, other) if pace < other else (other, pace)
    left, _ = left_and_gone(slow * elapsed_ms)
    if fast - slow < 1e-9 * fast:
        return left * elapsed_ms
    return left * left_and_gone((fast - slow) * elapsed_ms)[1] / (fast - slow)

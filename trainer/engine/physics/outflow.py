"""Volumes that build up or die away, brought to whole motes.

Volumes are motes, rates microlitres per hour, times milliseconds. Every function takes
and gives whole numbers, so nothing outside needs to know that floats lie between.
"""

from __future__ import annotations

from trainer.engine.physics.decay import expm1_neg


def died_away(amount: int, elapsed_ms: int, tau_ms: int) -> int:
    """How much of an amount has gone: amount (1 - e^(-t/tau)), whole motes, rounded down.

    >>> died_away(1_000_000, 1_000, 1_000)
    632120
    """
    return int(amount * expm1_neg(elapsed_ms / tau_ms))


def lagged(rate_ul_h: int, short: int, elapsed_ms: int, tau_ms: int) -> int:
    """What has left an elastic line through a narrowing that is fed at a rate.

    The inflow begins once `short` has been made up, at t0 = short / rate:
    V(t) = Q (t - t0) - Q tau (1 - e^(-(t - t0)/tau)). Whole motes, rounded down by one at
    least, so that it never gives more than has come.

    >>> lagged(3_600, 0, 1_000, 1_000)
    1324365

    Source: dE/dt = Q - E/tau with E(0) = 0 and V' = E/tau.
    """
    came = rate_ul_h * elapsed_ms - short
    if came <= 0:
        return 0
    since_ms = came / rate_ul_h
    return max(0, came - int(rate_ul_h * tau_ms * expm1_neg(since_ms / tau_ms)) - 1)

"""How many examples a law is tried on: few in the usual run, as many as asked at night.

`TRAINER_EXAMPLES=10000` in the environment asks for that many of every law (the hypothesis
profile `nightly` of `tests/conftest.py`). A test that costs much more than the others says
how much, and gets as many fewer.
"""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

ASKED = int(os.environ.get("TRAINER_EXAMPLES", "0"))


def tried(usually: int, *, costs: int = 1) -> settings:
    """Settings for a law: so many examples usually, as many as asked by the environment.

    Args:
        usually: examples in the usual run.
        costs: how many times as long as a plain law one example takes.
    """
    return settings(
        max_examples=max(usually, ASKED // costs) if ASKED else usually,
        deadline=None,
        derandomize=not ASKED,  # the usual run tries the same each time; a night tries others
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
    )

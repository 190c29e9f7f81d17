"""Options of the whole test suite, and what it does not collect."""

from __future__ import annotations

import gc
import os

from hypothesis import HealthCheck, settings

settings.register_profile("house", deadline=None, max_examples=60)  # no test asserts a time
settings.register_profile(
    "nightly",
    deadline=None,
    max_examples=10_000,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
settings.load_profile("nightly" if os.environ.get("TRAINER_EXAMPLES") else "house")

collect_ignore = ["bench"]
gc.set_threshold(
    50_000, 20, 20
)  # what is collected and kept for all tests is not searched so often


def pytest_addoption(parser):
    parser.addoption(
        "--update-goldens",
        action="store_true",
        help="write the reviewed texts anew; look at the difference before you commit it",
    )

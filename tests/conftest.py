"""Options of the whole test suite, and what it does not collect."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("house", deadline=None)  # nothing in this suite asserts a time
settings.load_profile("house")

collect_ignore = ["bench"]


def pytest_addoption(parser):
    parser.addoption(
        "--update-goldens",
        action="store_true",
        help="write the reviewed texts anew; look at the difference before you commit it",
    )

"""Options of the whole test suite."""

from __future__ import annotations


def pytest_addoption(parser):
    parser.addoption(
        "--update-goldens",
        action="store_true",
        help="write the reviewed texts anew; look at the difference before you commit it",
    )

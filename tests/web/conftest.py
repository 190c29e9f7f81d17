"""A learner at an open trainer."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from starlette.testclient import TestClient

from tests.web.at_bedside import Visit, begin
from tests.web.kept import browsing


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """The trainer's pages over one record, for all tests of a module."""
    with browsing(tmp_path_factory.mktemp("trainer")) as found:
        yield found


@pytest.fixture
def client(pages: TestClient) -> TestClient:
    """A browser that nobody has used yet."""
    pages.cookies.clear()
    return pages


@pytest.fixture
def visit(client: TestClient) -> Visit:
    """A learner at the bedside of the line that bends, nothing done yet."""
    return begin(client)

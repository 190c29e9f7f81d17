"""Beginning an attempt and acting at its bedside, through the pages' own forms."""

from __future__ import annotations

import re
from dataclasses import dataclass
from html import unescape

from starlette.testclient import TestClient

from tests.web.kept import BENT_LINE

OPEN_PAGE = {"HX-Request": "true"}
"""What an open page adds to its requests, so that it gets pieces and not a whole page."""


@dataclass(frozen=True)
class Visit:
    """One learner at one bedside."""

    client: TestClient
    address: str

    def page(self) -> str:
        """The bedside as a whole page."""
        answer = self.client.get(self.address)
        assert answer.status_code == 200
        return unescape(answer.text)

    def act(self, verb: str, *, token: str = "", seen: int | None = None, **params: str) -> str:
        """An act from the open page; the pieces that come back."""
        fields = {"verb": verb, "token": token, **params}
        if seen is not None:
            fields["seen"] = str(seen)
        answer = self.client.post(f"{self.address}/acts", data=fields, headers=OPEN_PAGE)
        assert answer.status_code == 200, answer.text
        return unescape(answer.text)

    def post(self, where: str, **fields: str) -> str:
        """Another form of the open page."""
        answer = self.client.post(f"{self.address}/{where}", data=fields, headers=OPEN_PAGE)
        assert answer.status_code == 200, answer.text
        return unescape(answer.text)

    def seen(self) -> int:
        """How far the log goes that the page shows."""
        found = re.search(r'data-seen="(\d+)"', self.page())
        assert found is not None
        return int(found[1])


def begin(client: TestClient, scenario: str = BENT_LINE, seed: str = "") -> Visit:
    """Begin an attempt by the prebrief's form."""
    answer = client.post(
        "/attempts", data={"scenario": scenario, "seed": seed}, follow_redirects=False
    )
    assert answer.status_code == 303, answer.text
    return Visit(client, answer.headers["location"])


def panels_in(pieces: str) -> set[str]:
    """The ids of the regions that an answer replaces."""
    return set(re.findall(r'<hx-partial hx-target="#([\w-]+)"', pieces))


def panel(pieces: str, name: str) -> str:
    """One piece of an answer."""
    found = re.search(rf'<hx-partial hx-target="#{name}"[^>]*>(.*?)</hx-partial>', pieces, re.S)
    assert found is not None, f"no {name} in {panels_in(pieces)}"
    return found[1]


def set_up(visit: Visit) -> None:
    """An empty line made ready: hung, primed, loaded and connected."""
    visit.act("choose", supply="bag")
    visit.act("hang", line="1", role="primary", supply="bag")
    visit.act("spike", line="1", role="primary")
    visit.act("fill chamber", line="1", role="primary")
    visit.act("open clamp", line="1", clamp="primary")
    visit.act("prime", line="1", role="primary")
    visit.act("load", line="1")
    visit.act("scrub hub", line="1", at="access", seconds="15")
    visit.act("connect", line="1", at="access")

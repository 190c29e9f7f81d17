"""The stream of changes, against a real server on a free port of this computer."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

import httpx
import pytest
import uvicorn

from tests.web.at_bedside import OPEN_PAGE, panels_in
from tests.web.kept import BENT_LINE
from trainer.web.app import create_app
from trainer.web.settings import Settings

WAIT_S = 10


@dataclass
class Page:
    """One open bedside: its requests and its stream."""

    client: httpx.Client
    address: str

    def act(self, verb: str, **params: str) -> None:
        answer = self.client.post(
            f"{self.address}/acts", data={"verb": verb, **params}, headers=OPEN_PAGE
        )
        assert answer.status_code == 200

    @contextmanager
    def stream(self, after: int = 0, last: str = "") -> Iterator[Iterator[str]]:
        headers = {"Last-Event-ID": last} if last else {}
        with self.client.stream(
            "GET", f"{self.address}/stream?after={after}", headers=headers
        ) as answer:
            assert answer.status_code == 200
            assert answer.headers["content-type"].startswith("text/event-stream")
            yield answer.iter_lines()


def next_message(lines: Iterator[str]) -> tuple[str, str]:
    """The id and the text of the next message."""
    number, text = "", []
    for line in lines:
        if line.startswith("id: "):
            number = line[4:]
        elif line.startswith("data: "):
            text.append(line[6:])
        elif not line and text:
            return number, "\n".join(text)
    raise AssertionError("the stream ended")


@contextmanager
def serving(folder: Path, beat_s: float = 15.0) -> Iterator[str]:
    listener = socket.socket()
    listener.bind(("127.0.0.1", 0))
    app = create_app(Settings(folder=folder, beat_s=beat_s))
    server = uvicorn.Server(uvicorn.Config(app, log_level="warning", timeout_graceful_shutdown=1))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    until = time.monotonic() + WAIT_S
    while not server.started and time.monotonic() < until:
        time.sleep(0.01)
    with closing(listener):
        yield f"http://127.0.0.1:{listener.getsockname()[1]}"
        app.state.ward.close_streams()
        server.should_exit = True
        thread.join(WAIT_S)


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with serving(tmp_path_factory.mktemp("trainer"), beat_s=0.2) as address:
        yield address


@pytest.fixture
def page(server: str) -> Iterator[Page]:
    with httpx.Client(base_url=server, timeout=WAIT_S) as client:
        answer = client.post("/attempts", data={"scenario": BENT_LINE})
        yield Page(client, answer.headers["location"])


def test_the_stream_first_sets_the_page_right(page):
    page.act("clean hands")
    with page.stream() as lines:
        number, text = next_message(lines)
    assert number == "2"
    assert {"clock", "paces", "slip", "record"} <= panels_in(text)


def test_what_one_tab_does_reaches_the_other_without_a_reload(page):
    with page.stream() as lines:
        next_message(lines)
        page.act("close clamp", line="1", clamp="patient")
        _, text = next_message(lines)
    assert "line-1" in panels_in(text)
    assert "clamp: closed" in text


def test_a_page_that_reconnects_gets_what_it_missed_and_no_more(page):
    page.act("close clamp", line="1", clamp="patient")
    with page.stream() as lines:
        number, _ = next_message(lines)
    page.act("clean hands")
    with page.stream(last=number) as lines:
        _, text = next_message(lines)
    assert "record" in panels_in(text)
    assert "line-1" not in panels_in(text)


def test_a_new_pace_reaches_the_other_tab(page):
    with page.stream() as lines:
        next_message(lines)
        page.client.post(f"{page.address}/pace", data={"pace": "x30"}, headers=OPEN_PAGE)
        _, text = next_message(lines)
    assert 'data-factor="30"' in text


def test_an_idle_stream_gives_signs_of_life(page):
    with page.stream() as lines:
        next_message(lines)
        assert any(line == ": still here" for line in (next(lines) for _ in range(4)))


def test_the_stream_says_how_soon_to_come_back(page):
    with page.stream() as lines:
        assert next(lines).startswith("retry: ")


def test_open_streams_do_not_keep_the_server_from_ending(tmp_path):
    with httpx.Client(timeout=WAIT_S) as client:
        with serving(tmp_path) as address:
            answer = client.post(f"{address}/attempts", data={"scenario": BENT_LINE})
            where = f"{address}{answer.headers['location']}/stream"
            open_stream = client.send(client.build_request("GET", where), stream=True)
            next_message(open_stream.iter_lines())
            began = time.monotonic()
        assert time.monotonic() - began < WAIT_S / 2
        open_stream.close()

"""A real browser at a real trainer on this computer.

Chromium is looked for under Debian's names: first the one without windows, which opens a page
for less than half the work, then the whole one. Where there is none, these tests are
skipped; with TRAINER_REQUIRE_ALL=1 in the environment, as in CI, that is a failure.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import httpx
import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from tests.browser.learner import Student
from tests.web.kept import IDA, keep, rehearsed
from tests.web.three_lines import folder_with_three_lines
from trainer.engine.events import AlarmRaised, Event
from trainer.paths import SCENARIOS
from trainer.terms import Verb
from trainer.web import learner

NAMES = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
WAIT_S = 30
CONDUCTS = ("model", "restart-without-looking", "order-not-questioned", "tenfold-rate")
ROOT = Path(__file__).resolve().parents[2]
expect.set_options(timeout=15_000)


@dataclass
class Trainer:
    """The trainer's own command, running over one folder."""

    folder: Path
    port: int
    process: subprocess.Popen[str]

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def kill(self) -> None:
        """As if the computer had been switched off."""
        self.process.send_signal(signal.SIGKILL)
        self.process.wait(WAIT_S)

    def end(self) -> None:
        if self.process.poll() is None:
            self.process.terminate()
            self.process.wait(WAIT_S)
        if self.process.stdout is not None:
            self.process.stdout.close()


def started(folder: Path, port: int = 0, scenarios: Path = SCENARIOS) -> Trainer:
    """Start the command and wait until it says where it answers."""
    command = [sys.executable, "-m", "trainer", "--no-browser", "--data", str(folder)]
    command += ["--scenarios", str(scenarios)]
    process = subprocess.Popen(
        [*command, "--port", str(port)],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )
    assert process.stdout is not None
    line = process.stdout.readline()
    found = int(line.partition("127.0.0.1:")[2].partition("/")[0])
    until = time.monotonic() + WAIT_S
    while time.monotonic() < until:
        try:
            httpx.get(f"http://127.0.0.1:{found}/about")
            break
        except httpx.TransportError:
            time.sleep(0.05)
    return Trainer(folder, found, process)


@pytest.fixture(scope="package")
def trainer(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Trainer]:
    place = tmp_path_factory.mktemp("trainer")
    found = started(place, scenarios=folder_with_three_lines(place))
    yield found
    found.end()


@pytest.fixture
def own_trainer(tmp_path: Path) -> Iterator[Callable[[int], Trainer]]:
    """Starts trainers over one folder that this test alone uses, and may kill."""
    all_of_them: list[Trainer] = []

    def start(port: int = 0) -> Trainer:
        all_of_them.append(started(tmp_path / "trainer", port))
        return all_of_them[-1]

    yield start
    for one in all_of_them:
        one.end()


@pytest.fixture(scope="package")
def browser() -> Iterator[Browser]:
    """One browser for this folder, closed after it: its event loop must not outlive it."""
    path = next((place for name in NAMES if (place := shutil.which(name))), None)
    if path is None:
        if os.environ.get("TRAINER_REQUIRE_ALL") == "1":
            pytest.fail("no Chromium was found; install the package `chromium-headless-shell`")
        pytest.skip("no Chromium was found; these tests need a browser, and CI demands one")
    with sync_playwright() as playwright:
        found = playwright.chromium.launch(executable_path=path)
        yield found
        found.close()


@dataclass
class Watched:
    """A page, and what its console complained about."""

    page: Page
    complaints: list[str]


@pytest.fixture
def open_page(browser: Browser, trainer: Trainer) -> Iterator[Callable[..., Watched]]:
    """Opens pages in a browser of their own; at the end nothing may have complained."""
    contexts: list[BrowserContext] = []
    watched: list[Watched] = []

    def open_(width: int = 1280, height: int = 900, **options: object) -> Watched:
        context = browser.new_context(
            viewport={"width": width, "height": height},
            base_url=trainer.address,
            **options,  # type: ignore[arg-type]
        )
        contexts.append(context)
        found = Watched(context.new_page(), [])
        found.page.on("pageerror", lambda error: found.complaints.append(str(error)))
        found.page.on(
            "console",
            lambda message: (
                found.complaints.append(message.text)
                if message.type in ("error", "warning")
                else None
            ),
        )
        watched.append(found)
        return found

    yield open_
    for one in watched:
        assert one.complaints == []
    for context in contexts:
        context.close()


@pytest.fixture(scope="package")
def kept(trainer: Trainer) -> Trainer:
    """The trainer, with some ended attempts of one learner in its record."""
    for conduct in CONDUCTS:
        keep(trainer.folder, rehearsed(conduct), name=conduct)
    return trainer


@cache
def all_done_rightly() -> tuple[Event, ...]:
    """The log of the first scenario with everything done rightly."""
    return rehearsed("model")


def _did(verb: Verb) -> Callable[[Event], bool]:
    return lambda event: getattr(getattr(event, "action", None), "verb", None) is verb


_running = _did(Verb.CHART)
_connected = _did(Verb.CONNECT)


def _alarmed(event: Event) -> bool:
    return isinstance(event, AlarmRaised)


@pytest.fixture
def come_when(open_page: Callable[..., Watched], trainer: Trainer) -> Callable[..., Student]:
    """A student who comes to a bedside where all was done rightly until something happened.

    The attempt is put into the record, so that no test presses its way there again.
    """

    def come(happened: Callable[[Event], bool], **options: object) -> Student:
        events = all_done_rightly()
        until = next(place for place, event in enumerate(events) if happened(event))
        until += hasattr(events[until], "action")  # what came of an act follows it
        name = f"until-{until}-{time.monotonic_ns()}"
        keep(trainer.folder, events[: until + 1], name=name)
        page = open_page(**options).page
        cookie = learner.sign(learner.load_secret(trainer.folder), IDA)
        page.context.add_cookies(
            [{"name": learner.COOKIE, "value": cookie, "url": trainer.address}]
        )
        page.goto(f"/attempts/{name}")
        expect(page.locator("html.js")).to_have_count(1)
        return Student(page)

    return come


@pytest.fixture
def at_the_ready_line(come_when: Callable[..., Student]) -> Callable[..., Student]:
    """Comes when the line is connected and nothing is entered at its pump."""
    return lambda **options: come_when(_connected, **options)


@pytest.fixture
def at_the_running_line(come_when: Callable[..., Student]) -> Callable[..., Student]:
    """Comes when the line runs and what runs is charted."""
    return lambda **options: come_when(_running, **options)


@pytest.fixture
def at_the_alarm(come_when: Callable[..., Student]) -> Callable[..., Student]:
    """Comes when the line has just alarmed."""
    return lambda **options: come_when(_alarmed, **options)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if "tests/browser/" in item.nodeid:
            item.add_marker(pytest.mark.browser)
            item.add_marker(pytest.mark.timeout(300))

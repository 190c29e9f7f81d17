"""The command from outside: it starts, says where, and ends; faults in a sentence."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import httpx
import pytest

from trainer.cli.app import COMMANDS
from trainer.cli.folders import default_folder
from trainer.cli.serve import FIRST_PORT, PORTS_TRIED, PortInUse, free_listener, refuse_in_memory
from trainer.errors import StoreUnavailable
from trainer.store.database import address_in
from trainer.store.log import Log
from trainer.store.records import ClockHeld

ROOT = Path(__file__).resolve().parents[3]
ENVIRONMENT = {
    name: value
    for name, value in os.environ.items()
    if name not in ("DATABASE_URL", "TRAINER_DATA", "TRAINER_SCENARIOS")
} | {"PYTHONPATH": str(ROOT), "NO_COLOR": "1"}


def trainer(*words: str, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "trainer", *words],
        capture_output=True,
        text=True,
        cwd=ROOT,
        env=ENVIRONMENT | environment,
        timeout=60,
    )


class Served:
    """A running trainer and the address that it told."""

    def __init__(self, data: Path) -> None:
        words = ["--no-browser", "--port", "0", "--data", str(data)]
        self.process = subprocess.Popen(
            [sys.executable, "-m", "trainer", *words],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            cwd=ROOT,
            env=ENVIRONMENT,
        )
        assert self.process.stdout is not None
        self.line = self.process.stdout.readline()
        found = re.search(r"http://127\.0\.0\.1:\d+/", self.line)
        assert found, self.process.communicate()[1]
        self.page = found[0]

    def end(self, sign: signal.Signals = signal.SIGINT) -> tuple[float, str]:
        """Seconds until it had ended, and what it said meanwhile."""
        began = time.monotonic()
        self.process.send_signal(sign)
        _, said = self.process.communicate(timeout=20)
        return time.monotonic() - began, said


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    served = Served(tmp_path / "new" / "folder")
    yield served
    if served.process.poll() is None:
        served.process.kill()
        served.process.communicate()


def test_it_makes_its_folder_says_where_it_is_and_answers(served, tmp_path):
    assert "for training only" in served.line
    with urllib.request.urlopen(served.page, timeout=10) as answer:
        assert answer.status == 200
    assert (tmp_path / "new" / "folder" / "trainer.sqlite").exists()


@pytest.mark.parametrize("sign", [signal.SIGINT, signal.SIGTERM])
def test_it_ends_quickly_and_without_a_word(served, sign):
    seconds, said = served.end(sign)
    assert said == ""
    assert seconds < 10  # on a busy machine; 0.3 s on an idle one
    assert served.process.returncode in (0, -sign)


def test_an_open_page_does_not_hold_the_end_up_and_the_ward_clock_keeps_its_place(served, tmp_path):
    with httpx.Client(base_url=served.page) as browser:
        prebrief = browser.get("/scenarios/maintenance-and-a-bent-line").text
        form = re.search(r'<form[^>]*method="post"[^>]*action="([^"]+)"', prebrief)
        assert form
        chosen = {"scenario": "maintenance-and-a-bent-line"}
        attempt = browser.post(form[1], data=chosen).headers["location"]
        with browser.stream("GET", f"{attempt}/stream") as stream:
            lines = stream.iter_lines()  # kept, or the stream would be closed with it
            next(lines)
            seconds, said = served.end()
            assert list(lines)  # the rest, ended in order
    assert said == ""  # held up, the server would tell that it cancels what still runs
    assert seconds < 10  # on a busy machine; 0.3 s on an idle one
    with closing(Log(address_in(tmp_path / "new" / "folder"))) as log:
        assert isinstance(log.read(attempt.split("/")[-1])[-1].record, ClockHeld)


def test_a_port_in_use_is_told_with_the_mend(tmp_path):
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        done = trainer("--no-browser", "--port", str(port), "--data", str(tmp_path))
    assert done.returncode == 1
    assert f"port {port} is taken" in done.stderr
    assert "--port" in done.stderr
    assert "Traceback" not in done.stderr


def test_without_a_port_the_next_free_one_is_taken():
    first = free_listener(None)
    second = free_listener(None)
    ports = [listener.getsockname()[1] for listener in (first, second)]
    assert FIRST_PORT <= ports[0] < ports[1] < FIRST_PORT + PORTS_TRIED
    first.close()
    second.close()


def test_when_all_ports_are_taken_it_says_so(monkeypatch):
    monkeypatch.setattr("trainer.cli.serve.PORTS_TRIED", 0)
    with pytest.raises(PortInUse, match="all taken"):
        free_listener(None)


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("--data", "{file}/below"), "cannot be used"),
        (("--data", "{file}"), "is a file; name a folder with --data"),
        (("attempts", "--data", "{file}"), "no record of attempts"),
        (("attempts", "--data", "{folder}"), "no record of attempts"),
        (("export", "nobody", "--data", "{folder}"), "no record of attempts"),
        (("replay", "{folder}/nothing.jsonl"), "check its name"),
        (("replay", "{folder}"), "cannot be read"),
        (("--port", "high"), "Invalid value for '--port'"),
        (("--prot", "1"), "No such option: --prot"),
        (("sreve",), "No such command 'sreve'"),
    ],
)
def test_a_fault_is_one_sentence_and_no_traceback(tmp_path, words, message):
    file, folder = tmp_path / "file", tmp_path / "folder"
    file.write_text("in the way")
    done = trainer(*(word.format(file=file, folder=folder) for word in words))
    assert done.returncode in (1, 2)
    assert message in " ".join(done.stderr.replace("│", " ").split())
    assert "Traceback" not in done.stderr + done.stdout
    assert not folder.exists()


def test_an_attempt_that_is_not_there_is_told(tmp_path):
    Log(address_in(tmp_path)).close()
    done = trainer("export", "nobody", "--data", str(tmp_path))
    assert (done.returncode, done.stdout) == (1, "")
    assert "There is no attempt nobody" in done.stderr


@pytest.mark.parametrize("address", ["sqlite://", "sqlite:///", "sqlite:///:memory:"])
def test_a_record_that_would_be_lost_at_the_end_is_refused(address):
    with pytest.raises(StoreUnavailable, match="keeps nothing when the trainer ends"):
        refuse_in_memory(address)


def test_a_database_address_that_leads_nowhere_is_told_before_anything_starts(tmp_path):
    done = trainer("--no-browser", "--data", str(tmp_path), DATABASE_URL="oracle://ward")
    assert done.returncode == 1
    assert "the database address oracle://ward cannot be used" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_damaged_database_is_told_and_left_alone(tmp_path):
    (tmp_path / "trainer.sqlite").write_text("my diary " * 1_000)
    done = trainer("--no-browser", "--data", str(tmp_path))
    assert done.returncode == 1
    assert "damaged or no database" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    ("platform", "ending"),
    [
        ("linux", ".local/share/infusion-trainer"),
        ("darwin", "Library/Application Support/infusion-trainer"),
        ("win32", "AppData/Local/infusion-trainer"),
    ],
)
def test_the_folder_follows_each_platforms_convention(monkeypatch, platform, ending):
    monkeypatch.delenv("XDG_DATA_HOME", raising=False)
    monkeypatch.delenv("LOCALAPPDATA", raising=False)
    assert default_folder(platform) == Path.home() / ending


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_no_command_but_serving_loads_the_web_or_the_database_to_start(name):
    script = (
        f"import sys; from trainer.cli.app import command_line; command_line(['{name}']); "
        "print([name for name in ('fastapi', 'sqlmodel', 'sqlalchemy', 'uvicorn', 'jinja2') "
        "if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, cwd=ROOT, env=ENVIRONMENT
    )
    assert done.stdout.strip() == "[]", done.stderr

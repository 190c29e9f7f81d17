"""An act from POST to durable fragment, against the bare stack, at one and sixteen clients.

Both servers run with the same uvicorn settings, one after the other, on the first
processor; the clients on the second. The bare stack inserts one row and renders one
fragment; the trainer advances the bedside, decides, appends the act and what it brought,
and renders every panel that changed. Rounds alternate; medians are shown.
"""

import http.client
import os
import re
import statistics
import tempfile
import uuid
from contextlib import ExitStack
from urllib.parse import urlencode

from tests.bench.load import Client, Load, load
from tests.bench.serving import free_port, serving

ROUNDS = 3
SECONDS = 3.0
ACTS_IN_AN_ATTEMPT = 120
SCENARIO = "maintenance-and-a-bent-line"
UVICORN = ["-m", "uvicorn", "--no-access-log", "--log-level", "warning"]
SEEN = re.compile(r'data-seen="(\d+)"')


def bare_client() -> Client:
    while True:
        yield "/act", "", urlencode({"verb": "look at patient", "token": uuid.uuid4().hex})


def begin(port: int) -> tuple[str, str]:
    """A new attempt: its path and its cookie."""
    connection = http.client.HTTPConnection("127.0.0.1", port)
    connection.request(
        "POST",
        "/attempts",
        urlencode({"scenario": SCENARIO, "seed": "0"}),
        {"Content-Type": "application/x-www-form-urlencoded"},
    )
    answer = connection.getresponse()
    answer.read()
    location, cookie = answer.headers["location"], answer.headers["set-cookie"].split(";")[0]
    connection.close()
    return location, cookie


def learner(port: int) -> Client:
    """Looks after the patient as the page would, attempt after attempt of ordinary length."""
    while True:
        path, cookie = begin(port)
        headers, seen = f"Cookie: {cookie}\r\nHX-Request: true\r\n", "0"
        for _ in range(ACTS_IN_AN_ATTEMPT):
            form = {"verb": "look at patient", "token": uuid.uuid4().hex, "seen": seen}
            answer = yield f"{path}/acts", headers, urlencode(form)
            assert "look" in answer.lower()
            seen = SEEN.findall(answer)[0]


def main() -> None:
    print("An act from POST to durable fragment")
    runs: dict[tuple[str, int], list[Load]] = {}
    with tempfile.TemporaryDirectory() as folder, ExitStack() as stack:
        bare, ours = free_port(), free_port()
        stack.enter_context(
            serving(
                [*UVICORN, "--port", str(bare), "tests.bench.bare_app:app"],
                bare,
                BARE_FOLDER=folder,
            )
        )
        stack.enter_context(
            serving(["-m", "trainer", "--no-browser", "--port", str(ours), "--data", folder], ours)
        )
        if hasattr(os, "sched_setaffinity") and (os.cpu_count() or 1) > 1:
            os.sched_setaffinity(0, {1})
        for _ in range(ROUNDS):
            for clients in (1, 16):
                bare_clients = [bare_client() for _ in range(clients)]
                learners = [learner(ours) for _ in range(clients)]
                runs.setdefault(("bare", clients), []).append(
                    load(bare, bare_clients, seconds=SECONDS)
                )
                runs.setdefault(("trainer", clients), []).append(
                    load(ours, learners, seconds=SECONDS)
                )
    for (name, clients), several in runs.items():
        per_s = statistics.median(one.per_second for one in several)
        p50 = statistics.median(one.p50_ms for one in several)
        p99 = statistics.median(one.p99_ms for one in several)
        print(
            f"  {name:<8} {clients:>2} clients {per_s:>8.0f} acts/s   "
            f"p50 {p50:>6.2f} ms   p99 {p99:>7.2f} ms"
        )
    for clients, aim in ((1, "1"), (16, "2")):
        ratios = [
            mine.per_second / other.per_second
            for mine, other in zip(runs["trainer", clients], runs["bare", clients], strict=True)
        ]
        print(
            f"  throughput against the bare stack, {clients:>2} clients "
            f"{statistics.median(ratios):>8.2f} x   aim: {aim}"
        )

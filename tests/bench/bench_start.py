"""From the command to the first page, against importing the three frameworks.

Both with compiled bytecode, as an installed wheel has it: it is written to a folder of this
run by the round that does not count, even where the environment forbids writing it.
"""

import os
import statistics
import subprocess
import sys
import tempfile
import time

from tests.bench.serving import answers, free_port
from tests.bench.timing import show, show_ratio

TIMES = 7
FRAMEWORKS = "import fastapi, sqlmodel, jinja2"


def environment(bytecode: str) -> dict[str, str]:
    kept = {name: text for name, text in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return {**kept, "PYTHONPYCACHEPREFIX": bytecode}


def seconds_to_first_page(environment: dict[str, str]) -> float:
    """Process start until the list of scenarios has been answered."""
    with tempfile.TemporaryDirectory() as folder:
        port = free_port()
        began = time.perf_counter()
        server = subprocess.Popen(
            [
                sys.executable,
                "-m",
                "trainer",
                "--no-browser",
                "--port",
                str(port),
                "--data",
                folder,
            ],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            env=environment,
        )
        while not answers(port):
            assert time.perf_counter() - began < 30
            time.sleep(0.005)
        took = time.perf_counter() - began
        server.terminate()
        server.wait(timeout=20)
    return took


def seconds_to_import(environment: dict[str, str]) -> float:
    began = time.perf_counter()
    subprocess.run([sys.executable, "-c", FRAMEWORKS], check=True, env=environment)
    return time.perf_counter() - began


def main() -> None:
    print("From the command to the first page")
    with tempfile.TemporaryDirectory() as bytecode:
        where = environment(bytecode)
        pages = [
            (seconds_to_first_page(where), seconds_to_import(where)) for _ in range(TIMES + 1)
        ][1:]
    show("to the first page", statistics.median(page for page, _ in pages))
    show(FRAMEWORKS, statistics.median(imported for _, imported in pages))
    ratio = statistics.median(page / imported for page, imported in pages)
    show_ratio("times as long as the import", ratio, "1.5")

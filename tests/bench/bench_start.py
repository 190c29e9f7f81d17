"""From the command to the first page, against importing the three frameworks."""

import statistics
import subprocess
import sys
import tempfile
import time

from tests.bench.serving import answers, free_port
from tests.bench.timing import show, show_ratio

TIMES = 7
FRAMEWORKS = "import fastapi, sqlmodel, jinja2"


def seconds_to_first_page() -> float:
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
        )
        while not answers(port):
            assert time.perf_counter() - began < 30
            time.sleep(0.005)
        took = time.perf_counter() - began
        server.terminate()
        server.wait(timeout=20)
    return took


def seconds_to_import() -> float:
    began = time.perf_counter()
    subprocess.run([sys.executable, "-c", FRAMEWORKS], check=True)
    return time.perf_counter() - began


def main() -> None:
    print("From the command to the first page")
    seconds_to_first_page(), seconds_to_import()
    pages = [(seconds_to_first_page(), seconds_to_import()) for _ in range(TIMES)]
    show("to the first page", statistics.median(page for page, _ in pages))
    show(FRAMEWORKS, statistics.median(imported for _, imported in pages))
    ratio = statistics.median(page / imported for page, imported in pages)
    show_ratio("times as long as the import", ratio, "1.5")

"""Start a server in a process of its own, on a free port, and end it again."""

import http.client
import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def answers(port: int, path: str = "/") -> bool:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=5)
    try:
        connection.request("GET", path)
        return connection.getresponse().status < 500
    except OSError:
        return False
    finally:
        connection.close()


def pinned(processor: int, command: list[str]) -> list[str]:
    """The command kept to one processor, where the system can do that."""
    has_two = (os.cpu_count() or 1) > 1 and os.path.exists("/usr/bin/taskset")
    return ["taskset", "-c", str(processor), *command] if has_two else command


@contextmanager
def serving(command: list[str], port: int, **environment: str) -> Iterator[None]:
    """A server that is up while the block runs, on the first processor."""
    server = subprocess.Popen(
        pinned(0, [sys.executable, *command]),
        env={**os.environ, **environment},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        until = time.monotonic() + 30
        while not answers(port):
            assert server.poll() is None, "the server ended"
            assert time.monotonic() < until, "the server did not answer"
            time.sleep(0.02)
        yield
    finally:
        server.terminate()
        server.wait(timeout=20)

"""A small closed-loop load: so many keep-alive clients post forms over plain sockets."""

import asyncio
import statistics
import time
from collections.abc import Generator
from dataclasses import dataclass

Client = Generator[tuple[str, str, str], str, None]
"""Yields path, header lines and form body of its next post; is sent the answer's body."""


@dataclass(frozen=True)
class Load:
    """What one run gave: requests per second and the latencies' percentiles in ms."""

    per_second: float
    p50_ms: float
    p95_ms: float
    p99_ms: float


async def _post(
    reader: asyncio.StreamReader, writer: asyncio.StreamWriter, path: str, headers: str, body: str
) -> tuple[int, str]:
    writer.write(
        f"POST {path} HTTP/1.1\r\nHost: 127.0.0.1\r\n{headers}"
        "Content-Type: application/x-www-form-urlencoded\r\n"
        f"Content-Length: {len(body)}\r\n\r\n{body}".encode()
    )
    head = (await reader.readuntil(b"\r\n\r\n")).decode()
    status = int(head.split(" ", 2)[1])
    fields = dict(line.lower().split(": ", 1) for line in head.split("\r\n")[1:] if ": " in line)
    content = await reader.readexactly(int(fields.get("content-length", "0")))
    return status, content.decode()


async def _client(port: int, until: float, client: Client, took: list[float]) -> None:
    reader, writer = await asyncio.open_connection("127.0.0.1", port)
    path, headers, body = next(client)
    while time.perf_counter() < until:
        began = time.perf_counter()
        status, answer = await _post(reader, writer, path, headers, body)
        took.append(time.perf_counter() - began)
        assert status == 200, status
        path, headers, body = client.send(answer)
    writer.close()


async def _run(port: int, clients: list[Client], seconds: float) -> Load:
    took: list[float] = []
    until = time.perf_counter() + seconds
    await asyncio.gather(*(_client(port, until, client, took) for client in clients))
    cuts = statistics.quantiles(took, n=100)
    return Load(len(took) / seconds, cuts[49] * 1000, cuts[94] * 1000, cuts[98] * 1000)


def load(port: int, clients: list[Client], *, seconds: float) -> Load:
    """All clients at once for so many seconds, each posting again when it has its answer."""
    return asyncio.run(_run(port, clients, seconds))

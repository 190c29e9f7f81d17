"""A small closed-loop load: so many keep-alive clients post forms over plain sockets."""

import asyncio
import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Load:
    """What one run gave: requests per second and the latencies' percentiles in ms."""

    per_second: float
    p50_ms: float
    p95_ms: float
    p99_ms: float


async def _post(
    reader: asyncio.StreamReader, writer: asyncio.StreamWriter, path: str, headers: str, body: str
) -> int:
    writer.write(
        f"POST {path} HTTP/1.1\r\nHost: 127.0.0.1\r\n{headers}"
        "Content-Type: application/x-www-form-urlencoded\r\n"
        f"Content-Length: {len(body)}\r\n\r\n{body}".encode()
    )
    head = (await reader.readuntil(b"\r\n\r\n")).decode()
    status = int(head.split(" ", 2)[1])
    fields = dict(line.lower().split(": ", 1) for line in head.split("\r\n")[1:] if ": " in line)
    if fields.get("transfer-encoding") == "chunked":
        while (size := int(await reader.readline(), 16)) > 0:
            await reader.readexactly(size + 2)
        await reader.readline()
    else:
        await reader.readexactly(int(fields.get("content-length", "0")))
    return status


async def _client(
    port: int, until: float, make: Callable[[], tuple[str, str, str]], took: list[float]
) -> None:
    reader, writer = await asyncio.open_connection("127.0.0.1", port)
    while time.perf_counter() < until:
        path, headers, body = make()
        began = time.perf_counter()
        status = await _post(reader, writer, path, headers, body)
        took.append(time.perf_counter() - began)
        assert status == 200, status
    writer.close()


async def _run(
    port: int, makers: list[Callable[[], tuple[str, str, str]]], seconds: float
) -> Load:
    took: list[float] = []
    until = time.perf_counter() + seconds
    await asyncio.gather(*(_client(port, until, make, took) for make in makers))
    cuts = statistics.quantiles(took, n=100)
    return Load(len(took) / seconds, cuts[49] * 1000, cuts[94] * 1000, cuts[98] * 1000)


def load(port: int, makers: list[Callable[[], tuple[str, str, str]]], *, seconds: float) -> Load:
    """Every maker is one client; it gives path, header lines and form body of its next post."""
    return asyncio.run(_run(port, makers, seconds))

"""Loads a server over kept connections, and says how many requests it answered and how long each took.

A program of its own, so that it shares no interpreter with what it measures. It reads a JSON object from standard
input: port, requests (each its whole text), seconds (null: until each was sent once), connections, and rate (requests
a second; null: as many as the server answers). Latency is from when a request was due, so that a late answer counts
for all who waited behind it.
"""

import asyncio
import itertools
import json
import re
import sys
import time
from collections.abc import Iterator

import uvloop

LENGTH = re.compile(rb"\r\ncontent-length: (\d+)\r\n", re.IGNORECASE)


async def exchange(reader: asyncio.StreamReader, writer: asyncio.StreamWriter, request: bytes) -> None:
    """One request and its whole answer. Raises SystemExit for another status than 200."""
    writer.write(request)
    head = await reader.readuntil(b"\r\n\r\n")
    length = LENGTH.search(head)
    assert length, head
    body = await reader.readexactly(int(length[1]))
    if not head.startswith(b"HTTP/1.1 200 "):
        raise SystemExit(f"{head.decode()}{body.decode()[:500]}")


def due(start: float, end: float, rate: float | None) -> Iterator[float | None]:
    """When each request is due; None for at once."""
    if rate is None:
        while time.perf_counter() < end:
            yield None
    else:
        yield from itertools.takewhile(lambda at: at < end, (start + i / rate for i in itertools.count()))


async def connection(
    port: int, times: Iterator[float | None], requests: Iterator[bytes], took: list[float]
) -> None:
    """Take the next time and the next request, until there are none."""
    reader, writer = await asyncio.open_connection("127.0.0.1", port, limit=2**20)
    for at in times:
        now = time.perf_counter()
        if at is not None and at > now:
            await asyncio.sleep(at - now)
        begun = now if at is None else at
        await exchange(reader, writer, next(requests))
        took.append(time.perf_counter() - begun)
    writer.close()


async def load(told: dict[str, object]) -> dict[str, object]:
    """Seconds from the first request to the last answer, and of each request."""
    sent = [text.encode() for text in told["requests"]]  # type: ignore[attr-defined]
    requests, took = itertools.cycle(sent), list[float]()
    start, seconds = time.perf_counter(), told["seconds"]
    once = itertools.repeat(None, len(sent))
    times = once if seconds is None else due(start, start + float(seconds), told["rate"])  # type: ignore[arg-type]
    port, connections = int(told["port"]), int(told["connections"])  # type: ignore[call-overload]
    await asyncio.gather(*(connection(port, times, requests, took) for _ in range(connections)))
    return {"seconds": time.perf_counter() - start, "took": took}


if __name__ == "__main__":
    found = uvloop.run(load(json.load(sys.stdin)))
    # where output is not buffered, print writes only as much as a pipe takes at once
    with open(sys.stdout.fileno(), "w", closefd=False) as whole:
        json.dump(found, whole)

"""What HTTP costs, as ratios in one run: a kept check beside a bare POST of the same size; then computed checks; then
many builds in one request beside as many requests.

Run it on a quiet machine: python tests/bench/bench_http.py [--seconds 5] [--connections 8] [--rounds 3] [--builds 500].
Also told: milliseconds at half load, time to start, memory of a worker.
"""

import argparse
import itertools
import json
import os
import re
import signal
import socket
import statistics
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from http.client import HTTPConnection
from pathlib import Path
from typing import NamedTuple
from urllib.request import urlopen

import msgspec
from litestar import Litestar, Request, Response, post

from upfeed.answering.buildfile import read_build
from upfeed.answering.check import SAMPLES, check
from upfeed.answering.library import open_library
from upfeed.answering.wire import encode
from upfeed.web.examples import example_builds
from upfeed.web.settings import Settings

HERE = Path(__file__).parent
BUILD = "one-odd-lifter"
SIZE = "BENCH_RESPONSE_SIZE"
UNLIKE = 4000
"""Builds under names of their own, none of which was answered before; more than are asked for in any run."""

SERVE = """
import sys, msgspec
from upfeed.web.serve import serve
from upfeed.web.settings import Settings
if __name__ == "__main__":
    serve(msgspec.json.decode(sys.argv[1], type=Settings))
"""
BARE = """
import sys, uvicorn
if __name__ == "__main__":
    uvicorn.run("bench_http:bare", factory=True, app_dir=sys.argv[1], port=int(sys.argv[2]), workers=int(sys.argv[3]),
                access_log=False, log_level="warning")
"""


def bare() -> Litestar:
    """Take a body, look at nothing, and send as many bytes as a check does."""
    content = b" " * int(os.environ[SIZE])

    @post("/v1/checks", status_code=200)
    async def answer(request: Request) -> Response[bytes]:  # type: ignore[type-arg]
        await request.body()
        return Response(content, media_type="application/json")

    return Litestar([answer], openapi_config=None, logging_config=None)


class Running(NamedTuple):
    """A server in processes of its own: its port, its first process, and how long it took to take a connection."""

    port: int
    process: int
    started_in: float


@contextmanager
def running(kind: str, workers: int, size: int) -> Iterator[Running]:
    """A server, until the context ends."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    settings = msgspec.json.encode(Settings(port=port, workers=workers)).decode()
    command = [BARE, str(HERE), str(port), str(workers)] if kind == "bare" else [SERVE, settings]
    start = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, "-c", *command],
        env=os.environ | {SIZE: str(size)},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        until_all_answer(kind, port, process.pid, workers)
        yield Running(port, process.pid, time.perf_counter() - start)
    finally:
        process.send_signal(signal.SIGINT)
        process.wait(60)


def until_all_answer(kind: str, port: int, process: int, workers: int) -> None:
    """Wait for an answer, and then for the other workers. Raises SystemExit after a minute and a half."""
    path = "/v1/checks" if kind == "bare" else "/health"
    end = time.perf_counter() + 90
    while time.perf_counter() < end:
        try:
            urlopen(f"http://127.0.0.1:{port}{path}", timeout=30).close()
        except OSError as error:
            if getattr(error, "code", None) == 405:  # it is there and takes only POST
                break
            time.sleep(0.02)
        else:
            break
    else:
        raise SystemExit("a server did not start")
    if workers > 1:
        time.sleep(5)  # the first to answer is not the last to start


def load(
    port: int, requests: list[bytes], seconds: float | None, connections: int, rate: float | None = None
) -> list[float]:
    """Requests a second, then seconds of each request in order; without seconds, each request once."""
    told = {
        "port": port,
        "requests": [request.decode() for request in requests],
        "seconds": seconds,
        "connections": connections,
        "rate": rate,
    }
    ran = subprocess.run(
        [sys.executable, str(HERE / "http_load.py")],
        input=json.dumps(told),
        check=True,
        capture_output=True,
        text=True,
    )
    found = json.loads(ran.stdout)
    return [len(found["took"]) / found["seconds"], *sorted(found["took"])]


def posted(build: object, query: str = "") -> bytes:
    """A request as a client sends it."""
    body = json.dumps(build).encode()
    head = (
        f"POST /v1/checks{query} HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\n"
        f"Content-Length: {len(body)}\r\n\r\n"
    )
    return head.encode() + body


def renamed(build: dict[str, object], count: int) -> list[dict[str, object]]:
    """Builds that differ in their names alone, each with an answer of its own."""
    begun = time.time_ns()
    return [{**build, "name": f"build {begun + i}"} for i in range(count)]


def unlike(build: dict[str, object], query: str) -> list[bytes]:
    """Requests for builds none of which was answered before."""
    return [posted(one, query) for one in renamed(build, UNLIKE)]


def pss(process: int) -> float:
    """Megabytes that a process has to itself; what is shared counts in parts (proportional set size)."""
    rolled = Path(f"/proc/{process}/smaps_rollup").read_text()
    (size,) = re.findall(r"^Pss: +(\d+) kB", rolled, re.MULTILINE)
    return int(size) / 1024


def percentiles(took: list[float]) -> str:
    """The middle, the 95th and the 99th of a hundred, in milliseconds."""
    shown = (
        f"p{share} {took[min(len(took) - 1, len(took) * share // 100)] * 1e3:.1f} ms"
        for share in (50, 95, 99)
    )
    return ", ".join(shown)


def check_alone(rounds: int) -> tuple[float, int]:
    """Seconds that reading, checking and encoding take in this process, and the size of the answer."""
    library = open_library()
    path = str(HERE.parents[1] / "shared" / "builds" / f"{BUILD}.yaml")
    size, taken = len(encode(check(read_build(path, library), library, samples=SAMPLES))), []
    for _ in range(3 * rounds):
        start = time.perf_counter()
        encode(check(read_build(path, library), library))
        taken.append(time.perf_counter() - start)
    return statistics.median(taken), size


def kept_beside_bare(asked: argparse.Namespace, size: int, workers: int) -> None:
    """Requests a second for an answer that was computed before, and for as many bytes from the bare framework.

    Both stand ready and are asked in turns. The ratio of processor time of the servers, too, which holds where others
    use the machine.
    """
    request = posted(example_builds([BUILD])[BUILD])
    rates: dict[str, list[float]] = {"bare": [], "kept": []}
    costs: dict[str, list[float]] = {"bare": [], "kept": []}
    with running("bare", workers, size) as plain, running("kept", workers, size) as full:
        servers = {"bare": plain, "kept": full}
        for server in servers.values():
            warm(server.port, request, asked.connections)
        for kind, server in asked.rounds * [*servers.items()]:
            before = processor_time(server.process)
            rate, *took = load(server.port, [request], asked.seconds, asked.connections)
            rates[kind].append(rate)
            costs[kind].append((processor_time(server.process) - before) / len(took))
    middle = {kind: statistics.median(found) for kind, found in rates.items()}
    cost = {kind: statistics.median(found) * 1e6 for kind, found in costs.items()}
    print(
        f"{workers} worker(s): bare POST {middle['bare']:.0f}/s, kept check {middle['kept']:.0f}/s,"
        f" ratio {middle['kept'] / middle['bare']:.2f}; by processor time {cost['bare']:.0f} and {cost['kept']:.0f} us,"
        f" ratio {cost['bare'] / cost['kept']:.2f}"
    )


def answering(process: int) -> list[int]:
    """The processes that answer: this one, or the large ones that it started."""
    children = map(int, Path(f"/proc/{process}/task/{process}/children").read_text().split())
    # the resource tracker of multiprocessing is a child too, and small
    return [child for child in children if pss(child) > 30] or [process]


def processor_time(process: int) -> float:
    """Seconds that the processes which answer have used, in the system too."""
    stats = (
        Path(f"/proc/{child}/stat").read_text().rpartition(")")[2].split() for child in answering(process)
    )
    return sum(int(stat[11]) + int(stat[12]) for stat in stats) / os.sysconf("SC_CLK_TCK")


def warm(port: int, request: bytes, connections: int) -> None:
    """Ask until every worker has computed the answer: no request of a round takes as long as that."""
    for _ in range(10):
        _, *took = load(port, [request], 1, 2 * connections)
        if took[-1] < 0.2:
            return
    raise SystemExit("the answer is computed again and again")


def computed(asked: argparse.Namespace, alone: float) -> None:
    """Checks a second that are computed, on two workers; how long they take at half that rate; start and memory."""
    build = example_builds([BUILD])[BUILD]
    with running("check", 2, 0) as server:
        print(
            f"2 workers take requests {server.started_in:.1f} s after the start (5 s of it waiting for both)"
        )
        for query in ("?samples=0", ""):
            rate = load(server.port, unlike(build, query), asked.seconds, 4)[0]
            share = f"; {rate * alone / 2:.0%} of what two processes would do without HTTP" if query else ""
            print(f"computed, {query or f'{SAMPLES} draws'}: {rate:.2f}/s on 2 workers{share}")
            _, *took = load(server.port, unlike(build, query), 2 * asked.seconds, 16, rate / 2)
            print(f"  at half that: {percentiles(took)} ({len(took)} requests)")
        print(
            "memory of a worker: "
            + ", ".join(f"{size:.0f} MB" for size in map(pss, answering(server.process)))
        )


class Spent(NamedTuple):
    """Seconds by the clock and of the processors, how often was asked, bytes that came."""

    seconds: float
    processor: float
    asked: int
    size: int


def in_one_request(server: Running, connection: HTTPConnection, builds: list[dict[str, object]]) -> Spent:
    """Ask for all builds, again and again until all are there."""
    body = json.dumps({"builds": builds})
    start, before = time.perf_counter(), processor_time(server.process)
    for asked in itertools.count(1):
        connection.request("POST", "/v1/checks/many", body, {"Content-Type": "application/json"})
        reply = connection.getresponse()
        content, later = reply.read(), reply.headers["Retry-After"]
        if not later:
            took = time.perf_counter() - start, processor_time(server.process) - before
            return Spent(*took, asked, len(content))
        time.sleep(int(later))
    raise AssertionError


def one_by_one(server: Running, builds: list[dict[str, object]], connections: int) -> Spent:
    """Ask for each build once."""
    requests = [posted(build, "?samples=0") for build in builds]
    before = processor_time(server.process)
    rate, *took = load(server.port, requests, None, connections)
    return Spent(len(took) / rate, processor_time(server.process) - before, len(took), 0)


def many_beside_single(asked: argparse.Namespace) -> None:
    """Builds in one request beside as many requests, without draws, on two workers; then both again, kept.

    One request is answered by one worker, one build after the other; a connection stays with its worker.
    """
    build = example_builds([BUILD])[BUILD]
    with running("check", 2, 0) as server:
        ones, others = renamed(build, asked.builds), renamed(build, asked.builds)
        connection = HTTPConnection("127.0.0.1", server.port)
        many = in_one_request(server, connection, ones)
        kept = in_one_request(server, connection, ones)
        single = one_by_one(server, others, asked.connections)
        each = single
        while each.processor > 0.01 * single.processor:  # each worker keeps answers of its own
            each = one_by_one(server, others, asked.connections)
    print(
        f"{asked.builds} builds, 2 workers: in one request {many.seconds:.1f} s (asked {many.asked} times,"
        f" {many.size / 1e6:.0f} MB), one by one on {asked.connections} connections {single.seconds:.1f} s,"
        f" ratio {many.seconds / single.seconds:.2f}; by processor time {many.processor:.1f} and"
        f" {single.processor:.1f} s, ratio {many.processor / single.processor:.2f}"
    )
    print(
        f"  kept: {kept.seconds:.2f} and {each.seconds:.2f} s, ratio {kept.seconds / each.seconds:.2f};"
        f" by processor time {kept.processor:.2f} and {each.processor:.2f} s"
    )


def main() -> None:
    """Print all figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=5)
    parser.add_argument("--connections", type=int, default=8)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--builds", type=int, default=500)
    asked = parser.parse_args()
    alone, size = check_alone(asked.rounds)
    print(f"{asked.connections} connections, median of {asked.rounds} x {asked.seconds:g} s, {size} bytes")
    print(f"a check alone, without draws: {alone * 1e3:.1f} ms, so {1 / alone:.1f} a second on one core")
    for workers in (1, 2):
        kept_beside_bare(asked, size, workers)
    computed(asked, alone)
    many_beside_single(asked)


if __name__ == "__main__":
    main()

"""How much of a check's time is HTTP: a check beside a bare POST of the same size, in one run, as ratios.

Run it on a quiet machine: python tests/bench/bench_http.py [--seconds 5] [--connections 8] [--rounds 3].
Uses wrk or oha where one is installed, else a loop of httpx clients in this process.
"""

import argparse
import asyncio
import json
import os
import shutil
import signal
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx
from litestar import Litestar, Request, Response, post

from upfeed.answering.buildfile import read_build
from upfeed.answering.check import check
from upfeed.answering.library import open_library
from upfeed.answering.wire import encode
from upfeed.web.examples import example_builds

BUILD = "one-odd-lifter"
SIZE = "BENCH_RESPONSE_SIZE"
QUIET = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
JSON = {"Content-Type": "application/json"}


def bare() -> Litestar:
    """Take a body, look at nothing, and send as many bytes as a check does."""
    content = b" " * int(os.environ[SIZE])

    @post("/v1/checks", status_code=200)
    async def answer(request: Request) -> Response[bytes]:  # type: ignore[type-arg]
        await request.body()
        return Response(content, media_type="application/json")

    return Litestar([answer], openapi_config=None, logging_config=None)


@contextmanager
def running(kind: str, workers: int, size: int) -> Iterator[str]:
    """A server in processes of its own, and the address to load."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    if kind == "bare":
        asked = f"'bench_http:bare', factory=True, app_dir={str(Path(__file__).parent)!r}, port={port}"
        program = f"import uvicorn; uvicorn.run({asked}, workers={workers}, log_level='warning')"
    else:
        program = f"from upfeed.web.serve import serve; serve(port={port}, workers={workers})"
    environment = os.environ | {SIZE: str(size)}
    process = subprocess.Popen([sys.executable, "-c", program], env=environment, **QUIET)
    try:
        until_it_answers(port)
        yield f"http://127.0.0.1:{port}/v1/checks"
    finally:
        process.send_signal(signal.SIGINT)
        process.wait(30)


def until_it_answers(port: int) -> None:
    """Wait for the port to open, and a moment for the other workers."""
    for _ in range(400):
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1).close()
        except OSError:
            time.sleep(0.05)
        else:
            time.sleep(1.0)
            return
    raise SystemExit("a server did not start")


def load(address: str, body: bytes, seconds: int, connections: int) -> float:
    """Requests a second."""
    if shutil.which("wrk"):
        return load_with_wrk(address, body, seconds, connections)
    if shutil.which("oha"):
        return load_with_oha(address, body, seconds, connections)
    return asyncio.run(load_with_httpx(address, body, seconds, connections))


def load_with_wrk(address: str, body: bytes, seconds: int, connections: int) -> float:
    """One thread of wrk, the body in a script."""
    with tempfile.NamedTemporaryFile("w", suffix=".lua") as script:
        told = json.dumps(body.decode())
        script.write(
            f'wrk.method = "POST"\nwrk.body = {told}\nwrk.headers["Content-Type"] = "application/json"\n'
        )
        script.flush()
        command = ["wrk", "-t1", f"-c{connections}", f"-d{seconds}s", "-s", script.name, address]
        told = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    if "Non-2xx" in told:
        raise SystemExit(told)
    return float(told.partition("Requests/sec:")[2].split()[0])


def load_with_oha(address: str, body: bytes, seconds: int, connections: int) -> float:
    """Oha, its figures as JSON."""
    command = ["oha", "--no-tui", "--output-format", "json", "-m", "POST", "-T", "application/json"]
    command += ["-d", body.decode(), "-z", f"{seconds}s", "-c", str(connections), address]
    told = json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
    if set(told["statusCodeDistribution"]) != {"200"}:
        raise SystemExit(str(told["statusCodeDistribution"]))
    return float(told["summary"]["requestsPerSec"])


async def load_with_httpx(address: str, body: bytes, seconds: int, connections: int) -> float:
    """As many clients as connections, each sending again as soon as it has its answer."""
    end = time.perf_counter() + seconds

    async def client() -> int:
        count = 0
        async with httpx.AsyncClient(timeout=60) as session:
            while time.perf_counter() < end:
                (await session.post(address, content=body, headers=JSON)).raise_for_status()
                count += 1
        return count

    start = time.perf_counter()
    counts = await asyncio.gather(*(client() for _ in range(connections)))
    return sum(counts) / (time.perf_counter() - start)


def check_alone(rounds: int) -> tuple[float, int]:
    """Seconds that reading, checking and encoding take in this process, and the size of the answer."""
    library = open_library()
    path = str(Path(__file__).parents[2] / "shared" / "builds" / f"{BUILD}.yaml")
    size, taken = len(encode(check(read_build(path, library), library))), []
    for _ in range(10 * rounds):
        start = time.perf_counter()
        encode(check(read_build(path, library), library))
        taken.append(time.perf_counter() - start)
    return statistics.median(taken), size


def main() -> None:
    """Print requests a second of both, and how they compare."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=int, default=5)
    parser.add_argument("--connections", type=int, default=8)
    parser.add_argument("--rounds", type=int, default=3)
    asked = parser.parse_args()
    body = json.dumps(example_builds([BUILD])[BUILD]).encode()
    alone, size = check_alone(asked.rounds)
    tool = next((name for name in ("wrk", "oha") if shutil.which(name)), "httpx in this process")
    print(
        f"{tool}, {asked.connections} connections, median of {asked.rounds} x {asked.seconds} s, {size} bytes"
    )
    print(f"a check alone: {alone * 1e3:.1f} ms, so {1 / alone:.1f} a second on one core")
    for workers in (1, 2):
        rates: dict[str, list[float]] = {"bare": [], "check": []}
        for _ in range(asked.rounds):
            for kind, found in rates.items():
                with running(kind, workers, size) as address:
                    found.append(load(address, body, asked.seconds, asked.connections))
        middle = {kind: statistics.median(found) for kind, found in rates.items()}
        share = middle["check"] * alone / workers
        print(
            f"{workers} worker(s): bare POST {middle['bare']:.0f}/s, check {middle['check']:.1f}/s,"
            f" ratio {middle['check'] / middle['bare']:.4f}; {share:.0%} of what the check alone would allow"
        )


if __name__ == "__main__":
    main()

"""The service as a process of its own, on the loopback address."""

import json
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from http.client import HTTPConnection
from pathlib import Path
from typing import Any

import pytest
from web_asking import BUILDS, FRIEND, LIBRARY

from upfeed.answering.buildfile import read_build
from upfeed.answering.check import SAMPLES, check
from upfeed.answering.wire import encode
from upfeed.reading.faults import DataFaults
from upfeed.web.examples import example_builds
from upfeed.web.serve import serve

PATIENCE = 60  # seconds


@contextmanager
def serving(**told: Any) -> Iterator[int]:
    """A process that serves, and its port."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    program = f"from upfeed.web.serve import serve\nserve(port={port}, **{told!r})"
    process = subprocess.Popen(
        [sys.executable, "-c", program], stderr=subprocess.PIPE, start_new_session=True
    )
    try:
        wait_for(port, process)
        yield port
    finally:
        os.kill(process.pid, signal.SIGINT)
        process.communicate(timeout=PATIENCE)


def wait_for(port: int, process: subprocess.Popen[bytes]) -> None:
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end and process.poll() is None:
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1).close()
        except OSError:
            time.sleep(0.05)
        else:
            return
    raise AssertionError("it does not answer")


def ask(
    port: int, method: str, path: str, body: bytes | None = None, **headers: str
) -> tuple[int, Any, bytes]:
    connection = HTTPConnection("127.0.0.1", port, timeout=PATIENCE)
    try:
        connection.request(method, path, body, headers)
        reply = connection.getresponse()
        return reply.status, reply.headers, reply.read()
    finally:
        connection.close()


@pytest.mark.parametrize("workers", [1, 2])
def test_a_process_answers_as_the_command_line_does(workers: int) -> None:
    path = BUILDS[0]
    body = json.dumps(example_builds([path.stem])[path.stem]).encode()
    with serving(workers=workers, origins=[FRIEND]) as port:
        status, headers, answer = ask(
            port, "POST", "/v1/checks", body, **{"Content-Type": "application/json"}
        )
        assert (status, answer) == (
            200,
            encode(check(read_build(str(path), LIBRARY), LIBRARY, samples=SAMPLES)),
        )
        status, headers, nothing = ask(port, "HEAD", "/v1/parts", Origin=FRIEND)
        assert (status, nothing) == (200, b"")
        assert int(headers["content-length"]) > 100
        assert headers["access-control-allow-origin"] == FRIEND
        assert "server" not in headers
        tag = headers["etag"]
        assert ask(port, "GET", "/v1/parts", **{"If-None-Match": tag})[0] == 304
        status, headers, _ = ask(port, "GET", "/v1/parts?number=%FF")
        assert (status, headers["content-type"]) == (400, "application/problem+json")


def test_bad_knowledge_is_told_before_anything_is_served(tmp_path: Path) -> None:
    (tmp_path / "wrong.yaml").write_text("format: 1\nprats: []\n")
    with pytest.raises(DataFaults):
        serve(kb=[tmp_path])


def test_a_bad_origin_is_told_before_anything_is_served() -> None:
    with pytest.raises(ValueError, match="expected scheme and host"):
        serve(origins=["*"])


def test_an_address_that_is_taken() -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken, pytest.raises(OSError, match="can't serve on"):
        serve(port=taken.getsockname()[1])

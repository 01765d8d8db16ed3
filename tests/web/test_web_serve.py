"""The service as processes of its own, on the loopback address."""

import json
import os
import re
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator
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
from upfeed.web.settings import Settings

PATIENCE = 90  # seconds
SENT_AS = {"Content-Type": "application/json"}
REFERENCE = json.dumps(example_builds()["reference"]).encode()
PROGRAM = """
import sys, msgspec
from upfeed.web.serve import serve
from upfeed.web.settings import Settings
if __name__ == "__main__":
    serve(msgspec.json.decode(sys.argv[1], type=Settings))
"""


class Served:
    """A process that serves, its port and its log."""

    def __init__(self, settings: dict[str, Any], log: Path) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        told = json.dumps({"port": self.port, **settings})
        self.log = log
        with log.open("wb") as errors:
            self.process = subprocess.Popen(
                [sys.executable, "-c", PROGRAM, told], stderr=errors, start_new_session=True
            )

    def ask(
        self, method: str, path: str, body: bytes | None = None, **headers: str
    ) -> tuple[int, Any, bytes]:
        connection = HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE)
        try:
            connection.request(method, path, body, headers)
            reply = connection.getresponse()
            return reply.status, reply.headers, reply.read()
        finally:
            connection.close()

    def told(self, path: str) -> Any:
        return json.loads(self.ask("GET", path)[2])

    def check(self, query: str = "?samples=0") -> tuple[int, Any, bytes]:
        return self.ask("POST", f"/v1/checks{query}", REFERENCE, **SENT_AS)

    def until(self, is_so: Callable[[], bool]) -> None:
        """Wait for something that takes its time; it may fail to answer meanwhile."""
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end and self.process.poll() is None:
            try:
                if is_so():
                    return
            except OSError:
                pass
            time.sleep(0.05)
        raise AssertionError(f"it never came to that\n{self.log.read_text()}")

    def lines(self) -> list[dict[str, Any]]:
        return [json.loads(line) for line in self.log.read_text().splitlines()]

    def requests(self) -> list[dict[str, Any]]:
        return [line for line in self.lines() if line["logger"] == "upfeed.access"]


@contextmanager
def serving(**settings: Any) -> Iterator[Served]:
    with tempfile.TemporaryDirectory() as folder:
        served = Served(settings, Path(folder) / "log")
        try:
            served.until(lambda: served.ask("GET", "/health")[0] == 200)
            yield served
        finally:
            if served.process.poll() is None:
                os.kill(served.process.pid, signal.SIGINT)
            served.process.wait(timeout=PATIENCE)


@pytest.mark.parametrize("workers", [1, 2])
def test_a_process_answers_as_the_command_line_does(workers: int) -> None:
    path = BUILDS[0]
    body = json.dumps(example_builds([path.stem])[path.stem]).encode()
    expected = encode(check(read_build(str(path), LIBRARY), LIBRARY, samples=SAMPLES))
    with serving(workers=workers, origins=[FRIEND]) as served:
        for _ in range(2 * workers):
            status, headers, answer = served.ask("POST", "/v1/checks", body, **SENT_AS)
            assert (status, answer) == (200, expected)
        status, headers, nothing = served.ask("HEAD", "/v1/parts", Origin=FRIEND)
        assert (status, nothing) == (200, b"")
        assert int(headers["content-length"]) > 100
        assert headers["access-control-allow-origin"] == FRIEND
        assert "server" not in headers
        tag = headers["etag"]
        assert served.ask("GET", "/v1/parts", **{"If-None-Match": tag})[0] == 304
        status, headers, _ = served.ask("GET", "/v1/parts?number=%FF")
        assert (status, headers["content-type"]) == (400, "application/problem+json")
        assert served.ask("GET", "/health", Host="other.example")[0] == 421


SERIES = re.compile(r'upfeed_requests_total\{method="GET",route="([^"]*)",status="(\d+)"\} ([0-9.]+)')


def test_what_all_workers_did_is_counted_and_logged() -> None:
    """A request is counted when its answer has been sent, which may be a moment after it has arrived."""
    asked = ["/v1/parts/BW-118", "/v1/parts/BW-119x", "/v1/parts?kind=lifter", "/nowhere", "/v1/families"] * 8
    expected = {
        ("/v1/parts/{part}", "200"): 8,
        ("/v1/parts/{part}", "404"): 8,
        ("/v1/parts", "200"): 8,
        ("none", "404"): 8,
        ("/v1/families", "200"): 8,
    }
    with serving(workers=2) as served:
        for path in asked:
            served.ask("GET", path)
        served.until(lambda: expected.items() <= counted(served).items())
        assert set(counted(served)) - set(expected) <= {("/health", "200"), ("/metrics", "200")}
        lines = served.requests()
    logged = Counter(line["path"] for line in lines)
    assert all(logged[path.partition("?")[0]] == 8 for path in asked)


def counted(served: Served) -> dict[tuple[str, str], float]:
    """Requests by route template and status, of all workers together."""
    _, headers, body = served.ask("GET", "/metrics")
    assert headers["content-type"].startswith("text/plain; version=0.0.4")
    return {(m[1], m[2]): float(m[3]) for m in SERIES.finditer(body.decode())}


def test_a_line_a_request_with_nothing_of_what_was_sent() -> None:
    with serving() as served:
        served.check("?samples=0&units=si")
        served.check("?samples=0&units=si")
        served.ask("DELETE", "/v1/parts?secret=word")
        served.until(lambda: len(served.requests()) >= 4)
        log, lines = served.log.read_text(), served.requests()[-3:]
    for line in lines:
        assert set(line) >= {"time", "level", "method", "path", "route", "status", "bytes", "ms", "found"}
    assert [(line["method"], line["status"], line["found"]) for line in lines] == [
        ("POST", 200, "computed"),
        ("POST", 200, "kept"),
        ("DELETE", 405, None),
    ]
    assert lines[0]["route"] == lines[0]["path"] == "/v1/checks"
    assert lines[0]["bytes"] > 10_000
    assert not re.search("secret|word|units|tarn-v8", log)


def test_newer_knowledge_is_swapped_in_whole_or_not_at_all(tmp_path: Path) -> None:
    more = tmp_path / "more.yaml"
    with serving(kb=[str(tmp_path)]) as served:
        first, begun = served.check(), served.told("/ready")
        assert begun["status"] == "ready"
        assert json.loads(first[2])["digests"]["knowledge"] == begun["knowledge"]
        more.write_text("format: 1\nprats: []\n")
        served.until(lambda: served.told("/ready")["status"] == "stale")
        stale = served.told("/ready")
        assert {**stale, "status": "ready", "faults": []} == begun
        assert "more.yaml" in stale["faults"][0]
        assert "prats" in stale["faults"][0]
        assert served.check()[2] == first[2]
        assert any(line["level"] == "error" and "prats" in line["message"] for line in served.lines())
        more.write_text("format: 1\nsources: [{source: shop-bench, title: Our bench, kind: bench}]\n")
        served.until(lambda: served.told("/ready")["status"] == "ready")
        renewed, second = served.told("/ready"), served.check()
        assert renewed["knowledge"] != begun["knowledge"]
        assert renewed["program"] == begun["program"]
        assert json.loads(second[2])["digests"]["knowledge"] == renewed["knowledge"]
        assert second[1]["etag"] != first[1]["etag"]
        more.unlink()
        served.until(lambda: served.told("/ready") == begun)
        assert served.check()[2] == first[2]
        figures = served.ask("GET", "/metrics")[2].decode()
    assert 'upfeed_renewals_total{outcome="swapped"} 2.0' in figures
    assert 'upfeed_renewals_total{outcome="refused"}' in figures


def test_a_folder_that_another_takes_the_place_of(tmp_path: Path) -> None:
    """As a release does: the new one is made ready beside it, and renamed."""
    shop, old, new = tmp_path / "shop", tmp_path / "old", tmp_path / "new"
    for folder, title in ((shop, "One"), (new, "Another")):
        folder.mkdir()
        (folder / "a.yaml").write_text(f"format: 1\nsources: [{{source: a, title: {title}, kind: bench}}]\n")
    with serving(kb=[str(shop)]) as served:
        begun = served.told("/ready")
        shop.rename(old)
        new.rename(shop)
        served.until(lambda: served.told("/ready")["knowledge"] != begun["knowledge"])
        assert served.told("/ready")["status"] == "ready"


@pytest.mark.parametrize("workers", [1, 2])
def test_what_is_under_way_is_still_answered_when_it_is_told_to_stop(workers: int) -> None:
    replies: list[tuple[int, Any, bytes]] = []
    with serving(workers=workers, limits={"waiting": 0}) as served:
        asking = threading.Thread(target=lambda: replies.append(served.check("?samples=96")))
        asking.start()
        served.until(lambda: served.ask("GET", "/ready")[0] == 503)  # it is being computed
        assert not replies
        os.kill(served.process.pid, signal.SIGTERM)
        asking.join(PATIENCE)
        served.process.wait(PATIENCE)
        lines = served.lines()
    ((status, _, body),) = replies
    assert status == 200
    assert json.loads(body)["how_sure"]["samples"] == 96
    assert not [line for line in lines if line["level"] == "error"]
    with pytest.raises(OSError, match="refused"):
        socket.create_connection(("127.0.0.1", served.port), timeout=1)


def test_bad_knowledge_is_told_before_anything_is_served(tmp_path: Path) -> None:
    (tmp_path / "wrong.yaml").write_text("format: 1\nprats: []\n")
    for workers in (1, 2):
        with pytest.raises(DataFaults):
            serve(Settings(kb=(str(tmp_path),), workers=workers))


@pytest.mark.parametrize("workers", [1, 2])
def test_names_that_are_none_are_told_before_anything_is_served(workers: int) -> None:
    with pytest.raises(ValueError, match="expected scheme and host"):
        serve(Settings(origins=("*",), workers=workers))
    with pytest.raises(ValueError, match="without a port"):
        serve(Settings(hosts=("oil.example:80",), workers=workers))


def test_an_address_that_is_taken() -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken, pytest.raises(OSError, match="can't serve on"):
        serve(Settings(port=taken.getsockname()[1]))

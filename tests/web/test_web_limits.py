"""Limits on computing: work told beforehand, a time for each answer, a queue with an end, nothing computed twice."""

import asyncio
import json
import threading
from collections.abc import Iterator
from typing import Any

import pytest
from web_asking import JSON, LIBRARY, Reply, asking, check

from upfeed.answering.check import check as check_sheet
from upfeed.web.app import create_app
from upfeed.web.computing import Computing
from upfeed.web.examples import example_builds
from upfeed.web.limits import Limits

REFERENCE: dict[str, Any] = example_builds()["reference"]
PATIENCE = 30  # seconds


class Held:
    """Stands in for the check: waits until it is let go, and counts."""

    def __init__(self) -> None:
        self.let_go, self.count = threading.Event(), 0

    def __call__(self, *asked: Any) -> Any:
        self.count += 1
        assert self.let_go.wait(PATIENCE)
        return check_sheet(*asked[:3], samples=0)


@pytest.fixture
def held(monkeypatch: pytest.MonkeyPatch) -> Iterator[Held]:
    stand_in = Held()
    monkeypatch.setattr("upfeed.web.checks.check", stand_in)
    yield stand_in
    stand_in.let_go.set()


def told(reply: Reply, status: int, kind: str) -> int:
    """Seconds after which to ask again."""
    assert reply.status == status, reply.body
    assert reply.json["type"] == f"/v1/problems/{kind}"
    assert reply.headers["cache-control"] == "no-store"
    return int(reply.headers["retry-after"])


def posted(app: Any, units: str = "shop", name: str = "") -> Any:
    body = json.dumps(REFERENCE | ({"name": name} if name else {})).encode()
    return asking(f"/v1/checks?units={units}", "POST", JSON, body, app)


def test_more_draws_than_are_solved_for_one_answer() -> None:
    # 2 engines and a reference beside draws of 2 engines each, at 4 points, intake and exhaust: 8 (3 + 2 n)
    app = create_app(LIBRARY, limits=Limits(states=8 * (3 + 2 * 5)))
    assert check(REFERENCE, "?samples=5", app).status == 200
    reply = check(REFERENCE, "?samples=6", app)
    assert (reply.status, reply.json["type"]) == (422, "/v1/problems/too-much-work")
    (error,) = reply.json["errors"]
    assert (error["in"], error["pointer"], error["expected"]) == (
        "query",
        "/samples",
        "at most 5 for this build",
    )


def test_a_build_that_is_too_much_by_itself() -> None:
    reply = check(REFERENCE, "?samples=0", create_app(LIBRARY, limits=Limits(states=15)))
    assert (reply.status, reply.json["type"]) == (422, "/v1/problems/too-much-work")
    assert [(error["in"], error["pointer"]) for error in reply.json["errors"]] == [("body", "")]


def test_faults_of_a_build_are_told_before_its_work() -> None:
    reply = check({**REFERENCE, "nme": 1}, "?samples=9", create_app(LIBRARY, limits=Limits(states=1)))
    assert reply.json["type"] == "/v1/problems/unusable-build"


def test_a_queue_with_an_end(held: Held) -> None:
    app = create_app(LIBRARY, limits=Limits(waiting=1))

    async def three() -> list[Reply]:
        first, second = (asyncio.create_task(posted(app, units)) for units in ("shop", "si"))
        while (ready := await asking("/ready", app=app)).status == 200:
            await asyncio.sleep(0.01)
        assert told(ready, 503, "not-ready") >= 1
        refused = await posted(app, name="a third")
        same = asyncio.create_task(posted(app))  # what is under way is no more to compute
        await asyncio.sleep(0.05)
        held.let_go.set()
        return [refused, *await asyncio.gather(first, second, same)]

    refused, *answered = asyncio.run(three())
    assert told(refused, 429, "too-many-requests") >= 1
    assert [reply.status for reply in answered] == [200, 200, 200]
    assert answered[0].body == answered[2].body
    assert held.count == 2


def test_an_answer_that_takes_too_long_is_there_later(held: Held) -> None:
    app = create_app(LIBRARY, limits=Limits(seconds=0.05))

    async def late() -> Reply:
        reply: Reply = await posted(app)
        assert told(reply, 503, "not-in-time") >= 1
        held.let_go.set()
        while reply.status != 200:
            reply = await posted(app)
        return reply

    body = asyncio.run(late()).body
    assert held.count == 1
    assert body == check(REFERENCE).body


def test_what_fails_is_not_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    app = create_app(LIBRARY)
    with monkeypatch.context() as patch:
        patch.setattr("upfeed.web.checks.check", lambda *_: 1 / 0)
        assert check(REFERENCE, app=app).status == 500
    assert check(REFERENCE, app=app).body == check(REFERENCE).body


def test_an_application_that_was_stopped_and_is_started_again_computes_anew():
    """Some servers and test clients run the same application through several lifetimes."""
    computing = Computing(waiting=1, seconds=PATIENCE)

    async def asked(key: str) -> bytes:
        return await computing.result(key, key.encode)

    assert asyncio.run(asked("first")) == b"first"
    computing.stop()
    assert asyncio.run(asked("second")) == b"second"
    computing.stop()

"""Many builds in one request: rows are single answers, and what takes too long goes on where it was."""

import asyncio
import gzip
import json
import threading
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from web_asking import JSON, LIBRARY, Reply, ask, asking, check

from upfeed.answering.answer import FORMAT
from upfeed.answering.check import check as check_sheet
from upfeed.answering.several import Checked, Checks
from upfeed.answering.wire import encode
from upfeed.knowledge.sheet import read_sheet
from upfeed.reading.faults import DataFaults, Fault, Origin
from upfeed.reading.jsontree import read_json
from upfeed.web.app import create_app
from upfeed.web.examples import example_builds
from upfeed.web.limits import Limits

REFERENCE: dict[str, Any] = example_builds()["reference"]
FIRST, HELD, LAST = ({**REFERENCE, "name": name} for name in ("first", "held", "last"))
PATIENCE = 30  # seconds


class Stand:
    """Stands in for the check: counts by name, holds one build back until it is let go, refuses another."""

    def __init__(self) -> None:
        self.let_go, self.done = threading.Event(), Counter[str]()

    def __call__(self, sheet: Any, *asked: Any) -> Any:
        self.done[sheet.name] += 1
        if sheet.name == "wrong":
            raise DataFaults([Fault(Origin(pointer="/name"), "name", "wrong", "right")])
        if sheet.name == "held":
            assert self.let_go.wait(PATIENCE)
        return check_sheet(sheet, *asked)


@pytest.fixture
def stand(monkeypatch: pytest.MonkeyPatch) -> Iterator[Stand]:
    stand_in = Stand()
    monkeypatch.setattr("upfeed.web.checks.check", stand_in)
    yield stand_in
    stand_in.let_go.set()


async def many(app: Any, *builds: Any, **headers: str) -> Reply:
    return await asking(
        "/v1/checks/many", "POST", JSON | headers, json.dumps({"builds": builds}).encode(), app
    )


async def alone(app: Any, build: Any) -> Reply:
    return await asking("/v1/checks?samples=0", "POST", JSON, json.dumps(build).encode(), app)


async def until_there(app: Any, *builds: Any) -> Reply:
    """Ask for many again and again until nothing is lacking."""
    for _ in range(1000):
        reply = await many(app, *builds)
        if reply.status == 200 and "retry-after" not in reply.headers:
            return reply
        await asyncio.sleep(0.05)
    raise AssertionError("not there")


def states(reply: Reply) -> list[str]:
    """What became of each row: checked, or the kind of its problem."""
    assert reply.status == 200, reply.body
    return [row["kind"] if row["state"] == "refused" else row["state"] for row in reply.json["checks"]]


def test_what_was_not_reached_is_there_when_asked_again(stand: Stand) -> None:
    app = create_app(LIBRARY, limits=Limits(seconds=0.05))

    async def run() -> tuple[Reply, Reply, Reply]:
        while (await alone(app, FIRST)).status != 200:
            await asyncio.sleep(0.01)
        part = await many(app, FIRST, HELD, LAST)
        assert states(part) == ["checked", "not-in-time", "not-in-time"]
        assert stand.done == {"first": 1, "held": 1}  # nothing is begun once time is up
        stand.let_go.set()
        whole = await until_there(app, FIRST, HELD, LAST)
        return part, whole, await alone(app, LAST)

    part, whole, last = asyncio.run(run())
    assert part.headers["cache-control"] == "no-store"
    assert int(part.headers["retry-after"]) >= 1
    assert "etag" not in part.headers
    assert states(whole) == ["checked"] * 3
    assert "etag" in whole.headers
    assert whole.json["checks"][0] == part.json["checks"][0]
    assert whole.json["checks"][2]["answer"] == last.json
    assert stand.done == {"first": 1, "held": 1, "last": 1}
    assert whole.body == asyncio.run(many(create_app(LIBRARY), FIRST, HELD, LAST)).body


def test_where_nothing_was_reached_the_request_is_refused(stand: Stand) -> None:
    app = create_app(LIBRARY, limits=Limits(seconds=0.05))
    reply = asyncio.run(many(app, HELD, LAST))
    assert (reply.status, reply.json["type"]) == (503, "/v1/problems/not-in-time")
    assert int(reply.headers["retry-after"]) >= 1
    wrong = {"format": 1, "family": "tarn-v9"}
    assert states(asyncio.run(many(app, HELD, wrong))) == ["not-in-time", "unusable-build"]


def test_a_full_queue_leaves_what_is_kept(stand: Stand) -> None:
    app = create_app(LIBRARY, limits=Limits(waiting=0))

    async def run() -> Reply:
        assert (await alone(app, FIRST)).status == 200
        waits = asyncio.create_task(alone(app, HELD))
        while (await asking("/ready", app=app)).status == 200:
            await asyncio.sleep(0.01)
        part = await many(app, FIRST, LAST)
        stand.let_go.set()
        await waits
        return part

    part = asyncio.run(run())
    assert states(part) == ["checked", "too-many-requests"]
    assert int(part.headers["retry-after"]) >= 1


def test_rows_have_the_bytes_of_single_answers_in_every_coding(stand: Stand) -> None:
    app = create_app(LIBRARY)
    plain = asyncio.run(many(app, FIRST, LAST))
    single = [check(build, "?samples=0", app) for build in (FIRST, LAST)]
    packed = check(FIRST, "?samples=0", app, **{"accept-encoding": "gzip"})
    coded = asyncio.run(many(app, FIRST, LAST, **{"accept-encoding": "gzip"}))
    assert stand.done == {"first": 1, "last": 1}
    answers = [check_sheet(sheet_of(build), LIBRARY) for build in (FIRST, LAST)]
    assert [reply.body for reply in single] == [encode(answer) for answer in answers]
    rows = [Checked(f"/builds/{i}", answer) for i, answer in enumerate(answers)]
    assert plain.body == encode(Checks(FORMAT, rows))
    assert gzip.decompress(packed.body) == single[0].body
    assert gzip.decompress(coded.body) == plain.body
    assert coded.headers["etag"] == f'{plain.headers["etag"][:-1]}-gzip"'


def sheet_of(build: Any) -> Any:
    faults: list[Any] = []
    node = read_json(json.dumps(build).encode(), faults)
    assert node is not None
    return read_sheet(node, LIBRARY.knowledge, LIBRARY.vocabulary, faults)


def test_a_build_that_fails_in_its_check_is_not_checked_again(stand: Stand) -> None:
    app = create_app(LIBRARY)
    wrong = {**REFERENCE, "name": "wrong"}
    replies = [asyncio.run(many(app, wrong, *more)) for more in ((), (LAST,))]
    assert [states(reply)[0] for reply in replies] == ["unusable-build"] * 2
    (fault,) = replies[0].json["checks"][0]["faults"]
    assert fault["found"] == check(wrong, app=app).json["errors"][0]["found"]
    assert stand.done["wrong"] == 2  # once for both of many, once alone


def test_a_key_that_stands_twice_makes_another_request(stand: Stand) -> None:
    app = create_app(LIBRARY)
    once = json.dumps(FIRST)
    twice = f'{once[:-1]}, "name": "first"}}'
    bodies = [f'{{"builds": [{build}]}}'.encode() for build in (twice, once)]
    replies = [ask("/v1/checks/many", "POST", JSON, body, app) for body in bodies]
    assert [states(reply) for reply in replies] == [["unusable-build"], ["checked"]]


def test_the_same_bytes_as_the_command_line_of_several_builds(
    tmp_path: Path, upfeed: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    wrong = {"format": 1, "family": "tarn-v8", "slots": {"lifter": "BW-11"}, "settings": {"preload": 25}}
    builds = {"good.json": FIRST, "wrong.json": wrong, "none.json": 3, "last.json": LAST}
    for name, build in builds.items():
        (tmp_path / name).write_text(json.dumps(build))
    monkeypatch.chdir(tmp_path)
    told = upfeed("check", *builds, "--samples", 0, "--format", "json")
    body = json.dumps({"builds": [*builds.values()], "names": [*builds]}).encode()
    assert ask("/v1/checks/many", "POST", JSON, body).body == told.out
    assert told.code == 2


def test_a_build_that_is_too_much_work_says_so_in_its_place() -> None:
    app = create_app(LIBRARY, limits=Limits(states=16 + 2 * 8 * 3))
    reply = ask("/v1/checks/many?samples=9", "POST", JSON, json.dumps({"builds": [FIRST]}).encode(), app)
    (row,) = reply.json["checks"]
    (fault,) = row["faults"]
    assert (row["kind"], fault["path"], fault["pointer"]) == ("too-much-work", "samples", None)
    assert fault["expected"] == check(FIRST, "?samples=9", app).json["errors"][0]["expected"]

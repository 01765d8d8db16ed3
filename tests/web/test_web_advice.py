"""What follows from checks, asked over HTTP: the bytes that the command line prints, and what is wrong in its place."""

import json
from pathlib import Path
from typing import Any

import pytest
from web_asking import BUILDS, JSON, LIBRARY, Reply, ask

from upfeed.web.app import create_app
from upfeed.web.examples import example_builds
from upfeed.web.limits import Limits

FOLDER = BUILDS[0].parent
SOME: dict[str, Any] = example_builds(
    ("reference", "blind-lifter", "preload-lost", "one-odd-lifter", "feed-hole-unknown")
)


def sent(target: str, body: Any, app: Any = None) -> Reply:
    more = {} if app is None else {"app": app}
    return ask(target, "POST", JSON, json.dumps(body).encode(), **more)


def file_of(name: str) -> Path:
    return FOLDER / f"{name}.yaml"


@pytest.mark.parametrize(
    ("target", "command", "name"),
    [
        ("/v1/checks?mends=true&samples=0", ["check", "--mends", "--samples", "0"], "preload-lost"),
        ("/v1/checks?mends=false&samples=2", ["check", "--samples", "2"], "preload-lost"),
        ("/v1/mends", ["mends"], "blind-lifter"),
        ("/v1/mends?most=1&units=si", ["mends", "--most", "1", "--units", "si"], "preload-lost"),
        ("/v1/mends", ["mends"], "reference"),
        ("/v1/fits?slots=lifter", ["fits", "--slot", "lifter"], "blind-lifter"),
        (
            "/v1/fits?slots=pushrod,oil&units=si",
            ["fits", "--slot", "pushrod", "--slot", "oil", "--units", "si"],
            "one-odd-lifter",
        ),
        ("/v1/bench-sheets?samples=0", ["sheet", "--samples", "0"], "one-odd-lifter"),
        (
            "/v1/bench-sheets?samples=2&pitch=1/24%20in&bench_pressure=30%20psi",
            ["sheet", "--samples", "2", "--pitch", "1/24 in", "--bench-pressure", "30 psi"],
            "feed-hole-unknown",
        ),
    ],
)
def test_the_same_bytes_as_the_command_line(upfeed: Any, target: str, command: list[str], name: str) -> None:
    told = upfeed(*command, file_of(name), "--format", "json")
    reply = sent(target, SOME[name])
    assert reply.status == 200, reply.body
    assert reply.body == told.out
    assert sent(target, SOME[name]).body == told.out


def test_two_builds_side_by_side_as_the_command_line_has_them(upfeed: Any) -> None:
    told = upfeed("compare", file_of("reference"), file_of("preload-lost"), "--format", "json")
    reply = sent("/v1/comparisons", {"first": SOME["reference"], "second": SOME["preload-lost"]})
    assert reply.body == told.out
    turned = sent("/v1/comparisons", {"first": SOME["preload-lost"], "second": SOME["reference"]})
    assert turned.headers["etag"] != reply.headers["etag"]


READINGS = ["650 rpm, 100 C, 14 psi", "2000 rpm, 100 C, 35 psi, pump"]


def test_readings_as_the_command_line_explains_them(upfeed: Any) -> None:
    at = [word for reading in READINGS for word in ("--at", reading)]
    told = upfeed("readings", file_of("reference"), *at, "--error", "1 psi", "--format", "json")
    body = {"build": SOME["reference"], "readings": READINGS, "error": "1 psi"}
    reply = sent("/v1/readings", body)
    assert reply.body == told.out
    told = upfeed(
        "readings", file_of("reference"), *at, "--port", "mains", "--units", "si", "--format", "json"
    )
    reply = sent("/v1/readings?units=si", {"build": SOME["reference"], "readings": READINGS, "port": "mains"})
    assert reply.body == told.out


@pytest.mark.parametrize(
    ("more", "pointers"),
    [
        ({"readings": ["650 rpm, 100 C, 14 psi", "14 psi"]}, ["/readings/1"]),
        ({"port": "gallry"}, ["/port"]),
        ({"error": "14"}, ["/error"]),
        ({"readings": []}, ["/readings"]),
        (
            {"readings": "14 psi", "port": 3, "build": {"format": 1, "family": "tarn-v9"}, "more": 1},
            ["/build/family", "/more", "/port", "/readings"],
        ),
        ({"readings": [14]}, ["/readings/0"]),
    ],
)
def test_readings_that_are_none(more: dict[str, Any], pointers: list[str]) -> None:
    reply = sent("/v1/readings", {"build": SOME["reference"], "readings": READINGS} | more)
    assert reply.status == 422
    assert sorted(error["pointer"] for error in reply.json["errors"]) == pointers


def test_each_finding_tells_the_ways_out_that_clear_it() -> None:
    plain, told = (
        sent(f"/v1/checks?samples=0&mends={word}", SOME["preload-lost"]).json for word in ("false", "true")
    )
    ways = sent("/v1/mends", SOME["preload-lost"]).json["ways"]
    assert ways
    for finding in told["findings"]:
        assert finding["mends"] == [way for way in ways if finding["id"] in way["clears"]]
    assert any(finding["mends"] for finding in told["findings"])
    assert plain == {**told, "findings": [{**finding, "mends": []} for finding in told["findings"]]}


def test_faults_of_two_builds_stand_where_they_were_sent() -> None:
    wrong = {"format": 1, "family": "tarn-v8", "settings": {"preload": 25}}
    reply = sent("/v1/comparisons", {"first": wrong, "second": {"format": 1}, "third": 1})
    assert reply.status == 422
    assert {error["pointer"] for error in reply.json["errors"]} == {
        "/first/settings/preload",
        "/second",
        "/third",
    }
    (lacking, _) = sent("/v1/comparisons", {"first": wrong}).json["errors"]
    assert (lacking["pointer"], lacking["found"]) == ("", "second: nothing")


@pytest.mark.parametrize(
    ("target", "status", "pointer"),
    [
        ("/v1/fits?slots=liffter", 422, "/slots"),
        ("/v1/fits?slots=lifter,", 400, "/slots"),
        ("/v1/fits", 422, ""),
        ("/v1/bench-sheets?pitch=24", 400, "/pitch"),
        ("/v1/bench-sheets?bench_pressure=900%20bar", 400, "/bench_pressure"),
        ("/v1/mends?most=0", 400, "/most"),
        ("/v1/mends?most=51", 400, "/most"),
        ("/v1/checks?mends=yes", 400, "/mends"),
    ],
)
def test_what_is_asked_wrongly(target: str, status: int, pointer: str) -> None:
    reply = sent(target, SOME["reference"])
    assert reply.status == status
    assert [error["pointer"] for error in reply.json["errors"]] == [pointer]


def test_a_search_is_more_work_than_a_check() -> None:
    app = create_app(LIBRARY, limits=Limits(states=1000))
    assert sent("/v1/checks?samples=0", SOME["preload-lost"], app).status == 200
    for target in ("/v1/mends", "/v1/checks?samples=0&mends=true"):
        reply = sent(target, SOME["preload-lost"], app)
        assert (reply.status, reply.json["type"]) == (422, "/v1/problems/too-much-work")


def test_many_builds_each_as_it_is_alone() -> None:
    names = list(SOME)
    reply = sent("/v1/checks/many?units=si", {"builds": [SOME[name] for name in names]})
    assert reply.status == 200
    for i, (name, told) in enumerate(zip(names, reply.json["checks"], strict=True)):
        alone = sent("/v1/checks?units=si&samples=0", SOME[name]).json
        assert told == {"state": "checked", "build": f"/builds/{i}", "answer": alone}


def test_a_bad_build_has_its_problem_in_its_place_and_spoils_nothing() -> None:
    good = SOME["preload-lost"]
    bad = {"format": 1, "family": "tarn-v8", "settings": {"preload": 25}}
    raw = json.dumps(good)[:-1] + ', "name": "twice", "settings": {}}'
    body = f'{{"builds": [{json.dumps(good)}, {json.dumps(bad)}, null, 3, {raw}, {json.dumps(good)}]}}'
    reply = ask("/v1/checks/many", "POST", JSON, body.encode())
    assert reply.status == 200, reply.body
    first, *wrong, last = reply.json["checks"]
    assert first["answer"] == last["answer"] == sent("/v1/checks?samples=0", good).json
    for told in wrong:
        assert (told["state"], told["kind"]) == ("refused", "unusable-build")
    alone = sent("/v1/checks", bad).json
    assert wrong[0]["says"] == alone["detail"]
    for fault, error in zip(wrong[0]["faults"], alone["errors"], strict=True):
        assert (fault["pointer"], fault["found"]) == (error["pointer"], error["found"])
    assert [fault["found"] for fault in wrong[3]["faults"]] == [
        'the key "name" again',
        'the key "settings" again',
    ]


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({}, ""),
        ({"builds": []}, "/builds"),
        ({"builds": {}}, "/builds"),
        ({"builds": [{}] * 501}, "/builds"),
        ({"builds": [{}], "format": 1}, "/format"),
        ({"builds": [{}], "names": ["a", "b"]}, "/names"),
        ({"builds": [{}], "names": "a"}, "/names"),
        ({"builds": [{}], "names": [1]}, "/names/0"),
    ],
)
def test_lists_that_are_none(body: Any, pointer: str) -> None:
    reply = sent("/v1/checks/many", body)
    assert reply.status == 422
    assert [error["pointer"] for error in reply.json["errors"]] == [pointer]


def test_five_hundred_builds_may_be_sent_at_once() -> None:
    wrong = {"format": 1, "family": "tarn-v9", "name": "x" * 200}
    reply = sent("/v1/checks/many", {"builds": [wrong] * 500})
    assert reply.status == 200
    assert [told["state"] for told in reply.json["checks"]] == ["refused"] * 500


def test_many_builds_together_may_be_too_much() -> None:
    app = create_app(LIBRARY, limits=Limits(states=40))
    assert sent("/v1/checks/many", {"builds": [SOME["reference"]] * 2}, app).status == 200
    reply = sent("/v1/checks/many", {"builds": [SOME["reference"]] * 3}, app)
    assert (reply.status, reply.json["type"]) == (422, "/v1/problems/too-much-work")
    drawn = sent("/v1/checks/many?samples=1", {"builds": [SOME["reference"]] * 2}, app)
    assert drawn.status == 422

"""What no client should send, and the problem each gets."""

import json
from typing import Any

import pytest
from web_asking import APP, JSON, LIBRARY, Reply, ask, check

from upfeed.web.app import create_app
from upfeed.web.examples import example_builds
from upfeed.web.limits import DEFAULTS, Limits

REFERENCE: dict[str, Any] = example_builds()["reference"]
WITH = '{"format": 1, "family": "tarn-v8", %s}'


def problem(reply: Reply, status: int) -> dict[str, Any]:
    """The problem in a reply, which has the one shape that all have (RFC 9457)."""
    assert reply.status == status, reply.body
    assert reply.headers["content-type"] == "application/problem+json"
    assert reply.headers["cache-control"] == "no-store"
    assert "etag" not in reply.headers
    told = reply.json
    assert list(told) == ["type", "title", "status", "detail", "errors"]
    assert told["status"] == status
    kind = ask(told["type"]).json
    assert told["type"] == f"/v1/problems/{kind['id']}"
    assert (kind["status"], kind["title"]) == (status, told["title"])
    for error in told["errors"]:
        assert list(error) == ["in", "pointer", "found", "expected", "advice"]
        assert error["found"]
        assert error["expected"]
    return told


def only_error(reply: Reply, status: int) -> dict[str, Any]:
    errors = problem(reply, status)["errors"]
    assert len(errors) == 1, errors
    return errors[0]


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"{",
        b"\xff\xfe{}",
        b'{"format": 1, "family": "tarn-v8\xc3\x28"}',
        b'\xef\xbb\xbf{"format": 1, "family": "tarn-v8"}',
        b'{"format": 1, "family": "tarn-v8"} {}',
        b"{'format': 1}",
        b'{"format": 1,}',
        b"[" * 2000 + b"]" * 2000,
        b'{"a":' * 6000 + b"1" + b"}" * 6000,
    ],
    ids=["empty", "cut", "utf16", "utf8", "mark", "two", "quotes", "comma", "lists", "objects"],
)
def test_bodies_that_are_no_json(body: bytes) -> None:
    error = only_error(check(body), 400)
    assert (error["in"], error["pointer"]) == ("body", "")


@pytest.mark.parametrize(
    ("told", "pointer", "found"),
    [
        ('"family": "tarn-v8"', "", 'the key "family" again'),
        ('"settings": {"preload": "1 thou", "preload": "2 thou"}', "/settings", 'the key "preload" again'),
        ('"settings": {"preload": NaN}', "/settings/preload", "NaN"),
        ('"settings": {"preload": -Infinity}', "/settings/preload", "-Infinity"),
        ('"settings": {"preload": 1e400}', "/settings/preload", '"1e400" without a unit'),
        ('"settings": {"preload": 25}', "/settings/preload", '"25" without a unit'),
        ('"settings": {"preload": "25"}', "/settings/preload", '"25" without a unit'),
        ('"settings": {"preload": "nan"}', "/settings/preload", '"nan"'),
        ('"settings": {"preload": "25 thou\\n"}', "/settings/preload", '"25 thou\\u000a"'),
        ('"settings": {"preload": true}', "/settings/preload", "the boolean true"),
        ('"settings": {"preload": ["25 thou"]}', "/settings/preload", "a list"),
        ('"settings": {"preloed": "25 thou"}', "/settings/preloed", 'the unknown key "preloed"'),
        ('"settings": [1]', "/settings", "a list"),
        ('"slots": {"lifter": 118}', "/slots/lifter", "the number 118"),
        ('"slots": {"lifter": "BW-118\\n"}', "/slots/lifter", ""),
        ('"slots": {"lifter": "BW-118\\u0000"}', "/slots/lifter", 'hidden characters in "BW-118\\u0000"'),
        ('"slots": {"lifter": "\\ud800"}', "/slots/lifter", 'hidden characters in "\\ud800"'),
        ('"slots": {"lifter": [{"at": "9 intake", "part": "BW-118"}]}', "/slots/lifter/0", ""),
        ('"slots": {"lifter": [{"at": 0, "part": "BW-118"}]}', "/slots/lifter/0/at", '"0"'),
        ('"slots": {"lifter": "PR-7"}', "/slots/lifter", "PR-7"),
        ('"slots": {"li/f~ter": "BW-118"}', "/slots/li~1f~0ter", '"li/f~ter"'),
        ('"build": "a\\n"', "/build", '"a\\u000a"'),
        ('"as_of": "2026-02-30"', "/as_of", '"2026-02-30"'),
        ('"open": ["lifter", 3]', "/open/1", "the number 3"),
        ('"name": {"a": 1}', "/name", "a mapping"),
    ],
)
def test_builds_that_cannot_be_checked(told: str, pointer: str, found: str) -> None:
    error = only_error(check(WITH % told), 422)
    assert (error["in"], error["pointer"]) == ("body", pointer)
    assert error["found"].startswith(found)


@pytest.mark.parametrize(
    "format_", ["1.0", "1e0", '"1"', "true", "2", "-1", "9" * 5000, "1" + "0" * 400 + ".5"]
)
def test_numbers_are_not_taken_laxly(format_: str) -> None:
    error = only_error(check(f'{{"family": "tarn-v8", "format": {format_}}}'), 422)
    assert error["pointer"] == "/format"
    assert len(error["found"]) < 100


def test_a_body_of_another_kind() -> None:
    for body in ("[]", "1", '"tarn-v8"', "null"):
        assert all(error["pointer"] == "" for error in problem(check(body), 422)["errors"])


def test_forty_levels_are_enough() -> None:
    deep = '{"a":' * 60 + "1" + "}" * 60
    errors = problem(check(WITH % f'"slots": {deep}'), 422)["errors"]
    assert any(error["expected"] == "at most 40" for error in errors)


def test_every_fault_is_told_at_once() -> None:
    told = '"settings": {"preload": 25, "preloed": 1}, "open": [3], "slots": {"lifter": "NONE-1"}, "nme": 1'
    pointers = [error["pointer"] for error in problem(check(WITH % told), 422)["errors"]]
    assert set(pointers) >= {"/settings/preload", "/settings/preloed", "/open/0", "/nme"}


def test_an_unknown_family_is_asked_after() -> None:
    error = only_error(check({"format": 1, "family": "tarm-v8"}), 422)
    assert error["pointer"] == "/family"
    assert "tarn-v8" in error["advice"]


@pytest.mark.parametrize(
    "type_",
    [
        None,
        "text/plain",
        "application/yaml",
        "application/json; charset=latin-1",
        "application/jsonx",
        "json",
        "",
    ],
)
def test_other_types_of_content(type_: str | None) -> None:
    headers = {} if type_ is None else {"content-type": type_}
    reply = ask("/v1/checks", "POST", headers, json.dumps(REFERENCE).encode())
    error = only_error(reply, 415)
    assert (error["in"], error["pointer"], error["expected"]) == (
        "header",
        "/content-type",
        "application/json",
    )
    assert reply.headers["accept"] == "application/json"


@pytest.mark.parametrize("type_", ["application/json", "Application/JSON", "application/json; charset=UTF-8"])
def test_json_however_it_is_written(type_: str) -> None:
    assert ask("/v1/checks", "POST", {"content-type": type_}, json.dumps(REFERENCE).encode()).status == 200


def test_a_body_that_is_too_large() -> None:
    body = json.dumps(REFERENCE).encode()
    room = DEFAULTS.body - len(body)
    assert check(body + b" " * room).status == 200
    problem(check(body + b" " * (room + 1)), 413)
    problem(ask("/v1/checks", "POST", JSON, [b" " * 1024] * 65), 413)


def test_a_body_that_comes_in_pieces_though_its_length_is_told() -> None:
    body = json.dumps(REFERENCE).encode()
    told = JSON | {"content-length": str(len(body))}
    assert ask("/v1/checks", "POST", told, [body[:9], b"", body[9:]]).body == check(body).body
    # no server lets these by; the limit holds all the same
    problem(ask("/v1/checks", "POST", JSON | {"content-length": "9"}, [b" " * (DEFAULTS.body + 1)]), 413)
    problem(ask("/v1/checks", "POST", JSON | {"content-length": "9"}, [b" " * 1024] * 65), 413)


@pytest.mark.parametrize(
    ("query", "pointer"),
    [
        ("units=metric", "/units"),
        ("units=SI", "/units"),
        ("units=si%0A", "/units"),
        ("units=", "/units"),
        ("units=si&units=si", "/units"),
        ("unit=si", "/unit"),
        ("units=si&x=1", "/x"),
        ("a%2Fb~=1", "/a~1b~0"),
        ("units", ""),
        ("units=%FF", ""),
        ("units=%zz", ""),
        ("units=\xff", ""),
        ("&", ""),
    ],
)
def test_queries_of_a_check(query: str, pointer: str) -> None:
    error = only_error(check(REFERENCE, f"?{query}"), 400)
    assert (error["in"], error["pointer"]) == ("query", pointer)


@pytest.mark.parametrize(
    "query",
    [
        "limit=0",
        "limit=501",
        "limit=1.0",
        "limit=+1",
        "limit=01",
        "limit=%201",
        "limit=1e2",
        "limit=\u0661".replace("\u0661", "%D9%A1"),
        "number=",
        "number=%00",
        "number=" + "9" * 81,
        "kind=Lifter",
        "cursor=a%20b",
        "family=a--b",
    ],
)
def test_queries_of_a_list(query: str) -> None:
    name = query.partition("=")[0]
    assert only_error(ask(f"/v1/parts?{query}"), 400)["pointer"] == f"/{name}"


def test_every_fault_of_a_query_is_told_at_once() -> None:
    errors = problem(ask("/v1/parts?limit=0&knid=lifter&family=a&family=b"), 400)["errors"]
    assert [error["pointer"] for error in errors] == ["/limit", "/knid", "/family"]
    assert errors[1]["advice"] == "Did you mean kind?"


@pytest.mark.parametrize(
    "path", ["/health", "/openapi.json", "/v1/families", "/v1/rules", "/v1/parts/BW-118"]
)
def test_addresses_without_a_query(path: str) -> None:
    assert only_error(ask(f"{path}?a=1"), 400)["pointer"] == "/a"


@pytest.mark.parametrize(
    ("path", "advice"),
    [
        ("/v1/parts/BW-1188", "BW-118"),
        ("/v1/parts/BW-118%0A", "BW-118"),
        ("/v1/parts/bw-118", "BW-118"),
        ("/v1/families/tarn-v9", "tarn-v8"),
        ("/v1/rules/no-way-upp", "no-way-up"),
        ("/v1/parts?family=tarn-v9", "tarn-v8"),
        ("/v1/parts?kind=lifters", "lifter"),
    ],
)
def test_ids_that_nothing_has(path: str, advice: str) -> None:
    error = only_error(ask(path), 404)
    assert advice in error["advice"]


@pytest.mark.parametrize(
    "path",
    [
        "/",
        "/v1",
        "/v1/",
        "/v2/parts",
        "/v1/parts/",
        "/v1/parts/BW-118/",
        "/v1/parts//BW-118",
        "/v1/parts/BW%2F118",
        "/v1/parts/%FF",
        "/v1/parts/../rules",
        "/V1/parts",
        "/v1/checks/1",
        "/schema",
        "/v1/parts/" + "9" * 5000,
    ],
)
def test_addresses_with_nothing_there(path: str) -> None:
    problem(ask(path), 404)


@pytest.mark.parametrize(
    ("method", "path", "allow"),
    [
        ("GET", "/v1/mends", "OPTIONS, POST"),
        ("HEAD", "/v1/mends", "OPTIONS, POST"),
        ("PUT", "/v1/checks", "GET, HEAD, OPTIONS, POST"),
        ("POST", "/v1/parts", "GET, HEAD, OPTIONS"),
        ("DELETE", "/v1/parts/BW-118", "GET, HEAD, OPTIONS"),
        ("BREW", "/health", "GET, HEAD, OPTIONS"),
        ("TRACE", "/openapi.json", "GET, HEAD, OPTIONS"),
    ],
)
def test_methods_that_are_not_taken(method: str, path: str, allow: str) -> None:
    reply = ask(path, method)
    assert reply.status == 405
    assert reply.headers["allow"] == allow
    if method == "HEAD":
        assert reply.body == b""
    else:
        problem(reply, 405)


def test_a_crash_is_a_problem_that_gives_nothing_away(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def crash(*_: object) -> None:
        raise ZeroDivisionError("secret")

    monkeypatch.setattr("upfeed.web.checks.check", crash)
    told = problem(check(REFERENCE, app=create_app(LIBRARY)), 500)
    assert "secret" not in json.dumps(told)
    assert "Traceback" in caplog.text
    assert "secret" in caplog.text


def test_refusals_do_not_fill_the_log(caplog: pytest.LogCaptureFixture) -> None:
    for path in ("/nowhere", "/v1/parts?a=b", "/v1/parts/none"):
        ask(path)
    check(b"{")
    assert caplog.text == ""


def test_a_limit_of_ones_own() -> None:
    small = create_app(LIBRARY, limits=Limits(body=10))
    problem(ask("/v1/checks", "POST", JSON, b" " * 11, app=small), 413)
    assert ask("/health", app=APP).status == 200
